"""Reading the terms of a competition, with every default filled in.

Event document, section 1, table of keys; allowances left out: Rules of Handicapping,
Appendix C; countback left out: Committee Procedures 5A(6).

>>> terms = read_terms({"format": "stableford"}, 18)
>>> terms.allowance, [entry.label for entry in terms.countback][:2]
(Fraction(95, 1), ['10-18', '13-18'])
>>> read_terms({"format": "stableford", "countback": ["9-4"]}, 18)
Traceback (most recent call last):
scoring.rules.strict_json.Refused: terms.countback[0]: wants "a-b" with a below b, or one hole
"""

import re
from fractions import Fraction
from typing import Any

from scoring.rules import parameters
from scoring.rules.checks import entries, items, number, obj, whole, word, yes_or_no
from scoring.rules.parameters import EDITION, in_force
from scoring.rules.strict_json import Refused, inside, quoted
from scoring.rules.values import (
    INDIVIDUAL,
    ONE_BALL,
    AfterCountback,
    Basis,
    CountbackHoles,
    Format,
    HoleMaximum,
    HoleRange,
    MaximumKind,
    PointsTable,
    Share,
    Terms,
)

OPTIONAL = (
    "basis",
    "allowance",
    "maximum_playing_handicap",
    "maximum_hole_score",
    "points",
    "countback",
    "countback_holes",
    "handicap_share",
    "after_countback",
    "different_par",
    "reference_par",
)
MOST_MEMBERS = 8
WHOLE_HANDICAP = Fraction(100)
LOWEST_REFERENCE = 27
HIGHEST_REFERENCE = {18: 108, 9: 54}

_RANGE = re.compile(r"([1-9][0-9]?)(?:-([1-9][0-9]?))?")
_STEP = re.compile(r"0|-?[1-9]")
_MAXIMUM_LIMITS = {
    MaximumKind.OVER_PAR: ("strokes", 0, 20),
    MaximumKind.FIXED: ("strokes", 1, 99),
    MaximumKind.TIMES_PAR: ("times", 1, 9),
}


def read_terms(value: object, holes: int) -> Terms:
    """The terms of a competition over 18 or 9 holes, from a parsed `terms` object.

    Raises Refused, with places that begin with `terms`. What also depends on the tees in use or
    on the sides cannot be seen here; the reader of the whole event looks at that.
    """
    format_ = _format(value)
    found = obj(value, "terms", *_keys(format_))
    scoring = word(found.get("scoring", format_), "terms.scoring", Format)
    if scoring not in INDIVIDUAL:
        raise Refused("terms.scoring", f"wants an individual format, not {scoring.value}")
    terms = Terms(
        format=format_,
        scoring=scoring,
        basis=_word(found, "basis", Basis.NET),
        allowance=_allowance(found, format_, scoring),
        allowance_open=format_ is Format.BEST_OF and "allowance" not in found,
        shares=_shares(found, format_),
        best=_best(found, holes),
        one_best=type(found.get("best")) is int,
        maximum_playing_handicap=_maybe_whole(found, "maximum_playing_handicap", 0, 100),
        maximum_hole_score=_hole_maximum(found, scoring),
        points=_points(found, scoring),
        countback=_countback(found, holes),
        countback_holes=_word(found, "countback_holes", CountbackHoles.CARD),
        handicap_share=_word(found, "handicap_share", Share.EXACT),
        after_countback=_word(found, "after_countback", AfterCountback.SHARE),
        different_par=_yes(found, "different_par"),
        reference_par=_maybe_whole(
            found, "reference_par", LOWEST_REFERENCE, HIGHEST_REFERENCE[holes]
        ),
    )
    _refuse_without_effect(terms)
    return terms


def _format(value: object) -> Format:
    found = entries(value, "terms")
    if "format" not in found:
        raise Refused("terms.format", "is missing")
    return word(found["format"], "terms.format", Format)


def _keys(format_: Format) -> tuple[tuple[str, ...], tuple[str, ...]]:
    required: tuple[str, ...] = ("format",)
    if format_ not in INDIVIDUAL:
        required += ("scoring",)
    if format_ is Format.BEST_OF:
        required += ("best",)
    return required, OPTIONAL


def _refuse_without_effect(terms: Terms) -> None:
    if terms.after_countback is AfterCountback.LOWER_HANDICAP and not terms.net:
        raise Refused(
            "terms.after_countback", "would make a scratch event a handicap event (gross)"
        )
    if terms.reference_par is None:
        return
    if not terms.different_par:
        raise Refused("terms.reference_par", "has no effect where different_par is false")
    if not terms.stroke_total:
        raise Refused("terms.reference_par", f"has no effect on {terms.scoring.value}")


def _word(found: dict[str, Any], key: str, default: Any) -> Any:
    return word(found[key], f"terms.{key}", type(default)) if key in found else default


def _yes(found: dict[str, Any], key: str) -> bool:
    return yes_or_no(found[key], f"terms.{key}") if key in found else True


