"""Reading a handicap record: a player's scores, each in one of three forms.

Handicap record document, sections 0 and 2. Everything is checked before anything is worked out,
and a refusal names the exact place. The document holds scores of 18 holes only; one score by
itself, and nine holes by the same keys, are read for records that are kept elsewhere.

>>> read_record({"document": "handicap-record", "version": 1, "scores": [{"played": "2026-03-14"}]})
Traceback (most recent call last):
scoring.rules.strict_json.Refused: scores[0]: wants one of adjusted_gross, differential, hole_scores
"""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from scoring.rules.checks import day, items, number, obj, whole
from scoring.rules.record.values import ByHole, Nine, Ratings, Ready, Score, Total
from scoring.rules.strict_json import Refused, inside, quoted
from scoring.rules.values import Card, Gross

RATINGS = ("course_rating", "slope_rating")


@dataclass(frozen=True, slots=True)
class Limits:
    """How many holes a score has, and how far its figures go; both ends are allowed."""

    holes: int
    gross: tuple[int, int]
    differential: tuple[int, int]


EIGHTEEN = Limits(holes=18, gross=(18, 400), differential=(-50, 200))
# The document has no score of nine holes; half of everything, in no source.
NINE = Limits(holes=9, gross=(9, 200), differential=(-25, 100))
HIGHEST_STROKE_INDEX = 18


def read_record(value: object) -> tuple[Score, ...]:
    """The scores of a parsed document as they stand there; raises Refused with the exact place."""
    if not isinstance(value, dict):
        raise Refused("file", f"wants an object, not {quoted(value)}")
    found = obj(value, "", ("document", "version", "scores"))
    if found["document"] != "handicap-record" or not isinstance(found["document"], str):
        raise Refused("document", f'wants "handicap-record", not {quoted(found["document"])}')
    whole(found["version"], "version", 1, 1)
    scores = items(found["scores"], "scores")
    return tuple([read_score(entry, inside("scores", at)) for at, entry in enumerate(scores)])


def read_score(value: object, place: str) -> Score:
    """One score of 18 holes, with its day; raises Refused with the exact place."""
    return _score(value, place, EIGHTEEN)


def read_nine(value: object, place: str) -> Nine:
    """Nine holes by the keys of a score: par, stroke index and ratings are of these nine.

    Raises Refused with the exact place.

    >>> read_nine({"played": "2026-03-14", "adjusted_gross": 44, "course_rating": Decimal("35.4"),
    ...            "slope_rating": 121}, "nine").of.adjusted_gross
    44
    """
    return Nine(_score(value, place, NINE))


def _score(value: object, place: str, limits: Limits) -> Score:
    if not isinstance(value, dict):
        raise Refused(place, f"wants an object, not {quoted(value)}")
    forms = [key for key in FORMS if key in value]
    if len(forms) > 1:
        raise Refused(place, f"mixes two forms of a score, {forms[0]} and {forms[1]}")
    if not forms:
        raise Refused(place, f"wants one of {', '.join(FORMS)}")
    return FORMS[forms[0]](value, place, limits)


def _total(value: object, place: str, limits: Limits) -> Total:
    found = obj(value, place, ("played", "adjusted_gross", *RATINGS), ("pcc",))
    return Total(
        played=day(found["played"], f"{place}.played"),
        adjusted_gross=whole(found["adjusted_gross"], f"{place}.adjusted_gross", *limits.gross),
        ratings=_ratings(found, place),
    )


def _ready(value: object, place: str, limits: Limits) -> Ready:
    found = obj(value, place, ("played", "differential"))
    exact = number(found["differential"], f"{place}.differential", *limits.differential, 1)
    return Ready(
        played=day(found["played"], f"{place}.played"),
        differential=Decimal(int(exact * 10)).scaleb(-1),
    )


def _by_hole(value: object, place: str, limits: Limits) -> ByHole:
    required = ("played", "hole_scores", "par", "stroke_index", *RATINGS)
    found = obj(value, place, required, ("pcc",))
    holes = limits.holes
    return ByHole(
        played=day(found["played"], f"{place}.played"),
        scores=_card(found["hole_scores"], f"{place}.hole_scores", holes),
        par=_numbers(found["par"], f"{place}.par", holes, 3, 6),
        stroke_index=_stroke_index(found["stroke_index"], f"{place}.stroke_index", holes),
        ratings=_ratings(found, place),
    )


FORMS: dict[str, Callable[[object, str, Limits], Score]] = {
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


def _of_holes(value: object, place: str, holes: int) -> list[Any]:
    found = items(value, place)
    if len(found) != holes:
        raise Refused(place, f"wants {holes} holes, has {len(found)}")
    return found


def _numbers(value: object, place: str, holes: int, low: int, high: int) -> tuple[int, ...]:
    found = _of_holes(value, place, holes)
    return tuple([whole(entry, inside(place, at), low, high) for at, entry in enumerate(found)])


def _stroke_index(value: object, place: str, holes: int) -> tuple[int, ...]:
    index = _numbers(value, place, holes, 1, HIGHEST_STROKE_INDEX)
    if len(set(index)) != holes:
        raise Refused(place, "has an index twice")
    return index


def _card(value: object, place: str, holes: int) -> Card:
    found = _of_holes(value, place, holes)
    return tuple([_hole(entry, inside(place, at)) for at, entry in enumerate(found)])


def _hole(value: object, place: str) -> Gross | None:
    if type(value) is int and 1 <= value <= 99:
        return Gross(value)
    if value is None or value == "-":
        return None
    raise Refused(place, f'wants 1 to 99, null or "-", not {quoted(value)}')
