"""What a newcomer needs about one card of a course: shots, and what each score is worth.

The golf is the engine's: strokes by `scoring.rules.handicap`, the value of a score by
`scoring.rules.games`, where to pick up by `scoring.rules.hole_table`. Rules of Golf 2023, Rules
3.3 and 21; Rules of Handicapping 2024, Appendices C and E.

>>> from scoring.rules.terms import read_terms
>>> card = Ground(numbers=(1, 2), par=(4, 3), stroke_index=(1, 2))
>>> made = lesson(read_terms({"format": "stableford"}, 18), card, playing=3)
>>> [column.heading for column in made.columns], [str(cell) for cell in made.holes[0].cells]
(['5+', '4', '3', '2', '1', '0'], ['1–3', '4', '5', '6', '7', '8'])
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from scoring.rules.games import GAMES
from scoring.rules.handicap import strokes_received
from scoring.rules.hole_table import pick_up
from scoring.rules.parameters import EDITION, POINTS_AT_TARGET, in_force
from scoring.rules.values import Format, Terms

MOST_STROKES = 40  # beyond any score that can still change what a hole is worth


@dataclass(frozen=True, slots=True)
class Ground:
    """The holes of a card in the order played; `yards` may be empty."""

    numbers: tuple[int, ...]
    par: tuple[int, ...]
    stroke_index: tuple[int, ...]
    yards: tuple[int | None, ...] = ()


@dataclass(frozen=True, slots=True)
class Scores:
    """The gross scores of a hole that are worth the same; `last` None: and every higher one.

    Both None: no score is worth that here. `best_known`: the scores everybody looks for first.
    """

    first: int | None
    last: int | None
    best_known: bool = False

    def __str__(self) -> str:
        if self.first is None:
            return ""
        if self.last is None or self.last == self.first:
            return str(self.first)
        return f"{self.first}–{self.last}"

    @property
    def is_open(self) -> bool:
        """Whether every higher score is worth the same."""
        return self.first is not None and self.last is None


NO_SUCH_SCORE = Scores(None, None)


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the table: its heading, short and in words; `key` is what it looks up."""

    heading: str
    words: str
    key: str = ""
    best_known: bool = False


@dataclass(frozen=True, slots=True)
class LessonHole:
    """One hole for one player. `shots` below zero are given back; `target` is net par."""

    number: int
    par: int
    stroke_index: int
    yards: int | None
    shots: int
    target: int
    cells: tuple[Scores, ...]
    pick_up: int | None


@dataclass(frozen=True, slots=True)
class Lesson:
    """The whole table. `par` and `target` are those of all holes, each hole's added up."""

    format: Format
    net: bool
    playing: int
    columns: tuple[Column, ...]
    holes: tuple[LessonHole, ...]

    @property
    def par(self) -> int:
        """Par over all holes."""
        return sum(hole.par for hole in self.holes)

    @property
    def target(self) -> int:
        """Net par over all holes: par and the shots received."""
        return sum(hole.target for hole in self.holes)

    @property
    def two_each(self) -> int:
        """The points of two on each hole: 36 over eighteen."""
        return AT_PAR * len(self.holes)

    @property
    def nines(self) -> list[tuple[LessonHole, ...]]:
        """The holes nine by nine."""
        return [self.holes[at : at + 9] for at in range(0, len(self.holes), 9)]


def lesson(terms: Terms, ground: Ground, *, playing: int) -> Lesson:
    """The table of one player on one card. `playing`: what the player plays off; 0 for gross.

    The format is how a hole is scored, so the own ball of a side has its table as well.
    """
    off = playing if terms.net else 0
    columns = _columns(terms)
    yards = ground.yards or (None,) * len(ground.numbers)
    strokes = strokes_received(off, ground.stroke_index)
    holes = tuple(
        LessonHole(
            number=number,
            par=par,
            stroke_index=index,
            yards=length,
            shots=shots,
            target=par + shots,
            cells=_cells(terms, columns, par, shots),
            pick_up=pick_up(terms, par, shots),
        )
        for number, par, index, length, shots in zip(
            ground.numbers, ground.par, ground.stroke_index, yards, strokes, strict=True
        )
    )
    return Lesson(terms.scoring, terms.net, off, columns, holes)


# columns -----------------------------------------------------------------------------------

_NET_PAR = Column("Net par", "the score that is par after your shots", "target", best_known=True)
_MOST = Column("Most", "the most that counts here, and where you may pick up", "most")
_PAR_PLAY = (
    Column("Win +", "wins the hole", "1"),
    Column("Half 0", "halves the hole", "0", best_known=True),
    Column("Lose –", "loses the hole: pick up", "-1"),
)
AT_PAR = in_force(POINTS_AT_TARGET, EDITION.effective).value
MOST_NAMED = 5  # points worth a column of their own; above that all share one


