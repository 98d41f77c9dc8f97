"""The scorer's desk: typing from the keyboard, cards in and out, one card's deeds."""

import re
from uuid import uuid4

import pytest
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from scoring.cards.models import Card, CardRevision, Certificate
from scoring.cards.queries import card_reading
from scoring.cards.rules.words import CardState, Record
from society.members.models import Player
from tests.conftest import signed_in
from tests.factories.cards import FIVES, FOURS, acts_for, ready
from tests.factories.fixtures import saturday
from tests.factories.members import OfficeFactory
from tests.factories.results import paper
from tests.scoring.cards.test_queries import write

pytestmark = pytest.mark.django_db
LINE = "5 4 6 - 3 5 4 4 6 5 4 3 7 5 4 - 5 6"


@pytest.fixture
def field(society):
    return ready(players=3)


def at_type(field) -> str:
    return reverse("cards:type", args=[field[0].round.fixture.public_id])


def html(response) -> str:
    return response.content.decode()


def hidden(page: str) -> dict[str, str]:
    """The hidden fields of the typing form, as a browser would send them."""
    form = page[page.index('id="type"') :]
    form = form[: form.index("</form>")]
    return dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', form))


def chosen(page: str) -> str:
    return re.search(r'<option value="(\w+)" selected>', page)[1]


def test_namesakes_are_told_apart_by_what_they_play_off(field, scorer) -> None:
    Player.objects.filter(pk=field[0].entry.player_id).update(name="Tom Reedy")
    Player.objects.filter(pk=field[1].entry.player_id).update(name="tom Reedy")
    page = html(scorer.get(at_type(field)))
    assert len(re.findall(r"[Tt]om Reedy, plays off \d+<", page)) == 2
    assert page.count("plays off") == 2


def test_one_line_enter_next_card_and_so_through_the_field(field, scorer) -> None:
    page = html(scorer.get(at_type(field)))
    typed = []
    for _ in field:
        card = chosen(page)
        typed.append(card)
        assert re.search(r'name="line"[^>]* autofocus', page)
        data = hidden(page) | {"card": card, "line": LINE, "seen": "1"}
        response = scorer.post(at_type(field), data, follow=True)
        assert response.status_code == 200
        page = html(response)
        assert 'name="seen" value="1" checked' in page
    assert typed == [start.public_id for start in field]
    assert "Every card is written" in page
    assert Certificate.objects.filter(means="paper seen").count() == 6
    assert card_reading(field[0]).strokes[3] is None


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("5 " * 17, "Hole 18 has no figure"),
        (LINE.replace("7", "0"), "nobody takes 0"),
        (LINE.replace("7", "100"), "99 is the most"),
        (LINE.replace("7", "seven"), "is no score"),
        ("", "in one line"),
    ],
)
def test_a_bad_line_is_refused_and_stays_in_the_box(field, scorer, line, words) -> None:
    page = html(scorer.get(at_type(field)))
    data = hidden(page) | {"card": chosen(page), "line": line}
    response = scorer.post(at_type(field), data)
    assert response.status_code == 422
    assert words in html(response)
    assert f'name="line" value="{line}"' in html(response)
    assert not Card.objects.exists()


def test_sixteen_is_asked_once_and_ticked_by_keyboard(field, scorer) -> None:
    page = html(scorer.get(at_type(field)))
    high = LINE.replace("7", "16")
    data = hidden(page) | {"card": chosen(page), "line": high}
    asked = scorer.post(at_type(field), data)
    assert asked.status_code == 422
    assert "Yes, 16 on hole 13 is right" in html(asked)
    assert scorer.post(at_type(field), data | {"right": "13"}).status_code == 302


def test_box_by_box(field, scorer) -> None:
    page = html(scorer.get(at_type(field)))
    boxes = {f"h{hole}": "4" for hole in range(1, 18)} | {"h18": "-"}
    both = hidden(page) | {"card": chosen(page), "line": LINE} | boxes
    assert "not in both" in html(scorer.post(at_type(field), both))
    assert scorer.post(at_type(field), both | {"line": ""}).status_code == 302
    assert card_reading(field[0]).strokes == (*FOURS[:17], None)


def test_a_card_typed_already_is_replaced_only_when_sent_again(field, scorer) -> None:
    paper(field[0], FIVES)
    page = html(scorer.get(at_type(field)))
    assert chosen(page) == field[1].public_id
    data = hidden(page) | {"card": field[0].public_id, "line": LINE}
    warned = scorer.post(at_type(field), data)
    assert warned.status_code == 409
    assert "is typed already: 5 5 5" in html(warned)
    assert f'value="{LINE}"' in html(warned)
    again = hidden(html(warned)) | {"card": field[0].public_id, "line": LINE}
    assert scorer.post(at_type(field), again).status_code == 302
    assert card_reading(field[0]).numbers == {Record.COMMITTEE: 2}


def test_correcting_opens_with_the_figures_and_names_the_parent(field, scorer) -> None:
    paper(field[0], FIVES)
    page = html(scorer.get(at_type(field), {"card": field[0].public_id}))
    assert 'name="line" value="5 5 5' in page
    parent = CardRevision.objects.get().uuid
    assert hidden(page)["parent"] == str(parent)
    scorer.post(at_type(field), hidden(page) | {"card": field[0].public_id, "line": LINE})
    assert CardRevision.objects.get(number=2).parent_uuid == parent


