"""Adding a line to the record by form."""

import html
import re
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from society.fixtures.actions.seasons import set_season_handicaps
from society.handicaps.models import HandicapEntry
from society.handicaps.rules.season import Basis, HandicapRules
from society.members.models import Player
from society.web.who import Who
from tests.conftest import signed_in
from tests.factories.fixtures import SeasonFactory
from tests.factories.members import AccountFactory, OfficeFactory

LINE = {
    "handicap": "+1.2",
    "handicap_kind": "index",
    "source": "association",
    "valid_from": "2026-04-01",
    "words": "copied from the list",
}


@pytest.fixture
def address(player: Player) -> str:
    return reverse("handicaps:add", args=[player.public_id])


def test_a_plus_handicap_is_kept_below_zero_and_said_in_words(
    address: str, player: Player, society: object
) -> None:
    keeper = AccountFactory()
    OfficeFactory(account=keeper, role="handicap_secretary")
    client = signed_in(keeper)
    assert "Handicap record" in client.get(address).content.decode()
    response = client.post(address, LINE, follow=True)
    page = response.content.decode()
    assert HandicapEntry.objects.get().value == Decimal("-1.2")
    assert "index plus 1.2." in page
    assert "+1.2" in page
    assert "copied from the list" in page


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"handicap": "-1.2"}, "A plus handicap is written +1.2"),
        ({"handicap": ""}, "Write the handicap."),
        ({"handicap": "60"}, "60 is no index"),
        ({"handicap": "12.5", "handicap_kind": "playing"}, "whole number"),
        ({"valid_from": ""}, "from which day"),
        ({"valid_from": "2062-04-01"}, "at most a year ahead"),
        ({"source": "x"}, "Select a valid choice"),
    ],
)
def test_bad_input_is_422_and_kept(
    change: dict[str, str], said: str, address: str, secretary: Client
) -> None:
    response = secretary.post(address, LINE | change)
    page = response.content.decode()
    assert response.status_code == 422
    assert said in page
    assert "error-summary" in page
    assert "copied from the list" in page
    assert not HandicapEntry.objects.exists()


def test_what_the_committee_sets_wants_its_reason(address: str, secretary: Client) -> None:
    bare = LINE | {"source": "committee", "words": " "}
    response = secretary.post(address, bare)
    assert response.status_code == 422
    assert "Say why the committee set it" in response.content.decode()
    assert not HandicapEntry.objects.exists()
    assert secretary.post(address, bare | {"words": "Three cards seen"}).status_code == 302
    assert HandicapEntry.objects.get().source == "committee"


def test_a_change_by_the_society_wants_its_reason_and_shows_it(
    address: str, player: Player, secretary: Client
) -> None:
    ours = LINE | {"source": "society", "handicap": "+1", "words": ""}
    assert secretary.post(address, ours).status_code == 302  # a first figure
    other = ours | {"handicap": "14", "valid_from": "2026-04-02"}
    refused = secretary.post(address, other)
    assert refused.status_code == 422
    page = refused.content.decode()
    assert "Say why plus 1.0 becomes 14.0: the reason stands in the record." in page
    assert 'value="14"' in page
    assert HandicapEntry.objects.count() == 1
    assert secretary.post(address, other | {"words": "Three cards seen"}).status_code == 302
    record = reverse("desk:record", args=[player.public_id])
    changes = secretary.get(record).content.decode().partition('id="changes"')[2]
    assert "+1.0 → 14.0" in changes
    assert "Three cards seen" in changes
    assert "Written by Wilf Tanglewood" in changes


@pytest.mark.parametrize("browser", ["captain", "scorer", "member", "outsider"])
def test_others_stay_out(browser: str, address: str, request: pytest.FixtureRequest) -> None:
    client = request.getfixturevalue(browser)
    assert client.get(address).status_code == 403
    assert client.post(address, LINE).status_code == 403
    assert not HandicapEntry.objects.exists()


def test_a_player_who_is_not_there(secretary: Client) -> None:
    assert secretary.get(reverse("handicaps:add", args=["nosuch"])).status_code == 404


