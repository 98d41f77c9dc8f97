"""A guest's figure from the form to what is taken: stated, dated, and capped for guests.

That a guest plays off a stated figure up to a maximum for guests: common practice, no source.
"""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from society.entries.actions.freezing import take_handicaps
from society.entries.models import Frozen
from society.fixtures.actions.seasons import set_season_handicaps
from society.fixtures.queries import the_round
from society.handicaps.models import HandicapEntry
from society.handicaps.rules.season import Basis, HandicapRules
from society.handicaps.rules.used import read_made
from society.web.who import Who
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.factories.members import OfficeFactory

pytestmark = pytest.mark.usefixtures("society")
AT = datetime(2026, 4, 15, 10, 0, tzinfo=UTC)
OFFICER = Who.command("test")


@pytest.mark.parametrize(
    ("typed", "stated", "taken", "words"),
    [
        ("30.4", "30.4", "24", "at most 24 for guests: 30.4 becomes 24"),
        ("+1.2", "-1.2", "-1.2", ""),
        ("18", "18.0", "18", ""),
    ],
)
def test_from_the_form_to_what_is_taken(typed: str, stated: str, taken: str, words: str) -> None:
    fixture = saturday()
    host = entered(fixture).player
    set_season_handicaps(
        season=fixture.season,
        rules=HandicapRules(Basis.ASSOCIATION, maximum={"men": 28}, guest_maximum=24),
        valid_from=fixture.season.starts_on,
        words="Agreed in spring.",
        by=OFFICER,
        at=AT,
    )
    desk = Client()
    desk.force_login(OfficeFactory(role="secretary").account)
    sent = {
        "name": "Gil Marsh", "category": "men", "host": host.public_id,
        "handicap": typed, "home_club": "",
    }  # fmt: skip
    answer = desk.post(reverse("entries:guest", args=[fixture.public_id]), sent)
    assert answer.status_code == 302
    line = HandicapEntry.objects.get(player__name="Gil Marsh")
    assert (str(line.value), line.source) == (stated, "stated")
    assert line.valid_from == the_round(fixture).day
    take_handicaps(fixture=fixture, by=OFFICER, at=AT)
    frozen = Frozen.objects.get(start__entry__player=line.player)
    assert frozen.value == Decimal(taken)
    assert frozen.source_entry == line
    kept = read_made(frozen.made_of)  # nothing is kept where the line is taken as it stands
    assert (kept is not None) == bool(words)
    if kept is not None:
        assert "as stated" in kept.words
        assert words in kept.words


def test_a_guest_without_a_figure_is_listed_as_missing() -> None:
    fixture = saturday()
    host = entered(fixture).player
    desk = Client()
    desk.force_login(OfficeFactory(role="secretary").account)
    sent = {"name": "Gil Marsh", "category": "men", "host": host.public_id, "handicap": ""}
    assert desk.post(reverse("entries:guest", args=[fixture.public_id]), sent).status_code == 302
    page = desk.get(reverse("desk:handicaps", args=[fixture.public_id])).context["page"]
    assert [row.entry.player.name for row in page.missing] == ["Gil Marsh"]
