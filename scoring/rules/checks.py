"""The small checks every reader of a document uses; each one names the place it refuses.

Nothing is guessed: true is not 1, 4.0 is not the whole number 4, "4" is not 4.

>>> whole(4, "cards.p1[0]", 1, 99)
4
>>> whole(True, "cards.p1[0]", 1, 99)
Traceback (most recent call last):
scoring.rules.strict_json.Refused: cards.p1[0]: wants a whole number from 1 to 99, not true
"""

import re
from collections.abc import Collection, Sequence
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Any, TypeVar

from scoring.rules.strict_json import Refused, inside, quoted

LONGEST_TEXT = 200

_KEY = re.compile(r"[A-Za-z0-9_-]{1,40}")

_NOT_ALLOWED = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff]")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_WORD = TypeVar("_WORD", bound=StrEnum)


def entries(value: object, place: str) -> dict[str, Any]:
    """An object, whatever its keys."""
    if not isinstance(value, dict):
        raise Refused(place, f"wants an object, not {quoted(value)}")
    return value


def obj(
    value: object, place: str, required: Sequence[str], optional: Sequence[str] = ()
) -> dict[str, Any]:
    """An object with every required key and none but these."""
    found = entries(value, place)
    for key in found:
        if key not in required and key not in optional:
            raise Refused(inside(place, key), "is not a key that belongs here")
    for key in required:
        if key not in found:
            raise Refused(inside(place, key), "is missing")
    return found


def items(value: object, place: str) -> list[Any]:
    """A list."""
    if not isinstance(value, list):
        raise Refused(place, f"wants a list, not {quoted(value)}")
    return value


def whole(value: object, place: str, low: int, high: int) -> int:
    """A whole number within both limits."""
    if type(value) is int and low <= value <= high:
        return value
    raise Refused(place, f"wants a whole number from {low} to {high}, not {quoted(value)}")


def number(value: object, place: str, low: int, high: int, decimals: int) -> Fraction:
    """A number within both limits with at most so many decimals, kept exact."""
    if type(value) is int and low <= value <= high:
        return Fraction(value)
    if isinstance(value, Decimal) and value.is_finite():
        exponent = value.as_tuple().exponent
        if isinstance(exponent, int) and -decimals <= exponent <= 0 and low <= value <= high:
            return Fraction(value)
    some = "one decimal" if decimals == 1 else f"{decimals} decimals"
    raise Refused(
        place, f"wants a number from {low} to {high}, at most {some}, not {quoted(value)}"
    )


def text(value: object, place: str) -> str:
    """A name, rule, reason or the like: 1 to 200 characters, none of them a control character."""
    if not isinstance(value, str):
        raise Refused(place, f"wants a text, not {quoted(value)}")
    if not 1 <= len(value) <= LONGEST_TEXT:
        raise Refused(place, f"wants 1 to {LONGEST_TEXT} characters, not {len(value)}")
    if _NOT_ALLOWED.search(value):
        raise Refused(place, "holds a control character or half a character")
    return value


def word(value: object, place: str, words: type[_WORD]) -> _WORD:
    """One word of a fixed list."""
    if isinstance(value, str) and value in words.__members__.values():
        return words(value)
    listed = ", ".join(entry.value for entry in words)
    raise Refused(place, f"wants one of {listed}, not {quoted(value)}")


def yes_or_no(value: object, place: str) -> bool:
    """True or false, and nothing that only looks like it."""
    if isinstance(value, bool):
        return value
    raise Refused(place, f"wants true or false, not {quoted(value)}")


def day(value: object, place: str) -> date:
    """A real day, written YYYY-MM-DD, in the years 1900 to 2999."""
    if isinstance(value, str) and _DATE.fullmatch(value) and "1900" <= value[:4] <= "2999":
        try:
            return date.fromisoformat(value)
        except ValueError:
            pass
    raise Refused(place, f"wants a real day as YYYY-MM-DD, not {quoted(value)}")


def known(value: object, place: str, names: Collection[str], what: str) -> str:
    """A name that leads somewhere."""
    if isinstance(value, str) and value in names:
        return value
    raise Refused(place, f"no {what} called {quoted(value)}")


def key_of(key: str, place: str) -> str:
    """The key of a player or a side."""
    if _KEY.fullmatch(key):
        return key
    raise Refused(place, "a key is 1 to 40 of A-Z a-z 0-9 _ -")
