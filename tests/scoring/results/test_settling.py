"""Ties left shared: by lot from a seed that is kept, by hand, by play-off; told and exported."""

import hashlib
from datetime import datetime

import pytest
from django.test import Client
from django.urls import reverse

from scoring.results.actions.ruling import put_in_order, rule_everywhere
from scoring.results.actions.sealing import seal
from scoring.results.bridge import event_document
from scoring.results.models import Ruling
from scoring.results.queries.standings import provisional
from scoring.results.queries.versions import verify_seals
from scoring.rules.engine import score
from scoring.rules.event import read_event
from scoring.rules.strict_json import read_json
from society.audit.models import Words
from society.entries.actions.competing import Contest, add_competition
from society.entries.models import Entry
from society.fixtures.models import Competition
from society.web.refusals import BadInput, NotYours
from society.web.who import Who
from tests.factories.cards import FIVES, FOURS
from tests.factories.results import OFFICER, competition_of, played

pytestmark = pytest.mark.django_db


def level(at: datetime) -> tuple[Competition, list[str]]:
    """Three players who are level to the end, and one below them."""
    fixture = played([FIVES, FIVES, FIVES, [6] * 18])
    keys = list(fixture.entries.order_by("pk").values_list("key", flat=True)[:3])
    return competition_of(fixture), keys


def test_a_lot_drawn_here_can_be_drawn_again_from_what_the_page_says(
    secretary: Client, at: datetime
) -> None:
    competition, keys = level(at)
    address = reverse("results:order", args=[competition.address])
    given = {"group": sorted(keys)[0], "how": "lot", "words": "the committee, as the terms say"}
    assert secretary.post(address, given).status_code == 302
    ruling = Ruling.objects.get()
    said = read_json(ruling.detail)
    seed = said["seed"]
    again = sorted(keys, key=lambda key: hashlib.sha256(f"{seed}|{key}".encode()).hexdigest())
    standings = provisional(competition).answer["standings"]
    assert [row["player"] for row in standings[:3]] == again
    assert not any(row["tied"] for row in standings)
    page = reverse("results:show", args=[competition.address])
    html = secretary.get(page).content.decode()
    assert f"By lot, drawn from the seed {seed}: the committee, as the terms say" in html


@pytest.mark.parametrize(
    ("how", "reason"),
    [
        ("hand", "by lot, drawn by hand: the captain drew at 18:10"),
        ("play-off", "by play-off: the captain drew at 18:10"),
        ("other", "the captain drew at 18:10"),
    ],
)
def test_an_order_found_by_people_is_sealed_and_exported_with_its_way(
    how: str, reason: str, at: datetime
) -> None:
    competition, keys = level(at)
    order = [keys[2], keys[0], keys[1]]
    put_in_order(competition=competition, keys=order, how=how, words="the captain drew at 18:10",
                 by=OFFICER, at=at)  # fmt: skip
    document = event_document(competition)
    assert document["rulings"] == [{"kind": "order", "players": order, "reason": reason}]
    answer = score(read_event(document))
    assert [row["player"] for row in answer["standings"][:3]] == order
    assert answer["standings"][0]["settled"] == reason
    version = seal(competition=competition, by=OFFICER, at=at)
    assert reason in version.outputs
    assert list(verify_seals()) == []


def test_the_way_is_still_said_where_the_words_were_blanked(at: datetime) -> None:
    competition, keys = level(at)
    put_in_order(competition=competition, keys=keys, how="play-off", words="named somebody",
                 by=OFFICER, at=at)  # fmt: skip
    Words.objects.update(text="")
    assert event_document(competition)["rulings"][0]["reason"] == "by play-off"


@pytest.mark.parametrize(
    ("values", "field"),
    [({"how": "dice"}, "how"), ({"how": "lot"}, "how"), ({"how": "hand", "words": " "}, "words")],
)
def test_who_decided_and_how_must_be_said(values: dict[str, str], field: str, at: datetime) -> None:
    competition, keys = level(at)
    with pytest.raises(BadInput) as refused:
        put_in_order(**{"competition": competition, "keys": keys, "words": "the committee",
                        "by": OFFICER, "at": at} | values)  # fmt: skip
    assert refused.value.field == field


def test_only_one_whole_group_that_is_still_level(at: datetime) -> None:
    competition, keys = level(at)
    with pytest.raises(BadInput, match="still level"):
        put_in_order(competition=competition, keys=keys[:2], how="hand", words="half of them",
                     by=OFFICER, at=at)  # fmt: skip
    with pytest.raises(NotYours):
        put_in_order(competition=competition, keys=keys, how="hand", words="a member",
                     by=Who(), at=at)  # fmt: skip
    assert not Ruling.objects.exists()


def test_what_happened_on_the_course_is_ruled_in_every_competition_of_the_card(
    secretary: Client, at: datetime
) -> None:
    fixture = played([FIVES, FOURS])
    first = competition_of(fixture)
    medal = add_competition(
        fixture=fixture, contest=Contest("Medal", {"format": "medal"}), by=OFFICER, at=at
    )
    entry = Entry.objects.filter(fixture=fixture).order_by("pk")[0]
    given = {"kind": "penalty", "entry": entry.key, "hole": "3", "number": "2", "rule": "14.7a",
             "words": "wrong place", "everywhere": "on"}  # fmt: skip
    address = reverse("results:rulings", args=[medal.address])
    assert secretary.post(address, given).status_code == 302
    for competition in (first, medal):
        assert event_document(competition)["rulings"][0]["strokes"] == 2
    del given["everywhere"]
    assert secretary.post(address, given | {"hole": "4"}).status_code == 302
    assert (first.rulings.count(), medal.rulings.count()) == (1, 2)


def test_points_off_are_of_one_competition(at: datetime) -> None:
    fixture = played([FIVES])
    with pytest.raises(BadInput, match="one competition at a time"):
        rule_everywhere(competition=competition_of(fixture), kind="points_off",
                        entry=Entry.objects.get(), words="late", by=OFFICER, at=at)  # fmt: skip
