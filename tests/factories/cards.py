"""A fixture with its handicaps taken, and groups of players who mark each other."""

from datetime import UTC, datetime
from decimal import Decimal

from scoring.rules.strict_json import canonical
from society.entries.models import CourseCard, Entry, Frozen, Start
from society.fixtures.models import Fixture, Round
from society.members.models import Player
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.factories.members import AccountFactory

THEN = datetime(2026, 4, 17, 18, 0, tzinfo=UTC)
BY = '{"account":null,"command":"test","means":"command","player":null,"roles":["system"]}'

FOURS = [4] * 18
FIVES = [5] * 18


def ready(
    fixture: Fixture | None = None, *, players: int = 2, marked: bool = True, **values: object
) -> list[Start]:
    """Starts with frozen handicaps for all entries of a fixture, a ring of markers unless not.

    `players` enter first where the fixture has no entries yet. Every player has an account.
    """
    fixture = fixture or saturday(**values)
    round_ = fixture.rounds.get()
    entries = list(fixture.entries.order_by("pk"))
    if not entries:
        entries = [entered(fixture) for _ in range(players)]
    starts = [start_of(round_, entry) for entry in entries]
    for at, start in enumerate(starts):
        if not start.entry.player.accounts.exists():
            AccountFactory(name=start.entry.player.name, players=[start.entry.player])
        if marked and len(starts) > 1:
            start.marker = starts[at - 1].entry
            start.group, start.place = at // 4 + 1, at % 4 + 1
            start.save()
    competition = fixture.competitions.get()
    competition.frozen_at = THEN
    competition.save()
    return starts


def start_of(round_: Round, entry: Entry) -> Start:
    """The start of one entry off its index, on the tee of the round."""
    tee = round_.tees.get(category=entry.category).tee
    start = Start.objects.create(round=round_, entry=entry, tee=tee)
    record = entry.player.handicaps.order_by("-pk").first()
    Frozen.objects.create(
        start=start,
        number=1,
        kind=record.kind if record else "playing",
        value=record.value if record else Decimal(18),
        source_entry=record,
        tee=tee,
        category=entry.category,
        course_card=course_card(round_, tee, entry.category),
        at=THEN,
        by=BY,
    )
    return start


def course_card(round_: Round, tee: object, category: str) -> CourseCard:
    """The card of the course for a tee and category, made once."""
    there = CourseCard.objects.filter(round=round_, tee=tee, category=category).first()
    if there:
        return there
    numbers = {"18": (1, 18), "first 9": (1, 9), "second 9": (10, 18)}[round_.holes]
    holes = tee.holes.filter(category=category, number__range=numbers).order_by("number")
    rating = tee.ratings.filter(category=category).first()
    return CourseCard.objects.create(
        round=round_,
        tee=tee,
        category=category,
        number=1,
        card=canonical(
            {
                "name": tee.name,
                "par": [hole.par for hole in holes],
                "stroke_index": [hole.stroke_index for hole in holes],
                "yards": [hole.yards for hole in holes],
                "course_rating": rating.course_rating if rating else None,
                "slope_rating": rating.slope_rating if rating else None,
            }
        ),
        at=THEN,
        by=BY,
    )


def acts_for(player: Player) -> object:
    """The account of a player made by `ready`."""
    return player.accounts.get()
