"""The card of one player as a table: par, shots and what each score is worth, hole by hole.

The worth of a score is the engine's own (RULES: the formats); here it is only looked up and
added, as the page's script does with the table it is given.

>>> from scoring.rules.terms import read_terms
>>> from scoring.rules.values import Tee
>>> tee = Tee("white", (4,) * 9, tuple(range(1, 10)), None, None, 36)
>>> stableford, medal = (read_terms({"format": name}, 9) for name in ("stableford", "medal"))
>>> table = CardTable(stableford, tee, 9, (1,) * 9, tuple(range(1, 10)))
>>> table.values((5, None) + (4,) * 7)[:3], table.total((5, None) + (4,) * 7)
((2, 0, 3), 23)
>>> strokes = CardTable(medal, tee, 9, (1,) * 9, tuple(range(1, 10)))
>>> strokes.total((5,) * 9), strokes.total((5,) * 8 + (None,))
(36, None)
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from scoring.rules.games import GAMES
from scoring.rules.hole_table import pick_up, value_table
from scoring.rules.values import STROKE_TOTALS, Format, Gross, Handicap, Tee, Terms
from scoring.rules.working import Step, Working, working

TOP = 19  # further than anybody writes without being asked

_WORDS = {
    Format.STABLEFORD: "Points",
    Format.MODIFIED_STABLEFORD: "Points",
    Format.PAR: "Holes",
    Format.MAXIMUM_SCORE: "Counts",
}


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole as the page shows it; `worth` maps "1" … "19" and "-" to its value."""

    number: int
    par: int
    stroke_index: int
    shots: int
    worth: dict[str, int | None]
    pick_up: int | None

    @property
    def two_points(self) -> int | None:
        """The score worth two, where points are counted up from nothing for no score."""
        if self.worth["-"] != 0:
            return None
        found = [int(score) for score, value in self.worth.items() if value == 2]
        return max(found, default=None)


@dataclass(frozen=True, slots=True)
class Brought:
    """The handicap taken for a card, None for none, with its source and its day as it is known.

    `before`: how it came about, where it is not one line of the record as it stands.
    """

    handicap: Handicap | None
    source: str = ""
    since: date | None = None
    before: tuple[Step, ...] = ()


@dataclass(frozen=True, slots=True)
class CardTable:
    """What a player plays off and the holes in play. `strokes` are received on each hole.

    `brought` and `extra` (strokes of Rule 6.2b) are what the playing handicap came from.
    """

    terms: Terms
    tee: Tee
    playing: int
    strokes: tuple[int, ...]
    numbers: tuple[int, ...]
    brought: Brought = Brought(None)
    extra: int = 0

    def working(self, card: Sequence[int | None] | None = None) -> Working:
        """How the figures come about, with those of a card if there is one."""
        written = tuple(None if one is None else Gross(one) for one in card or ())
        return working(
            self.terms,
            self.tee,
            self.brought.handicap,
            extra=self.extra,
            card=written or None,
            numbers=self.numbers,
            source=self.brought.source,
            since=self.brought.since,
            before=self.brought.before,
        )

    @property
    def counts_strokes(self) -> bool:
        """Whether the total is strokes, with the handicap taken off at the end."""
        return self.terms.format in STROKE_TOTALS

    @property
    def needs_every_hole(self) -> bool:
        """Whether one hole without a score leaves the card without a total (a medal)."""
        return self.terms.format is Format.MEDAL

    @property
    def value_words(self) -> str:
        """The heading over the values, empty where the value is the score itself."""
        return _WORDS.get(self.terms.format, "")

    @property
    def total_words(self) -> str:
        """What the total is called."""
        if self.counts_strokes:
            return "net" if self.terms.net else "strokes"
        return GAMES[self.terms.format].WORD

    @property
    def begins_at(self) -> int:
        """Where the running total starts: the handicap comes off a total of strokes."""
        return -self.playing if self.counts_strokes else 0

    @property
    def holes(self) -> tuple[Hole, ...]:
        """Every hole with its table of score → value."""
        return tuple(
            Hole(
                number=number,
                par=par,
                stroke_index=index,
                shots=shots,
                worth=value_table(self.terms, par=par, strokes=shots, top=TOP),
                pick_up=pick_up(self.terms, par, shots),
            )
            for number, par, index, shots in zip(
                self.numbers, self.tee.par, self.tee.stroke_index, self.strokes, strict=True
            )
        )

    def values(self, strokes: Sequence[int | None]) -> tuple[int | None, ...]:
        """The value of each hole of a card; None where a hole has none."""
        value = GAMES[self.terms.format].value
        return tuple(
            value(self.terms, par, shots, gross)
            for par, shots, gross in zip(self.tee.par, self.strokes, strokes, strict=True)
        )

    def total(self, strokes: Sequence[int | None]) -> int | None:
        """The total of a card; None where a hole leaves it without one."""
        values = self.values(strokes)
        if None in values:
            return None
        return self.begins_at + sum(value for value in values if value is not None)

    def said(self, strokes: Sequence[int | None] | None) -> str:
        """The total in words: "34 points", "net 71", "no total yet"."""
        total = None if strokes is None else self.total(strokes)
        if total is None:
            return "no total"
        words = GAMES[self.terms.format].describe(total)
        return f"net {words}" if self.counts_strokes and self.terms.net else words


def gross(strokes: Sequence[int | None]) -> int:
    """The strokes written down, holes without a score left out."""
    return sum(written for written in strokes if written is not None)
