"""What members are told of their entry and of the draw, as part of the deed itself."""

from datetime import timedelta

import pytest

from society.entries.actions import drawing
from society.entries.actions.entering import enter, withdraw
from society.entries.models import Start
from society.entries.rules.draw import DrawMethod
from society.members.models import Letter
from society.members.rules import LetterKind
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.factories.members import PlayerFactory

pytestmark = pytest.mark.django_db


def written(kind: LetterKind) -> list[Letter]:
    return list(Letter.objects.filter(kind=kind.value).order_by("pk").select_related("player"))


def post(name: str) -> str:
    return f"{name.split()[0].lower()}@example.org"


def named(fixture, *names):
    return [entered(fixture, name=name, email=post(name)) for name in names]


def test_an_entry_and_a_withdrawal_are_confirmed(society, at, machine):
    fixture = saturday(state="open")
    ivo = PlayerFactory(name="Ivo Marrable", email="ivo@example.org")
    entry = enter(fixture=fixture, player=ivo, by=machine, at=at)
    (said,) = written(LetterKind.ENTERED)
    assert (said.player, said.address) == (ivo, "ivo@example.org")
    assert said.about == f"fixture:{fixture.public_id}"
    assert said.text.startswith(f"You have a place in {fixture.name} on Saturday 18 April.")
    assert said.link == f"/fixtures/{fixture.public_id}/"
    withdraw(entry=entry, by=machine, at=at)
    (gone,) = written(LetterKind.WITHDRAWN)
    assert "no longer entered" in gone.text


def test_who_waits_hears_where_and_hears_again_when_a_place_comes_free(society, at, machine):
    fixture = saturday(state="open", places=1)
    (first,) = named(fixture, "Una Quell")
    for name in ("Ivo Marrable", "Odo Fenn"):
        player = PlayerFactory(name=name, email=post(name))
        enter(fixture=fixture, player=player, by=machine, at=at)
    told = [said.text for said in written(LetterKind.WAITING)]
    assert "You are the first on the waiting list" in told[0]
    assert "You are number 2 on the waiting list" in told[1]
    withdraw(entry=first, by=machine, at=at)
    assert [said.player.name for said in written(LetterKind.PLACE)] == ["Ivo Marrable"]


def published(at, machine, *names, **values):
    fixture = saturday(state="closed", **values)
    entries = named(fixture, *names)
    drawing.make_draw(fixture=fixture, method=DrawMethod.RANDOM, seed="41207", by=machine, at=at)
    drawing.publish_draw(fixture=fixture, by=machine, at=at)
    return fixture, entries


def test_the_draw_tells_each_their_time_group_and_whose_card_they_mark(society, at, machine):
    fixture, entries = published(at, machine, "Una Quell", "Ivo Marrable", "Odo Fenn")
    told = {said.player_id: said for said in written(LetterKind.DRAW)}
    assert len(told) == 3
    for start in Start.objects.filter(round__fixture=fixture).select_related("marker__player"):
        said = told[start.entry.player_id]
        marked = Start.objects.get(marker=start.entry).entry.player.name
        others = [e.player.name for e in entries if e.pk != start.entry_id]
        assert said.subject == f"{fixture.name}: you start at 09:30"
        assert "You start at 09:30, in group 1, with " in said.text
        assert all(name in said.text for name in others)
        assert (
            f"You mark the card of {marked}. {start.marker.player.name} marks yours." in said.text
        )
        assert said.link == f"/fixtures/{fixture.public_id}/draw/"


def test_a_couple_on_one_address_gets_a_letter_each(society, at, machine):
    fixture = saturday(state="closed")
    for name in ("Una Quell", "Odo Fenn"):
        entered(fixture, name=name, email="couple@example.org")
    drawing.make_draw(fixture=fixture, method=DrawMethod.RANDOM, seed="41207", by=machine, at=at)
    drawing.publish_draw(fixture=fixture, by=machine, at=at)
    told = written(LetterKind.DRAW)
    assert [said.address for said in told] == ["couple@example.org"] * 2
    assert {said.player.name for said in told} == {"Una Quell", "Odo Fenn"}


def test_after_a_swap_only_those_it_touches_hear_again(society, at, machine):
    # Twelve in three fours: a swap between two groups leaves the third alone.
    fixture, _entries = published(at, machine, *(f"P{n} Player" for n in range(12)))
    group = {s.entry_id: s.group for s in Start.objects.filter(round__fixture=fixture)}
    rows = Start.objects.filter(round__fixture=fixture).select_related("entry")
    one, other = (rows.filter(group=number).order_by("place").first().entry for number in (1, 2))
    drawing.swap(fixture=fixture, one=one, other=other, by=machine, at=at)
    told = {said.player_id for said in written(LetterKind.DRAW_CHANGED)}
    assert {one.player_id, other.player_id} <= told
    third = {row.entry.player_id for row in rows if group[row.entry_id] == 3}
    assert not told & third
    (hers,) = (s for s in written(LetterKind.DRAW_CHANGED) if s.player_id == one.player_id)
    assert "in group 2" in hers.text


def test_a_withdrawn_draw_is_told_with_its_reason(society, at, machine):
    fixture, entries = published(at, machine, "Una Quell", "Ivo Marrable")
    drawing.withdraw_draw(fixture=fixture, words="The first tee is flooded", by=machine, at=at)
    told = written(LetterKind.DRAW_CHANGED)
    assert len(told) == len(entries)
    assert all("The first tee is flooded" in said.text for said in told)


def test_news_of_a_day_that_is_over_is_not_written(society, at, machine):
    fixture = saturday(state="closed")  # on Saturday 18 April, and it is Monday
    late = at + timedelta(days=5)
    enter(fixture=fixture, player=PlayerFactory(email="a@example.org"), by=machine, at=late)
    assert not Letter.objects.exists()


def test_news_of_a_draw_is_not_sent_after_the_day(society, at, machine):
    eve = at + timedelta(days=2, hours=8)  # Friday 18:00 UTC
    published(eve, machine, "Una Quell", "Ivo Marrable")
    (said, _other) = written(LetterKind.DRAW)
    # Saturday ends at midnight British Summer Time, an hour before midnight UTC.
    assert said.send_until.isoformat() == "2026-04-18T23:00:00+00:00"


def test_two_who_mark_each_other_are_told_so_in_one_sentence(society, at, machine):
    published(at, machine, "Una Quell", "Ivo Marrable")
    hers, his = sorted(written(LetterKind.DRAW), key=lambda said: said.player.name, reverse=True)
    assert "with Ivo Marrable. You and Ivo Marrable mark each other's cards." in hers.text
    assert "with Una Quell. You and Una Quell mark each other's cards." in his.text
