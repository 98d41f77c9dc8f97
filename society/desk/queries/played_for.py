"""What a fixture is played for: its competitions, divisions, side contests and twos."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from scoring.results.models import SideContest
from scoring.results.queries.side import contests_of
from scoring.results.tables.side import ContestLine, contest_line
from scoring.rules.divisions import Scheme, scheme_of, scheme_sentences
from scoring.rules.strict_json import read_json
from scoring.rules.words import terms_sentences
from society.courses.rules import RatedHoles
from society.entries.models import Entry
from society.entries.queries import field, handicaps_taken
from society.entries.rules.words import OUT, QUEUING
from society.fixtures.models import Competition, Fixture
from society.fixtures.queries import competitions_of, engine_terms, the_round
from society.fixtures.rules import ENDED, FixtureState
from society.web.refusals import Missing


@dataclass(frozen=True, slots=True)
class CompetitionLine:
    """One competition and its terms in sentences."""

    competition: Competition
    sentences: Sequence[str]


@dataclass(frozen=True, slots=True)
class PlayedFor:
    """All that the page shows. `sizes`: how many stand in each division, once they do."""

    fixture: Fixture
    competitions: list[CompetitionLine]
    scheme: Scheme | None
    scheme_words: list[str]
    sizes: list[tuple[str, int]]
    contests: list[SideContest]
    entries: list[Entry]
    holes: Sequence[int]
    taken: bool
    ended: bool

    @property
    def in_twos(self) -> int:
        """How many are in the twos."""
        return sum(entry.twos for entry in self.entries)


def played_for(fixture: Fixture) -> PlayedFor:
    """Everything the page says, read once."""
    round_ = the_round(fixture)
    holes = RatedHoles(round_.holes)
    people = [row for row in field(fixture) if row.step not in (*OUT, *QUEUING)]
    counted: Counter[str] = Counter()
    for entry in people:
        counted.update(names_in(entry.divisions))
    scheme = scheme_of(fixture.divisions) if fixture.divisions else None
    return PlayedFor(
        fixture=fixture,
        competitions=competition_lines(fixture),
        scheme=scheme,
        scheme_words=scheme_sentences(scheme) if scheme else [],
        sizes=sorted(counted.items()),
        contests=contests_of(fixture),
        entries=sorted(people, key=lambda entry: entry.player.name.casefold()),
        holes=tuple(holes.numbers),
        taken=handicaps_taken(fixture),
        ended=FixtureState(fixture.state) in ENDED,
    )


def names_in(text: str) -> list[str]:
    """The divisions that an entry carries."""
    found = read_json(text)
    return [str(name) for name in found] if isinstance(found, list) else []


def competition_lines(fixture: Fixture) -> list[CompetitionLine]:
    """The competitions of a fixture with their terms in sentences, the first one first."""
    round_ = the_round(fixture)
    count = RatedHoles(round_.holes).count
    return [
        CompetitionLine(row, terms_sentences(engine_terms(row, round_.holes), holes=count))
        for row in competitions_of(fixture)
    ]


@dataclass(frozen=True, slots=True)
class Also:
    """What a member reads beside the first competition's terms."""

    competitions: list[CompetitionLine]
    divisions: list[str]
    contests: list[ContestLine]


def also_played_for(fixture: Fixture) -> Also:
    """Further competitions, divisions and side contests of a fixture."""
    several = fixture.competitions.count() > 1
    return Also(
        competitions=competition_lines(fixture)[1:] if several else [],
        divisions=scheme_sentences(scheme_of(fixture.divisions)) if fixture.divisions else [],
        contests=[contest_line(row) for row in contests_of(fixture)],
    )


def competition_of(fixture: Fixture, public_id: str) -> Competition:
    """One competition of a fixture. Raises Missing."""
    found = next((row for row in competitions_of(fixture) if row.public_id == public_id), None)
    if found is None:
        raise Missing("There is no such competition in this fixture.")
    return found


def contest_of(fixture: Fixture, public_id: str) -> SideContest:
    """One side contest of a fixture. Raises Missing."""
    found = next((row for row in contests_of(fixture) if row.public_id == public_id), None)
    if found is None:
        raise Missing("There is no such contest in this fixture.")
    return found
