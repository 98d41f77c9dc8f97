"""Every page of cards opens for whom it is, and for nobody else."""

from uuid import uuid4

import pytest
from django.urls import reverse

from scoring.cards.models import Card, CardRevision, Certificate
from scoring.cards.queries import card_reading
from scoring.cards.rules.words import CardState, Record
from society.members.models import Society
from tests.conftest import signed_in
from tests.factories.cards import FIVES, FOURS, acts_for, ready
from tests.factories.fixtures import saturday
from tests.scoring.cards.test_queries import write

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair(society):
    return ready()


def browser(start):
    return signed_in(acts_for(start.entry.player))


def page(start) -> str:
    return reverse("cards:show", args=[start.public_id])


def send(client, start, strokes, **more):
    data = {"uuid": str(uuid4()), "parent": "", "record": "player"}
    data |= {f"h{hole}": str(one) for hole, one in enumerate(strokes, 1)}
    return client.post(reverse("cards:submit", args=[start.public_id]), data | more)


def html(response) -> str:
    return response.content.decode()


def test_own_card_opens_with_a_box_for_each_hole_and_the_table_of_worth(pair) -> None:
    response = browser(pair[0]).get(page(pair[0]))
    assert response.status_code == 200
    for hole in range(1, 19):
        assert f'name="h{hole}"' in html(response)
        assert f'name="n{hole}"' in html(response)
    assert html(response).count("data-worth=") == 18
    assert pair[0].marker.player.name in html(response)
    assert not Card.objects.exists()  # opening writes nothing


def test_it_names_the_card_one_marks(pair) -> None:
    response = browser(pair[1]).get(page(pair[0]))
    assert response.status_code == 200
    assert "which you mark" in html(response)


def test_others_see_404_and_officers_see_all(pair, scorer, member, outsider) -> None:
    third = ready(players=1)[0]
    for client in (member, outsider, browser(third)):
        assert client.get(page(pair[0])).status_code == 404
    assert scorer.get(page(pair[0])).status_code == 200


def test_the_form_saves_and_the_card_page_says_so(pair) -> None:
    client = browser(pair[0])
    response = send(client, pair[0], FIVES)
    assert (response.status_code, response.headers["Location"]) == (303, page(pair[0]))
    shown = client.get(page(pair[0]))
    assert "All 18 holes arrived." in html(shown)
    assert "Certify your card" in html(shown)
    assert 'value="5"' in html(shown)


@pytest.mark.parametrize("bad", ["0", "100", "five", "4.5", "-1"])
def test_bad_figures_come_back_with_everything_typed(pair, bad) -> None:
    response = send(browser(pair[0]), pair[0], [5, bad] + [4] * 16)
    assert response.status_code == 422
    assert "Hole 2" in html(response)
    assert f'value="{bad}"' in html(response)
    assert html(response).count('value="4"') >= 16
    assert not Card.objects.exists()


def test_a_high_score_is_asked_once(pair) -> None:
    client = browser(pair[0])
    response = send(client, pair[0], [16] + FOURS[1:])
    assert response.status_code == 422
    assert "Yes, 16 on hole 1 is right" in html(response)
    assert send(client, pair[0], [16] + FOURS[1:], right="1").status_code == 303
    assert card_reading(pair[0]).strokes[0] == 16


def test_no_score_by_dash_and_by_tick(pair) -> None:
    client = browser(pair[0])
    assert send(client, pair[0], ["-", ""] + FOURS[2:], n2="1").status_code == 303
    assert card_reading(pair[0]).strokes[:3] == (None, None, 4)
    again = html(client.get(page(pair[0])))
    assert again.count(" checked") == 2


@pytest.mark.parametrize("hole", [1, 9, 18])
def test_seventeen_holes_are_refused_where_they_stand_and_nothing_typed_is_lost(pair, hole) -> None:
    client = browser(pair[0])
    figures = [*FOURS[: hole - 1], "", *FOURS[hole:]]
    response = send(client, pair[0], figures)
    shown = html(response)
    assert response.status_code == 422
    assert f"Hole {hole} has no figure. Write the strokes, or a dash for no score." in shown
    assert f'href="#h{hole}"' in shown
    assert shown.count('aria-invalid="true"') == 1
    assert shown.count('value="4" inputmode') == 17
    assert not CardRevision.objects.exists()


