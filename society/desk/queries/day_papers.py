"""What the lists of the day say: by name, for the venue, for the card box, to read out."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from scoring.results.queries.side import contests_of
from scoring.results.queries.standings import Standing, standing
from scoring.results.tables.board import Board, Row, board_of
from scoring.results.tables.side import ContestLine, TwosShown, contest_line, twos_shown
from society.desk.queries.draw_words import hole_words
from society.desk.queries.papers import plays_off_words
from society.entries.bridge.draws import the_draw
from society.entries.bridge.handicaps import HandicapLine, handicap_lines
from society.entries.queries import starts_of, wishes_of
from society.entries.rules.extras import Counts, counts_of
from society.entries.rules.words import Wishes
from society.fixtures.models import Fixture
from society.fixtures.queries import competitions_of, the_round

READ_OUT = 3  # places that are read out; whoever is level with the last of them too


@dataclass(frozen=True, slots=True)
class DayRow:
    """A player of the day. `buggy`: "yes", or with whom; `meal` in the kitchen's words."""

    name: str
    group: int | None
    place: int
    time: dt.time | None
    hole: str
    tee: str
    plays_off: str
    guest: bool
    buggy: str
    meal: str


def by_name(fixture: Fixture) -> list[DayRow]:
    """Everyone in the field by the last word of their name."""
    return sorted(day_rows(fixture), key=lambda row: _surname(row.name))


def by_group(fixture: Fixture) -> list[tuple[int | None, list[DayRow]]]:
    """Everyone by group and place; those without a group last."""
    groups: dict[int | None, list[DayRow]] = {}
    rows = sorted(
        day_rows(fixture), key=lambda row: (row.group or 999, row.place, _surname(row.name))
    )
    for row in rows:
        groups.setdefault(row.group, []).append(row)
    return list(groups.items())


def day_rows(fixture: Fixture) -> list[DayRow]:
    """The field as the day's lists need it. A constant number of queries."""
    round_ = the_round(fixture)
    starts, draw, wishes = starts_of(round_), the_draw(round_), wishes_of(fixture)
    lines = handicap_lines(fixture)
    names = {line.entry.pk: line.entry.player.name for line in lines}
    found = []
    for line in lines:
        start = starts.get(line.entry.pk)
        group = start.group if start else None
        found.append(
            DayRow(
                name=line.entry.player.name,
                group=group,
                place=(start.place or 0) if start else 0,
                time=start.time if start else None,
                hole=hole_words(draw, group) if group else "",
                tee=line.tee.name if line.tee else "",
                plays_off=_off(line),
                guest=not line.entry.as_member,
                buggy=_buggy(wishes.get(line.entry.pk), names),
                meal=_meal(wishes.get(line.entry.pk)),
            )
        )
    return found


def _off(line: HandicapLine) -> str:
    return "" if line.lacks else plays_off_words(line)


def _buggy(wish: Wishes | None, names: Mapping[int, str]) -> str:
    if wish is None or not wish.buggy:
        return ""
    return ", ".join(names[other] for other in wish.buggy_with if other in names) or "yes"


def _meal(wish: Wishes | None) -> str:
    if wish is None or not wish.answered:
        return ""
    return {"yes": "meal", "": "none"}.get(wish.meal, wish.meal)


def _surname(name: str) -> tuple[str, str]:
    return name.split()[-1].casefold() if name.split() else "", name.casefold()


# the venue ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class VenueSheet:
    """What the club has to know. `diets`: how many of each, without names."""

    groups: list[tuple[int | None, list[DayRow]]]
    counts: Counts
    tees: tuple[tuple[str, int], ...]
    diets: tuple[tuple[str, int], ...]
    asked: frozenset[str]
    first: dt.time | None
    last: dt.time | None


def venue_sheet(fixture: Fixture) -> VenueSheet:
    """Heads, times, tees, buggies and meals."""
    groups = by_group(fixture)
    rows = [row for _, rows in groups for row in rows]
    times = [row.time for row in rows if row.time]
    wishes = wishes_of(fixture)
    tees: dict[str, int] = {}
    for row in rows:
        tees[row.tee] = tees.get(row.tee, 0) + 1
    diets: dict[str, int] = {}
    for wish in wishes.values():
        if wish.diet:
            diets[wish.diet] = diets.get(wish.diet, 0) + 1
    return VenueSheet(
        groups=groups,
        counts=counts_of(wishes),
        tees=tuple(sorted(pair for pair in tees.items() if pair[0])),
        diets=tuple(sorted(diets.items())),
        asked=frozenset(fixture.asks.split()),
        first=min(times, default=None),
        last=max(times, default=None),
    )


# the prize-giving --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ReadOut:
    """One list to read out, from the lowest place to the first. `sure`: sealed."""

    name: str
    rows: tuple[Row, ...]
    sure: bool
    missing: int
    total_head: str
    winner: str


@dataclass(frozen=True, slots=True)
class PrizeGiving:
    """Everything that is read out, in the order in which it is read."""

    contests: tuple[ContestLine, ...]
    twos: TwosShown | None
    lists: tuple[ReadOut, ...]


def prize_giving(fixture: Fixture) -> PrizeGiving:
    """Side contests first, then twos, divisions, and the competitions, the main one last."""
    lists: list[ReadOut] = []
    first: Standing | None = None
    for competition in reversed(competitions_of(fixture)):
        now = first = standing(competition)
        divisions = [
            _read_out(name, board_of(now, division=name), now) for name in now.answer["divisions"]
        ]
        lists += [*divisions, _read_out(competition.name, board_of(now), now)]
    return PrizeGiving(
        contests=tuple(contest_line(row) for row in contests_of(fixture)),
        twos=twos_shown(first) if first else None,
        lists=tuple(lists),
    )


def _read_out(name: str, board: Board, now: Standing) -> ReadOut:
    rows = [row for row in board.rows if row.place <= READ_OUT]
    return ReadOut(
        name=name,
        rows=tuple(reversed(rows)),
        sure=now.is_final,
        missing=now.field_size - now.cards_in,
        total_head=board.total_head,
        winner=board.winner,
    )
