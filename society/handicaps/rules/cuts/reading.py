"""A society's cut rules as they are kept: an object for canonical JSON, read back without guessing.

>>> from society.handicaps.rules.cuts.presets import PRESETS
>>> all(read_cuts(cuts_object(preset.rules)) == preset.rules for preset in PRESETS)
True
"""

import re
from decimal import Decimal
from typing import Any

from scoring.rules.checks import items, obj, whole, word, yes_or_no
from scoring.rules.strict_json import Refused, inside, quoted
from society.handicaps.rules.cuts.values import (
    CutRules,
    Expiry,
    Lowest,
    Mark,
    MarkOf,
    PointsCut,
    PointsRise,
    Shots,
    Whom,
)

VERSION = 1
MOST_BANDS = 4
MOST_PLACES = 6
MOST_LINES = 6
MOST_POINTS = 120
MOST_SHOTS = 20
MOST_STEPS = 4
MOST_MONTHS = 120
MOST_FIELD = 500
HIGHEST = 100

_NUMBER = re.compile(r"0|[1-9][0-9]{0,2}|(?:0|[1-9][0-9]{0,2})\.[0-9]{0,2}[1-9]")
_KEYS = (
    "version",
    "bands",
    "places",
    "mark",
    "points",
    "floor",
    "over",
    "most",
    "lowest",
    "rises",
    "maximum",
    "expiry",
    "months",
    "fade",
    "halves_up",
    "guests",
    "newcomers",
    "among_members",
    "pass_on",
)


def cuts_object(rules: CutRules) -> dict[str, Any]:
    """The rules as an object for canonical JSON; shots as texts of their shortest form."""
    return {
        "version": VERSION,
        "bands": list(rules.bands),
        "places": [_texts(shots) for shots in rules.places],
        "mark": {
            "of": rules.mark.of.value,
            "points": rules.mark.points,
            "least": rules.mark.least,
            "drop": rules.mark.drop,
            "factor": text_of(rules.mark.factor),
        },
        "points": [
            {
                "whom": line.whom.value,
                "at": text_of(line.at),
                "shots": _texts(line.shots),
                "over_mark": line.over_mark,
                "each": line.each,
                "most": _or_none(line.most),
                "added": line.added,
            }
            for line in rules.points
        ],
        "floor": rules.floor,
        "over": rules.over,
        "most": [_or_none(most) for most in rules.most],
        "lowest": None
        if rules.lowest is None
        else {
            "counts": [[up_to, count] for up_to, count in rules.lowest.counts],
            "shots": text_of(rules.lowest.shots),
        },
        "rises": [
            {
                "at": text_of(line.at),
                "shots": _texts(line.shots),
                "under_mark": line.under_mark,
                "each": line.each,
                "most": _or_none(line.most),
            }
            for line in rules.rises
        ],
        "maximum": rules.maximum,
        "expiry": rules.expiry.value,
        "months": list(rules.months),
        "fade": text_of(rules.fade),
        "halves_up": rules.halves_up,
        "guests": rules.guests,
        "newcomers": rules.newcomers,
        "among_members": rules.among_members,
        "pass_on": rules.pass_on,
    }