UNSEEN = "\u200b\u200d\ufeff"  # three of no width (Unicode, general category Cf)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (UNSEEN, "Say why the committee set it"),
        ("won\x07", "cannot be seen (U+0007)"),
        ("won \u202enow", "cannot be seen (U+202E)"),
        ("x" * 501, "501 letters, and at most 500 are kept"),
    ],
)
def test_a_reason_can_be_read(words: str, said: str, address: str, secretary: Client) -> None:
    response = secretary.post(address, LINE | {"source": "committee", "words": words})
    assert response.status_code == 422
    assert said in response.content.decode()
    assert not HandicapEntry.objects.exists()


def test_a_form_sent_twice_writes_once(address: str, secretary: Client) -> None:
    assert secretary.post(address, LINE).status_code == 302
    again = secretary.post(address, LINE)
    assert again.status_code == 422
    assert "stands in the record from that day already" in again.content.decode()
    assert HandicapEntry.objects.count() == 1
    assert secretary.post(address, LINE | {"valid_from": "2026-04-02"}).status_code == 302


@pytest.mark.parametrize("figure", ["\uff11\uff12", "NaN", "1e1", "12\u200b", "9" * 5000])
def test_a_figure_that_is_none_is_shown_in_part(
    figure: str, address: str, secretary: Client
) -> None:
    response = secretary.post(address, LINE | {"handicap": figure})
    page = response.content.decode()
    assert response.status_code == 422
    assert "is no handicap. Write it like 12.3" in page
    assert "9" * 30 + "” is no" not in page
    assert not HandicapEntry.objects.exists()


# what the season asks for


def season_with(rules: HandicapRules) -> None:
    season = SeasonFactory(name="2026")
    set_season_handicaps(
        season=season,
        rules=rules,
        valid_from=season.starts_on,
        words="Agreed in spring.",
        by=Who.command("test"),
        at=datetime(2026, 4, 15, 10, 0, tzinfo=UTC),
    )


def chosen_source(client: Client, address: str) -> str:
    page = client.get(address).content.decode()
    found = re.search(r'<option value="(\w+)" selected>[^<]*</option>', page.partition("source")[2])
    assert found is not None
    return found[1]


@pytest.mark.parametrize(
    ("rules", "source"),
    [
        (None, "society"),
        (HandicapRules(), "society"),
        (HandicapRules(source="stated"), "stated"),
        (HandicapRules(Basis.CARDS), "society"),
        (HandicapRules(Basis.ASSOCIATION), "association"),
        (HandicapRules(Basis.WITH_CUTS), "association"),
    ],
)
def test_the_form_begins_with_the_source_the_season_asks_for(
    rules: HandicapRules | None, source: str, address: str, secretary: Client
) -> None:
    if rules is not None:
        season_with(rules)
    assert chosen_source(secretary, address) == source
    assert chosen_source(secretary, f"{address}?source=committee") == "committee"


def test_the_form_says_what_is_played_off(address: str, secretary: Client) -> None:
    season_with(HandicapRules(Basis.ASSOCIATION))
    assert "Played off: the association’s index." in html.unescape(
        secretary.get(address).content.decode()
    )


def said_after(client: Client, address: str, **change: str) -> str:
    answer = client.post(address, LINE | change, follow=True)
    return html.unescape(answer.content.decode())


def test_a_figure_that_the_season_does_not_take_is_said_to_be_so(
    address: str, player: Player, secretary: Client
) -> None:
    season_with(HandicapRules(Basis.ASSOCIATION))
    first = said_after(secretary, address, handicap="22", source="society")
    kept = f"Written down for {player.name}: society handicap 22.0. "
    assert f"{kept}The season takes nothing of the record yet." in first
    taken = said_after(secretary, address, handicap="14.2", source="association")
    assert f"Written down for {player.name}: index 14.2." in taken
    assert "The season takes" not in taken
    beside = said_after(
        secretary, address, handicap="23", source="society", valid_from="2026-04-02"
    )
    assert (
        "society handicap 23.0. The season takes another figure today: "
        "index 14.2 of the association, from 1 April 2026."
    ) in beside


def test_without_a_season_nothing_is_said_of_it(address: str, secretary: Client) -> None:
    assert "The season takes" not in said_after(secretary, address, source="society")
