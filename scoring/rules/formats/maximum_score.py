"""Maximum score: as in a medal, but no hole counts more than its maximum; fewest wins.

Rules of Golf 2023, Rule 21.2: the committee sets the maximum (a number, so much over par, a
multiple of par, or net double bogey); a hole without a score counts the maximum. That net
double bogey goes by the strokes of the Playing Handicap is common practice, no source.

>>> from scoring.rules.terms import read_terms
>>> terms = read_terms({"format": "maximum_score"}, 18)
>>> value(terms, par=4, strokes=1, gross=9), value(terms, par=4, strokes=1, gross=None)
(7, 7)
"""

from scoring.rules.formats.medal import describe
from scoring.rules.parameters import EDITION, OVER_PAR_OF_NET_DOUBLE_BOGEY, in_force
from scoring.rules.values import MaximumKind, Terms

__all__ = ["MORE_IS_BETTER", "WORD", "describe", "maximum", "value"]

MORE_IS_BETTER = False
WORD = "strokes"

_OVER_PAR = in_force(OVER_PAR_OF_NET_DOUBLE_BOGEY, EDITION.effective).value


def maximum(terms: Terms, par: int, strokes: int) -> int:
    """The most a hole counts for a player who receives these strokes there. Rule 21.2."""
    rule = terms.maximum_hole_score
    if rule is None:
        raise ValueError("maximum score wants a maximum for each hole")
    if rule.kind is MaximumKind.NET_DOUBLE_BOGEY:
        return par + _OVER_PAR + strokes
    if rule.kind is MaximumKind.OVER_PAR:
        return par + rule.number
    if rule.kind is MaximumKind.FIXED:
        return rule.number
    return par * rule.number


def value(terms: Terms, par: int, strokes: int, gross: int | None) -> int:
    """The gross score, but never above the maximum; no score is the maximum. Rule 21.2."""
    most = maximum(terms, par, strokes)
    return most if gross is None or gross > most else gross
