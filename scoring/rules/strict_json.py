"""Reading JSON without guessing, and writing it so that the same value gives the same bytes.

The two open documents are refused rather than repaired: a repeated key, an exponent, `NaN`,
a number out of all measure or a text that is not UTF-8 never gets as far as a rule of golf.
A refusal names the place in the document and says why in a few words.

>>> read_json(b'{"par": [4, 4.0]}')
{'par': [4, Decimal('4.0')]}
>>> read_json(b'{"tees": {"red": 1, "red": 2}}')
Traceback (most recent call last):
scoring.rules.strict_json.Refused: tees.red: stands here twice
>>> canonical({"b": Decimal("1.50"), "a": None})
'{"a":null,"b":"1.50"}'
"""

import json
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import NoReturn

DEEPEST = 200
LONGEST_NUMBER = 40
LONGEST_QUOTE = 60

_PLAIN_KEY = re.compile(r"[A-Za-z0-9_-]+")
# Strings are passed over whole, also one that never ends, so that the scan stays linear.
_BRACKETS = re.compile(r'"(?:[^"\\]++|\\.)*+(?:"|\Z)|[\[{]|[\]}]', re.DOTALL)


class Refused(Exception):  # noqa: N818 - a refusal is no error of ours
    """A document that cannot be taken: where it is wrong, and why in plain words."""

    def __init__(self, place: str, words: str) -> None:
        super().__init__(f"{place}: {words}")
        self.place = place
        self.words = words


@dataclass(frozen=True, slots=True)
class _Bad:
    """Stands in the tree for what the parser met, until its place is known."""

    words: str
    key: str | None = None


def inside(place: str, key: str | int) -> str:
    r"""The place of an entry: keys joined by dots, positions in brackets.

    >>> inside(inside("tees", "Men's red"), "par"), inside("cards.p1", 3)
    ('tees."Men\'s red".par', 'cards.p1[3]')
    """
    if isinstance(key, int):
        return f"{place}[{key}]"
    word = key if _PLAIN_KEY.fullmatch(key) else json.dumps(key)
    return f"{place}.{word}" if place else word


def quoted(value: object) -> str:
    """A value for a message: ASCII, on one line, and short."""
    if isinstance(value, str):
        cut = value if len(value) <= LONGEST_QUOTE else value[:LONGEST_QUOTE] + "..."
        return json.dumps(cut)
    if value is None or isinstance(value, bool):
        return json.dumps(value)
    if isinstance(value, dict):
        return "an object"
    if isinstance(value, list):
        return "a list"
    return str(value)[:LONGEST_QUOTE]


def read_json(data: bytes | str) -> object:
    """The value of a JSON text: whole numbers as int, others as Decimal with their digits.

    Raises Refused at `file` for what is no JSON at all, and at its place for a repeated key,
    an exponent or a number too long to be meant.
    """
    text = _text(data)
    _refuse_depth(text)
    bad: list[_Bad] = []

    def note(words: str, key: str | None = None) -> _Bad:
        bad.append(_Bad(words, key))
        return bad[-1]

    def whole(digits: str) -> object:
        return int(digits) if len(digits) <= LONGEST_NUMBER else note("a number far too long")

    def broken(digits: str) -> object:
        if "e" in digits or "E" in digits:
            return note("numbers are written without an exponent")
        return Decimal(digits) if len(digits) <= LONGEST_NUMBER else note("a number far too long")

    def pairs(entries: list[tuple[str, object]]) -> object:
        found = dict(entries)
        return found if len(found) == len(entries) else note("stands here twice", _twice(entries))

    try:
        value: object = json.loads(
            text,
            parse_int=whole,
            parse_float=broken,
            parse_constant=_no_constant,
            object_pairs_hook=pairs,
        )
    except ValueError as error:
        raise Refused("file", f"no JSON: {_one_line(error)}") from None
    if bad:
        _refuse_marked(value, "")
    return value


def _text(data: bytes | str) -> str:
    if isinstance(data, str):
        return data.removeprefix("\ufeff")
    try:
        return data.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError:
        raise Refused("file", "is not UTF-8 text") from None


def _refuse_depth(text: str) -> None:
    depth = 0
    for found in _BRACKETS.finditer(text):
        sign = text[found.start()]
        if sign in "[{":
            depth += 1
            if depth > DEEPEST:
                raise Refused("file", "is nested too deep")
        elif sign != '"':
            depth -= 1


def _twice(entries: list[tuple[str, object]]) -> str:
    return next(key for key, times in Counter(key for key, _ in entries).items() if times > 1)


def _no_constant(word: str) -> NoReturn:
    raise Refused("file", f"no JSON: {word} is no number")


def _one_line(error: ValueError) -> str:
    return str(error).encode("ascii", "backslashreplace").decode().replace("\n", " ")[:120]


def _refuse_marked(value: object, place: str) -> None:
    """Raise at the first mark in the order of the document."""
    if isinstance(value, _Bad):
        where = place or "file" if value.key is None else inside(place, value.key)
        raise Refused(where, value.words)
    if isinstance(value, dict):
        for key, entry in value.items():
            _refuse_marked(entry, inside(place, key))
    elif isinstance(value, list):
        for position, entry in enumerate(value):
            _refuse_marked(entry, inside(place, position))


def canonical(value: object) -> str:
    """One text for one value: sorted keys, no spaces, UTF-8 as it is, decimals as strings.

    Raises TypeError for a float or anything else JSON has no exact word for.

    >>> canonical({"z": [Fraction(1, 3), True], "a": "é"})
    '{"a":"é","z":["1/3",true]}'
    """
    return json.dumps(
        _exact(value), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )


def _exact(value: object) -> object:
    if value is None or isinstance(value, str | int):
        return value
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, Fraction):
        return str(value)
    if isinstance(value, Mapping):
        return {_key(key): _exact(entry) for key, entry in value.items()}
    if isinstance(value, list | tuple):
        return [_exact(entry) for entry in value]
    raise TypeError(f"{type(value).__name__} has no canonical form")


def _key(key: object) -> str:
    if isinstance(key, str):
        return key
    raise TypeError("keys are text")


def write_document(value: object) -> str:
    """A document for people and programs: keys in their order, one entry a line.

    Decimals are written as JSON numbers with their digits; lists of plain values stay on one
    line. Reading the text and writing it again gives the same text.

    >>> print(write_document({"par": [4, None], "index": Decimal("12.0"), "cards": {}}), end="")
    {
      "par": [4, null],
      "index": 12.0,
      "cards": {}
    }
    """
    return _written(value, "") + "\n"


def _written(value: object, indent: str) -> str:
    deeper = indent + "  "
    if isinstance(value, Mapping) and value:
        rows = [f"{deeper}{_plain(_key(k))}: {_written(v, deeper)}" for k, v in value.items()]
        return "{\n" + ",\n".join(rows) + f"\n{indent}}}"
    if isinstance(value, list | tuple) and value:
        if not any(isinstance(entry, Mapping | list | tuple) for entry in value):
            return "[" + ", ".join(_plain(entry) for entry in value) + "]"
        rows = [f"{deeper}{_written(entry, deeper)}" for entry in value]
        return "[\n" + ",\n".join(rows) + f"\n{indent}]"
    return _plain(value)


def _plain(value: object) -> str:
    if isinstance(value, Decimal) and value.is_finite():
        return format(value, "f")
    if isinstance(value, Mapping):
        return "{}"
    if isinstance(value, list | tuple):
        return "[]"
    if value is None or isinstance(value, str | int):
        return json.dumps(value, ensure_ascii=False)
    raise TypeError(f"{type(value).__name__} cannot be written as JSON")
