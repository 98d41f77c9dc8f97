"""The season page: the next fixture and what the reader must do, the list, what stands above."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.urls import reverse

from scoring.results.queries.newcomers import newcomers_in_all
from society.audit.models import AuditLine
from society.courses.models import Course
from society.desk.queries.mine import Mine, day_of, own_in, own_in_full, own_players, until
from society.desk.queries.results import SEALED_STATES, Placed, final_places
from society.entries.queries import Places, places_by_fixture
from society.entries.rules.words import Step
from society.fixtures.models import Competition, Fixture, Round, Season
from society.fixtures.queries import engine_terms, first_at_hand, seasons, withdrawing_words
from society.fixtures.rules import (
    ENDED,
    FORMAT_NAMES,
    STATE_WORDS,
    FixtureState,
    Window,
    window,
)
from society.handicaps.rules.newcomers import Newcomers
from society.members.models import Player
from society.merit.queries import as_shown, the_table
from society.merit.rules.rows import shown
from society.web.templatetags.look import (
    day_short,
    in_words,
    month_short,
    names,
    ordinal,
    plural,
)
from society.web.who import Who

HONOURS = 3
MOVES = ("fixture changed", "fixture moved")  # deeds that may have moved the day


@dataclass(frozen=True, slots=True)
class FinalLine:
    """What a final fixture says in the list: the winner's figure and words, and the reader's."""

    won: str
    won_words: str
    mine: str = ""
    mine_words: str = ""


@dataclass(frozen=True, slots=True)
class Honour:
    """One line on the board: place, name, value, and how a tie fell."""

    place: int
    name: str
    value: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class LatestResult:
    """The latest final result of a season, for the board."""

    fixture: Fixture
    honours: Sequence[Honour]


@dataclass(frozen=True, slots=True)
class OwnScore:
    """One score of the reader's season: the month it was made in, the figure, dropped or not."""

    month: str
    value: str
    dropped: bool = False


@dataclass(frozen=True, slots=True)
class OwnStanding:
    """Where the reader stands in the season's order of merit."""

    url: str
    place: int
    of: int
    words: str
    scores: Sequence[OwnScore] = ()

    @property
    def dropped(self) -> bool:
        """Whether one of the scores is struck out."""
        return any(score.dropped for score in self.scores)


@dataclass(frozen=True, slots=True)
class Line:
    """One fixture of the list. `margin`: is-final, is-act, is-pencil or empty."""

    fixture: Fixture
    course: str
    margin: str
    won: tuple[str, str] | None
    mine: tuple[str, str] | None
    state: str
    tag: str
    moved: str = ""


@dataclass(frozen=True, slots=True)
class Next:
    """The next fixture, and how the reader's own players stand in it."""

    fixture: Fixture
    round: Round
    course: Course
    competition: Competition
    format: str
    number: int
    of: int
    places: Places
    window: Window
    until: str
    mine: Sequence[Mine]
    today: bool

    @property
    def withdrawing(self) -> list[str]:
        """Until when one withdraws freely, to be read before entering."""
        return withdrawing_words(self.fixture)

    @property
    def to_enter(self) -> list[Mine]:
        """Own players who may enter now and have not."""
        if self.window is not Window.OPEN:
            return []
        return [mine for mine in self.mine if mine.standing == "out"]

    @property
    def standing(self) -> list[Mine]:
        """Own players who are in or wait."""
        return [mine for mine in self.mine if mine.standing != "out"]


@dataclass(frozen=True, slots=True)
class FirstStep:
    """One thing a new society does first."""

    title: str
    words: str
    route: str
    done: bool
    arg: str = ""


def latest_result(season: Season, who: Who) -> LatestResult | None:
    """The latest final result, for the board; None until there is one."""
    final = season.fixtures.filter(
        state__in=SEALED_STATES, competitions__versions__isnull=False
    ).distinct()
    fixture = final.order_by("-starts_on", "-pk").first()
    rows = final_places([fixture]).get(fixture.pk, []) if fixture else []
    if fixture is None or not rows:
        return None
    placed = [row for row in rows if row.place is not None]
    told = placed[:HONOURS] + [row for row in placed[HONOURS:] if row.player in who.players]
    return LatestResult(fixture, [_honour(row, below, who) for row, below in _with_next(told)])


def _with_next(rows: Sequence[Placed]) -> list[tuple[Placed, Placed | None]]:
    return list(zip(rows, [*rows[1:], None], strict=True)) if rows else []


def _honour(row: Placed, below: Placed | None, who: Who) -> Honour:
    """A tie is told under the upper row of the two, and where a place is shared."""
    told = row.tied or (below is not None and below.total == row.total)
    name = "You" if row.player in who.players and len(who.players) == 1 else row.name
    return Honour(row.place or 0, name, row.total, row.settled if told else "")


