"""What has to be ordered: heads, meals, diets and buggies, counted from what was asked for."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from society.entries.rules.words import Wishes


@dataclass(frozen=True, slots=True)
class Counts:
    """`meals`: how many of each dish, the most asked for first. `buggies`: for one or two each.

    `unasked`: of the heads, those who have not answered yet and may still want something.
    """

    heads: int
    meals: tuple[tuple[str, int], ...]
    diets: int
    buggies: int
    unasked: int

    @property
    def eating(self) -> int:
        """How many eat at all."""
        return sum(number for _, number in self.meals)


def counts_of(wishes: Mapping[int, Wishes]) -> Counts:
    """The numbers a venue asks for.

    >>> counts_of({1: Wishes(meal="Soup", buggy=True, buggy_with=(2,)), 2: Wishes(buggy=True)})
    Counts(heads=2, meals=(('Soup', 1),), diets=0, buggies=1, unasked=2)
    """
    dishes = Counter(one.meal for one in wishes.values() if one.meal)
    return Counts(
        heads=len(wishes),
        meals=tuple(sorted(dishes.items(), key=lambda dish: (-dish[1], dish[0]))),
        diets=sum(bool(one.diet) for one in wishes.values()),
        buggies=len(buggies(wishes)),
        unasked=sum(not one.answered for one in wishes.values()),
    )


def buggies(wishes: Mapping[int, Wishes]) -> list[tuple[int, ...]]:
    """Who sits in which buggy: two who named each other or one the other, else one alone."""
    seated: set[int] = set()
    found: list[tuple[int, ...]] = []
    for key in _closest_first(wishes):
        if key in seated:
            continue
        other = next((one for one in wishes[key].buggy_with if one not in seated), None)
        pair = (key,) if other is None else (key, other)
        seated.update(pair)
        found.append(pair)
    return found


def _closest_first(wishes: Mapping[int, Wishes]) -> Iterable[int]:
    """Those in a buggy; whoever has only one to share with chooses before those who have more."""
    riding = [key for key, one in wishes.items() if one.buggy]
    return sorted(riding, key=lambda key: (len(wishes[key].buggy_with) or len(wishes), key))
