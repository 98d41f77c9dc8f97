"""What the start sheet and the scorecards of a fixture say."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any, cast

from scoring.rules.handicap import round_half_up
from scoring.rules.values import Format, HandicapKind, MaximumKind, Terms
from society.courses.rules import RatedHoles
from society.desk.queries.draw_words import hole_words
from society.desk.queries.handicaps import figure
from society.entries.bridge import Draw, HandicapLine, handicap_lines, the_draw
from society.entries.models import Entry
from society.entries.queries import starts_of
from society.entries.rules.groups import markers, reprints
from society.entries.rules.words import FrozenReason, listed
from society.fixtures.models import Fixture, Round
from society.fixtures.queries import (
    competitions_of,
    engine_terms,
    terms_sentences_of,
    the_competition,
    the_round,
)
from society.handicaps.rules import written


@dataclass(frozen=True, slots=True)
class CardPaper:
    """One player's card. Empty texts are lines to be written on by hand.

    `hole`: where play starts, as "10" or "7A"; empty where all start on one.

    `holes`, `lines`, `heading` and `sums` are texts with a tab for each 10 mm: a line for each hole
    of both nines side by side.
    """

    entry: Entry
    tee: str
    time: time | None
    group: int | None
    hole: str
    index: str
    course: str
    plays_off: str
    marker: str
    marks: str
    digits: str
    value: str
    heading: str
    holes: str
    lines: str
    sums: str
    nine_holes: bool
    notes: tuple[str, ...]
    totals: tuple[str, ...]

    @property
    def places(self) -> list[tuple[int, str]]:
        """The headings of the columns to write in, by their number from the left."""
        three = ("Player", self.value, "Marker")
        return list(enumerate(three if self.nine_holes else three * 2, 1))


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One player of the start sheet."""

    name: str
    plays_off: str
    tee: str
    marks: str
    note: str
    digits: str


@dataclass(frozen=True, slots=True)
class SheetGroup:
    """One group of the start sheet; without a draw all players stand in one without a number."""

    number: int | None
    time: time | None
    hole: str
    rows: tuple[SheetRow, ...]


@dataclass(frozen=True, slots=True)
class About:
    """What every paper of a fixture says at its head."""

    competition: str
    course: str
    tees: str
    day: date
    terms: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StartSheet:
    """The whole start sheet. `size`: "", "tight" or "tighter", so that it stays one page."""

    about: About
    groups: tuple[SheetGroup, ...]
    players: int
    several_tees: bool
    draw: Draw | None
    size: str

    @property
    def numbered(self) -> int:
        """How many groups were drawn."""
        return sum(group.number is not None for group in self.groups)

    @property
    def notes(self) -> bool:
        """Whether anybody has a note."""
        return any(row.note for group in self.groups for row in group.rows)


def about_fixture(fixture: Fixture, lines: Iterable[HandicapLine]) -> About:
    """Name, course, tees in use and terms."""
    competition, round_ = the_competition(fixture), the_round(fixture)
    tees = sorted({line.tee.name for line in lines if line.tee is not None})
    return About(
        competition=competition.name,
        course=round_.course.name,
        tees=f"{listed(tees)} {'tee' if len(tees) == 1 else 'tees'}" if tees else "",
        day=round_.day,
        terms=(*terms_sentences_of(competition), *_also(fixture)),
    )


def _also(fixture: Fixture) -> list[str]:
    """What else the same cards count for; the strokes on paper are those of the first."""
    names = [row.name for row in competitions_of(fixture)]
    if len(names) < 2:
        return []
    return [f"The same cards count for {listed(names[1:])}; shots are those of {names[0]}."]


# start sheet -------------------------------------------------------------------------------


_LONG_NAME = 28  # letters; beyond that a name wraps in its column


def start_sheet(fixture: Fixture) -> StartSheet:
    """Groups with times, or everyone by name where there is no draw."""
    lines = handicap_lines(fixture)
    round_ = the_round(fixture)
    draw = the_draw(round_)
    digits = {start.entry_id: start.digits for start in starts_of(round_).values()}
    by_key = {line.entry.key: line for line in lines}
    several = len({line.tee.pk for line in lines if line.tee is not None}) > 1
    groups: list[SheetGroup] = []
    drawn: set[str] = set()
    for number, group in enumerate(draw.groups if draw else (), 1):
        present = [by_key[key] for key in group if key in by_key]
        drawn |= {line.entry.key for line in present}
        if present:
            marks = _marks(draw)
            rows = tuple(_sheet_row(line, marks, by_key, digits) for line in present)
            at = draw.time_of_group(number) if draw else None
            groups.append(SheetGroup(number, at, hole_words(draw, number), rows))
    rest = sorted((line for line in lines if line.entry.key not in drawn), key=_name)
    if rest:
        rows = tuple(_sheet_row(line, {}, by_key, digits) for line in rest)
        groups.append(SheetGroup(None, None, "", rows))
    return StartSheet(
        about=about_fixture(fixture, lines),
        groups=tuple(groups),
        players=len(lines),
        several_tees=several,
        draw=draw,
        size=_size(lines),
    )


