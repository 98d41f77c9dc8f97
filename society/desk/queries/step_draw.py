"""The step of the draw: made, published, changed since; a day can do without."""

from datetime import datetime

from django.urls import reverse

from society.desk.queries.step import Step
from society.entries.bridge.draws import Draw, the_draw
from society.entries.queries import in_the_field
from society.entries.rules.groups import group_of
from society.fixtures.models import Fixture
from society.fixtures.queries import the_round
from society.fixtures.rules import ENDED, FixtureState
from society.web.templatetags.look import count_of, day_clock
from society.web.who import ORGANISERS, Who


def draw_step(fixture: Fixture, who: Who, at: datetime) -> Step:
    """How the draw stands, who is alone or in no group, which cards to print again."""
    draw = the_draw(the_round(fixture))
    state, words = _state(fixture, draw)
    groups = [group for group in draw.groups if group] if draw else []
    return Step(
        title="Draw",
        desc=_desc(draw),
        state=state,
        state_words=words,
        url=reverse("desk:draw", args=[fixture.public_id]) if who.may(ORGANISERS) else None,
        count=len(groups) if draw else None,
        unit="group" if len(groups) == 1 else "groups",
        when=day_clock(draw.published_at) if draw else "",
    )


def _desc(draw: Draw | None) -> str:
    if draw is None:
        return "None. A day can do without: players name the marker on their card"
    said = [f"Seed {draw.inputs.seed}", count_of(draw.by_hand, "change,changes") + " by hand"]
    if draw.changed_since:
        said.append(f"{count_of(len(draw.changed_since), 'card,cards')} to be printed again")
    return ", ".join(said)


def _state(fixture: Fixture, draw: Draw | None) -> tuple[str, str]:
    ended = FixtureState(fixture.state) in ENDED
    if draw is None:
        return ("ink", "Without a draw") if ended else ("pencil", "Not made")
    if ended or fixture.state == FixtureState.REVIEWING.value:
        return "ink", "Played"
    if any(len(group) == 1 for group in draw.groups):
        return "act", "Somebody is alone"
    left_out = any(group_of(draw.groups, entry.key) is None for entry in in_the_field(fixture))
    if left_out:
        return "act", "Somebody is in no group"
    return ("ink", "Published") if draw.is_published else ("act", "Publish the draw")