def test_with_scripts_off_a_figure_in_a_box_that_was_ticked_is_meant(pair) -> None:
    client = browser(pair[0])
    send(client, pair[0], ["-"] + FOURS[1:])
    parent = CardRevision.objects.get().uuid
    send(client, pair[0], [7] + FOURS[1:], n1="1", parent=str(parent))
    assert card_reading(pair[0]).strokes[0] == 7
    parent = CardRevision.objects.get(number=2).uuid
    send(client, pair[0], [7] + FOURS[1:], n1="1", parent=str(parent))
    assert card_reading(pair[0]).strokes[0] is None


def test_a_held_sending_is_said_on_the_card_page(pair) -> None:
    client = browser(pair[0])
    send(client, pair[0], FOURS)
    send(client, pair[0], FIVES)
    shown = html(client.get(page(pair[0])))
    assert "Somebody wrote on this card after you opened it" in shown
    assert "Kept beside this card" in shown


def test_marker_confirms_the_players_figures_and_the_card_is_returned(pair) -> None:
    mine, theirs = browser(pair[0]), browser(pair[1])
    send(mine, pair[0], FOURS)
    digest = card_reading(pair[0]).standing_digest
    certify = reverse("cards:certify", args=[pair[0].public_id])
    mine.post(certify, {"record": "player", "capacity": "player", "digest": digest})
    assert card_reading(pair[0]).state is CardState.WAITING
    assert "Write your own figures instead" in html(theirs.get(page(pair[0])))
    theirs.post(certify, {"record": "marker", "capacity": "marker", "digest": digest})
    assert card_reading(pair[0]).state is CardState.RETURNED
    assert 'name="h1"' not in html(mine.get(page(pair[0])))


def test_handing_the_phone_over(pair) -> None:
    client = browser(pair[0])
    send(client, pair[0], FOURS)
    digest = card_reading(pair[0]).standing_digest
    certify = reverse("cards:certify", args=[pair[0].public_id])
    client.post(certify, {"record": "player", "capacity": "player", "digest": digest})
    form = {"record": "player", "capacity": "marker", "digest": digest, "handed": "1"}
    wrong = client.post(certify, form | {"digits": "12"})
    assert wrong.status_code == 422
    assert "four digits" in html(wrong)
    right = client.post(certify, form | {"digits": pair[1].digits})
    assert right.status_code == 302
    assert Certificate.objects.get(capacity="marker").means == "this phone handed over"
    assert pair[1].digits not in html(client.get(page(pair[0])))


def test_a_difference_is_compared_and_settled(pair, at) -> None:
    write(pair[0], Record.PLAYER, FOURS, at)
    write(pair[0], Record.MARKER, [4] * 17 + [6], at)
    client = browser(pair[0])
    assert "Compare and settle" in html(client.get(page(pair[0])))
    compare = reverse("cards:compare", args=[pair[0].public_id])
    shown = html(client.get(compare))
    assert "17 holes agree. One does not." in shown
    parent = CardRevision.objects.get(record="player").uuid
    settle = reverse("cards:settle", args=[pair[0].public_id])
    data = {"record": "player", "uuid": str(uuid4()), "parent": str(parent)}
    assert client.post(settle, data).status_code == 422
    kept = client.post(settle, data | {"h18": "player"})
    assert kept.headers["Location"] == compare
    settled = client.post(settle, data | {"h18": "marker"}, follow=True)
    assert settled.redirect_chain[0][1] == 302
    assert "Settled: the card agrees." in html(settled)
    reading = card_reading(pair[0])
    assert reading.differences == ()
    assert reading.strokes[17] == 6