def test_two_scorers_correct_one_card_and_nothing_is_lost(field, scorer, captain) -> None:
    paper(field[0], FIVES)
    pages = [
        html(one.get(at_type(field), {"card": field[0].public_id})) for one in (scorer, captain)
    ]
    for client, page, line in zip((scorer, captain), pages, (LINE, "4 " * 18), strict=True):
        client.post(at_type(field), hidden(page) | {"card": field[0].public_id, "line": line})
    assert card_reading(field[0]).held[0].strokes == tuple(FOURS)
    in_out = reverse("cards:in_out", args=[field[0].round.fixture.public_id])
    assert "kept beside this card" in html(scorer.get(in_out))


def test_the_tick_is_taken_back_card_by_card(field, scorer) -> None:
    page = html(scorer.get(at_type(field)))
    data = hidden(page) | {"card": field[0].public_id, "line": LINE, "seen": "1"}
    shown = html(scorer.post(at_type(field), data, follow=True))
    assert "Take its signatures back" in shown
    back = reverse("cards:signatures", args=[field[0].public_id])
    scorer.post(back, {"back": "1"})
    reading = card_reading(field[0])
    assert reading.state is CardState.RETURNED  # a typed paper card is, signatures or not
    assert not reading.signatures_seen


def test_an_officer_who_plays_types_the_own_card(field) -> None:
    account = acts_for(field[0].entry.player)
    OfficeFactory(account=account, role="secretary")
    client = signed_in(account)
    page = html(client.get(at_type(field)))
    client.post(at_type(field), hidden(page) | {"card": field[0].public_id, "line": LINE})
    shown = html(client.get(reverse("cards:show", args=[field[0].public_id])))
    assert "typed by its player" in shown
    page = html(client.get(at_type(field), {"card": field[0].public_id}))
    assert "no other officer can act" in page
    data = hidden(page) | {"card": field[0].public_id, "line": "4 " * 18}
    assert client.post(at_type(field), data).status_code == 422
    told = {"words": "Misread", "witness": "Ida Penhallow"}
    assert client.post(at_type(field), data | told).status_code == 302


@pytest.mark.parametrize("players", [1, 3, 30])
def test_in_and_out_costs_the_same_however_large_the_field(society, scorer, players) -> None:
    from django.db import connection

    starts = ready(players=players)
    for start in starts:
        paper(start, FOURS)
    address = reverse("cards:in_out", args=[starts[0].round.fixture.public_id])
    with CaptureQueriesContext(connection) as seen:
        response = scorer.get(address)
    assert response.status_code == 200
    # Two of them for the letters that ask for missing cards, one for what the cards count for.
    assert len(seen) == 20


def test_in_and_out_counts_and_names(field, scorer, at) -> None:
    write(field[0], Record.COMMITTEE, FOURS, at)
    write(field[1], Record.PLAYER, FOURS, at)
    write(field[1], Record.MARKER, FIVES, at)
    shown = html(scorer.get(reverse("cards:in_out", args=[field[0].round.fixture.public_id])))
    assert "1 of 3" in shown.replace("\xa0", " ")
    assert "Player and marker differ on holes 1, 2" in shown
    assert "Missing" in shown
    assert "Queried" in shown


def test_in_and_out_before_handicaps(society, scorer) -> None:
    fixture = saturday()
    shown = html(scorer.get(reverse("cards:in_out", args=[fixture.public_id])))
    assert "No cards yet" in shown
    assert scorer.get(reverse("cards:type", args=[fixture.public_id])).status_code == 200


def test_asking_answering_checking_from_the_card_page(field, scorer, at) -> None:
    start = field[0]
    write(start, Record.COMMITTEE, FOURS, at)

    def post(client, name, **data):
        return client.post(reverse(f"cards:{name}", args=[start.public_id]), data, follow=True)

    assert "Your question is on the card" in html(post(scorer, "ask", words="Really a 4 on 7?"))
    player = signed_in(acts_for(start.entry.player))
    page = html(player.get(reverse("cards:show", args=[start.public_id])))
    assert "Really a 4 on 7?" in page
    post(player, "answer", words="Yes it was.")
    assert "The card is checked" in html(post(scorer, "check"))
    assert post(scorer, "check").status_code == 409
    shown = html(scorer.get(reverse("cards:show", args=[start.public_id])))
    assert "Question answered" in shown
    assert "What happened to this card" in shown


def test_deciding_held_figures_and_giving_ones_word(field, scorer, at) -> None:
    start = field[0]
    write(start, Record.PLAYER, FOURS, at)
    digest = card_reading(start).standing_digest
    word = reverse("cards:word", args=[start.public_id])
    data = {"digest": digest, "capacity": "marker"}
    assert scorer.post(word, data).status_code == 422
    assert scorer.post(word, data | {"words": "At the desk"}).status_code == 302
    scorer.post(word, {"digest": digest, "capacity": "player", "words": "At the desk"})
    assert card_reading(start).state is CardState.RETURNED
    write(start, Record.MARKER, FIVES, at)
    held = card_reading(start).held[0]
    decide = reverse("cards:decide", args=[start.public_id])
    assert scorer.post(decide, {"held": str(uuid4()), "words": "x"}).status_code == 404
    assert scorer.post(decide, {"held": "x"}).status_code == 422
    take = reverse("desk:take_held", args=[start.public_id])
    assert scorer.post(take, {"held": "x"}).status_code == 422
    assert scorer.post(take, {"held": str(held.uuid)}).status_code == 422  # it wants a reason
    taken = scorer.post(take, {"held": str(held.uuid), "words": "The paper"})
    assert taken.status_code == 302
    assert card_reading(start).strokes == tuple(FIVES)
