"""The words of letters that need more than one app: the result of a day."""

from datetime import timedelta

from django.urls import reverse

from society.audit.actions import Deed
from society.desk.queries.results import final_places
from society.fixtures.models import Fixture
from society.members import letters
from society.members.models import Player
from society.members.queries import society_day
from society.members.rules import LetterKind
from society.web.templatetags.look import day_long

_NEWS = timedelta(days=14)  # an older day is being written up, and everybody knows how it ended


def result_out(d: Deed, fixture: Fixture) -> None:
    """Everyone in the final result hears how they came out of it, in the deed that seals it."""
    if society_day(d.at) > fixture.ends_on + _NEWS:
        return
    placed = final_places([fixture]).get(fixture.pk, [])
    players = Player.objects.in_bulk([one.player for one in placed], field_name="public_id")
    counted = sum(one.place is not None for one in placed)
    for one in placed:
        if one.player not in players:
            continue
        if one.place is None:
            said = f"You have no place in it: {one.status}."
        else:
            said = f"You are {one.words}, of {counted} with a place."
            said += f" {one.settled.rstrip('.')}." if one.settled else ""
        letters.write(
            d,
            to=players[one.player],
            kind=LetterKind.RESULT,
            subject=f"{fixture.name}: the result is out",
            text=f"The result of {fixture.name} on {day_long(fixture.starts_on)} is final."
            f"\n\n{said}",
            about=f"fixture:{fixture.public_id}",
            link=reverse("results:show", args=[fixture.public_id]),
        )
