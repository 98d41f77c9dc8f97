"""The sentence under a tie: which range decided, own figure first.

Event document, section 1.5. Every row that was level with another on the total gets one, also
the row that lost and the rows that share.

>>> ahead = Compared("13-18", 13, (12,), more_is_better=True)
>>> level = Compared("10-18", 19, (), more_is_better=True)
>>> decided([level, ahead], in_order_played=False)
'won on holes 13-18, 13 v 12 (level on 10-18 at 19)'
"""

from collections.abc import Iterable, Sequence

from scoring.rules.figures import figure
from scoring.rules.ties import Compared, Ranked


def settled(row: Ranked, *, in_order_played: bool) -> str:
    """The sentence for one row; empty if it was level with nobody on the total."""
    if row.level.alone_on_total:
        return ""
    if row.ordered is not None:
        return row.ordered.reason or ""
    if row.tied:
        return _shared(row.level.compared)
    return decided(row.level.compared, in_order_played=in_order_played)


def decided(compared: Sequence[Compared], *, in_order_played: bool) -> str:
    """The sentence where the last comparison separated the row from everyone."""
    *before, last = compared
    against = _and(figure(other) for other in last.others)
    words = f"{_outcome(last)} on {_name(last)}"
    if in_order_played and last.label:
        words += " in the order played"
    return f"{words}, {figure(last.own)} v {against}{_earlier(before)}"


def _shared(compared: Sequence[Compared]) -> str:
    if not compared:
        return "level on the total, and there is no countback: the place is shared"
    return f"level to the end{_earlier(compared)}: the place is shared"


def _outcome(last: Compared) -> str:
    ahead = sum((last.own > other) == last.more_is_better for other in last.others)
    if ahead == len(last.others):
        return "won"
    return "placed" if ahead else "lost"


def _name(entry: Compared) -> str:
    if not entry.label:
        return "the lower handicap"
    return f"holes {entry.label}" if "-" in entry.label else f"hole {entry.label}"


def _earlier(compared: Sequence[Compared]) -> str:
    """What came before: "(level on 10-18 at 19, 13-18 at 13; 6 v 7 on 16-18)"."""
    runs: list[str] = []
    level = False
    for entry in compared:
        label = entry.label or "handicap"
        own = figure(entry.own)
        if entry.others:
            runs.append(f"{own} v {_and(figure(other) for other in entry.others)} on {label}")
        elif level:
            runs[-1] += f", {label} at {own}"
        else:
            runs.append(f"level on {label} at {own}")
        level = not entry.others
    return f" ({'; '.join(runs)})" if runs else ""


def _and(figures: Iterable[str]) -> str:
    *most, last = figures
    return f"{', '.join(most)} and {last}" if most else last
