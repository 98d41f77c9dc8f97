"""The steps of a change: how long each lasts, what runs on a day, how they are kept.

>>> later(date(2024, 1, 31), 1)
datetime.date(2024, 2, 29)
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from scoring.rules.checks import day, items, obj
from scoring.rules.strict_json import Refused, canonical, inside, quoted, read_json
from society.handicaps.rules.cuts.values import CutRules, Expiry, Step

MOST_SHOTS = Decimal(54)
NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class Line:
    """One step with both its days: from `since` up to and without `until`."""

    shots: Decimal
    since: date
    until: date | None

    def runs_on(self, on: date) -> bool:
        """Whether it counts on a day."""
        return self.since <= on and (self.until is None or on < self.until)


def later(start: date, months: int) -> date:
    """The same day so many calendar months on; the last of the month where there is none such."""
    years, month = divmod(start.month - 1 + months, 12)
    for day_ in range(start.day, 0, -1):
        try:
            return date(start.year + years, month + 1, day_)
        except ValueError:
            continue
    raise ValueError("no month is that far on")


def day_after(on: date) -> date:
    """The next day."""
    return date.fromordinal(on.toordinal() + 1)


def steps_of(
    rules: CutRules, shots: Decimal, valid_from: date, season_ends: date | None
) -> tuple[Step, ...]:
    """The steps of a change of so many shots; none where it would end before it begins.

    `season_ends`: the last day of the season; without one a change that ends with it has no end.
    """
    if not shots:
        return ()
    if rules.expiry is Expiry.SEASON and season_ends is not None:
        until = day_after(season_ends)
        return (Step(shots, until),) if until > valid_from else ()
    if rules.expiry is not Expiry.STEPS:
        return (Step(shots, None),)
    steps: list[Step] = []
    sign, left, months = (-1 if shots < 0 else 1), abs(shots), 0
    for length in rules.months:
        if left <= 0:
            break
        months += length
        steps.append(Step(sign * left, later(valid_from, months)))
        left -= rules.fade
    return tuple(steps)


def lines_of(valid_from: date, steps: Sequence[Step]) -> list[Line]:
    """Each step with the day it begins."""
    lines: list[Line] = []
    since = valid_from
    for step in steps:
        lines.append(Line(step.shots, since, step.until))
        since = step.until or since
    return lines


def line_on(valid_from: date, steps: Sequence[Step], on: date) -> Line | None:
    """The step that counts on a day; None before the change and after its end."""
    return next((line for line in lines_of(valid_from, steps) if line.runs_on(on)), None)


def steps_on(valid_from: date, steps: Sequence[Step], on: date) -> Decimal:
    """The shots of a change on a day: below zero a cut, zero before it and after its end."""
    line = line_on(valid_from, steps, on)
    return line.shots if line else NOTHING


def written_steps(steps: Sequence[Step]) -> str:
    """The steps as they are kept: canonical JSON."""
    return canonical(
        [
            {"shots": f"{step.shots:.1f}", "until": step.until.isoformat() if step.until else None}
            for step in steps
        ]
    )


def read_steps(text: str) -> tuple[Step, ...]:
    """Kept steps; raises Refused with the place of what cannot be read."""
    found: list[Step] = []
    for at, value in enumerate(items(read_json(text), "steps")):
        place = inside("steps", at)
        said = obj(value, place, ("shots", "until"))
        until = None if said["until"] is None else day(said["until"], inside(place, "until"))
        if found and (found[-1].until is None or (until and until <= found[-1].until)):
            raise Refused(inside(place, "until"), "wants a later day than the step before")
        found.append(Step(_shots(said["shots"], inside(place, "shots")), until))
    return tuple(found)


def _shots(value: object, place: str) -> Decimal:
    if isinstance(value, str):
        try:
            shots = Decimal(value)
        except ArithmeticError:
            shots = Decimal("NaN")
        if shots.is_finite() and abs(shots) <= MOST_SHOTS and f"{shots:.1f}" == value:
            return shots
    raise Refused(place, f"wants shots with one decimal as a text, not {quoted(value)}")


def resized(steps: Sequence[Step], shots: Decimal) -> tuple[Step, ...]:
    """The same days with another size: each step is smaller by as much as it was before.

    >>> resized([Step(Decimal(-3), date(2025, 5, 1)), Step(Decimal(-2), None)], Decimal(-1))
    (Step(shots=Decimal('-1'), until=datetime.date(2025, 5, 1)),)
    """
    if not shots:
        return ()
    if not steps:
        return (Step(shots, None),)
    sign = -1 if shots < 0 else 1
    found: list[Step] = []
    for step in steps:
        left = abs(shots) - (abs(steps[0].shots) - abs(step.shots))
        if left <= 0:
            break
        found.append(Step(sign * left, step.until))
    return tuple(found)


def cut_short(valid_from: date, steps: Sequence[Step], on: date) -> tuple[Step, ...]:
    """What was true of a change that ends on a day: its steps up to and without that day."""
    found: list[Step] = []
    for line in lines_of(valid_from, steps):
        if line.since >= on:
            break
        until = on if line.until is None else min(line.until, on)
        found.append(Step(line.shots, until))
    return tuple(found)
