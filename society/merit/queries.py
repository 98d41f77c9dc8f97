"""Reads of the order of merit: a season's table worked out from sealed results alone."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction
from itertools import groupby

from django.db.models import Exists, OuterRef, QuerySet

from scoring.rules.strict_json import Refused, canonical, read_json
from society.audit.models import AuditLine
from society.audit.rules import FIRST
from society.fixtures.models import Competition, Season
from society.members.queries import names_of
from society.merit.bridge import Fixture, SeasonResults, facts_of, results_of, sealed_places
from society.merit.models import (
    MeritAgreed,
    MeritDecision,
    MeritGiven,
    MeritTable,
    MeritVersion,
)
from society.merit.rules.needs import Needs, Next, needs
from society.merit.rules.reading import rules_from_json
from society.merit.rules.rows import Row
from society.merit.rules.sealing import (
    Origin,
    Sealed,
    answer_to,
    document_of,
    seal_digest,
    sealed_from,
)
from society.merit.rules.season import moved, race, standings
from society.merit.rules.values import DECIDED, Decision, Facts, MeritRules, SeasonTie
from society.merit.rules.words import minus, why


@dataclass(frozen=True, slots=True)
class MeritStanding:
    """A table as it stands, with the names behind its rows and who moved by a cancelled fixture."""

    table: MeritTable
    rules: MeritRules
    results: SeasonResults
    facts: Facts
    rows: tuple[Row, ...]
    moved: tuple[tuple[str, int | None, int | None], ...]
    every_fixture: tuple[Fixture, ...] = ()  # those this table leaves out too

    @property
    def played(self) -> int:
        """How many fixtures are in it."""
        return len(self.results.events)

    @property
    def to_come(self) -> list[Fixture]:
        """Those that count and have no final result yet, in order."""
        return [f for f in self.results.fixtures if f.event is None and not f.off]

    @property
    def unfinished(self) -> list[Fixture]:
        """Those to come, and those whose result is being looked at again."""
        fixtures = self.results.fixtures
        return [f for f in fixtures if not f.off and (f.event is None or f.reopened)]

    def name_of(self, player: str) -> str:
        """The name behind a row."""
        return self.results.names.get(player, "someone")

    def why(self, row: Row) -> str:
        """What separated a row from the next one, or with whom it shares its place."""
        return why(row, self.results.names)

    def row_of(self, player: str) -> Row | None:
        """The row of a player, None if the player has no score yet."""
        return next((row for row in self.rows if row.player == player), None)

    def places(self) -> dict[str, tuple[int | None, ...]]:
        """The place of each player after each fixture."""
        return race(self.results.events, self.rules, facts=self.facts)

    def needs_of(self, player: str) -> tuple[Fixture, Needs] | None:
        """The next fixture and what the player needs there; None where nothing can be said."""
        if not self.to_come:
            return None
        upcoming = self.to_come[0]
        field = sum(row.member for row in self.rows)
        found = needs(
            self.results.events,
            self.rules,
            player,
            Next(upcoming.key, upcoming.stableford, upcoming.day, field),
            self.facts,
        )
        return (upcoming, found) if found else None

    def level_groups(self) -> list[tuple[str, ...]]:
        """Those who share a place although the rules know a lot or a decision for it."""
        if not any(tie in DECIDED for tie in self.rules.season_ties):
            return []
        found = [
            (row.player, *row.level_with)
            for row in self.rows
            if row.level_with and row.player == min((row.player, *row.level_with))
        ]
        return [tuple(sorted(group, key=self.name_of)) for group in found]


def tables_of(season: Season) -> QuerySet[MeritTable]:
    """The tables of a season, the first one first."""
    return MeritTable.objects.filter(season=season).select_related("season").order_by("number")


def the_table(season: Season) -> MeritTable | None:
    """The season's first table; None until an officer sets one up."""
    return tables_of(season).first()


def decisions_of(table: MeritTable) -> list[Decision]:
    """What lots and the committee said of those level, the latest last. One query."""
    rows = MeritDecision.objects.filter(table=table).order_by("pk").values_list("way", "players")
    return [Decision(SeasonTie(way), tuple(_ids(players))) for way, players in rows]


def given_in(table: MeritTable) -> dict[str, Fraction]:
    """Public id of a player → what the committee gave or took in all. One query."""
    found: dict[str, Fraction] = {}
    rows = MeritGiven.objects.filter(table=table).order_by("pk")
    for player, points in rows.values_list("player__public_id", "points"):
        found[player] = found.get(player, Fraction(0)) + Fraction(points)
    return {player: points for player, points in found.items() if points}


@dataclass(frozen=True, slots=True)
class Given:
    """Points that the committee gave or took, as the line of the player shows them."""

    points: Fraction
    why: str
    at: datetime
    by: str

    @property
    def words(self) -> str:
        """2 points, or −1 point."""
        return minus(self.points)