def _maybe_whole(found: dict[str, Any], key: str, low: int, high: int) -> int | None:
    return whole(found[key], f"terms.{key}", low, high) if key in found else None


def _allowance(found: dict[str, Any], format_: Format, scoring: Format) -> Fraction:
    if format_ in ONE_BALL:
        return WHOLE_HANDICAP
    if "allowance" in found:
        return _percent(found["allowance"], "terms.allowance")
    if format_ is Format.BEST_OF:
        return WHOLE_HANDICAP
    return Fraction(parameters.allowance_for(format_, scoring).value)


def _shares(found: dict[str, Any], format_: Format) -> tuple[Fraction, ...] | None:
    if format_ not in ONE_BALL or "allowance" not in found:
        return None
    listed = items(found["allowance"], "terms.allowance")
    return tuple(_percent(value, inside("terms.allowance", at)) for at, value in enumerate(listed))


def _percent(value: object, place: str) -> Fraction:
    return number(value, place, 0, 100, 6)


def _best(found: dict[str, Any], holes: int) -> tuple[int, ...] | None:
    if "best" not in found:
        return None
    value = found["best"]
    if not isinstance(value, list):
        return (whole(value, "terms.best", 1, MOST_MEMBERS),) * holes
    if len(value) != holes:
        raise Refused("terms.best", f"wants {holes} holes, has {len(value)}")
    return tuple(
        whole(count, inside("terms.best", at), 1, MOST_MEMBERS) for at, count in enumerate(value)
    )


def _hole_maximum(found: dict[str, Any], scoring: Format) -> HoleMaximum | None:
    place = "terms.maximum_hole_score"
    if scoring is not Format.MAXIMUM_SCORE:
        if "maximum_hole_score" in found:
            raise Refused(place, f"is not a key of {scoring.value}")
        return None
    if "maximum_hole_score" not in found:
        return HoleMaximum(MaximumKind.NET_DOUBLE_BOGEY, 0)
    value = entries(found["maximum_hole_score"], place)
    if "kind" not in value:
        raise Refused(f"{place}.kind", "is missing")
    kind = word(value["kind"], f"{place}.kind", MaximumKind)
    if kind is MaximumKind.NET_DOUBLE_BOGEY:
        obj(value, place, ("kind",))
        return HoleMaximum(kind, 0)
    key, low, high = _MAXIMUM_LIMITS[kind]
    obj(value, place, ("kind", key))
    return HoleMaximum(kind, whole(value[key], f"{place}.{key}", low, high))


def _points(found: dict[str, Any], scoring: Format) -> PointsTable | None:
    if scoring is not Format.MODIFIED_STABLEFORD:
        if "points" in found:
            raise Refused("terms.points", f"is not a key of {scoring.value}")
        return None
    if "points" not in found:
        return _table(
            in_force(parameters.MODIFIED_POINTS, EDITION.effective).value,
            in_force(parameters.MODIFIED_NO_SCORE, EDITION.effective).value,
        )
    value = entries(found["points"], "terms.points")
    for key in value:
        if key != "none" and not _STEP.fullmatch(key):
            raise Refused(inside("terms.points", key), "wants -9 to 9, or none")
    if "none" not in value:
        raise Refused("terms.points.none", "is missing")
    worth = {key: whole(value[key], inside("terms.points", key), -99, 99) for key in value}
    none = worth.pop("none")
    steps = {int(key): points for key, points in worth.items()}
    if not steps or max(steps) - min(steps) + 1 != len(steps):
        raise Refused("terms.points", "wants consecutive whole numbers, at least one")
    return _table(steps, none)


def _table(steps: dict[int, int], none: int) -> PointsTable:
    return PointsTable(min(steps), tuple(steps[step] for step in sorted(steps)), none)


def _countback(found: dict[str, Any], holes: int) -> tuple[HoleRange, ...]:
    if "countback" not in found:
        series = parameters.COUNTBACK_18 if holes == 18 else parameters.COUNTBACK_9
        return tuple(
            _range(label, "terms.countback", holes)
            for label in in_force(series, EDITION.effective).value
        )
    ranges: list[HoleRange] = []
    for position, label in enumerate(items(found["countback"], "terms.countback")):
        place = inside("terms.countback", position)
        ranges.append(_range(label, place, holes))
        if ranges[-1] in ranges[:-1]:
            raise Refused(place, f"{quoted(label)} stands here twice")
    return tuple(ranges)


def _range(label: object, place: str, holes: int) -> HoleRange:
    parts = _RANGE.fullmatch(label) if isinstance(label, str) else None
    if not isinstance(label, str) or parts is None:
        raise Refused(place, f'wants "a-b" or one hole "a", not {quoted(label)}')
    first = int(parts[1])
    last = int(parts[2] or first)
    if parts[2] and first >= last:
        raise Refused(place, 'wants "a-b" with a below b, or one hole')
    if last > holes:
        raise Refused(place, f"there are {holes} holes")
    return HoleRange(label, first, last)
