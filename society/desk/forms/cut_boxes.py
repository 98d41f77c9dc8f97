"""From what stands in the boxes of the cut rules to figures, and back."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django.core.exceptions import ValidationError

from society.handicaps.rules.cuts.reading import MOST_MONTHS, MOST_SHOTS, MOST_STEPS, text_of
from society.handicaps.rules.cuts.values import CutRules, Expiry, MarkOf, PointsCut, PointsRise


def sizes_of(text: str) -> tuple[Decimal, ...]:
    """Sizes of shots with commas between: "0.5, 1, 2"."""
    try:
        sizes = tuple(Decimal(part.strip()) for part in text.split(","))
    except InvalidOperation as wrong:
        raise ValidationError("Write shots like 1, or 0.5, 1, 2.") from wrong
    if any(not (size.is_finite() and 0 <= size <= MOST_SHOTS) for size in sizes):
        raise ValidationError(f"Shots go from 0 to {MOST_SHOTS}.")
    if any(size != round(size, 1) for size in sizes):
        raise ValidationError("Shots have one digit after the point.")
    return sizes


def months_of(text: str) -> tuple[int, ...]:
    """The lengths of steps with commas between: "12, 12, 12"."""
    parts = [part.strip() for part in text.split(",")]
    if not all(part.isascii() and part.isdigit() for part in parts):
        raise ValidationError("Write the months of each step like 12, 12, 12.")
    months = tuple(int(part) for part in parts)
    if len(months) > MOST_STEPS or not all(1 <= month <= MOST_MONTHS for month in months):
        raise ValidationError(f"At most {MOST_STEPS} steps, each of 1 to {MOST_MONTHS} months.")
    return months


def field_at(place: str) -> str | None:
    """The box that a refused place stands in; None for the whole form."""
    for start, name in (
        ("cuts.bands", "band_1"),
        ("cuts.lowest", "low_count_1"),
        ("cuts.months", "months"),
        ("cuts.fade", "fade"),
        ("cuts.mark", "mark_of"),
    ):
        if place.startswith(start):
            return name
    return None


def boxes_of(rules: CutRules) -> dict[str, Any]:
    """What the boxes hold for rules that stand."""
    found: dict[str, Any] = {
        "floor": rules.floor,
        "over": rules.over,
        "mark_of": rules.mark.of.value,
        "mark_points": rules.mark.points if rules.mark.of is MarkOf.POINTS else None,
        "mark_least": rules.mark.least or None,
        "mark_drop": rules.mark.drop or None,
        "mark_factor": text_of(rules.mark.factor) if rules.mark.factor != 1 else None,
        "maximum": rules.maximum,
        "expiry": rules.expiry.value,
        "months": ", ".join(str(length) for length in rules.months),
        "fade": text_of(rules.fade) if rules.expiry is Expiry.STEPS else None,
        "halves_up": rules.halves_up,
        "guests": rules.guests,
        "newcomers": rules.newcomers,
        "among_members": rules.among_members,
        "pass_on": rules.pass_on,
    }
    found |= _table_boxes(rules)
    for number, line in enumerate(rules.points):
        found |= _line_initial(f"p{number}", line, on_mark=line.over_mark)
        found |= {f"p{number}_whom": line.whom.value, f"p{number}_added": line.added}
    for number, rise in enumerate(rules.rises):
        found |= _line_initial(f"r{number}", rise, on_mark=rise.under_mark)
    return found


def _line_initial(name: str, line: PointsCut | PointsRise, *, on_mark: bool) -> dict[str, Any]:
    sizes = line.shots[:1] if len(set(line.shots)) == 1 else line.shots
    return {
        f"{name}_of": "mark" if on_mark else "points",
        f"{name}_at": text_of(line.at),
        f"{name}_shots": ", ".join(text_of(size) for size in sizes),
        f"{name}_each": line.each,
        f"{name}_most": None if line.most is None else text_of(line.most),
    }


def _table_boxes(rules: CutRules) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for number, top in enumerate(rules.bands, 1):
        found[f"band_{number}"] = top
    for place, shots in enumerate(rules.places, 1):
        for band, size in enumerate(shots, 1):
            found[f"place_{place}_{band}"] = text_of(size)
    for band, most in enumerate(rules.most, 1):
        found[f"most_{band}"] = None if most is None else text_of(most)
    if rules.lowest is not None:
        found["lowest_shots"] = text_of(rules.lowest.shots)
        for number, (up_to, count) in enumerate(rules.lowest.counts, 1):
            found |= {f"low_up_{number}": up_to, f"low_count_{number}": count}
    return found