def given_to(table: MeritTable, player: str, until: datetime | None = None) -> list[Given]:
    """What one player was given or lost by hand, the first first; `until`: by that moment."""
    rows = MeritGiven.objects.filter(table=table, player__public_id=player).order_by("pk")
    listed = list((rows.filter(at__lte=until) if until else rows).select_related("words"))
    names = names_of([row.by for row in listed])
    return [Given(Fraction(row.points), row.reason, row.at, names[row.by]) for row in listed]


def _ids(text: str) -> list[str]:
    found = read_json(text)
    if not isinstance(found, list):
        raise TypeError("the players of a decision are a list")
    return found


def standing_of(table: MeritTable, results: SeasonResults | None = None) -> MeritStanding:
    """A table worked out now. Raises Refused where its rules cannot be read."""
    return standing_by(table, rules_from_json(table.rules), results)


def standing_by(
    table: MeritTable, rules: MeritRules, results: SeasonResults | None = None
) -> MeritStanding:
    """A table worked out now by these rules, whatever its own say; nothing is kept.

    A constant number of queries: three for the results, and one each where the rules ask about
    side contests, payment, or lots and decisions.
    """
    contests = bool(rules.bonus_pin or rules.bonus_drive)
    everything = results or results_of(table.season, contests=contests)
    counted = everything.without(rules.left_out)
    decided = any(tie in DECIDED for tie in rules.season_ties)
    facts = facts_of(
        table.season, rules, counted, decisions_of(table) if decided else (), given_in(table)
    )
    rows = standings(counted.events, rules, facts=facts)
    changed: list[tuple[str, int | None, int | None]] = []
    if rules.best_follows and rules.best and counted.cancelled:
        whole_number = standings(counted.events, rules, facts=_none_lost(facts))
        changed = moved(whole_number, rows)
    in_order = _by_name(rows, counted)
    return MeritStanding(
        table, rules, counted, facts, in_order, tuple(changed), everything.fixtures
    )


def _none_lost(facts: Facts) -> Facts:
    return replace(facts, cancelled=0)


def _by_name(rows: Sequence[Row], results: SeasonResults) -> tuple[Row, ...]:
    """The rows as they stand; those who share a place, or have none and are level, by name."""
    groups = groupby(rows, key=lambda row: (row.place, row.total, bool(row.short)))
    return tuple(
        row
        for _, group in groups
        for row in sorted(group, key=lambda row: results.names[row.player])
    )


# sealed seasons ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class MadeFrom:
    """One result that a sealed season was made from. `now`: the version that stands today."""

    fixture: Fixture
    number: int
    now: int
    reopened: bool


@dataclass(frozen=True, slots=True)
class SealedSeason:
    """A version of a table with what it was made from, and whether that still stands."""

    version: MeritVersion
    standing: MeritStanding
    made_from: tuple[MadeFrom, ...]
    left_out: tuple[Fixture, ...]
    by: str
    differs: bool  # the table worked out now has other places or totals

    @property
    def superseded(self) -> list[MadeFrom]:
        """The results that are no longer what the season was made from."""
        return [made for made in self.made_from if made.now != made.number or made.reopened]


def version_of(table: MeritTable, number: int | None = None) -> MeritVersion | None:
    """The version that stands, or the one of that number."""
    rows = MeritVersion.objects.filter(table=table).select_related("words")
    rows = rows.filter(number=number) if number else rows
    return rows.order_by("-number").first()


def versions_of(table: MeritTable) -> list[MeritVersion]:
    """Every version of a table, the latest first."""
    return list(
        MeritVersion.objects.filter(table=table).select_related("words").order_by("-number")
    )


@dataclass(frozen=True, slots=True)
class NextSeal:
    """What would be sealed now: canonical JSON in and out, the version's number, the digest."""

    number: int
    inputs: str
    outputs: str
    digest: str


def next_seal(standing: MeritStanding, last: MeritVersion | None) -> NextSeal:
    """The season as it would be sealed now, as the version after `last`."""
    sealed = Sealed(
        standing.rules,
        standing.results.events,
        tuple(
            Origin(fixture.source.public_id, fixture.source.number, fixture.source.digest)
            for fixture in standing.results.fixtures
            if fixture.event is not None and fixture.source is not None
        ),
        standing.facts,
        tuple(sorted(f.key for f in standing.unfinished if f.event is None)),
    )
    number = last.number + 1 if last else 1
    inputs, outputs = canonical(document_of(sealed)), canonical(answer_to(sealed.rows()))
    digest = seal_digest(
        table=standing.table.public_id, number=number, inputs=inputs, outputs=outputs
    )
    return NextSeal(number, inputs, outputs, digest)


def agreements(table: MeritTable, digest: str) -> list[MeritAgreed]:
    """Who agreed to seal a season exactly as it is under this digest, the first one first."""
    return list(MeritAgreed.objects.filter(table=table, digest=digest).order_by("pk"))


def agreed_by(standing: MeritStanding, last: MeritVersion | None) -> list[str]:
    """The names of those who agreed to seal the season exactly as it stands now."""
    if not standing.rows or not MeritAgreed.objects.filter(table=standing.table).exists():
        return []
    rows = agreements(standing.table, next_seal(standing, last).digest)
    names = names_of([row.by for row in rows])
    return [names[row.by] for row in rows]


