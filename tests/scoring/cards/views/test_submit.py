"""Figures sent as JSON: every status, with a sentence, the UUID and the digest."""

import json
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scoring.cards.models import Card, CardRevision
from scoring.cards.rules.payload import digest_of, payload_of
from society.audit.models import AuditLine
from tests.conftest import signed_in
from tests.factories.cards import FIVES, FOURS, acts_for, ready

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair(society):
    return ready()


def post(client, start, body, **headers):
    text = body if isinstance(body, bytes | str) else json.dumps(body)
    address = reverse("cards:submit", args=[start.public_id])
    return client.post(address, text, content_type="application/json", **headers)


def browser(start):
    return signed_in(acts_for(start.entry.player))


def card(**values):
    return {"uuid": str(uuid4()), "parent": None, "strokes": FOURS} | values


def test_201_then_200_with_the_same_echo(pair) -> None:
    client, body = browser(pair[0]), card()
    first, again = post(client, pair[0], body), post(client, pair[0], body)
    assert (first.status_code, again.status_code) == (201, 200)
    digest = digest_of(pair[0].public_id, payload_of(FOURS))
    for response in (first, again):
        assert response.json()["uuid"] == body["uuid"]
        assert response.json()["digest"] == digest
        assert response.json()["words"]
    assert set(first.json()) == {"uuid", "digest", "outcome", "words"}


def test_202_for_a_stale_an_unknown_a_late_and_a_sealed_one(pair) -> None:
    client = browser(pair[0])
    post(client, pair[0], card())
    fixture = pair[0].round.fixture
    sentences = set()
    for parent, state in (
        (None, "open"),
        (str(uuid4()), "open"),
        (None, "reviewing"),
        (None, "final"),
    ):
        fixture.state = state
        fixture.save()
        response = post(client, pair[0], card(strokes=FIVES, parent=parent))
        assert response.status_code == 202
        sentences.add(response.json()["words"])
    assert len(sentences) == 4


def test_409_where_no_card_is_taken(pair) -> None:
    fixture = pair[0].round.fixture
    fixture.state = "cancelled"
    fixture.save()
    response = post(browser(pair[0]), pair[0], card())
    assert response.status_code == 409
    assert "called off" in response.json()["words"]


@pytest.mark.parametrize(
    "change",
    [
        {"strokes": FOURS[:17]},
        {"strokes": [0] + FOURS[1:]},
        {"strokes": [100] + FOURS[1:]},
        {"strokes": ["five"] + FOURS[1:]},
        {"strokes": [True] + FOURS[1:]},
        {"strokes": [16] + FOURS[1:]},
        {"strokes": None},
        {"uuid": "1"},
        {"uuid": None},
        {"parent": "1"},
        {"record": "committee"},
        {"record": []},
        {"right": ["7"]},
        {"claimed_at": "yesterday"},
        {"claimed_at": "2026-04-18T10:00:00"},
        {"total": 99},
        {"author": "somebody"},
        {"state": "returned"},
    ],
)
def test_422_for_anything_wrong_and_nothing_is_kept(pair, change) -> None:
    response = post(browser(pair[0]), pair[0], card(**change))
    assert response.status_code == 422
    assert response.json()["words"]
    assert not Card.objects.exists()
    assert not AuditLine.objects.exists()


@pytest.mark.parametrize(
    "body",
    [
        b" ",
        b"[]",
        b"null",
        b"{",
        b'{"strokes": [NaN]}',
        b'{"strokes": [1e400]}',
        b'{"uuid": 1, "uuid": 2}',
        b"\xff\xfe",
        b"[" * 5000,
        b'{"strokes": [' + b"4," * 40_000 + b"4]}",
    ],
)
def test_422_for_what_is_no_card_at_all(pair, body) -> None:
    response = post(browser(pair[0]), pair[0], body)
    assert response.status_code == 422
    assert response.json()["words"]


def test_422_names_each_hole_and_what_is_asked(pair) -> None:
    response = post(browser(pair[0]), pair[0], card(strokes=[0, 17] + FOURS[2:]))
    assert [row["hole"] for row in response.json()["holes"]] == [1]
    assert response.json()["asks"] == [{"hole": 2, "score": 17}]
    confirmed = card(strokes=[4, 17] + FOURS[2:], right=[2])
    assert post(browser(pair[0]), pair[0], confirmed).status_code == 201