def test_the_player_names_the_marker_where_no_draw_does(society) -> None:
    starts = ready(players=3, marked=False)
    client = browser(starts[0])
    assert "Name the marker" in html(client.get(page(starts[0])))
    address = reverse("cards:marker", args=[starts[0].public_id])
    own = client.post(address, {"marker": starts[0].entry.public_id})
    assert own.status_code == 409
    assert client.post(address, {"marker": "nosuch"}).status_code == 422
    client.post(address, {"marker": starts[2].entry.public_id})
    starts[0].refresh_from_db()
    assert starts[0].marker == starts[2].entry
    assert browser(starts[2]).get(page(starts[0])).status_code == 200


def test_my_cards_lists_mine_and_those_i_mark(pair) -> None:
    shown = html(browser(pair[0]).get(reverse("cards:mine")))
    assert "Your card" in shown
    assert f"{pair[1].entry.player.name}’s card" in shown


def test_my_cards_are_empty_for_who_plays_nothing(outsider) -> None:
    assert "No card to write" in html(outsider.get(reverse("cards:mine")))


def test_nine_holes_and_a_medal(society) -> None:
    fixture = saturday(terms='{"allowance":95,"format":"medal"}')
    fixture.rounds.update(holes="second 9")
    start = ready(fixture)[0]
    client = browser(start)
    shown = html(client.get(page(start)))
    assert 'name="h10"' in shown
    assert 'name="h9"' not in shown
    assert "no return" in shown
    data = {"uuid": str(uuid4()), "record": "player"} | {f"h{n}": "5" for n in range(10, 19)}
    client.post(reverse("cards:submit", args=[start.public_id]), data)
    shown = html(client.get(page(start)))
    assert "gross" in shown
    assert card_reading(start).strokes == (5,) * 9


def test_before_handicaps_are_taken_the_page_says_so(society) -> None:
    from society.entries.models import Start
    from tests.factories.entries import entered
    from tests.factories.members import AccountFactory

    start = ready()[0]
    entry = entered(start.round.fixture)
    AccountFactory(players=[entry.player])
    bare = Start.objects.create(round=start.round, entry=entry, tee=start.tee)
    client = browser(bare)
    assert "not taken yet" in html(client.get(page(bare)))
    assert send(client, bare, FOURS).status_code == 409


@pytest.mark.parametrize("state", ["reviewing", "final"])
def test_once_no_cards_are_taken_the_page_says_so(pair, state) -> None:
    fixture = pair[0].round.fixture
    fixture.state = state
    fixture.save()
    shown = html(browser(pair[0]).get(page(pair[0])))
    assert "no longer taken" in shown
    assert 'name="h1"' not in shown


def test_the_page_offers_what_the_society_signs_by(pair, scorer, at) -> None:
    write(pair[0], Record.PLAYER, FOURS, at)
    own, office = browser(pair[0]), scorer
    assert "Certify your card" in html(own.get(page(pair[0])))
    assert "Both signatures seen on paper" in html(office.get(page(pair[0])))
    Society.objects.update(cards_signed="paper")
    assert "Certify your card" not in html(own.get(page(pair[0])))
    assert "Hand this phone" not in html(own.get(page(pair[0])))
    assert "Cards are signed on paper here" in html(own.get(page(pair[0])))
    Society.objects.update(cards_signed="phone")
    assert "Certify your card" in html(own.get(page(pair[0])))
    assert "Both signatures seen on paper" not in html(office.get(page(pair[0])))
    typing = reverse("cards:type", args=[pair[0].round.fixture.public_id])
    assert "Both signatures seen" not in html(office.get(typing))


def test_a_marker_moved_after_certifying_does_not_take_the_signers_name(
    society, scorer, at
) -> None:
    starts = ready(players=3)
    write(starts[0], Record.PLAYER, FOURS, at)
    signer = starts[0].marker.player.name
    by_marker = browser(next(one for one in starts if one.entry.player.name == signer))
    sent = {"capacity": "marker", "digest": card_reading(starts[0]).standing_digest}
    by_marker.post(reverse("cards:certify", args=[starts[0].public_id]), sent)
    starts[0].marker = next(one.entry for one in starts[1:] if one.entry.player.name != signer)
    starts[0].save()
    in_out = reverse("cards:in_out", args=[starts[0].round.fixture.public_id])
    for address in (page(starts[0]), in_out):
        assert f"Marked by {signer}." in html(scorer.get(address))
