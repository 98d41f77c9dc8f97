"""The draw page: hidden from members until published, changed by hand with scripts off."""

import pytest
from django.urls import reverse

from society.entries.actions.entering import withdraw
from society.entries.bridge.draws import the_draw
from society.entries.models import DrawRun, DrawStep, Entry, Start
from society.fixtures.models import Fixture
from society.fixtures.queries import the_round
from society.members.models import Office
from society.merit.actions import start_table
from society.merit.rules.values import MeritRules
from tests.factories.entries import entered
from tests.factories.fixtures import saturday

pytestmark = pytest.mark.django_db
HOW = {"method": "random", "group_size": "4", "first_time": "09:30", "interval": "10"}


def page(fixture: Fixture, name: str = "draw", *more: object) -> str:
    return reverse(f"desk:{name}", args=[fixture.public_id, *more])


def text(response) -> str:
    return " ".join(response.content.decode().split())


def closed(players: int) -> tuple[Fixture, list[Entry]]:
    fixture = saturday(state="closed")
    return fixture, [entered(fixture) for _ in range(players)]


def made(client, fixture: Fixture, *, seed: str = "41207", publish: bool = False) -> None:
    client.post(page(fixture, "draw_make"), HOW | {"seed": seed})
    if publish:
        client.post(page(fixture, "draw_publish"))


def groups(fixture: Fixture):
    return the_draw(the_round(fixture)).groups


def ids(*keys: str) -> list[str]:
    return [Entry.objects.get(key=key).public_id for key in keys]


def test_without_a_draw_it_says_that_a_day_can_do_without(secretary):
    fixture, _ = closed(5)
    shown = text(secretary.get(page(fixture)))
    assert "A day can do without" in shown
    assert "Make the draw" in shown
    assert "5 players in the field" in shown


def test_the_page_says_by_which_standing_the_leaders_go_last(secretary, machine, at):
    fixture, _ = closed(5)
    assert "there is none yet" in text(secretary.get(page(fixture)))
    start_table(season=fixture.season, name="Lantern table", rules=MeritRules(), by=machine, at=at)
    shown = text(secretary.get(page(fixture)))
    assert "“Lantern table” as it stands when you draw" in shown
    assert "by no earlier round or competition of this fixture" in shown


def test_a_draw_shows_seed_number_and_how_to_repeat_it(secretary):
    fixture, entries = closed(7)
    made(secretary, fixture)
    made(secretary, fixture, seed="7")
    shown = text(secretary.get(page(fixture), {"repeat": "1"}))
    assert "Not published" in shown
    assert "SHA-256" in shown
    assert "version 2 of the method" in shown
    assert "Repeated just now: the same groups." in shown
    assert "Every draw made" in shown
    assert "41207" in shown
    for entry in entries:
        assert entry.player.name in shown
        assert entry.key in shown  # what it was made from is there for all to repeat


def test_a_wrong_choice_is_refused_where_it_stands(secretary):
    fixture, _ = closed(7)
    wrong = secretary.post(page(fixture, "draw_make"), HOW | {"interval": "0"})
    assert wrong.status_code == 422
    early = secretary.post(page(fixture, "draw_make"), HOW | {"method": "handicap"})
    assert early.status_code == 409
    assert "Take handicaps first" in text(early)
    assert DrawRun.objects.count() == 0


def test_members_see_nothing_until_it_is_published(secretary, member, player, outsider):
    fixture, entries = closed(7)
    Entry.objects.filter(pk=entries[0].pk).update(player=player)
    assert member.get(page(fixture)).status_code == 404
    made(secretary, fixture)
    for client in (member, outsider):
        response = client.get(page(fixture))
        assert response.status_code == 404
        assert "41207" not in text(response)
        assert client.get(page(fixture, "start_sheet")).status_code == 404
    secretary.post(page(fixture, "draw_publish"))
    shown = text(member.get(page(fixture)))
    assert "Published" in shown
    assert "You mark the card of" in shown
    assert shown.count('<span class="tag tag-ink">you</span>') == 1
    start = Start.objects.select_related("marker__player").get(entry=entries[0])
    marked = Start.objects.select_related("entry__player").get(marker=entries[0])
    assert f"<b>{marked.entry.player.name}</b>" in shown
    assert start.marker.player.name in shown
    for digits in Start.objects.values_list("digits", flat=True):
        assert f">{digits}<" not in shown
    secretary.post(page(fixture, "draw_withdraw"), {"words": "Fog."})
    assert member.get(page(fixture)).status_code == 404


