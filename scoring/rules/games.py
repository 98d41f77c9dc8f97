"""Which module scores which format: the one table a new format is entered in.

Rules of Golf 2023, Rules 3.3 and 21. Every module under `formats` offers the same: the value of
a hole, the total in words, whether more is better, and what is counted.

>>> GAMES[Format.PAR].WORD
'holes'
"""

from collections.abc import Mapping
from typing import Protocol

from scoring.rules.formats import maximum_score, medal, modified_stableford, par, stableford
from scoring.rules.values import Format, Terms


class Game(Protocol):
    """What a format module offers."""

    MORE_IS_BETTER: bool
    WORD: str

    def value(self, terms: Terms, par: int, strokes: int, gross: int | None) -> int | None:
        """The value of one hole; None leaves the card without a total."""

    def describe(self, total: int) -> str:
        """The total in words."""


GAMES: Mapping[Format, Game] = {
    Format.STABLEFORD: stableford,
    Format.MODIFIED_STABLEFORD: modified_stableford,
    Format.MEDAL: medal,
    Format.PAR: par,
    Format.MAXIMUM_SCORE: maximum_score,
}