def own_standing(season: Season, who: Who) -> OwnStanding | None:
    """Where the reader stands in the order of merit; None without a table or a score.

    Of several own players the best placed one is told.
    """
    table = the_table(season) if who.players else None
    if table is None:
        return None
    standing, _ = as_shown(table)
    own = [row for row in standing.rows if row.player in who.players and row.place]
    if not own:
        return None
    row = own[0]
    lead = next(other for other in standing.rows if other.place)
    words = f"{standing.name_of(row.player)}: " if len(who.players) > 1 else ""
    words += f"{shown(row.total)} points"
    if row.behind:
        words += f", {shown(row.behind)} behind {standing.name_of(lead.player)}"
    played = [fixture for fixture in standing.results.fixtures if fixture.event is not None]
    return OwnStanding(
        url=reverse("merit:line", args=[table.public_id, row.player]),
        place=row.place or 0,
        of=sum(other.place is not None for other in standing.rows),
        words=f"{words}.",
        scores=[
            OwnScore(month_short(fixture.day), shown(cell.points), not cell.counts)
            for fixture, cell in zip(played, row.cells, strict=True)
            if cell is not None
        ],
    )


def final_lines(fixtures: Sequence[Fixture], who: Who) -> dict[int, FinalLine]:
    """What each final fixture says in the list, by fixture id."""
    new = newcomers_in_all(fixtures)
    return {
        pk: _final_line(rows, who, new[pk]) for pk, rows in final_places(fixtures).items() if rows
    }


def _final_line(rows: Sequence[Placed], who: Who, new: Newcomers) -> FinalLine:
    may = [row for row in rows if row.place is not None and row.player not in new.played]
    winners = [row for row in may if row.place == may[0].place]
    if not winners:
        placed = any(row.place is not None for row in rows)
        return FinalLine("–", "nobody may win yet" if placed else "nobody has a place")
    won = f"{names([row.name for row in winners[:2]])} won"
    if len(winners) > 2:
        won = f"{winners[0].name} and {len(winners) - 1} more won"
    own = [row for row in rows if row.player in who.players]
    if not own:
        return FinalLine(winners[0].total, won)
    best = own[0]
    whose = "You" if len(who.players) == 1 else best.name.split(" ")[0]
    place = f"{'joint ' if best.tied else ''}{ordinal(best.place)}" if best.place else best.status
    return FinalLine(
        winners[0].total,
        won,
        best.total or "–",
        f"{whose}, {place}" if best.place else f"{whose}: {place.lower()}",
    )


def fixtures_of(season: Season) -> list[Fixture]:
    """The season's fixtures by day, with round, course and competition at hand."""
    found = list(
        season.fixtures.order_by("starts_on", "pk").prefetch_related(
            "rounds__course", "competitions"
        )
    )
    for fixture in found:
        fixture.season = season
    return found


def summary_of(fixtures: Sequence[Fixture]) -> str:
    """How many fixtures on how many courses: "Nine fixtures on three courses."."""
    courses = {round_.course_id for fixture in fixtures for round_ in fixture.rounds.all()}
    many, on = len(fixtures), len(courses)
    said = f"{in_words(many)} {plural(many, 'fixture,fixtures')}"
    return f"{said} on {in_words(on)} {plural(on, 'course,courses')}.".capitalize()


def seasons_to_copy(season: Season) -> list[Season]:
    """The other seasons that have fixtures, the one just before this first."""
    others = seasons().exclude(pk=season.pk).filter(fixtures__isnull=False).distinct()
    return sorted(others, key=lambda one: abs((season.starts_on - one.ends_on).days))


def next_of(fixtures: Sequence[Fixture], who: Who, at: datetime) -> Next | None:
    """The first fixture that is not over and lies ahead, or lay behind and still waits."""
    today = day_of(at)
    running = [f for f in fixtures if FixtureState(f.state) not in ENDED and f.ends_on >= today]
    if not running:
        return None
    fixture = running[0]
    round_, competition = first_at_hand(fixture)
    closes = fixture.entries_close_at
    return Next(
        fixture=fixture,
        round=round_,
        course=round_.course,
        competition=competition,
        format=FORMAT_NAMES[engine_terms(competition, round_.holes).format],
        number=list(fixtures).index(fixture) + 1,
        of=len(fixtures),
        places=places_by_fixture([fixture])[fixture.pk],
        window=window_of(fixture, at),
        until=until(closes, at) if closes else "",
        mine=own_in_full(fixture, own_players(who)),
        today=fixture.starts_on <= today,
    )


def window_of(fixture: Fixture, at: datetime) -> Window:
    """Whether members may enter this fixture at a moment."""
    return window(
        FixtureState(fixture.state), fixture.entries_open_at, fixture.entries_close_at, at
    )


def lines_of(fixtures: Sequence[Fixture], who: Who, at: datetime) -> list[Line]:
    """The season's list as this reader sees it. A constant number of queries."""
    players = own_players(who)
    places = places_by_fixture(list(fixtures))
    mine = own_in(fixtures, players)
    finals = final_lines([f for f in fixtures if f.state in SEALED_STATES], who)
    moved = moved_from([f for f in fixtures if FixtureState(f.state) not in ENDED])
    return [
        replace(
            _line(fixture, places[fixture.pk], mine[fixture.pk], finals.get(fixture.pk), at),
            moved=f"moved from {day_short(moved[fixture.pk])}" if fixture.pk in moved else "",
        )
        for fixture in fixtures
    ]