def test_two_ticked_are_swapped_with_scripts_off(secretary):
    fixture, _ = closed(8)
    made(secretary, fixture)
    before = groups(fixture)
    one, other = ids(before[0][0], before[1][0])
    bar = text(secretary.get(page(fixture), {"pick": [one, other]}))
    assert "Swap the two" in bar
    assert bar.count("chosen</span>") == 2
    assert DrawStep.objects.count() == 0  # looking changes nothing
    secretary.post(
        page(fixture, "draw_swap"), {"one": one, "other": other, "words": "Leaves by two."}
    )
    after = groups(fixture)
    assert (after[0][0], after[1][0]) == (before[1][0], before[0][0])
    shown = text(secretary.get(page(fixture)))
    assert "Leaves by two." in shown
    assert "09:30 to 09:40" in shown
    assert "moved by hand" in shown
    secretary.post(page(fixture, "draw_undo", 1))
    assert groups(fixture) == before
    assert "Change 1 undone." in text(secretary.get(page(fixture)))


def test_the_bar_says_what_a_swap_breaks(secretary):
    fixture, entries = closed(8)
    made(secretary, fixture, publish=True)
    before = groups(fixture)
    guest, host = (Entry.objects.get(key=key) for key in before[0][:2])
    guest.host = host.player
    guest.save()
    one, other = ids(before[0][0], before[1][0])
    bar = text(secretary.get(page(fixture), {"pick": [one, other]}))
    assert "and the two would be apart." in bar
    assert "To be printed again: " in bar


def test_one_ticked_is_moved(secretary):
    fixture, _ = closed(7)
    made(secretary, fixture)
    before = groups(fixture)
    (one,) = ids(before[1][0])
    bar = text(secretary.get(page(fixture), {"pick": [one]}))
    assert "group 1, 09:30, makes a four" in bar.lower()
    secretary.post(page(fixture, "draw_move", one), {"to": "1"})
    assert groups(fixture)[0][-1] == before[1][0]
    for nowhere in ("what", "0", "-1", "9" * 5000):
        told = {"to": nowhere}
        assert secretary.post(page(fixture, "draw_move", one), told).status_code == 409


def test_three_ticked_are_too_many(secretary):
    fixture, _ = closed(7)
    made(secretary, fixture)
    three = ids(*groups(fixture)[0])
    shown = text(secretary.get(page(fixture), {"pick": three}))
    assert "Tick one player to move, or two to swap: 3 are ticked." in shown
    assert "Swap the two" not in shown


def test_a_withdrawal_says_whose_cards_to_print_again_and_who_is_alone(secretary, at, machine):
    fixture, entries = closed(5)
    made(secretary, fixture, publish=True)
    two = groups(fixture)[0]
    gone, left = (Entry.objects.get(key=key) for key in two)
    fixture.refresh_from_db()
    withdraw(entry=gone, by=machine, at=at)
    shown = text(secretary.get(page(fixture)))
    assert f"{left.player.name} is alone in group 1, 09:30" in shown
    assert f"Print again: {left.player.name}." in shown
    assert f"{gone.player.name} left group 1, 09:30." in shown
    assert "?changed=1" in shown


def test_a_late_entry_is_put_into_a_group(secretary):
    fixture, _ = closed(7)
    made(secretary, fixture, publish=True)
    late = entered(fixture, name="Late Latimer")
    shown = text(secretary.get(page(fixture)))
    assert "In no group" in shown
    assert "Late Latimer" in shown
    secretary.post(page(fixture, "draw_move", late.public_id), {"to": "1"})
    assert "In no group" not in text(secretary.get(page(fixture)))
    assert Start.objects.get(entry=late).group == 1


