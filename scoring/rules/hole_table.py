"""What each score is worth on a hole: the table a page carries, so that no browser works out golf.

Event document, section 1.2; the values come from the format itself. Rules of Golf 2023, Rules
3.3 and 21.

>>> from scoring.rules.terms import read_terms
>>> terms = read_terms({"format": "stableford"}, 18)
>>> table = value_table(terms, par=4, strokes=1, top=7)
>>> table["4"], table["7"], table["-"], pick_up(terms, 4, 1)
(3, 0, 0, 7)
"""

from scoring.rules.games import GAMES
from scoring.rules.values import Terms

TOP = 15
NO_SCORE = "-"
_FURTHEST = 99


def value_table(terms: Terms, *, par: int, strokes: int, top: int = TOP) -> dict[str, int | None]:
    """Score ("1" to `top`, and "-" for no score) to the value the running total adds up.

    `strokes` are those received on the hole, 0 for gross. In a medal the value is the gross
    score, and no score has none (None).
    """
    value = GAMES[terms.scoring].value
    table = {str(gross): value(terms, par, strokes, gross) for gross in range(1, top + 1)}
    return {**table, NO_SCORE: value(terms, par, strokes, None)}


def pick_up(terms: Terms, par: int, strokes: int) -> int | None:
    """The first score from which nothing is better than no score; None where there is none.

    In Stableford the first score worth nothing, in par play the first that loses the hole, in
    maximum score the maximum. A medal has none: every hole is holed out (Rule 3.3c).
    """
    game = GAMES[terms.scoring]
    nothing = game.value(terms, par, strokes, None)
    if nothing is None:
        return None
    first = None
    for gross in range(_FURTHEST, 0, -1):
        worth = game.value(terms, par, strokes, gross)
        if worth is None or (worth != nothing and (worth > nothing) == game.MORE_IS_BETTER):
            break
        first = gross
    return first
