"""What one player of a field plays off, with its arithmetic."""

from dataclasses import dataclass

from scoring.rules.working import Working
from society.courses.rules import RatedHoles
from society.entries.bridge.handicaps import (
    HandicapLine,
    engine_terms_of,
    handicap_lines,
    working_of,
)
from society.entries.models import Entry
from society.fixtures.models import Fixture
from society.fixtures.queries import rules_of, the_round
from society.handicaps.rules.season import brief
from society.web.refusals import Missing


@dataclass(frozen=True, slots=True)
class PlaysOffShown:
    """One player: the working, or a sentence on what is lacking. `tee`: its name and par.

    `taken`: the handicap is taken; else it is what it would be today. `others`: how many more
    competitions there are, each with terms of its own.
    """

    entry: Entry
    working: Working | None
    lacks: str
    tee: str
    par: int
    taken: bool
    competition: str
    others: int
    played_off: str


def plays_off_page(fixture: Fixture, entry_id: str) -> PlaysOffShown:
    """What an entry plays off in the first competition of a fixture.

    Raises Missing if the entry is not in the field. A constant number of queries.
    """
    round_ = the_round(fixture)
    line = _line(fixture, entry_id)
    competitions = engine_terms_of(round_)
    first, terms = competitions[0]
    return PlaysOffShown(
        entry=line.entry,
        working=working_of(line, terms, tuple(RatedHoles(round_.holes).numbers)),
        lacks=line.lacks,
        tee=line.tee.name if line.tee else "",
        par=line.par,
        taken=line.frozen is not None,
        competition=first.name,
        others=len(competitions) - 1,
        played_off=brief(rules_of(fixture)),
    )


def _line(fixture: Fixture, entry_id: str) -> HandicapLine:
    for line in handicap_lines(fixture):
        if line.entry.public_id == entry_id:
            return line
    raise Missing("There is no such entry in this fixture.")