def _size(lines: list[HandicapLine]) -> str:
    """How tightly the sheet is set. A long name and the one who marks it wrap to three lines."""
    needed = sum(3 if len(line.entry.player.name) > _LONG_NAME else 1 for line in lines)
    return "" if needed <= 30 else "tight" if needed <= 44 else "tighter"


def _sheet_row(
    line: HandicapLine,
    marks: Mapping[str, str],
    by_key: Mapping[str, HandicapLine],
    digits: Mapping[int, str],
) -> SheetRow:
    marked = marks.get(line.entry.key, "")
    host = line.entry.host
    return SheetRow(
        name=line.entry.player.name,
        plays_off=_plays_off(line),
        tee=line.tee.name if line.tee else "",
        marks=by_key[marked].entry.player.name if marked in by_key else "",
        note=f"guest of {host.first_name}" if host else "",
        digits=digits.get(line.entry.pk, ""),
    )


def _marks(draw: Draw | None) -> dict[str, str]:
    """Whose card each marks, by entry key, over all groups."""
    found: dict[str, str] = {}
    for group in draw.groups if draw else ():
        found |= {marker: player for player, marker in markers(group).items()}
    return found


def _plays_off(line: HandicapLine) -> str:
    if line.plays is None:
        return ""
    playing = line.plays.playing
    return f"+{-playing}" if playing < 0 else str(playing)


def _name(line: HandicapLine) -> str:
    return line.entry.player.name.lower()


# scorecards --------------------------------------------------------------------------------


def scorecards(fixture: Fixture, wanted: Callable[[Entry], bool]) -> list[CardPaper]:
    """The cards of those wanted, by group and place, then by name."""
    lines = handicap_lines(fixture)
    round_ = the_round(fixture)
    starts, draw = starts_of(round_), the_draw(round_)
    terms = engine_terms(the_competition(fixture), round_.holes)
    names = {start.entry_id: start.entry.player.name for start in starts.values()}
    marks = {start.marker_id: names[start.entry_id] for start in starts.values() if start.marker_id}
    several = [start.marker_id for start in starts.values() if start.marker_id]
    many = {found for found in several if several.count(found) > 1}
    cards = []
    for line in lines:
        start = starts.get(line.entry.pk)
        if not wanted(line.entry):
            continue
        marker = start.marker.player.name if start and start.marker else ""
        cards.append(
            CardPaper(
                entry=line.entry,
                tee=line.tee.name if line.tee else "",
                time=start.time if start else None,
                group=start.group if start else None,
                hole=hole_words(draw, start.group) if start and start.group else "",
                index=_index(line),
                course=_course(line),
                plays_off="" if not terms.net else _plays_off(line),
                marker=marker,
                marks="" if line.entry.pk in many else marks.get(line.entry.pk, ""),
                digits=start.digits if start else "",
                value=_VALUES[terms.scoring],
                **_table(line, round_, terms),
                notes=_notes(line, terms),
                totals=_TOTALS[terms.scoring] if terms.net else _GROSS_TOTALS[terms.scoring],
            )
        )
    place = {key: (start.group or 999, start.place or 0) for key, start in starts.items()}
    return sorted(
        cards,
        key=lambda card: (*place.get(card.entry.pk, (999, 0)), card.entry.player.name.lower()),
    )


def chosen_cards(
    fixture: Fixture, *, group: int | None = None, changed: bool = False, change: int | None = None
) -> Callable[[Entry], bool]:
    """Which cards are asked for: all, one group's, or those that no longer fit what was printed.

    `changed`: since the draw was published, a corrected handicap included. `change`: those that
    one change by hand touched.
    """
    round_ = the_round(fixture)
    draw = the_draw(round_)
    if group is not None:
        keys = set(draw.groups[group - 1]) if draw and 1 <= group <= len(draw.groups) else set()
        return lambda entry: entry.key in keys
    if change is not None:
        made = [m for m in draw.changes if m.change.number == change] if draw else []
        keys = set().union(*(reprints(m.before, m.after) for m in made))
        return lambda entry: entry.key in keys
    if changed:
        keys = _corrected(fixture, draw.published_at if draw else None)
        keys |= draw.changed_since if draw else set()
        return lambda entry: entry.key in keys
    return lambda entry: True


def _corrected(fixture: Fixture, since: datetime | None) -> set[str]:
    return {
        line.entry.key
        for line in handicap_lines(fixture)
        if line.frozen is not None
        and line.frozen.number > 1
        and (since is None or line.frozen.at > since)
    }


def _index(line: HandicapLine) -> str:
    """The index brought; another kind of figure stands on the card already."""
    is_index = line.kind is HandicapKind.INDEX and not _none_needed(line) and not line.lacks
    return figure(line.kind, line.value) if is_index else ""


def _none_needed(line: HandicapLine) -> bool:
    return line.frozen is not None and line.frozen.reason_class == FrozenReason.NONE_NEEDED.value


def _course(line: HandicapLine) -> str:
    """The course handicap as a whole number, for the player to know; the engine keeps it exact."""
    if line.plays is None or line.plays.course is None:
        return ""
    return written(Decimal(round_half_up(line.plays.course)))


