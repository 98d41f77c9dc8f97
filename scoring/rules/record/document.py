"""Reading a handicap record: a player's scores, each in one of three forms.

Handicap record document, sections 0 and 2. Everything is checked before anything is worked out,
and a refusal names the exact place.

>>> read_record({"document": "handicap-record", "version": 1, "scores": [{"played": "2026-03-14"}]})
Traceback (most recent call last):
scoring.rules.strict_json.Refused: scores[0]: wants one of adjusted_gross, differential, hole_scores
"""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from scoring.rules.checks import day, items, number, obj, whole
from scoring.rules.record.values import ByHole, Ratings, Ready, Score, Total
from scoring.rules.strict_json import Refused, inside, quoted
from scoring.rules.values import Card, Gross

HOLES = 18
RATINGS = ("course_rating", "slope_rating")


def read_record(value: object) -> tuple[Score, ...]:
    """The scores of a parsed document as they stand there; raises Refused with the exact place."""
    if not isinstance(value, dict):
        raise Refused("file", f"wants an object, not {quoted(value)}")
    found = obj(value, "", ("document", "version", "scores"))
    if found["document"] != "handicap-record" or not isinstance(found["document"], str):
        raise Refused("document", f'wants "handicap-record", not {quoted(found["document"])}')
    whole(found["version"], "version", 1, 1)
    scores = items(found["scores"], "scores")
    return tuple([_score(entry, inside("scores", at)) for at, entry in enumerate(scores)])


def _score(value: object, place: str) -> Score:
    if not isinstance(value, dict):
        raise Refused(place, f"wants an object, not {quoted(value)}")
    forms = [key for key in FORMS if key in value]
    if len(forms) > 1:
        raise Refused(place, f"mixes two forms of a score, {forms[0]} and {forms[1]}")
    if not forms:
        raise Refused(place, f"wants one of {', '.join(FORMS)}")
    return FORMS[forms[0]](value, place)


def _total(value: object, place: str) -> Total:
    found = obj(value, place, ("played", "adjusted_gross", *RATINGS), ("pcc",))
    return Total(
        played=day(found["played"], f"{place}.played"),
        adjusted_gross=whole(found["adjusted_gross"], f"{place}.adjusted_gross", 18, 400),
        ratings=_ratings(found, place),
    )


def _ready(value: object, place: str) -> Ready:
    found = obj(value, place, ("played", "differential"))
    exact = number(found["differential"], f"{place}.differential", -50, 200, 1)
    return Ready(
        played=day(found["played"], f"{place}.played"),
        differential=Decimal(int(exact * 10)).scaleb(-1),
    )


def _by_hole(value: object, place: str) -> ByHole:
    required = ("played", "hole_scores", "par", "stroke_index", *RATINGS)
    found = obj(value, place, required, ("pcc",))
    return ByHole(
        played=day(found["played"], f"{place}.played"),
        scores=_card(found["hole_scores"], f"{place}.hole_scores"),
        par=_numbers(found["par"], f"{place}.par", 3, 6),
        stroke_index=_stroke_index(found["stroke_index"], f"{place}.stroke_index"),
        ratings=_ratings(found, place),
    )


FORMS: dict[str, Callable[[object, str], Score]] = {
    "adjusted_gross": _total,
    "differential": _ready,
    "hole_scores": _by_hole,
}


def _ratings(found: dict[str, Any], place: str) -> Ratings:
    return Ratings(
        course=number(found["course_rating"], f"{place}.course_rating", 10, 100, 1),
        slope=whole(found["slope_rating"], f"{place}.slope_rating", 55, 155),
        pcc=whole(found.get("pcc", 0), f"{place}.pcc", -1, 3),
    )


def _eighteen(value: object, place: str) -> list[Any]:
    found = items(value, place)
    if len(found) != HOLES:
        raise Refused(place, f"wants {HOLES} holes, has {len(found)}")
    return found


def _numbers(value: object, place: str, low: int, high: int) -> tuple[int, ...]:
    found = _eighteen(value, place)
    return tuple([whole(entry, inside(place, at), low, high) for at, entry in enumerate(found)])


def _stroke_index(value: object, place: str) -> tuple[int, ...]:
    index = _numbers(value, place, 1, HOLES)
    if len(set(index)) != HOLES:
        raise Refused(place, "has an index twice")
    return index


def _card(value: object, place: str) -> Card:
    found = _eighteen(value, place)
    return tuple([_hole(entry, inside(place, at)) for at, entry in enumerate(found)])


def _hole(value: object, place: str) -> Gross | None:
    if type(value) is int and 1 <= value <= 99:
        return Gross(value)
    if value is None or value == "-":
        return None
    raise Refused(place, f'wants 1 to 99, null or "-", not {quoted(value)}')
