"""Par or bogey: each hole is won, halved or lost against par; the most holes up wins.

Rules of Golf 2023, Rule 21.3b: net below par wins the hole, level halves it, above par or no
score loses it.

>>> from scoring.rules.terms import read_terms
>>> terms = read_terms({"format": "par"}, 18)
>>> [value(terms, par=4, strokes=1, gross=gross) for gross in (4, 5, 6, None)]
[1, 0, -1, -1]
>>> describe(2), describe(0), describe(-1)
('2 up', 'all square', '1 down')
"""

from scoring.rules.parameters import EDITION, PAR_HALVED, PAR_LOST, PAR_WON, in_force
from scoring.rules.values import Net, Terms

MORE_IS_BETTER = True
WORD = "holes"

_WON, _HALVED, _LOST = (
    in_force(series, EDITION.effective).value for series in (PAR_WON, PAR_HALVED, PAR_LOST)
)


def value(terms: Terms, par: int, strokes: int, gross: int | None) -> int:
    """1 for a hole won, 0 halved, -1 lost or without a score. Rule 21.3b."""
    if gross is None:
        return _LOST
    net = Net(gross - strokes)
    if net == par:
        return _HALVED
    return _WON if net < par else _LOST


def describe(total: int) -> str:
    """The total in words."""
    if total == 0:
        return "all square"
    return f"{total} up" if total > 0 else f"{-total} down"