def text_of(value: Decimal) -> str:
    """A number without empty digits: "3", "0.5"."""
    text = format(value, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def _texts(shots: Shots) -> list[str]:
    return [text_of(size) for size in shots]


def _or_none(value: Decimal | None) -> str | None:
    return None if value is None else text_of(value)


def read_cuts(value: object, place: str = "cuts") -> CutRules:
    """The rules from an object that was read already; raises Refused with the place."""
    found = obj(value, place, _KEYS)
    whole(found["version"], inside(place, "version"), VERSION, VERSION)
    bands = _bands(found["bands"], inside(place, "bands"))
    wide = len(bands) + 1
    expiry = word(found["expiry"], inside(place, "expiry"), Expiry)
    return CutRules(
        bands=bands,
        places=tuple(
            _shots(shots, at, wide)
            for shots, at in _list(found["places"], inside(place, "places"), MOST_PLACES)
        ),
        mark=_mark(found["mark"], inside(place, "mark")),
        points=tuple(
            _points_cut(line, at, wide)
            for line, at in _list(found["points"], inside(place, "points"), MOST_LINES)
        ),
        floor=_points_or_none(found["floor"], inside(place, "floor")),
        over=_points_or_none(found["over"], inside(place, "over")),
        most=_most(found["most"], inside(place, "most"), wide),
        lowest=_lowest(found["lowest"], inside(place, "lowest")),
        rises=tuple(
            _points_rise(line, at, wide)
            for line, at in _list(found["rises"], inside(place, "rises"), MOST_LINES)
        ),
        maximum=None
        if found["maximum"] is None
        else whole(found["maximum"], inside(place, "maximum"), 0, HIGHEST),
        expiry=expiry,
        months=_months(found["months"], inside(place, "months"), expiry),
        fade=_number(found["fade"], inside(place, "fade"), MOST_SHOTS, 1),
        **{
            key: yes_or_no(found[key], inside(place, key))
            for key in ("halves_up", "guests", "newcomers", "among_members", "pass_on")
        },
    )


def _list(value: object, place: str, most: int) -> list[tuple[Any, str]]:
    found = items(value, place)
    if len(found) > most:
        raise Refused(place, f"wants {most} at most, not {len(found)}")
    return [(entry, inside(place, at)) for at, entry in enumerate(found)]


def _bands(value: object, place: str) -> tuple[int, ...]:
    bands = tuple(whole(top, at, 0, HIGHEST - 1) for top, at in _list(value, place, MOST_BANDS - 1))
    if list(bands) != sorted(set(bands)):
        raise Refused(place, "wants each band higher than the one before")
    return bands


def _number(value: object, place: str, most: int, decimals: int) -> Decimal:
    if isinstance(value, str) and _NUMBER.fullmatch(value):
        number = Decimal(value)
        exponent = number.as_tuple().exponent
        if number <= most and isinstance(exponent, int) and -exponent <= decimals:
            return number
    some = "one decimal" if decimals == 1 else f"{decimals} decimals"
    raise Refused(
        place, f"wants a number from 0 to {most} as a text, at most {some}, not {quoted(value)}"
    )


def _shots(value: object, place: str, wide: int) -> Shots:
    found = items(value, place)
    if len(found) != wide:
        raise Refused(place, f"wants {wide} sizes, one for each band, not {len(found)}")
    return tuple(_number(size, inside(place, at), MOST_SHOTS, 1) for at, size in enumerate(found))


def _number_or_none(value: object, place: str) -> Decimal | None:
    return None if value is None else _number(value, place, MOST_SHOTS, 1)


def _points_or_none(value: object, place: str) -> int | None:
    return None if value is None else whole(value, place, 1, MOST_POINTS)


def _mark(value: object, place: str) -> Mark:
    found = obj(value, place, ("of", "points", "least", "drop", "factor"))
    factor = _number(found["factor"], inside(place, "factor"), 10, 3)
    if not factor:
        raise Refused(inside(place, "factor"), "wants more than 0")
    return Mark(
        of=word(found["of"], inside(place, "of"), MarkOf),
        points=whole(found["points"], inside(place, "points"), 1, MOST_POINTS),
        least=whole(found["least"], inside(place, "least"), 0, MOST_POINTS),
        drop=whole(found["drop"], inside(place, "drop"), 0, 10),
        factor=factor,
    )


def _points_cut(value: object, place: str, wide: int) -> PointsCut:
    found = obj(value, place, ("whom", "at", "shots", "over_mark", "each", "most", "added"))
    return PointsCut(
        whom=word(found["whom"], inside(place, "whom"), Whom),
        at=_number(found["at"], inside(place, "at"), MOST_POINTS, 1),
        shots=_shots(found["shots"], inside(place, "shots"), wide),
        over_mark=yes_or_no(found["over_mark"], inside(place, "over_mark")),
        each=yes_or_no(found["each"], inside(place, "each")),
        most=_number_or_none(found["most"], inside(place, "most")),
        added=yes_or_no(found["added"], inside(place, "added")),
    )


def _points_rise(value: object, place: str, wide: int) -> PointsRise:
    found = obj(value, place, ("at", "shots", "under_mark", "each", "most"))
    return PointsRise(
        at=_number(found["at"], inside(place, "at"), MOST_POINTS, 1),
        shots=_shots(found["shots"], inside(place, "shots"), wide),
        under_mark=yes_or_no(found["under_mark"], inside(place, "under_mark")),
        each=yes_or_no(found["each"], inside(place, "each")),
        most=_number_or_none(found["most"], inside(place, "most")),
    )


def _most(value: object, place: str, wide: int) -> tuple[Decimal | None, ...]:
    found = items(value, place)
    if found and len(found) != wide:
        raise Refused(place, f"wants {wide} limits, one for each band, not {len(found)}")
    limits = tuple(_number_or_none(most, inside(place, at)) for at, most in enumerate(found))
    if limits and all(most is None for most in limits):
        raise Refused(place, "wants an empty list where there is no limit")
    return limits


def _lowest(value: object, place: str) -> Lowest | None:
    if value is None:
        return None
    found = obj(value, place, ("counts", "shots"))
    counts: list[tuple[int | None, int]] = []
    listed = _list(found["counts"], inside(place, "counts"), MOST_BANDS)
    for number, (pair, at) in enumerate(listed, 1):
        if len(items(pair, at)) != 2:
            raise Refused(at, "wants a size of field and how many")
        last = number == len(listed)
        if last and pair[0] is not None:
            raise Refused(inside(at, 0), "wants null: the last holds for every larger field")
        up_to = None if last else whole(pair[0], inside(at, 0), 1, MOST_FIELD)
        if counts and up_to is not None and up_to <= (counts[-1][0] or 0):
            raise Refused(inside(at, 0), "wants a larger field than the one before")
        counts.append((up_to, whole(pair[1], inside(at, 1), 0, MOST_FIELD)))
    if not counts:
        raise Refused(inside(place, "counts"), "wants at least one")
    return Lowest(tuple(counts), _number(found["shots"], inside(place, "shots"), MOST_SHOTS, 1))


def _months(value: object, place: str, expiry: Expiry) -> tuple[int, ...]:
    months = tuple(
        whole(length, at, 1, MOST_MONTHS) for length, at in _list(value, place, MOST_STEPS)
    )
    if (expiry is Expiry.STEPS) != bool(months):
        raise Refused(
            place,
            "wants at least one step" if expiry is Expiry.STEPS else "wants no steps",
        )
    return months
