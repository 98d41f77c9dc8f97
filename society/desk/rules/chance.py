"""Made-up figures for the demo: chance by digest, so that every run of a day is the same."""

import hashlib
from collections.abc import Sequence

# How often a hole ends so many strokes over its net par, in a thousand; the rest picks up.
_OVER = ((-2, 12), (-1, 175), (0, 410), (1, 278), (2, 78), (3, 25))


def chance(*words: object, below: int) -> int:
    """A whole number from 0 to `below` less one, always the same for the same words."""
    digest = hashlib.sha256("|".join(map(str, words)).encode()).digest()
    return int.from_bytes(digest[:8], "big") % below


def made_up_card(
    seed: str, pars: Sequence[int], strokes: Sequence[int], *, must_finish: bool = False
) -> list[int | None]:
    """Gross scores as an ordinary day gives them; None where the player picked up.

    `must_finish`: a medal, where every hole is played out.

    >>> made_up_card("a seed", [4, 3], [1, 0]) == made_up_card("a seed", [4, 3], [1, 0])
    True
    """
    form = chance(seed, "form", below=90) - 45  # a good day or a bad one
    card: list[int | None] = []
    for hole, (par, received) in enumerate(zip(pars, strokes, strict=True), 1):
        over = _over(chance(seed, hole, below=1000) + form)
        if over is None:
            card.append(par + received + 4 if must_finish else None)
        else:
            best = par - 2 if par == 5 else par - 1  # two under par is for the longest holes
            card.append(max(best, par + received + over))
    return card


def _over(thrown: int) -> int | None:
    for over, often in _OVER:
        if thrown < often:
            return over
        thrown -= often
    return None
