"""Beside the competition: side contests with their winners, and the pot for twos."""

from datetime import datetime
from typing import Any

from scoring.results.actions.holding import checked, refuse_if_ended
from scoring.results.models import (
    SideContest,
    SideWinner,
    TwosPot,
)
from scoring.results.queries.side import pot_now
from scoring.results.rules import (
    ContestKind,
)
from scoring.rules.twos import pot_text
from society.audit.actions import deed
from society.courses.rules import RatedHoles
from society.entries.models import Entry
from society.entries.rules.words import IN
from society.fixtures.actions.holding import locked
from society.fixtures.models import Fixture
from society.fixtures.rules import FixtureState
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import ORGANISERS, SCORERS, Who


def add_contest(
    *, fixture: Fixture, kind: str, hole: int, category: str = "", by: Who, at: datetime
) -> SideContest:
    """One more side contest on a hole, for everybody or one category.

    Raises NotYours, WrongState once the fixture has ended, BadInput.
    """
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain sets side contests.")
    with deed(by=by, at=at, what="side contest added", about=f"fixture:{fixture.public_id}") as d:
        now = locked(fixture)
        refuse_if_ended(now)
        round_ = now.rounds.order_by("number")[0]
        if kind not in list(ContestKind):
            raise BadInput("Choose what is contested.", field="kind")
        if hole not in RatedHoles(round_.holes).numbers:
            raise BadInput("That hole is not in play.", field="hole")
        same = {"round": round_, "kind": kind, "hole": hole, "category": category}
        if SideContest.objects.filter(**same).exists():
            raise BadInput("That contest stands already.", field="hole")
        row = SideContest.objects.create(**same)
        said = {"kind": kind, "hole": hole, "category": category}
        d.change(f"fixture:{now.public_id}", {"side contest": said})
    return row


def remove_contest(*, contest: SideContest, by: Who, at: datetime) -> None:
    """Take a side contest out again while nobody has won it. Raises NotYours, WrongState."""
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain sets side contests.")
    fixture = contest.round.fixture
    with deed(by=by, at=at, what="side contest removed", about=f"fixture:{fixture.public_id}") as d:
        refuse_if_ended(locked(fixture))
        if contest.winners.exists():
            raise WrongState("A winner is written down, so this contest stays on record.")
        said = {"kind": contest.kind, "hole": contest.hole, "category": contest.category}
        d.change(f"fixture:{fixture.public_id}", {"side contest": None}, {"side contest": said})
        contest.delete()


def write_winner(
    *,
    contest: SideContest,
    entry: Entry | None,
    distance: str = "",
    words: str = "",
    by: Who,
    at: datetime,
) -> SideWinner:
    """Who won a side contest, None for nobody; what was written before stays on record.

    It is no part of the seal: it may be put right after the result is final, with a reason.
    Raises NotYours, WrongState, BadInput.
    """
    if not by.may(SCORERS):
        raise NotYours("Only those who take in cards write down who won.")
    fixture = contest.round.fixture
    with deed(by=by, at=at, what="side winner", about=f"fixture:{fixture.public_id}") as d:
        now = locked(fixture)
        if now.state in (FixtureState.CANCELLED.value, FixtureState.VOID.value):
            refuse_if_ended(now)
        old = contest.winners.order_by("-number").first()
        if old is not None and not words.strip():
            raise BadInput("Somebody is written down already. Say why it changes.", field="words")
        distance = checked(distance.strip(), "distance") if distance.strip() else ""
        if len(distance) > 40:
            raise BadInput("At most 40 characters, for instance 1.86 m.", field="distance")
        if entry is not None:
            _may_win(contest, entry)
        row = SideWinner.objects.create(
            contest=contest,
            number=old.number + 1 if old else 1,
            entry=entry,
            distance=distance,
            at=d.at,
            by=d.by.as_json(),
            words=d.words(checked(words.strip(), "words") if words.strip() else ""),
        )
        d.change(f"fixture:{now.public_id}", _won(row), _won(old) if old else None)
    return row


def _may_win(contest: SideContest, entry: Entry) -> None:
    fixture = contest.round.fixture_id
    here = Entry.objects.with_step().filter(pk=entry.pk, fixture=fixture).first()
    if here is None or here.step not in IN:
        raise BadInput(f"{entry.player} is not in the field.", field="entry")
    if contest.category and entry.category != contest.category:
        raise BadInput(f"This contest is for {contest.category} only.", field="entry")


def _won(row: SideWinner) -> dict[str, Any]:
    contest = row.contest
    return {
        "side contest": f"{contest.kind} {contest.hole} {contest.category}".strip(),
        "winner": row.entry.public_id if row.entry else None,
        "distance": row.distance,
    }


def share_twos(*, fixture: Fixture, words: str = "", by: Who, at: datetime) -> TwosPot | None:
    """Share the twos of a fixture as its cards stand, as a row; None where there is no pot.

    Part of making the result final, and made again when it is sealed again. Raises NotYours.
    """
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain shares the twos.")
    with deed(by=by, at=at, what="twos shared", about=f"fixture:{fixture.public_id}") as d:
        pot = pot_now(fixture)
        if pot is None:
            return None
        row = TwosPot.objects.create(
            fixture=fixture,
            number=TwosPot.objects.filter(fixture=fixture).count() + 1,
            pot=pot_text(pot),
            at=d.at,
            by=d.by.as_json(),
            words=d.words(words),
        )
        said = {"total": pot.total, "twos": pot.count, "each": pot.each, "onward": pot.onward}
        d.change(f"fixture:{fixture.public_id}", {"twos": said})
    return row
