"""The step of taking handicaps: who has one, who lacks one."""

from datetime import datetime

from django.urls import reverse

from society.desk.queries.step import Step
from society.entries.bridge.handicaps import handicap_lines
from society.entries.queries import handicaps_taken
from society.entries.rules.words import listed
from society.fixtures.models import Fixture
from society.fixtures.queries import the_competition
from society.fixtures.rules import ENDED, FixtureState
from society.web.templatetags.look import count_of, day_clock
from society.web.who import ORGANISERS, Who


def handicaps_step(fixture: Fixture, who: Who, at: datetime) -> Step:
    """Taken or not, how many, and whose are missing."""
    lines = handicap_lines(fixture)
    taken = [line for line in lines if line.frozen is not None]
    lacking = [line for line in lines if line.lacks]
    is_taken = handicaps_taken(fixture)
    ended = FixtureState(fixture.state) in ENDED
    may = who.may(ORGANISERS)
    state, words = _state(len(lines), len(taken), is_taken, ended)
    return Step(
        title="Handicaps",
        desc=_desc([line.entry.player.name for line in lacking], len(lines), is_taken),
        state=state,
        state_words=words,
        url=reverse("desk:handicaps", args=[fixture.public_id]) if may else None,
        count=len(taken) if is_taken else len(lines) - len(lacking),
        unit=f"of {len(lines)} taken" if is_taken else f"of {len(lines)} ready",
        when=day_clock(the_competition(fixture).frozen_at),
    )


def _desc(lacking: list[str], field: int, taken: bool) -> str:
    if lacking:
        shown = listed(lacking) if len(lacking) < 4 else count_of(len(lacking), "player,players")
        return f"{shown} cannot be taken yet"
    if not field:
        return "Nobody is in yet"
    return "What everyone plays off stands" if taken else "Everyone has what is needed"


def _state(field: int, taken: int, is_taken: bool, ended: bool) -> tuple[str, str]:
    if is_taken:
        return ("ink", "Taken") if ended or taken == field else ("act", "Take the rest")
    if ended:
        return "ink", "Not taken"
    return ("act", "Take handicaps") if field else ("pencil", "Waits for entries")