_VALUES = {
    Format.STABLEFORD: "Points",
    Format.MODIFIED_STABLEFORD: "Points",
    Format.MEDAL: "Net",
    Format.PAR: "+ 0 –",
    Format.MAXIMUM_SCORE: "Counts",
}
_TOTALS = {
    Format.STABLEFORD: ("Points",),
    Format.MODIFIED_STABLEFORD: ("Points",),
    Format.MEDAL: ("Gross", "Net"),
    Format.PAR: ("Holes up",),
    Format.MAXIMUM_SCORE: ("Gross", "Net"),
}
_GROSS_TOTALS = _TOTALS | {Format.MEDAL: ("Gross",), Format.MAXIMUM_SCORE: ("Gross",)}


GAP = "\t" * 6  # from the dots of the first nine to the second nine, 60 mm further
_HEADING = "Hole\tYards\t\u2005\u2005Par\t\u2002\u2005SI\tShots"
_FIGURE, _HALF = "\u2007", "\u2005"  # as wide as a figure; about half as wide
_DOTS_LEFT = {1: _FIGURE, 2: _HALF}  # before one dot, before two: they stand in the middle


def _table(line: HandicapLine, round_: Round, terms: Terms) -> dict[str, Any]:
    """The holes of a card as texts with tabs, the nines side by side."""
    numbers = list(RatedHoles(round_.holes).numbers)
    blank: list[None] = [None] * len(numbers)
    card = line.card or {}
    pars, indexes, yards = (
        list(cast("list[int | None]", card.get(name) or blank))
        for name in ("par", "stroke_index", "yards")
    )
    shots = line.plays.strokes if line.plays and terms.net else (0,) * len(numbers)
    rows = [
        f"\t{_centred(length)}\t{_centred(par)}\t{_centred(index)}\t{_placed(given)}"
        for length, par, index, given in zip(yards, pars, indexes, shots, strict=True)
    ]
    sums = [
        f"{'Out' if numbers[at] == 1 else 'In'}\t{_sum(yards[at : at + 9])}"
        f"\t{_HALF * 2}{_sum(pars[at : at + 9])}\t"
        for at in range(0, len(numbers), 9)
    ]
    nine = len(numbers) == 9
    pairs = [rows[:9]] if nine else [rows[:9], rows[9:]]
    return {
        "heading": _HEADING if nine else _HEADING + GAP + _HEADING,
        "holes": "\n".join(_hole(hole, nine) for hole in numbers[:9]),
        "lines": "\n".join(GAP.join(row) for row in zip(*pairs, strict=True)),
        "sums": ("\t" * 7).join(sums),
        "nine_holes": nine,
    }


def _hole(hole: int, nine: bool) -> str:
    first = f"{_HALF if hole < 10 else ''}{hole}"
    return first if nine else first + "\t" * 10 + str(hole + 9)


def dots_of(shots: int) -> str:
    """A dot for each shot received, a ring for each given back; above three the figure and one."""
    sign = "●" if shots > 0 else "○"
    return sign * abs(shots) if abs(shots) < 4 else f"{abs(shots)}{sign}"


def _placed(shots: int) -> str:
    return _DOTS_LEFT.get(abs(shots), "") + dots_of(shots)


def _centred(figure: int | None) -> str:
    """A number of one to three figures in the middle of the space of three."""
    text = "" if figure is None else str(figure)
    return {1: _FIGURE, 2: _HALF}.get(len(text), "") + text


def _sum(figures: list[int | None]) -> str:
    return "" if None in figures else f"{sum(f for f in figures if f is not None):,}"


def _notes(line: HandicapLine, terms: Terms) -> tuple[str, ...]:
    said = []
    if not terms.net:
        said.append("Gross: no shots are received.")
    elif line.plays is not None and line.plays.playing < 0:
        said.append("Rings are shots you give back.")
    else:
        said.append("Dots are shots received.")
    said += _GAME_NOTES.get(terms.scoring, ())
    if terms.scoring is Format.MAXIMUM_SCORE and terms.maximum_hole_score is not None:
        said.append(_maximum(terms.maximum_hole_score.kind, terms.maximum_hole_score.number))
    return tuple(said)


_GAME_NOTES = {
    Format.STABLEFORD: ("Two points: par plus dots.", "No score: write a dash."),
    Format.MODIFIED_STABLEFORD: ("Points by the table of the day.", "No score: write a dash."),
    Format.MEDAL: ("Every hole wants a score.", "Net total: gross less what you play off."),
    Format.PAR: ("Par plus dots is a half: 0.", "Better +, worse or no score –."),
}


def _maximum(kind: MaximumKind, number: int) -> str:
    return {
        MaximumKind.NET_DOUBLE_BOGEY: "Most on a hole: par, two and dots.",
        MaximumKind.OVER_PAR: f"Most on a hole: {number} over par.",
        MaximumKind.FIXED: f"Most on a hole: {number}.",
        MaximumKind.TIMES_PAR: f"Most on a hole: {number} times par.",
    }[kind]
