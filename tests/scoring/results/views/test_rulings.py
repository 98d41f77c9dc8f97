"""Making and taking back rulings on the page for officers."""

import pytest
from django.test import Client
from django.urls import reverse

from scoring.results.models import Ruling
from society.fixtures.models import Fixture
from tests.factories.cards import FIVES, FOURS
from tests.factories.members import AccountFactory, OfficeFactory
from tests.factories.results import competition_of, played

pytestmark = pytest.mark.django_db


def address(fixture: Fixture, name: str = "rulings", *args: str) -> str:
    return reverse(f"results:{name}", args=[fixture.public_id, *args])


def key(fixture: Fixture, at: int = 0) -> str:
    return fixture.entries.order_by("pk")[at].key


def flat(response: object) -> str:
    return " ".join(response.content.decode().split())


def test_a_penalty_by_the_form(secretary: Client) -> None:
    fixture = played([FOURS, FIVES])
    response = secretary.post(
        address(fixture),
        {"kind": "penalty", "entry": key(fixture), "hole": 7, "number": 2, "rule": "14.7a",
         "words": "wrong place"},
    )  # fmt: skip
    assert response.status_code == 302
    made = Ruling.objects.get()
    assert (made.kind, made.detail, made.rule, made.reason) == (
        "penalty", '{"hole":7,"strokes":2}', "14.7a", "wrong place",
    )  # fmt: skip
    html = flat(secretary.get(address(fixture)))
    assert "Player A000: 2 penalty strokes on hole 7" in html
    assert "By Wilf Tanglewood" in html


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"kind": "penalty", "number": 1}, "Choose the hole"),
        ({"kind": "penalty", "hole": 1}, "Say how many"),
        ({"kind": "penalty", "hole": 1, "number": 21}, "less than or equal to 20"),
        ({"kind": "points_off"}, "Say how many"),
        ({"kind": "no_return", "entry": ""}, "required"),
        ({"kind": "no_return", "words": ""}, "required"),
        ({"kind": "order"}, "not one of the available choices"),
    ],
)
def test_a_form_that_lacks_something_comes_back_with_it(
    secretary: Client, values: dict[str, object], words: str
) -> None:
    fixture = played([FOURS, FIVES])
    given = {"entry": key(fixture), "words": "because"} | values
    response = secretary.post(address(fixture), given)
    assert response.status_code == 422
    assert words in flat(response)
    assert not Ruling.objects.exists()


def test_what_the_engine_refuses_comes_back_as_a_sentence(secretary: Client) -> None:
    fixture = played([FOURS, FIVES])
    given = {"kind": "no_return", "entry": key(fixture), "words": "never came"}
    assert secretary.post(address(fixture), given).status_code == 302
    response = secretary.post(address(fixture), given | {"kind": "withdrawn"})
    assert response.status_code == 422
    assert "Player A000 has such a ruling already" in flat(response)
    assert "never came" in flat(response)  # what was typed is kept


def test_an_order_for_those_still_level(secretary: Client) -> None:
    fixture = played([FIVES, FIVES, FOURS])
    a, b = key(fixture, 0), key(fixture, 1)
    group = sorted([a, b])[0]
    assert "Still level" in flat(secretary.get(address(fixture)))
    given = {"group": group, "how": "hand", f"place_{a}": 2, f"place_{b}": 1}
    given |= {"words": "the captain drew"}
    bad = secretary.post(address(fixture, "order"), given | {f"place_{b}": 2})
    assert bad.status_code == 422
    assert "a number of their own" in flat(bad)
    assert secretary.post(address(fixture, "order"), given).status_code == 302
    page = flat(secretary.get(reverse("results:show", args=[fixture.public_id])))
    assert page.index("Player B001") < page.index("Player A000")
    assert "By lot, drawn by hand: the captain drew" in page
    late = secretary.post(address(fixture, "order"), given)
    assert late.status_code == 409
    assert "not level any more" in flat(late)


def test_withdraw_with_a_reason(secretary: Client) -> None:
    fixture = played([FOURS, FIVES])
    secretary.post(
        address(fixture), {"kind": "no_return", "entry": key(fixture), "words": "never came"}
    )
    to = address(fixture, "withdraw", Ruling.objects.get().public_id)
    assert secretary.post(to, {"words": ""}).status_code == 422
    assert secretary.post(to, {"words": "the card turned up"}).status_code == 302
    html = flat(secretary.get(address(fixture)))
    assert "the card turned up" in html
    assert "<s>Player A000: No return</s>" in html
    assert secretary.post(to, {"words": "again"}).status_code == 409
    other = played([FOURS])
    assert secretary.post(
        address(other, "withdraw", Ruling.objects.get().public_id), {"words": "x"}
    ).status_code == 404  # fmt: skip


def playing_secretary(fixture: Fixture) -> Client:
    account = fixture.entries.order_by("pk").first().player.accounts.get()
    OfficeFactory(account=account, role="secretary")
    client = Client()
    client.force_login(account)
    return client


def test_ones_own_card_needs_another_officer(society: object) -> None:
    fixture = played([FOURS, FIVES])
    client = playing_secretary(fixture)
    OfficeFactory(account=AccountFactory(), role="captain")
    given = {"kind": "no_return", "entry": key(fixture), "words": "mine"}
    response = client.post(address(fixture), given)
    assert response.status_code == 403
    assert "another officer makes this ruling" in flat(response)
    assert not Ruling.objects.exists()


def test_alone_a_witness_is_asked_for(society: object) -> None:
    fixture = played([FOURS, FIVES])
    client = playing_secretary(fixture)
    given = {"kind": "no_return", "entry": key(fixture), "words": "mine"}
    response = client.post(address(fixture), given)
    assert response.status_code == 422
    assert "Name a witness" in flat(response)
    assert client.post(address(fixture), given | {"witness": "Ida"}).status_code == 302
    assert "witness: Ida" in Ruling.objects.get().reason


@pytest.mark.parametrize("kind", ["member", "scorer", "outsider"])
def test_the_page_is_for_organisers(kind: str, request: pytest.FixtureRequest) -> None:
    client = request.getfixturevalue(kind)
    fixture = played([FOURS])
    assert client.get(address(fixture)).status_code == 403
    assert client.post(address(fixture), {}).status_code == 403
    assert client.post(address(fixture, "order"), {}).status_code == 403
    assert client.get(address(fixture, "order")).status_code == 405


def test_nothing_is_ruled_on_a_final_result(secretary: Client) -> None:
    fixture = played([FIVES, FIVES])
    a, b = sorted([key(fixture, 0), key(fixture, 1)])
    fixture.state = "final"
    fixture.save()
    shown = secretary.get(address(fixture)).content.decode()
    assert "A ruling waits until it is opened again" in shown
    assert "Make the ruling" not in shown
    given = {"kind": "no_return", "entry": a, "words": "late"}
    assert secretary.post(address(fixture), given).status_code == 409
    order = {"group": a, "how": "hand", f"place_{a}": 2, f"place_{b}": 1, "words": "late"}
    assert secretary.post(address(fixture, "order"), order).status_code == 409
    assert not Ruling.objects.exists()
    assert competition_of(fixture).rulings.count() == 0