def test_publishing_while_entries_are_open_is_refused(secretary):
    fixture = saturday(state="open")
    for _ in range(4):
        entered(fixture)
    made(secretary, fixture)
    assert "Entries are still open." in text(secretary.get(page(fixture)))
    assert secretary.post(page(fixture, "draw_publish")).status_code == 409
    assert Start.objects.count() == 0


def test_withdrawing_wants_a_reason(secretary):
    fixture, _ = closed(6)
    made(secretary, fixture, publish=True)
    empty = secretary.post(page(fixture, "draw_withdraw"), {"words": ""})
    assert empty.status_code == 422
    secretary.post(page(fixture, "draw_withdraw"), {"words": "Two more are coming."})
    shown = text(secretary.get(page(fixture)))
    assert "The draw was withdrawn: Two more are coming." in shown
    assert "Not published" in shown


def test_a_published_draw_stands_once_the_fixture_is_final(secretary):
    fixture, _ = closed(6)
    made(secretary, fixture, publish=True)
    Fixture.objects.filter(pk=fixture.pk).update(state="final")
    shown = text(secretary.get(page(fixture)))
    assert "Withdraw the draw" not in shown
    assert "Swap or move" not in shown


def test_queries_do_not_grow_with_the_field(secretary):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    counts = []
    for players in (8, 24):
        fixture, _ = closed(players)
        secretary.post(reverse("desk:handicaps_take", args=[fixture.public_id]))
        made(secretary, fixture, publish=True)
        with CaptureQueriesContext(connection) as seen:
            secretary.get(page(fixture))
        counts.append(len(seen))
    assert counts[0] == counts[1]


def test_the_form_asks_who_plays_with_whom_and_keeps_it_for_the_next_draw(secretary, member):
    fixture, entries = closed(8)
    one, two, three = (entry.public_id for entry in entries[:3])
    asked = {
        "method": "mixed",
        "guests": "on",
        "wishes": "on",
        "first": three,
        "back": "8",
        "one_0": one,
        "how_0": "apart",
        "other_0": two,
        "one_1": "",
        "how_1": "together",
        "other_1": "",
    }
    half = secretary.post(page(fixture, "draw_make"), HOW | asked | {"other_0": ""})
    assert half.status_code == 422
    assert "Name both players, or neither." in text(half)
    secretary.post(page(fixture, "draw_make"), HOW | asked)
    shown = text(secretary.get(page(fixture)))
    names = [entry.player.name for entry in entries[:3]]
    assert f"{names[0]} not with {names[1]}" in shown
    assert f"{names[2]} in the first group" in shown
    assert "<dd>2 <small>of 2</small></dd>" in shown
    assert f'<option value="{one}" selected>' in shown  # the next draw begins with the same lines
    secretary.post(page(fixture, "draw_publish"))
    seen = text(member.get(page(fixture)))
    assert "2 <small>of 2</small>" in seen
    for secret in (f"{names[0]} not with", "in the first group", '"asks"', "apart"):
        assert secret not in seen


def test_the_captain_is_in_the_first_group_if_nothing_else_is_said(secretary, captain):
    fixture, entries = closed(8)
    Office.objects.get(role="captain").account.players.add(entries[4].player)
    shown = text(secretary.get(page(fixture)))
    assert f'<option value="{entries[4].public_id}" selected>' in shown


def test_two_tees_are_said_on_the_page_and_the_card(secretary, member, player):
    fixture, entries = closed(8)
    Entry.objects.filter(pk=entries[0].pk).update(player=player)
    secretary.post(reverse("desk:handicaps_take", args=[fixture.public_id]))
    secretary.post(page(fixture, "draw_make"), HOW | {"start": "two tees", "seed": "1"})
    secretary.post(page(fixture, "draw_publish"))
    start = Start.objects.get(entry=entries[0])
    shown = text(member.get(page(fixture)))
    assert "group 2, hole 10" in shown
    assert f"Starts on hole <b>{start.first_hole}</b>." in shown
    tenth = Start.objects.filter(first_hole=10).first()
    assert "Starts on hole 10." in text(
        secretary.get(reverse("cards:show", args=[tenth.public_id]))
    )
