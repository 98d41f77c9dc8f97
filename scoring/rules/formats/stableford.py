"""Stableford: points for each hole, and the most points win.

Rules of Golf 2023, Rule 21.1b: net level with par earns 2, one over 1, each stroke under one
more; two over or worse, or no score, nothing. The printed table ends at six points; common
practice lets the sum go on.

>>> from scoring.rules.terms import read_terms
>>> terms = read_terms({"format": "stableford"}, 18)
>>> value(terms, par=4, strokes=1, gross=5), value(terms, par=4, strokes=0, gross=None)
(2, 0)
>>> describe(36)
'36 points'
"""

from scoring.rules.parameters import EDITION, POINTS_AT_TARGET, in_force
from scoring.rules.values import Net, Points, Terms

MORE_IS_BETTER = True
WORD = "points"

_AT_TARGET = in_force(POINTS_AT_TARGET, EDITION.effective).value


def value(terms: Terms, par: int, strokes: int, gross: int | None) -> Points:
    """Points for one hole; `gross` is None for a hole without a score. Rule 21.1b."""
    if gross is None:
        return Points(0)
    net = Net(gross - strokes)
    return Points(max(0, _AT_TARGET + par - net))


def describe(total: int) -> str:
    """The total in words."""
    return f"{total} point" if abs(total) == 1 else f"{total} points"
