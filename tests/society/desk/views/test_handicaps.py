"""The handicaps page: who lacks one stands first, one button takes them, a form puts one right."""

from decimal import Decimal

import pytest
from django.urls import reverse

from society.entries.bridge.handicaps import handicap_lines
from society.entries.models import Entry, EntryStep, Frozen, Start
from society.fixtures.models import Fixture
from tests.conftest import signed_in
from tests.factories.courses import rated_tee
from tests.factories.entries import BY, entered
from tests.factories.fixtures import saturday
from tests.factories.members import AccountFactory, OfficeFactory

pytestmark = pytest.mark.django_db
MEDAL = '{"allowance":95,"format":"medal"}'


def page(fixture: Fixture, name: str = "handicaps", *more: str) -> str:
    return reverse(f"desk:{name}", args=[fixture.public_id, *more])


def text(response) -> str:
    return " ".join(response.content.decode().split())


def test_before_taking_it_shows_what_each_would_play_off(secretary):
    fixture = saturday()
    entered(fixture, index="12.3", name="Ivo Marrable")
    entered(fixture, index="-1.2", name="Dorrick Pennywhisk")
    entered(fixture, index=None, name="Bare Latimer")
    shown = text(secretary.get(page(fixture)))
    assert "Not taken" in shown
    assert "Take 2 handicaps" in shown
    assert "No index in force on the day." in shown
    assert shown.index("Bare Latimer") < shown.index("Dorrick Pennywhisk")  # missing first
    assert '<span class="n">11</span>' in shown
    assert '<span class="n">+3</span>' in shown
    assert "11.16" in shown  # course handicap, unrounded, to be checked by hand
    assert "+3.17" in shown
    assert "+1.2" in shown
    assert Frozen.objects.count() == 0


def test_one_button_takes_them(secretary):
    fixture = saturday()
    entered(fixture)
    entered(fixture, index=None, name="Bare Latimer")
    response = secretary.post(page(fixture, "handicaps_take"), follow=True)
    assert "1 handicap taken. 1 player still without one." in text(response)
    assert "What everyone plays off" in text(response)
    assert Frozen.objects.count() == 1


def test_nobody_to_take_is_said_and_changes_nothing(secretary):
    fixture = saturday()
    assert "Nobody is in yet" in text(secretary.get(page(fixture)))
    response = secretary.post(page(fixture, "handicaps_take"))
    assert response.status_code == 409
    assert "Nobody is entered yet." in text(response)


def test_a_figure_is_typed_for_somebody_missing(secretary):
    fixture = saturday()
    entry = entered(fixture, index=None, name="Bare Latimer")
    shown = text(secretary.get(page(fixture) + f"?entry={entry.public_id}"))
    assert "Keep this handicap" in shown
    address = page(fixture, "handicap_give", entry.public_id)
    wrong = secretary.post(address, {"value": "-4", "source": "stated"})
    assert wrong.status_code == 422
    assert "minus sign" in text(wrong)
    assert 'value="-4"' in text(wrong)  # nothing typed is lost
    right = secretary.post(address, {"value": "+1.4", "source": "stated"}, follow=True)
    assert "Take 1 handicap" in text(right)
    assert entry.player.handicaps.get().value == Decimal("-1.4")


def test_where_an_index_cannot_be_converted_a_course_handicap_is_typed(secretary):
    fixture = saturday(tee=rated_tee(rating=None))
    entry = entered(fixture, index="12.3", name="Ivo Marrable")
    bare = entered(fixture, index=None, name="Bare Latimer")
    assert text(secretary.get(page(fixture))).count("Type the course handicap") == 2
    shown = text(secretary.get(page(fixture) + f"?entry={entry.public_id}"))
    assert "Course handicap</label>" in shown
    for one, typed in ((entry, "20"), (bare, "+2")):
        address = page(fixture, "handicap_give", one.public_id)
        told = {"value": typed, "source": "committee", "words": ""}
        bare_word = secretary.post(address, told)
        assert bare_word.status_code == 422
        assert "Say why the committee set it" in text(bare_word)
        kept = secretary.post(address, told | {"words": "the tee has no rating"}, follow=True)
        assert "the course handicap is kept" in text(kept)
    assert "Take 2 handicaps" in text(kept)
    assert entry.player.handicaps.get(kind="index").value == Decimal("12.3")  # stays as it was
    secretary.post(page(fixture, "handicaps_take"))
    # 95 % of 20 is 19; of plus 2 it is plus 1.9, which is plus 2 (Rules of Handicapping, 6.2)
    taken = {line.entry.pk: line.plays.playing for line in handicap_lines(fixture)}
    assert taken == {entry.pk: 19, bare.pk: -2}
    # another day on a rated tee plays off the index again
    other = saturday()
    again = Entry.objects.create(
        fixture=other, player=entry.player, as_member=True, category="men", place_at=entry.place_at
    )
    EntryStep.objects.create(entry=again, kind="entered", at=entry.place_at, by=BY)
    (line,) = handicap_lines(other)
    assert line.value == Decimal("12.3")