def made_from(competition: Competition) -> list[MeritVersion]:
    """The sealed seasons that stand today and were made from a result of this competition.

    Whoever reopens that result lists them: each stays as it is, says from which version it was
    made, and is sealed again by its own deed. One query.
    """
    later = MeritVersion.objects.filter(table=OuterRef("table"), number__gt=OuterRef("number"))
    return list(
        MeritVersion.objects.filter(sources__result__competition=competition)
        .exclude(Exists(later))
        .select_related("table__season")
        .order_by("table__season__starts_on", "table__number")
        .distinct()
    )


def sealed_season(version: MeritVersion, live: MeritStanding) -> SealedSeason:
    """A version laid out beside the table as it is worked out now; one query for who sealed it."""
    sealed = sealed_from(read_json(version.inputs))
    at = {event.key: number for number, event in enumerate(sealed.events)}
    numbers = {e.key: o.number for e, o in zip(sealed.events, sealed.origins, strict=True)}
    everything = live.every_fixture or live.results.fixtures
    shown = tuple(
        replace(
            fixture,
            event=at.get(fixture.key),
            off=fixture.off and fixture.key not in at,
            left_out=fixture.key in sealed.left_out,
        )
        for fixture in everything
        if fixture.key in at or fixture.key in sealed.left_out or fixture.off
    )
    rows = sealed.rows()
    names = {row.player: live.results.names.get(row.player, "someone") for row in rows}
    results = SeasonResults(shown, sealed.events, {**live.results.names, **names})
    standing = MeritStanding(
        live.table, sealed.rules, results, sealed.facts, _by_name(rows, results), ()
    )
    return SealedSeason(
        version=version,
        standing=standing,
        made_from=tuple(
            MadeFrom(
                fixture,
                numbers[fixture.key],
                fixture.source.number if fixture.source else numbers[fixture.key],
                fixture.reopened,
            )
            for fixture in everything
            if fixture.key in numbers
        ),
        left_out=tuple(f for f in everything if f.key in sealed.left_out),
        by=_sealed_by(version),
        differs=_said(rows) != _said(live.rows),
    )


def _sealed_by(version: MeritVersion) -> str:
    """Who sealed a version, beside those who had agreed to it."""
    bys = [row.by for row in agreements(version.table, version.digest)] + [version.by]
    names = names_of(bys)
    return " and ".join(dict.fromkeys(names[by] for by in bys if names.get(by)))


def as_shown(table: MeritTable) -> tuple[MeritStanding, MeritVersion | None]:
    """The table as it is sealed, with its version, or as it stands now."""
    live, version = standing_of(table), version_of(table)
    return (sealed_season(version, live).standing if version else live), version


def _said(rows: Sequence[Row]) -> dict[str, tuple[int | None, object]]:
    return {row.player: (row.place, row.total) for row in rows}


def verify_seasons() -> Iterator[str]:
    """A sentence for each sealed season that no longer holds; nothing where all do.

    The digest, the chain's line it names, the results it names and the whole table are worked
    out again.
    """
    numbers: dict[int, int] = {}
    rows = MeritVersion.objects.select_related("table__season").order_by("table", "number")
    for version in rows:
        name = f"{version.table} of {version.table.season}, version {version.number}"
        expected = numbers.get(version.table_id, 0) + 1
        if version.number != expected:
            yield f"{name}: version {expected} is missing."
        numbers[version.table_id] = version.number
        for words in _breaks(version):
            yield f"{name}: {words}"


def _breaks(version: MeritVersion) -> Iterator[str]:
    digest = seal_digest(
        table=version.table.public_id,
        number=version.number,
        inputs=version.inputs,
        outputs=version.outputs,
    )
    if digest != version.digest:
        yield "what was sealed does not give its fingerprint."
    head = version.audit_head
    if head != FIRST and not AuditLine.objects.filter(digest=head).exists():
        yield "the audit line it names is not in the chain."
    try:
        sealed = sealed_from(read_json(version.inputs))
    except Refused as broken:
        yield f"cannot be read again ({broken})."
        return
    if canonical(answer_to(sealed.rows())) != version.outputs:
        yield "the table worked out again is not the sealed one."
    yield from _breaks_in_sources(version, sealed)


def _breaks_in_sources(version: MeritVersion, sealed: Sealed) -> Iterator[str]:
    """Whether it still says what the results it names say."""
    sources = version.sources.values_list("result__public_id", "result__digest", "result__outputs")
    found = {public_id: (digest, outputs) for public_id, digest, outputs in sources}
    if set(found) != {origin.result for origin in sealed.origins}:
        yield "the results it is made from are not those it names."
    for event, origin in zip(sealed.events, sealed.origins, strict=True):
        digest, outputs = found.get(origin.result, ("", ""))
        if not outputs:
            continue
        if digest != origin.digest:
            yield f"result {origin.result} has another fingerprint than it names."
        places = Counter((place, total) for _, place, total in sealed_places(outputs))
        if Counter((f.place, f.total) for f in event.finishes) - places:
            yield f"a place in it is not in result {origin.result}."