_ANY_PAR = 4  # what level par earns is the same on every hole


def _columns(terms: Terms) -> tuple[Column, ...]:
    if terms.scoring is Format.STABLEFORD:
        named = [
            _points(worth, best_known=worth == AT_PAR) for worth in range(MOST_NAMED - 1, -1, -1)
        ]
        return (Column("5+", "five points or more", "5+"), *named)
    if terms.scoring is Format.MODIFIED_STABLEFORD and terms.points is not None:
        level = GAMES[terms.scoring].value(terms, _ANY_PAR, 0, _ANY_PAR)
        return tuple(
            _points(worth, best_known=worth == level)
            for worth in sorted(set(terms.points.points), reverse=True)
        )
    if terms.scoring is Format.PAR:
        return _PAR_PLAY
    return (_NET_PAR, _MOST) if terms.scoring is Format.MAXIMUM_SCORE else (_NET_PAR,)


def _points(worth: int, *, best_known: bool = False) -> Column:
    minus = "−" if worth < 0 else ""
    words = f"{minus}{abs(worth)} {'point' if abs(worth) == 1 else 'points'}"
    return Column(f"{minus}{abs(worth)}", words, str(worth), best_known=best_known)


def _cells(terms: Terms, columns: Sequence[Column], par: int, shots: int) -> tuple[Scores, ...]:
    value = GAMES[terms.scoring].value
    worth = {gross: value(terms, par, shots, gross) for gross in range(1, MOST_STROKES + 1)}
    most = pick_up(terms, par, shots)
    return tuple(
        replace(_cell(column, worth, par + shots, most), best_known=column.best_known)
        for column in columns
    )


def _cell(column: Column, worth: dict[int, int | None], target: int, most: int | None) -> Scores:
    if column.key == "target":
        return Scores(target, target) if target > 0 else NO_SUCH_SCORE
    if column.key == "most":
        return Scores(most, None)
    if column.key == "5+":
        return _span(gross for gross, it in worth.items() if it is not None and it >= MOST_NAMED)
    return _span(gross for gross, it in worth.items() if it == int(column.key))


def _span(found: Iterable[int]) -> Scores:
    listed = list(found)
    if not listed:
        return NO_SUCH_SCORE
    return Scores(listed[0], None if listed[-1] == MOST_STROKES else listed[-1])


# in words ----------------------------------------------------------------------------------

_TIMES = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}
_NTH = {2: "a second", 3: "a third", 4: "a fourth", 5: "a fifth", 6: "a sixth"}


def where_shots_fall(playing: int, holes: int) -> str:
    """In a sentence where the shots of a playing handicap fall over 18 or 9 holes.

    >>> where_shots_fall(32, 18)
    'One on every hole, and a second on the 14 hardest: stroke index 1 to 14.'
    >>> where_shots_fall(-2, 18)
    'You give one back on the 2 easiest holes: stroke index 17 and 18.'
    """
    every, further = divmod(abs(playing), holes)
    if playing == 0:
        return "None: every score counts as it is."
    if playing < 0:
        return _given_back(every, further, holes)
    parts = [f"{_times(every)} on every hole"] if every else []
    if further:
        more = _NTH.get(every + 1, "one more") if every else "one"
        parts.append(f"{more} on {_hardest(further, holes)}")
    said = ", and ".join(parts)
    return f"{said[0].upper()}{said[1:]}."


def _given_back(every: int, further: int, holes: int) -> str:
    parts = [f"{_times(every)} back on every hole"] if every else []
    if further:
        easiest = "the easiest hole" if further == 1 else f"the {further} easiest holes"
        named = _indexes(holes - further + 1, holes) if holes == 18 else ""
        more = _NTH.get(every + 1, "one more") if every else "one back"
        parts.append(f"{more} on {easiest}{named}")
    return f"You give {', and '.join(parts)}."


def _hardest(count: int, holes: int) -> str:
    if holes != 18:
        return "the hardest of the nine" if count == 1 else f"the {count} hardest of the nine"
    what = "the hardest" if count == 1 else f"the {count} hardest"
    return f"{what}{_indexes(1, count)}"


def _indexes(first: int, last: int) -> str:
    if first == last:
        return f": stroke index {first}"
    return f": stroke index {first} {'and' if last == first + 1 else 'to'} {last}"


def _times(count: int) -> str:
    return _TIMES.get(count, str(count))


# every handicap on one page ------------------------------------------------------------------


def chart(
    stroke_index: Sequence[int], handicaps: Iterable[int]
) -> list[tuple[int, tuple[int, ...]]]:
    """For each playing handicap the shots on each hole, in the order of the card."""
    return [(playing, strokes_received(playing, stroke_index)) for playing in handicaps]
