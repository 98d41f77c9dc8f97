"""From sealed results, entries and members to what the rules of merit work on."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction
from functools import lru_cache

from scoring.results.models import ResultVersion, SideWinner
from scoring.results.rules import ContestKind
from scoring.rules.strict_json import read_json
from scoring.rules.values import Format
from society.entries.models import Entry
from society.fixtures.models import Competition, Season
from society.fixtures.queries import terms_of
from society.fixtures.rules import FixtureState
from society.members.queries import subscriptions
from society.merit.rules.values import Decision, Event, Facts, Finish, MeritRules, Person, Unpaid

_OFF = (FixtureState.CANCELLED.value, FixtureState.VOID.value)


@dataclass(frozen=True, slots=True)
class Standin:
    """Who stands behind an entry key in one fixture: the player, and whether as a member."""

    player: str
    name: str
    member: bool
    divisions: tuple[str, ...] = ()
    joined_on: date | None = None


@dataclass(frozen=True, slots=True)
class Won:
    """Side contests that an entry won."""

    pins: int = 0
    drives: int = 0


@dataclass(frozen=True, slots=True)
class Source:
    """The sealed version that a result is read from."""

    pk: int
    public_id: str
    number: int
    digest: str


@dataclass(frozen=True, slots=True)
class Fixture:
    """One competition that counts: `event` is its position among the played ones, None if none.

    `public_id` and `address` are what its result page is called by, `key` the competition's own.
    `reopened`: it is sealed, and being looked at again.
    """

    public_id: str
    name: str
    day: date
    event: int | None
    off: bool
    key: str = ""
    address: str = ""
    stableford: bool = True
    reopened: bool = False
    left_out: bool = False  # of a sealed season, since it was not finished
    source: Source | None = None


@dataclass(frozen=True, slots=True)
class SeasonResults:
    """Every final result of a season that merit counts, in order of the day."""

    fixtures: tuple[Fixture, ...]
    events: tuple[Event, ...]
    names: Mapping[str, str]
    joined: Mapping[str, date] = field(default_factory=dict)

    @property
    def cancelled(self) -> int:
        """How many fixtures that would have counted are off."""
        return sum(fixture.off for fixture in self.fixtures)

    def without(self, keys: Sequence[str]) -> "SeasonResults":
        """The same without some competitions."""
        if not keys:
            return self
        fixtures: list[Fixture] = []
        events: list[Event] = []
        for fixture in self.fixtures:
            if fixture.key in keys:
                continue
            if fixture.event is not None:
                events.append(self.events[fixture.event])
                fixture = replace(fixture, event=len(events) - 1)
            fixtures.append(fixture)
        return replace(self, fixtures=tuple(fixtures), events=tuple(events))


@lru_cache(maxsize=64)
def sealed_places(outputs: str) -> tuple[tuple[str, int, int], ...]:
    """Key, place and total of everyone with a place in a sealed answer.

    Kept by the text itself: a sealed version never changes, and reading it is the dear part.
    """
    answer = read_json(outputs)
    if not isinstance(answer, dict):
        raise TypeError("the outputs of a seal are an object")
    return tuple((row["player"], row["place"], row["total"]) for row in answer["standings"])


def event_of(
    key: str,
    outputs: str,
    people: Mapping[str, Standin],
    *,
    stableford: bool,
    day: date = date.min,
    won: Mapping[str, Won] | None = None,
) -> Event:
    """One final result as an event of the season; keys nobody stands behind are left out."""
    contests = won or {}
    return Event(
        key=key,
        finishes=tuple(
            Finish(
                player=people[entry].player,
                member=people[entry].member,
                place=place,
                total=total,
                pins=contests.get(entry, Won()).pins,
                drives=contests.get(entry, Won()).drives,
                divisions=people[entry].divisions,
            )
            for entry, place, total in sealed_places(outputs)
            if entry in people
        ),
        stableford=stableford,
        day=day,
    )


def results_of(season: Season, *, contests: bool = False) -> SeasonResults:
    """The season's sealed results: three queries, however many fixtures and players.

    `contests`: the winners of side contests too, with one query more.
    """
    competitions = list(
        Competition.objects.filter(fixture__season=season, counts_for_merit=True)
        .select_related("fixture")
        .order_by("fixture__starts_on", "fixture", "number")
    )
    versions = _standing_versions(competitions)
    people = _people(competitions)
    won = _won(competitions) if contests else {}
    fixtures: list[Fixture] = []
    events: list[Event] = []
    for competition in competitions:
        fixture = competition.fixture
        off = fixture.state in _OFF
        version = None if off else versions.get(competition.pk)
        stableford = terms_of(competition)["format"] == Format.STABLEFORD
        fixtures.append(
            Fixture(
                public_id=competition.address,
                name=competition.name,
                day=fixture.starts_on,
                event=None if version is None else len(events),
                off=off,
                key=competition.public_id,
                address=competition.address,
                stableford=stableford,
                reopened=version is not None and fixture.state != FixtureState.FINAL.value,
                source=version and version[0],
            )
        )
        if version is not None:
            events.append(
                event_of(
                    competition.public_id,
                    version[1],
                    people[fixture.pk],
                    stableford=stableford,
                    day=fixture.starts_on,
                    won=won.pop(fixture.pk, None),  # once a fixture, whatever it competes for
                )
            )
    found = [standin for by_key in people.values() for standin in by_key.values()]
    return SeasonResults(
        tuple(fixtures),
        tuple(events),
        {standin.player: standin.name for standin in found},
        {standin.player: standin.joined_on for standin in found if standin.joined_on},
    )


def _standing_versions(competitions: Sequence[Competition]) -> dict[int, tuple[Source, str]]:
    """The version that stands and its outputs, by competition id."""
    rows = ResultVersion.objects.filter(competition__in=competitions).order_by("number")
    found = rows.values_list("competition_id", "pk", "public_id", "number", "digest", "outputs")
    return {
        competition: (Source(pk, public_id, number, digest), outputs)
        for competition, pk, public_id, number, digest, outputs in found
    }


def _people(competitions: Sequence[Competition]) -> dict[int, dict[str, Standin]]:
    """Who stands behind each key, by fixture id; a merged double counts for who stays."""
    found: dict[int, dict[str, Standin]] = {c.fixture_id: {} for c in competitions}
    rows = Entry.objects.filter(fixture__in=list(found)).values_list(
        "fixture_id",
        "key",
        "as_member",
        "divisions",
        "player__public_id",
        "player__name",
        "player__joined_on",
        "player__merged_into__public_id",
        "player__merged_into__name",
        "player__merged_into__joined_on",
    )
    for fixture_id, key, member, divisions, player, name, joined, kept, kept_name, kept_on in rows:
        listed = read_json(divisions) if divisions != "[]" else []
        names = tuple(listed) if isinstance(listed, list) else ()
        found[fixture_id][key] = (
            Standin(kept, kept_name, member, names, kept_on)
            if kept
            else Standin(player, name, member, names, joined)
        )
    return found


def _won(competitions: Sequence[Competition]) -> dict[int, dict[str, Won]]:
    """Side contests won, by fixture id and entry key; the latest word on each contest stands."""
    rows = (
        SideWinner.objects.filter(contest__round__fixture__in=[c.fixture_id for c in competitions])
        .order_by("number")
        .values_list("contest__round__fixture_id", "contest_id", "contest__kind", "entry__key")
    )
    latest = {contest: (fixture, kind, key) for fixture, contest, kind, key in rows}
    found: dict[int, dict[str, Won]] = {}
    for fixture, kind, key in latest.values():
        if key is not None:
            by_key = found.setdefault(fixture, {})
            had = by_key.get(key, Won())
            by_key[key] = (
                replace(had, pins=had.pins + 1)
                if kind == ContestKind.PIN
                else replace(had, drives=had.drives + 1)
            )
    return found


def facts_of(
    season: Season,
    rules: MeritRules,
    results: SeasonResults,
    decisions: Sequence[Decision] = (),
    given: Mapping[str, Fraction] | None = None,
) -> Facts:
    """What the rules ask besides the results; one query more where they ask about payment."""
    paid = subscriptions(season.public_id) if rules.unpaid is not Unpaid.COUNT else {}
    days = {player: said.counts_from for player, said in paid.items()}
    players = {*results.joined, *days}
    return Facts(
        cancelled=results.cancelled,
        starts_on=season.starts_on,
        days=tuple(fixture.day for fixture in results.fixtures if not fixture.off),
        people={player: Person(results.joined.get(player), days.get(player)) for player in players},
        decisions=tuple(decisions),
        given=given or {},
    )
