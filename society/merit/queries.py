"""Reads of the order of merit: a season's table worked out from sealed results alone."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from django.db.models import QuerySet

from scoring.results.models import ResultVersion
from scoring.rules.values import Format
from society.entries.models import Entry
from society.fixtures.models import Competition, Season
from society.fixtures.queries import terms_of
from society.fixtures.rules import FixtureState
from society.merit.bridge import Standin, event_of
from society.merit.models import MeritTable
from society.merit.rules.reading import rules_from_json
from society.merit.rules.season import Row, moved, standings
from society.merit.rules.values import Event, MeritRules
from society.merit.rules.words import why

_OFF = (FixtureState.CANCELLED.value, FixtureState.VOID.value)


@dataclass(frozen=True, slots=True)
class Fixture:
    """One fixture that counts: `event` is its position among the played ones, None if none."""

    public_id: str
    name: str
    day: date
    event: int | None
    off: bool


@dataclass(frozen=True, slots=True)
class SeasonResults:
    """Every final result of a season that merit counts, in order of the day."""

    fixtures: tuple[Fixture, ...]
    events: tuple[Event, ...]
    names: Mapping[str, str]

    @property
    def cancelled(self) -> int:
        """How many fixtures that would have counted are off."""
        return sum(fixture.off for fixture in self.fixtures)


@dataclass(frozen=True, slots=True)
class MeritStanding:
    """A table as it stands, with the names behind its rows and who moved by a cancelled fixture."""

    table: MeritTable
    rules: MeritRules
    results: SeasonResults
    rows: tuple[Row, ...]
    moved: tuple[tuple[str, int | None, int | None], ...]

    @property
    def played(self) -> int:
        """How many fixtures are in it."""
        return len(self.results.events)

    def name_of(self, player: str) -> str:
        """The name behind a row."""
        return self.results.names[player]

    def why(self, row: Row) -> str:
        """What separated a row from the next one, or with whom it shares its place."""
        return why(row, self.results.names)

    def row_of(self, player: str) -> Row | None:
        """The row of a player, None if the player has no score yet."""
        return next((row for row in self.rows if row.player == player), None)


def tables_of(season: Season) -> QuerySet[MeritTable]:
    """The tables of a season, the first one first."""
    return MeritTable.objects.filter(season=season).select_related("season").order_by("number")


def the_table(season: Season) -> MeritTable | None:
    """The season's first table; None until an officer sets one up."""
    return tables_of(season).first()


def results_of(season: Season) -> SeasonResults:
    """The season's sealed results. Three queries, however many fixtures and players."""
    competitions = list(
        Competition.objects.filter(fixture__season=season, counts_for_merit=True)
        .select_related("fixture")
        .order_by("fixture__starts_on", "fixture", "number")
    )
    outputs = _standing_outputs(competitions)
    people = _people(competitions)
    fixtures: list[Fixture] = []
    events: list[Event] = []
    for competition in competitions:
        fixture = competition.fixture
        off = fixture.state in _OFF
        text = None if off else outputs.get(competition.pk)
        fixtures.append(
            Fixture(
                public_id=competition.address,
                name=competition.name,
                day=fixture.starts_on,
                event=None if text is None else len(events),
                off=off,
            )
        )
        if text is not None:
            stableford = terms_of(competition)["format"] == Format.STABLEFORD
            events.append(
                event_of(competition.address, text, people[fixture.pk], stableford=stableford)
            )
    names = {s.player: s.name for found in people.values() for s in found.values()}
    return SeasonResults(tuple(fixtures), tuple(events), names)


def _standing_outputs(competitions: Sequence[Competition]) -> dict[int, str]:
    """The outputs of the version that stands, by competition id."""
    rows = ResultVersion.objects.filter(competition__in=competitions).order_by("number")
    return dict(rows.values_list("competition_id", "outputs"))


def _people(competitions: Sequence[Competition]) -> dict[int, dict[str, Standin]]:
    """Who stands behind each key, by fixture id; a merged double counts for who stays."""
    found: dict[int, dict[str, Standin]] = {c.fixture_id: {} for c in competitions}
    rows = Entry.objects.filter(fixture__in=list(found)).values_list(
        "fixture_id",
        "key",
        "as_member",
        "player__public_id",
        "player__name",
        "player__merged_into__public_id",
        "player__merged_into__name",
    )
    for fixture_id, key, member, player, name, kept, kept_name in rows:
        found[fixture_id][key] = Standin(kept or player, kept_name or name, member)
    return found


def standing_of(table: MeritTable, results: SeasonResults | None = None) -> MeritStanding:
    """A table worked out now. Raises Refused where its rules cannot be read."""
    results = results or results_of(table.season)
    rules = rules_from_json(table.rules)
    rows = standings(results.events, rules, results.cancelled)
    changed: list[tuple[str, int | None, int | None]] = []
    if rules.best_follows and rules.best and results.cancelled:
        changed = moved(standings(results.events, rules), rows)
    return MeritStanding(table, rules, results, _by_name(rows, results), tuple(changed))


def _by_name(rows: Sequence[Row], results: SeasonResults) -> tuple[Row, ...]:
    """The rows as they stand; those who share a place, or have none and are level, by name."""
    groups = groupby(rows, key=lambda row: (row.place, row.total, bool(row.short)))
    return tuple(
        row
        for _, group in groups
        for row in sorted(group, key=lambda row: results.names[row.player])
    )
