"""The steps of a fixture, in order, with what is missing for each and where to act.

Each step is worked out in a file of its own, `step_<name>.py`, by one function
`<name>_step(fixture, who, at) -> Step`; a new step adds one import and one line to `STEPS`.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from society.desk.queries.step import Step
from society.desk.queries.step_cards import cards_step
from society.desk.queries.step_checks import checks_step
from society.desk.queries.step_draw import draw_step
from society.desk.queries.step_entries import entries_step
from society.desk.queries.step_handicaps import handicaps_step
from society.desk.queries.step_publish import publish_step
from society.desk.queries.step_setup import setup_step
from society.desk.queries.step_ties import ties_step
from society.fixtures.models import Fixture
from society.web.who import Who

STEPS: tuple[Callable[[Fixture, Who, datetime], Step], ...] = (
    setup_step,
    entries_step,
    handicaps_step,
    draw_step,
    cards_step,
    checks_step,
    ties_step,
    publish_step,
)


def steps_of(fixture: Fixture, who: Who, at: datetime) -> list[Step]:
    """The steps as this officer sees them, numbered from one."""
    return [
        replace(step(fixture, who, at), number=number) for number, step in enumerate(STEPS, start=1)
    ]


def steps_summary(steps: list[Step]) -> str:
    """One sentence over the list: how many are done, need you, or wait."""
    done = sum(step.state in ("ink", "final") for step in steps)
    act = sum(step.state == "act" for step in steps)
    return f"{done} done, {act} for you to do, {len(steps) - done - act} not settled yet."