def test_a_frozen_figure_is_put_right_with_a_reason(secretary):
    fixture = saturday()
    entry = entered(fixture, index="18.0", name="Ivo Marrable")
    secretary.post(page(fixture, "handicaps_take"))
    shown = text(secretary.get(page(fixture) + f"?entry={entry.public_id}"))
    assert "Put it right" in shown
    tee = Start.objects.get().tee.public_id
    told = {"value": "16.8", "tee": tee, "reason_class": "wrong handicap", "words": ""}
    address = page(fixture, "handicap_correct", entry.public_id)
    wrong = secretary.post(address, told)
    assert wrong.status_code == 422
    assert "Say why, in a few words." in text(wrong)
    right = secretary.post(address, told | {"words": "An old record."}, follow=True)
    assert "18.0 became 16.8: An old record." in text(right)
    assert Frozen.objects.count() == 2


def test_who_plays_and_runs_it_names_a_witness_for_the_own_figure(society):
    fixture = saturday()
    entry = entered(fixture)
    account = AccountFactory(players=[entry.player])
    OfficeFactory(account=account, role="captain")
    captain = signed_in(account)
    captain.post(page(fixture, "handicaps_take"))
    assert "Witness" in text(captain.get(page(fixture) + f"?entry={entry.public_id}"))
    tee = Start.objects.get().tee.public_id
    told = {"value": "16.8", "tee": tee, "reason_class": "wrong handicap", "words": "Old."}
    address = page(fixture, "handicap_correct", entry.public_id)
    wrong = captain.post(address, told)
    assert wrong.status_code == 422
    assert "name a witness" in text(wrong)
    assert captain.post(address, told | {"witness": "Ida Low"}).status_code == 302
    OfficeFactory(role="secretary")
    assert captain.post(address, told | {"value": "20", "witness": "x"}).status_code == 403


def test_another_tee_is_chosen_before(secretary):
    fixture = saturday()
    entry = entered(fixture)
    yellow = rated_tee(course=fixture.rounds.get().course, rating="68.0", slope=110)
    address = page(fixture, "handicap_tee", entry.public_id)
    assert "Keep this tee" in text(secretary.get(page(fixture) + f"?entry={entry.public_id}"))
    secretary.post(address, {"tee": yellow.public_id})
    assert Start.objects.get().tee == yellow
    assert secretary.post(address, {"tee": "nosuchtee"}).status_code == 422


def test_a_lower_reference_par_is_set_with_a_reason(secretary):
    fixture = saturday(terms=MEDAL)
    entered(fixture, index="12.3")
    empty = secretary.post(page(fixture, "reference_par"), {"par": "70", "words": ""})
    assert empty.status_code == 422
    secretary.post(page(fixture, "handicaps_take"))
    shown = text(secretary.get(page(fixture)))
    assert 'Reference par <b class="num">72</b>' in shown
    refused = secretary.post(page(fixture, "reference_par"), {"par": "73", "words": "Late"})
    assert refused.status_code == 422
    assert "The lowest par in use is 72" in text(refused)
    done = secretary.post(
        page(fixture, "reference_par"), {"par": "70", "words": "A late entry."}, follow=True
    )
    assert "1 figure moved" in text(done)
    assert '<span class="n">13</span>' in text(done)


def test_an_entry_of_another_fixture_is_not_there(secretary):
    fixture, other = saturday(), saturday()
    entry = entered(other)
    assert secretary.get(page(fixture) + f"?entry={entry.public_id}").status_code == 404
    assert (
        secretary.post(page(fixture, "handicap_give", entry.public_id), {"value": "1"}).status_code
        == 404
    )


def test_a_final_fixture_shows_and_offers_nothing(secretary):
    fixture = saturday()
    entered(fixture)
    secretary.post(page(fixture, "handicaps_take"))
    Fixture.objects.filter(pk=fixture.pk).update(state="final")
    shown = text(secretary.get(page(fixture)))
    assert "Put right" not in shown
    assert "Set a lower reference par" not in shown
    assert secretary.post(page(fixture, "handicaps_take")).status_code == 409
    start = Start.objects.get()
    told = {"value": "3", "tee": start.tee.public_id, "reason_class": "wrong handicap"}
    address = page(fixture, "handicap_correct", start.entry.public_id)
    assert secretary.post(address, told | {"words": "Late"}).status_code == 409
    lower = {"par": "70", "words": "Late"}
    assert secretary.post(page(fixture, "reference_par"), lower).status_code == 409


def test_members_do_not_come_in(member, stranger):
    fixture = saturday()
    assert member.get(page(fixture)).status_code == 403
    assert stranger.get(page(fixture)).status_code == 302
