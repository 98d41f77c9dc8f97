"""Reading what people write on a card, without guessing and without losing a word of it.

A figure is one or two plain digits; a dash (in boxes also the tick) is no score. Anything else is
refused where it stands with a sentence that names the hole, and so is a hole of which nothing is
said: seventeen figures are no card, whichever way they are written. Above 15 we ask once, since 16
is more often a slip of the finger than a score (common practice, no source).

>>> read_boxes(["5", "-", ""], (1, 2, 3), none=frozenset({3})).strokes
(5, None, None)
>>> read_boxes(["5", "-", ""], (1, 2, 3)).problems
((3, 'Hole 3 has no figure. Write the strokes, or a dash for no score.'),)
>>> read_boxes(["5", "0", "16"], (1, 2, 3)).problems
((2, 'Hole 2: nobody takes 0 strokes. Write a dash for no score.'),)
>>> read_boxes(["5", "4", "16"], (1, 2, 3)).asks
((3, 16),)
>>> read_boxes(["5", "4", "16"], (1, 2, 3), right=frozenset({3})).strokes
(5, 4, 16)
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

ASK_ABOVE = 15
MOST = 99
DASHES = frozenset("-\u2013\u2014\u2212")  # hyphen, en dash, em dash, minus
_FIGURE = re.compile(r"[0-9]{1,2}", re.ASCII)
_DIGITS = re.compile(r"[0-9]+", re.ASCII)
_BETWEEN = re.compile(r"[ \t,;]+")
_LONGEST = 400


@dataclass(frozen=True, slots=True)
class Read:
    """What was read. `strokes` is empty if anything is wrong or still to be asked.

    `problems`: hole number and sentence; hole 0 is the whole card. `asks`: hole and the high
    score to be confirmed.
    """

    strokes: tuple[int | None, ...]
    problems: tuple[tuple[int, str], ...] = ()
    asks: tuple[tuple[int, int], ...] = ()

    @property
    def good(self) -> bool:
        """Whether the figures can be taken."""
        return not self.problems and not self.asks


def read_boxes(
    texts: Sequence[str],
    holes: Sequence[int],
    *,
    none: frozenset[int] = frozenset(),
    right: frozenset[int] = frozenset(),
) -> Read:
    """The card from one text a hole. `none`: holes ticked "no score"; `right`: high scores meant.

    `holes` are the numbers of the holes in play, in order.
    """
    if not none and all(not text.strip() for text in texts):
        return Read((), ((0, "Nothing is written on this card yet."),))
    problems: list[tuple[int, str]] = []
    strokes: list[int | None] = []
    for hole, text in zip(holes, texts, strict=True):
        found = None if hole in none and not text.strip() else _figure(hole, text.strip())
        if isinstance(found, int) and hole in none:
            found = f"Hole {hole} has a figure and the tick for no score. Take one of them away."
        if isinstance(found, str):
            problems.append((hole, found))
            found = None
        strokes.append(found)
    return _read(strokes, holes, problems, right)


def read_line(text: str, holes: Sequence[int], *, right: frozenset[int] = frozenset()) -> Read:
    """The card from one line such as `5 4 6 - 3`: figures and dashes parted by spaces or commas.

    >>> read_line("5, 4 -", (10, 11, 12)).strokes
    (5, 4, None)
    >>> read_line("5 4", (1, 2, 3)).problems
    ((3, 'Hole 3 has no figure: 3 are needed, 2 were written. Write a dash for no score.'),)
    """
    words = [word for word in _BETWEEN.split(text.strip()[:_LONGEST]) if word]
    if not words:
        return Read((), ((0, "Write the figures of the card in one line, a dash for no score."),))
    if len(words) == 1 and len(holes) > 1 and len(words[0]) > 2:
        return Read((), ((holes[0], "Put a space between the figures: 5 4 6 - 3."),))
    problems: list[tuple[int, str]] = []
    strokes: list[int | None] = []
    for hole, word in zip(holes, words, strict=False):
        found = _figure(hole, word)
        if isinstance(found, str):
            problems.append((hole, found))
            found = None
        strokes.append(found)
    needed, written = len(holes), len(words)
    if written < needed:
        problems.append(
            (
                holes[written],
                f"Hole {holes[written]} has no figure: {needed} are needed, {written} were "
                "written. Write a dash for no score.",
            )
        )
    elif written > needed:
        problems.append(
            (0, f"There are {written} figures for {needed} holes. Take {written - needed} away.")
        )
    return _read(strokes, holes, problems, right)


def read_values(
    values: object, holes: Sequence[int], *, right: frozenset[int] = frozenset()
) -> Read:
    """The card from parsed JSON: whole numbers 1 to 99, and null or "-" for no score.

    >>> read_values([5, None, "-"], (1, 2, 3)).strokes
    (5, None, None)
    >>> read_values([5, True], (1, 2)).problems
    ((2, 'Hole 2: write a whole number from 1 to 99, or a dash for no score.'),)
    """
    if not isinstance(values, list):
        return Read((), ((0, "The strokes are a list with one figure for each hole."),))
    if len(values) != len(holes):
        if len(values) < len(holes):
            hole = holes[len(values)]
            return Read((), ((hole, f"Hole {hole} has no figure: {len(holes)} are needed."),))
        return Read((), ((0, f"There are {len(values)} figures for {len(holes)} holes."),))
    problems: list[tuple[int, str]] = []
    strokes: list[int | None] = []
    for hole, value in zip(holes, values, strict=True):
        if type(value) is int and 1 <= value <= MOST:
            strokes.append(value)
            continue
        strokes.append(None)
        if value is not None and not (isinstance(value, str) and value in DASHES):
            problems.append(
                (hole, f"Hole {hole}: write a whole number from 1 to 99, or a dash for no score.")
            )
    return _read(strokes, holes, problems, right)


def _read(
    strokes: Sequence[int | None],
    holes: Sequence[int],
    problems: Iterable[tuple[int, str]],
    right: frozenset[int],
) -> Read:
    wrong = tuple(problems)
    asks = tuple(
        (hole, gross)
        for hole, gross in zip(holes, strokes, strict=False)
        if gross is not None and gross > ASK_ABOVE and hole not in right
    )
    return Read(() if wrong or asks else tuple(strokes), wrong, asks)


def _figure(hole: int, text: str) -> int | str | None:
    """The strokes, None for no score, or the sentence that refuses the text."""
    if text == "":
        return f"Hole {hole} has no figure. Write the strokes, or a dash for no score."
    if text in DASHES:
        return None
    if _FIGURE.fullmatch(text):
        if int(text) == 0:
            return f"Hole {hole}: nobody takes 0 strokes. Write a dash for no score."
        return int(text)
    if _DIGITS.fullmatch(text):
        return f"Hole {hole}: {text[:6]} is more than we can take; 99 is the most."
    return f"Hole {hole}: {_quoted(text)} is no score. Write a figure, or a dash for no score."


def _quoted(text: str) -> str:
    shown = "".join(sign if sign.isprintable() else "?" for sign in text[:12])
    return f"“{shown}{'…' if len(text) > 12 else ''}”"


def as_line(strokes: Sequence[int | None]) -> str:
    """The card in one line, as a scorer types it.

    >>> as_line((5, None, 4))
    '5 - 4'
    """
    return " ".join("-" if gross is None else str(gross) for gross in strokes)
