"""A result opened again: old beside new, what was made from it and what happens to each."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from scoring.results.models import Reopening, ResultVersion
from scoring.results.queries.standings import Standing, final_version, provisional, sealed
from scoring.results.queries.versions import (
    agreed_by,
    answer_to,
    names_of_bys,
    reopened,
    reopening_of,
    version_numbered,
)
from scoring.results.rules import REASON_WORDS
from scoring.results.tables.changes import Changed, changes, notice_of
from scoring.rules.strict_json import read_json
from society.entries.models import DrawRun, DrawStep, Entry
from society.entries.rules.groups import DrawDeed
from society.fixtures.models import Competition, Fixture
from society.fixtures.queries import competitions_of, the_competition
from society.handicaps.queries.cuts import standing_of as cuts_that_stand
from society.handicaps.queries.cuts import waiting_by_event
from society.members.models import Letter
from society.members.queries import officers_to_seal
from society.members.rules import LetterKind
from society.merit.queries import made_from as merit_made_from
from society.merit.queries import standing_of, tables_of
from society.merit.rules.rows import shown
from society.merit.rules.values import Finish
from society.web.templatetags.look import count_of, day_long, names, ordinal


@dataclass(frozen=True, slots=True)
class Asked:
    """An officer's wish to open a result again, as its page tells it."""

    row: Reopening
    reason: str
    words: str
    by: str


@dataclass(frozen=True, slots=True)
class Moved:
    """One player in a season table, before and after. `better` is None where only points move."""

    table: str
    name: str
    was: str
    now: str
    better: bool | None


@dataclass(frozen=True, slots=True)
class Made:
    """Something that was made from the version that stands, and what happens to it."""

    what: str
    happens: str


@dataclass(frozen=True, slots=True)
class Compared:
    """One competition: the version that stands beside what would be sealed now."""

    competition: Competition
    version: ResultVersion
    new: Standing
    changed: Sequence[Changed]
    merit: Sequence[Moved]
    notice: str

    @property
    def old_name(self) -> str:
        """What stands over the figures of the version that stands."""
        return f"Version {self.version.number}"


@dataclass(frozen=True, slots=True)
class OpenAgain:
    """All that the page of an opened result needs. `two`: whether two officers seal."""

    asked: Asked | None
    is_open: bool
    two: bool
    agreed: Sequence[str]
    compared: Sequence[Compared]
    made: Sequence[Made]


def open_again(fixture: Fixture) -> OpenAgain:
    """How a final result that was, or may be, opened again stands."""
    row = reopening_of(fixture)
    is_open = reopened(fixture)
    waiting = row is not None and answer_to(row) is None
    asked = _asked(row) if row is not None and (waiting or is_open) else None
    two = officers_to_seal() > 1
    return OpenAgain(
        asked=asked,
        is_open=is_open,
        two=two,
        agreed=agreed_by(fixture) if two and is_open else (),
        compared=_compared(fixture, asked) if is_open else (),
        made=made_from(fixture) if is_open else (),
    )


def _asked(row: Reopening) -> Asked:
    return Asked(row, REASON_WORDS[row.reason_class], row.reason, names_of_bys([row.by])[0])


def _compared(fixture: Fixture, asked: Asked | None) -> list[Compared]:
    found = []
    for competition in competitions_of(fixture):
        version = final_version(competition)
        if version is None:
            continue
        old, new = sealed(version, competition), provisional(competition)
        changed = changes(old, new)
        found.append(
            Compared(
                competition=competition,
                version=version,
                new=new,
                changed=changed,
                merit=_merit(competition, new) if changed else (),
                notice=notice_of(
                    name=competition.name,
                    day=day_long(fixture.starts_on, "year"),
                    version=version.number + 1,
                    reason=asked.reason if asked else "",
                    words=asked.words if asked else "",
                    changed=changed,
                ),
            )
        )
    return found


def version_compared(
    competition: Competition, number: int
) -> tuple[Standing, list[Changed]] | None:
    """A version as it was sealed, and what it changed against the one before; None if none is."""
    version = version_numbered(competition, number)
    if version is None:
        return None
    shown_, before = sealed(version, competition), version_numbered(competition, number - 1)
    return shown_, changes(sealed(before, competition), shown_) if before else []


def notice_of_version(now: Standing, changed: Sequence[Changed]) -> str:
    """The draft for the notice board, for a version that took the place of another."""
    version = now.version
    if version is None or version.number == 1:
        return ""
    return notice_of(
        name=now.competition.name,
        day=day_long(now.round.day, "year"),
        version=version.number,
        reason=REASON_WORDS.get(version.reason_class, ""),
        words=version.reason,
        changed=changed,
    )


# the season tables -----------------------------------------------------------------------------