def test_422_for_another_members_number_without_a_hint(pair) -> None:
    body = card()
    post(browser(pair[0]), pair[0], body)
    other = post(browser(pair[1]), pair[1], body)
    own = post(browser(pair[0]), pair[0], body | {"strokes": FIVES})
    assert (other.status_code, own.status_code) == (422, 422)
    assert other.json() == own.json()
    assert CardRevision.objects.count() == 1


def test_the_marker_writes_the_markers_figures_only(pair) -> None:
    client = browser(pair[1])
    assert post(client, pair[0], card(record="marker")).status_code == 201
    assert post(client, pair[0], card(record="player")).status_code == 403


def test_signed_out_is_401_and_a_strangers_card_404(pair, stranger, outsider) -> None:
    assert post(stranger, pair[0], card()).status_code == 401
    assert post(outsider, pair[0], card()).status_code == 404
    assert not Card.objects.exists()


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=20) | st.dictionaries(st.text(max_size=8), inner, max_size=6)
    ),
    max_leaves=25,
)
near_cards = st.fixed_dictionaries(
    {
        "uuid": st.uuids().map(str) | json_values,
        "parent": st.none() | st.uuids().map(str) | json_values,
        "strokes": st.lists(st.integers(-2, 120) | st.none() | json_values, max_size=20)
        | st.lists(st.integers(1, 15), min_size=18, max_size=18),
    },
    optional={
        "record": st.sampled_from(["player", "marker", "committee"]) | json_values,
        "right": st.lists(st.integers(0, 20), max_size=3) | json_values,
        "claimed_at": st.datetimes().map(str) | json_values,
        "total": json_values,
    },
)
few = settings(
    max_examples=200,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


@few
@given(body=near_cards | json_values)
def test_no_json_makes_a_500_and_no_refusal_a_change(pair, body) -> None:
    client = browser(pair[0])
    client.raise_request_exception = True
    before = (CardRevision.objects.count(), AuditLine.objects.count())
    response = post(client, pair[0], json.dumps(body))
    after = (CardRevision.objects.count(), AuditLine.objects.count())
    assert response.status_code in {200, 201, 202, 403, 409, 422}
    if response.status_code in {201, 202}:
        assert after == (before[0] + 1, before[1] + 1)
    else:
        assert after == before


def test_a_form_in_parts_that_wants_json_is_refused_with_a_sentence(pair) -> None:
    """Such a body is read as a form before anybody asks for it as it came."""
    client = Client(enforce_csrf_checks=True)
    client.force_login(acts_for(pair[0].entry.player))
    token = client.get(reverse("cards:show", args=[pair[0].public_id])).cookies["csrf"].value
    address = reverse("cards:submit", args=[pair[0].public_id])
    told = {"record": "player", "csrfmiddlewaretoken": token}
    response = client.post(address, told, headers={"Accept": "application/json"})
    assert response.status_code == 422
    assert response.json()["words"]
    assert not CardRevision.objects.exists()


@few
@given(body=st.binary(max_size=300))
def test_no_bytes_make_a_500(pair, body) -> None:
    assert post(browser(pair[0]), pair[0], body).status_code == 422
    assert not Card.objects.exists()


@few
@given(
    data=st.dictionaries(
        st.sampled_from(
            ["uuid", "parent", "record", "right", "h1", "h2", "h18", "n1", "n2", "h19", "x"]
        ),
        st.text(max_size=12) | st.sampled_from(["4", "-", "0", "99", "player", "marker"]),
    )
)
def test_no_form_makes_a_500_and_no_refusal_a_change(pair, data) -> None:
    before = CardRevision.objects.count()
    address = reverse("cards:submit", args=[pair[0].public_id])
    response = browser(pair[0]).post(address, data)
    nul = any("\0" in text for text in data.values())
    assert response.status_code in ({400} if nul else {303, 403, 409, 422})
    assert CardRevision.objects.count() == before + (response.status_code == 303)
