"""Medal (stroke play): every stroke counts, the handicap comes off the total, fewest wins.

Rules of Golf 2023, Rule 3.3: the gross scores of all holes are added; a hole without a score
leaves no total, so the card is no return.

>>> from scoring.rules.terms import read_terms
>>> terms = read_terms({"format": "medal"}, 18)
>>> value(terms, par=4, strokes=1, gross=6), value(terms, par=4, strokes=1, gross=None)
(6, None)
"""

from scoring.rules.values import Terms

MORE_IS_BETTER = False
WORD = "strokes"


def value(terms: Terms, par: int, strokes: int, gross: int | None) -> int | None:
    """The gross score; None where there is none. Rule 3.3."""
    return gross


def describe(total: int) -> str:
    """The total in words."""
    return str(total)