def _merit(competition: Competition, new: Standing) -> list[Moved]:
    """Everyone whose place or points move in a season table when the new result is sealed."""
    if not competition.counts_for_merit:
        return []
    found = []
    for table in tables_of(competition.fixture.season):
        before = standing_of(table)
        events = list(before.results.events)
        keys = (competition.public_id, competition.fixture.public_id)
        at = next((n for n, event in enumerate(events) if event.key in keys), None)
        if at is None:
            continue
        people = _people(competition)
        had = {finish.player: finish for finish in events[at].finishes}
        events[at] = replace(events[at], finishes=_finishes(new, people, had))
        known = {player: name for player, name, _ in people.values()}
        results = replace(
            before.results, events=tuple(events), names={**known, **before.results.names}
        )
        after = standing_of(table, results)
        was = {row.player: row for row in before.rows}
        now = {row.player: row for row in after.rows}
        for player in {**now, **was}:
            old, fresh = was.get(player), now.get(player)
            said = [(r.place, r.total) if r else None for r in (old, fresh)]
            if said[0] != said[1]:
                found.append(
                    Moved(
                        table=table.name,
                        name=results.names[player],
                        was=_place_words(said[0]),
                        now=_place_words(said[1]),
                        better=_better(said[0], said[1]),
                    )
                )
    return found


def _finishes(
    new: Standing, people: Mapping[str, tuple[str, str, bool]], had: Mapping[str, Finish]
) -> tuple[Finish, ...]:
    made = []
    for row in new.answer["standings"]:
        if row["player"] not in people:
            continue
        player, _, member = people[row["player"]]
        before = had.get(player) or Finish(player=player, member=member, place=1, total=0)
        made.append(replace(before, place=row["place"], total=row["total"]))
    return tuple(made)


def _people(competition: Competition) -> dict[str, tuple[str, str, bool]]:
    """Key → player (who stays, of a merged double), name, whether as a member."""
    rows = Entry.objects.filter(fixture=competition.fixture_id).select_related(
        "player__merged_into"
    )
    found = {}
    for entry in rows:
        player = entry.player.merged_into or entry.player
        found[entry.key] = (player.public_id, player.name, entry.as_member)
    return found


def _place_words(said: tuple[int | None, object] | None) -> str:
    if said is None:
        return "not in it"
    place, total = said
    points = f"{shown(total)} points"  # type: ignore[arg-type]  # a Fraction, as the row has it
    return f"{ordinal(place)}, {points}" if place else points


def _better(
    was: tuple[int | None, object] | None, now: tuple[int | None, object] | None
) -> bool | None:
    before, after = was[0] if was else None, now[0] if now else None
    if before == after:
        return None
    return after is not None and (before is None or after < before)


# what was made from it ---------------------------------------------------------------------------


def made_from(fixture: Fixture) -> list[Made]:
    """What the version that stands went into, and what happens to each when n+1 is sealed."""
    made = []
    if any(competition.counts_for_merit for competition in competitions_of(fixture)):
        tables = [table.name for table in tables_of(fixture.season)]
        if tables:
            what = f"{'Season tables' if len(tables) > 1 else 'Season table'}: {names(tables)}"
            made.append(Made(what, "Counted again from the new version as soon as it is sealed."))
    sealed_seasons = {
        season.pk: season
        for competition in competitions_of(fixture)
        for season in merit_made_from(competition)
    }
    for season in sealed_seasons.values():
        happens = "Stays as it is, and says what it was made from, until it is sealed again."
        made.append(Made(f"The sealed season: {season}", happens))
    for other in _drawn_by_standing(fixture):
        made.append(Made(f"The draw of {other.name}", "Stands: a published draw is kept."))
    made += _cuts_made(fixture)
    about = f"fixture:{fixture.public_id}"
    told = Letter.objects.filter(about=about, kind=LetterKind.RESULT.value).count()
    if told:
        what = f"{count_of(told, 'letter,letters')} with the result"
        happens = "Whoever gains or loses is written to again; the others are not."
        made.append(Made(what, happens))
    return made


def _cuts_made(fixture: Fixture) -> list[Made]:
    """The cuts that were confirmed from it, and those that wait for an answer."""
    event = the_competition(fixture).public_id
    standing, waiting = len(cuts_that_stand(event)), waiting_by_event([event]).get(event, 0)
    made = []
    if standing:
        happens = "Each that the new version gives otherwise comes back as a proposal."
        made.append(Made(f"{count_of(standing, 'confirmed cut,confirmed cuts')}", happens))
    if waiting:
        falls = "Falls" if waiting == 1 else "Fall"
        happens = f"{falls} away; the new version proposes afresh."
        made.append(Made(f"{count_of(waiting, 'cut,cuts')} nobody has answered", happens))
    return made


def _drawn_by_standing(fixture: Fixture) -> list[Fixture]:
    """Other fixtures of the season whose published draw went by the table, leaders last."""
    published = DrawStep.objects.filter(kind=DrawDeed.PUBLISHED.value).values_list(
        "run_id", flat=True
    )
    runs = (
        DrawRun.objects.filter(pk__in=list(published), round__fixture__season=fixture.season_id)
        .exclude(round__fixture=fixture)
        .select_related("round__fixture")
        .order_by("pk")
    )
    found: dict[int, Fixture] = {}
    for run in runs:
        inputs = read_json(run.inputs)
        later = run.round.fixture.starts_on >= fixture.starts_on
        if later and isinstance(inputs, dict) and inputs.get("standing"):
            found[run.round.fixture_id] = run.round.fixture
    return list(found.values())
