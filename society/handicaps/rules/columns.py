"""Which column of a list may be what, by what stands in it: a guess that somebody looks at."""

import re
from collections.abc import Sequence

_FIGURE = re.compile(r"[-+−]?[0-9]{1,2}[.,][0-9]")
_DAY = re.compile(r"[0-9]{1,4}[-/.][0-9]{1,2}[-/.][0-9]{1,4}([ T][0-9:]+)?")
_EMAIL = re.compile(r"[^@\s]+@[^@\s]+")
_SHAPES = {"email": _EMAIL, "handicap": _FIGURE, "valid_from": _DAY}


def guess(known: Sequence[str], cells: Sequence[Sequence[str]]) -> list[str]:
    """For each column what it may be, "" for no guess: its heading's meaning, else its shape.

    `known`: what the headings mean. `cells`: the cells below each heading.

    >>> guess(["name", "", ""], [["Ida Low"], ["ida@example.org"], ["12.3", "9.0"]])
    ['name', 'email', 'handicap']
    """
    found = list(known)
    for at, below in enumerate(cells):
        written = [cell.strip() for cell in below if cell.strip()]
        if found[at] or not written:
            continue
        for column, shape in _SHAPES.items():
            if column not in found and all(shape.fullmatch(cell) for cell in written):
                found[at] = column
                break
    return found
