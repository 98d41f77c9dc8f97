"""A guest's own card by link: it opens that guest's cards, and not one page more."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from scoring.cards.models import Certificate, GuestLink
from scoring.cards.queries import card_reading
from scoring.cards.rules.words import Means
from society.audit.models import AuditLine
from society.members.queries import society_day
from society.web import clock
from society.web.access import OR_BY_LINK, PUBLIC
from society.web.checks import every_url
from tests.factories.cards import FIVES, ready
from tests.factories.fixtures import saturday
from tests.scoring.cards.views.test_pages import browser, html, page, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair(society):
    """A guest and a member who mark each other today."""
    starts = ready(saturday(starts_on=society_day(clock.now())))
    guest = starts[0]
    guest.entry.as_member = False
    guest.entry.save()
    guest.entry.player.accounts.all().delete()
    return starts


def link(officer, start) -> str:
    made = officer.post(reverse("cards:hand_link", args=[start.public_id]))
    assert made.status_code == 200
    return "/cards/guest/" + html(made).split("/cards/guest/")[1].split('"')[0]


def phone(officer, start) -> Client:
    """A phone on which the link was opened."""
    client = Client()
    assert client.post(link(officer, start)).status_code == 302
    return client


def certify(client, start, capacity="player"):
    data = {"capacity": capacity, "digest": card_reading(start).standing_digest}
    return client.post(reverse("cards:certify", args=[start.public_id]), data)


def test_looking_at_the_link_opens_nothing_yet(pair, scorer) -> None:
    client = Client()
    found = client.get(link(scorer, pair[0]))
    assert pair[0].entry.player.name in html(found)
    assert client.get(page(pair[0])).status_code == 302


def test_the_guest_writes_and_certifies_and_the_card_says_by_what_means(pair, scorer) -> None:
    client = phone(scorer, pair[0])
    assert send(client, pair[0], FIVES).status_code == 303
    assert certify(client, pair[0]).status_code == 302
    signed = Certificate.objects.get()
    assert (signed.means, signed.signer) == (Means.OWN_LINK, pair[0].entry.player)
    line = AuditLine.objects.order_by("number").last()
    assert pair[0].entry.player.public_id in line.by
    assert pair[0].entry.player.name not in line.by
    assert "by a guest’s own link" in html(scorer.get(page(pair[0])))
    assert "by link" in html(scorer.get(page(pair[0])))  # in the officers' history


def test_the_guest_certifies_the_card_they_mark(pair, scorer) -> None:
    send(browser(pair[1]), pair[1], FIVES)
    assert certify(phone(scorer, pair[0]), pair[1], "marker").status_code == 302
    assert Certificate.objects.get(capacity="marker").signer == pair[0].entry.player


def test_it_opens_not_one_page_more(pair, scorer) -> None:
    client = phone(scorer, pair[0])
    stranger = ready(saturday())[0]
    assert client.get(page(stranger)).status_code == 404
    other = {"public_id": stranger.public_id, "fixture_id": stranger.round.fixture.public_id}
    for name, url in every_url():
        allowed = url.callback.access.allowed
        if allowed in (PUBLIC, OR_BY_LINK):
            continue
        names = url.pattern.converters
        response = client.get(reverse(name, args=[other.get(one, "1") for one in names]))
        assert response.status_code == 302, name
        assert response.headers["Location"].startswith(reverse("members:sign_in")), name


def test_a_newer_link_ends_the_older(pair, scorer) -> None:
    older = link(scorer, pair[0])
    client = phone(scorer, pair[0])
    assert Client().get(older).status_code == 404
    assert client.get(page(pair[0])).status_code == 200
    link(scorer, pair[0])
    assert client.get(page(pair[0])).status_code == 302


def test_it_ends_some_days_after_the_round(pair, scorer, monkeypatch) -> None:
    client = phone(scorer, pair[0])
    ends = GuestLink.objects.get().ends_at
    monkeypatch.setattr(clock, "now", lambda: ends + timedelta(seconds=1))
    assert client.get(page(pair[0])).status_code == 302


def test_only_a_guest_gets_one_and_only_from_those_who_take_in_cards(pair, scorer) -> None:
    address = reverse("cards:hand_link", args=[pair[1].public_id])
    assert scorer.post(address).status_code == 409
    assert browser(pair[1]).post(address).status_code == 403
    assert not GuestLink.objects.exists()


def test_signed_in_the_link_stays_closed(pair, scorer) -> None:
    address = link(scorer, pair[0])
    assert browser(pair[1]).post(address).status_code == 409