@dataclass(frozen=True, slots=True)
class PublicLine:
    """One fixture for a reader who is not signed in: nothing of who plays in it."""

    fixture: Fixture
    course: str
    state: str
    is_final: bool


def public_lines(fixtures: Sequence[Fixture]) -> list[PublicLine]:
    """The season's list for everybody. Planned days are part of it: they are in the calendar."""
    return [
        PublicLine(
            fixture,
            ", ".join(round_.course.name for round_ in fixture.rounds.all()),
            _PUBLIC_STATES.get(FixtureState(fixture.state), ""),
            fixture.state == FixtureState.FINAL.value,
        )
        for fixture in fixtures
    ]


_PUBLIC_STATES = {
    FixtureState.FINAL: "Final",
    FixtureState.CANCELLED: "Cancelled",
    FixtureState.VOID: "Void",
}


def moved_from(fixtures: Sequence[Fixture]) -> dict[int, date]:
    """The day each fixture stood on before, for those that moved after entries opened. One query.

    A planned day that moves was nobody's day yet.
    """
    named = {f"fixture:{fixture.public_id}": fixture for fixture in fixtures}
    found: dict[int, date] = {}
    for line in AuditLine.objects.filter(about__in=named, deed__in=MOVES).order_by("number"):
        for change in json.loads(line.changes):
            old = change.get("old")
            if line.words_id and isinstance(old, dict) and "day" in old:
                found.setdefault(named[line.about].pk, date.fromisoformat(old["day"]))
    days = {fixture.pk: fixture.starts_on for fixture in fixtures}
    return {pk: day for pk, day in found.items() if day != days[pk]}


def _line(
    fixture: Fixture,
    places: Places,
    mine: Sequence[Mine],
    final: FinalLine | None,
    at: datetime,
) -> Line:
    state = FixtureState(fixture.state)
    course = ", ".join(round_.course.name for round_ in fixture.rounds.all())
    if state in ENDED or final:
        won = (final.won, final.won_words) if final else None
        own = (final.mine, final.mine_words) if final and final.mine_words else None
        margin = "is-final" if final or state is FixtureState.FINAL else "is-pencil"
        return Line(fixture, course, margin, won, own, STATE_WORDS[state], "")
    may_enter = window_of(fixture, at) is Window.OPEN
    missing = [one for one in mine if one.standing == "out"]
    taken = (str(places.taken), f"of {places.limit} places taken" if places.limit else "in")
    own = _mine_words(mine)
    if may_enter and missing:
        closes = fixture.entries_close_at
        tag = f"Enter by {_short(closes)}" if closes else "Enter"
        return Line(fixture, course, "is-act", taken, own, tag, "act")
    if state is FixtureState.PLANNED:
        inside = own if len(missing) < len(mine) else None
        return Line(fixture, course, "is-pencil", None, inside, STATE_WORDS[state], "pencil")
    return Line(fixture, course, "", taken, own, STATE_WORDS[state], "ink")


def _short(moment: datetime) -> str:
    """Sun 4: the day alone, as a tag has room for."""
    return day_short(moment).rsplit(" ", 1)[0]


def _mine_words(mine: Sequence[Mine]) -> tuple[str, str] | None:
    if not mine:
        return None
    if len(mine) == 1:
        words = {"in": "You are in", "waiting": "You wait for a place", "out": "You, not in"}
        offered = mine[0].entry is not None and mine[0].entry.step == Step.OFFERED
        said = "A place is offered to you" if offered else words[mine[0].standing]
        return ("–" if mine[0].standing == "out" else "✓", said)
    told = [f"{one.player.first_name} {_SHORT[one.standing]}" for one in mine]
    return ("–" if all(one.standing == "out" for one in mine) else "✓", ", ".join(told))


_SHORT = {"in": "in", "waiting": "waits", "out": "not in"}


def first_steps() -> list[FirstStep]:
    """What a new society does first, in order, and what of it is done."""
    season = seasons().first()
    return [
        FirstStep(
            "Add a course",
            "Par, stroke index and, if there is one, the rating of each tee.",
            "courses:new",
            Course.objects.exists(),
        ),
        FirstStep(
            "Add the players",
            "From a file or one by one; nobody needs an account to play.",
            "desk:players",
            Player.objects.filter(merged_into__isnull=True).exists(),
        ),
        FirstStep(
            "Start a season",
            "Its days, and which handicap its fixtures take.",
            "fixtures:season_new",
            season is not None,
        ),
        FirstStep(
            "Plan a fixture",
            "The day, the course and the terms; then open entries.",
            "fixtures:fixture_new" if season else "fixtures:season_new",
            Fixture.objects.exists(),
            season.public_id if season else "",
        ),
    ]
