"""What a fixture of the invented society is played for besides its result, and the evening."""

from datetime import datetime, timedelta
from fractions import Fraction
from functools import partial

from scoring.cards.actions.submit import submit_card
from scoring.cards.rules.words import Channel, Record
from scoring.results.actions.contests import add_contest, write_winner
from scoring.results.actions.ruling import put_in_order
from scoring.results.models import SideContest
from scoring.results.queries.standings import provisional
from scoring.results.rules import ReasonClass, Settled
from scoring.rules.divisions import DivideBy, Scheme
from society.desk.actions.demo.diary import acting
from society.desk.actions.demo.saturday import MISREAD_HOLE, Saturday
from society.desk.actions.reopening import ask_to_reopen, seal_again
from society.entries.actions.competing import add_competition
from society.entries.actions.dividing import set_divisions
from society.entries.actions.twos import set_stake
from society.members.models import Account


def set_out(day: Saturday, at: datetime) -> None:
    """Divisions, further competitions, twos and side contests, said before entries open."""
    plan, by = day.plan, acting(day.secretary, at)
    if plan.bands:
        names = tuple(f"Division {number}" for number in range(1, len(plan.bands) + 2))
        tops = tuple(Fraction(top) for top in plan.bands)
        scheme = Scheme(DivideBy.BROUGHT, names, tops)
        set_divisions(fixture=day.standing, scheme=scheme, by=by, at=at)
    for contest in plan.also:
        add_competition(fixture=day.standing, contest=contest, by=by, at=at)
    if plan.stake:
        set_stake(fixture=day.standing, stake=plan.stake, by=by, at=at)
    for prize in plan.prizes:
        add_contest(
            fixture=day.standing,
            kind=prize.kind,
            hole=prize.hole,
            category=prize.category,
            by=by,
            at=at,
        )


def write_winners(day: Saturday, scorer: Account, at: datetime) -> None:
    """Who won the side contests, as the scorer of the day has it from the markers on the holes."""
    for prize in day.plan.prizes:
        contest = SideContest.objects.get(
            round__fixture=day.standing,
            kind=prize.kind,
            hole=prize.hole,
            category=prize.category,
        )
        write_winner(
            contest=contest,
            entry=day.entry(prize.winner),
            distance=prize.distance,
            by=acting(scorer, at),
            at=at,
        )


def draw_lots(day: Saturday, captain: Account, at: datetime) -> None:
    """In a further competition without countback the first who are level draw lots."""
    for competition in day.standing.competitions.filter(number__gt=1):
        level: dict[int, list[str]] = {}
        for row in provisional(competition).answer["standings"]:
            if row["tied"]:
                level.setdefault(row["place"], []).append(row["player"])
        if level:
            put_in_order(
                competition=competition,
                keys=level[min(level)],
                how=Settled.LOT.value,
                seed=f"{day.plan.name} {at:%Y-%m-%d}",
                words="Drawn at the prize-giving, with everybody there.",
                by=acting(captain, at),
                at=at,
            )


def put_right(day: Saturday, captain: Account, scorer: Account, at: datetime) -> None:
    """The result is opened again for a card that was typed wrong, and sealed as version 2."""
    start = next(s for s in day.starts() if s.entry.player.name == day.plan.misread)
    ask_to_reopen(
        fixture=day.standing,
        reason_class=ReasonClass.FIGURES.value,
        words=f"{start.entry.player.name}’s card has a stroke more on hole {MISREAD_HOLE} "
        "than was typed.",
        by=acting(captain, at),
        at=at,
    )
    diary = day.diary
    diary.put(at + timedelta(minutes=12), partial(_type_again, day, start.pk, scorer))
    diary.put(
        at + timedelta(minutes=25),
        lambda at: seal_again(fixture=day.standing, by=acting(captain, at), at=at),
    )


def _type_again(day: Saturday, start: int, scorer: Account, at: datetime) -> None:
    found = day.start(start)
    submit_card(
        card_of=found,
        record=Record.COMMITTEE,
        uuid=day.uuid(found, "paper again"),
        parent_uuid=day.uuid(found, "paper"),
        strokes=day.score(found),
        channel=Channel.PAPER,
        signatures_seen=True,
        words="Looked up on the paper card.",
        by=acting(scorer, at),
        at=at,
    )
