"""Modified Stableford: points by a table of the committee's own, and the most points win.

Rules of Golf 2023, Rule 21.1b lets the committee set the points. The table goes by net score
less par; beyond either end the end value holds, and no score has a value of its own. The usual
table (3 under 8, 2 under 5, 1 under 2, level 0, 1 over -1, worse or no score -3) is common
practice and stands in no rule book.

>>> from scoring.rules.terms import read_terms
>>> terms = read_terms({"format": "modified_stableford"}, 18)
>>> [value(terms, par=4, strokes=0, gross=gross) for gross in (1, 2, 3, 4, 5, 9, None)]
[8, 5, 2, 0, -1, -3, -3]
"""

from scoring.rules.formats.stableford import describe
from scoring.rules.values import Net, Points, Terms

__all__ = ["MORE_IS_BETTER", "WORD", "describe", "value"]

MORE_IS_BETTER = True
WORD = "points"


def value(terms: Terms, par: int, strokes: int, gross: int | None) -> Points:
    """Points for one hole by the table of the terms; None is no score. Rule 21.1b."""
    table = terms.points
    if table is None:
        raise ValueError("modified Stableford wants a table of points")
    if gross is None:
        return Points(table.none)
    net = Net(gross - strokes)
    step = net - par - table.low
    return Points(table.points[min(max(step, 0), len(table.points) - 1)])
