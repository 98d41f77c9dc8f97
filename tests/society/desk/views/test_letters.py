"""What officers see of letters: "2 of 3 gone", who has no address, that no e-mail is set up."""

from datetime import timedelta

import pytest

from society.desk.actions.final import make_final
from society.entries.actions import drawing
from society.entries.rules.draw import DrawMethod
from society.members import letters
from society.members.models import Letter
from society.members.queries import post_about
from society.members.rules import LetterKind
from society.web import clock
from tests.factories.cards import FIVES, FOURS, ready
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.factories.results import paper

pytestmark = pytest.mark.django_db


def text(response) -> str:
    assert response.status_code == 200
    return " ".join(response.content.decode().replace("\xa0", " ").split())


@pytest.fixture
def published(society, machine, at):
    fixture = saturday(state="closed")
    for name, email in (("Una Quell", "una@example.org"), ("Ivo Marrable", "ivo@example.org")):
        entered(fixture, name=name, email=email)
    entered(fixture, name="Odo Fenn")
    drawing.make_draw(fixture=fixture, method=DrawMethod.RANDOM, seed="41207", by=machine, at=at)
    drawing.publish_draw(fixture=fixture, by=machine, at=at)
    return fixture


def test_the_draw_page_says_how_many_have_gone_and_who_has_no_address(
    published, secretary, settings, at
):
    settings.SENDS_EMAIL = True
    page = f"/fixtures/{published.public_id}/draw/"
    assert '<span class="num">0 of 2</span> gone' in text(secretary.get(page))
    assert letters.deliver(at=at) == 2
    shown = text(secretary.get(page))
    assert '<span class="num">2 of 2</span> gone' in shown
    assert "No address, tell them yourself: <b>Odo Fenn</b>" in shown


def test_the_draw_page_says_plainly_that_no_e_mail_is_set_up(published, secretary):
    shown = text(secretary.get(f"/fixtures/{published.public_id}/draw/"))
    assert "No e-mail is set up" in shown
    assert "hand each tee time over yourself" in shown
    assert "gone</span>" not in shown


def test_a_member_sees_nothing_of_the_letters(published, member):
    shown = text(member.get(f"/fixtures/{published.public_id}/draw/"))
    assert 'id="post"' not in shown
    assert member.get(f"/fixtures/{published.public_id}/letters/").status_code == 403


def test_the_list_of_letters_shows_each_with_its_words_and_its_state(published, secretary):
    shown = text(secretary.get(f"/fixtures/{published.public_id}/letters/"))
    assert "3 letters" in shown
    assert "una@example.org" in shown
    assert "No address is known: hand it over yourself." in shown
    assert "You start at 09:30, in group 1" in shown


def test_the_organise_page_says_what_waits(published, secretary, settings):
    Letter.objects.update(not_before=clock.now())
    assert "No e-mail is set up" in text(secretary.get("/organise/"))
    settings.SENDS_EMAIL = True
    assert "No letter waits" in text(secretary.get("/organise/"))  # those of April are too old


def test_the_result_is_told_and_its_page_says_how_many_have_gone(
    society, secretary, machine, settings
):
    settings.SENDS_EMAIL = True
    at = clock.now()
    starts = ready(players=3, starts_on=at.date())
    for start, strokes in zip(starts, (FOURS, FIVES), strict=False):
        paper(start, strokes)
    fixture = starts[0].round.fixture
    make_final(fixture=fixture, no_return=[starts[2].entry.public_id], by=machine, at=at)
    told = {letter.player_id: letter for letter in Letter.objects.filter(kind="result")}
    first, second, out = (told[start.entry.player_id] for start in starts)
    assert "You are 1st, " in first.text
    assert "of 2 with a place" in first.text
    assert "You are 2nd, " in second.text
    assert "You have no place in it: No return." in out.text
    page = f"/results/{fixture.public_id}/"
    assert '<span class="num">0 of 3</span> gone' in text(secretary.get(page))
    letters.deliver(at=at)
    assert '<span class="num">3 of 3</span> gone' in text(secretary.get(page))


def test_a_day_of_another_year_that_is_written_up_is_told_to_nobody(society, machine):
    starts = ready(players=2)
    for start in starts:
        paper(start, FOURS)
    make_final(fixture=starts[0].round.fixture, by=machine, at=clock.now())
    assert not Letter.objects.exists()


def test_the_cards_page_offers_to_ask_for_missing_cards(society, secretary, settings):
    starts = ready(players=3, starts_on=clock.now().date())
    paper(starts[0], FOURS)
    fixture = starts[0].round.fixture
    page = f"/cards/fixture/{fixture.public_id}/"
    assert "Ask for the missing cards by letter" not in text(secretary.get(page))
    settings.SENDS_EMAIL = True
    assert "Ask for the missing cards by letter" in text(secretary.get(page))
    shown = text(secretary.post(f"{page}remind/", follow=True))
    assert "A letter is written to " in shown
    assert '<span class="num">0 of 2</span> gone' in shown
    assert post_about(f"fixture:{fixture.public_id}", LetterKind.CARD_MISSING).written == 2


def test_without_e_mail_whoever_asks_is_told_whom_to_ask(society, secretary):
    starts = ready(players=3, starts_on=clock.now().date())
    page = f"/cards/fixture/{starts[0].round.fixture.public_id}/"
    shown = text(secretary.post(f"{page}remind/", follow=True))
    assert "No e-mail is set up. Ask " in shown


def test_a_cancelled_fixture_is_told_to_everyone_in_and_waiting_with_its_reason(society, secretary):
    day = clock.now().date() + timedelta(days=10)
    fixture = saturday(name="Lantern Plate", starts_on=day)
    named = {"Una Quell": "entered", "Ivo Marrable": "waiting", "Odo Fenn": "withdrawn"}
    for name, step in named.items():
        entered(fixture, name=name, email=f"{name[0].lower()}@example.org", step=step)
    said = {"how": "cancelled", "words": "The course is under water"}
    assert secretary.post(f"/fixtures/{fixture.public_id}/end/", said).status_code == 302
    told = Letter.objects.filter(kind="cancelled").select_related("player")
    assert {letter.player.name for letter in told} == {"Una Quell", "Ivo Marrable"}
    assert all("The course is under water" in letter.text for letter in told)
    assert all(letter.subject == "Lantern Plate is cancelled" for letter in told)
