"""The twos from entering to the next event, with the sums that a society's treasurer makes.

Story 14 of the acceptance stories: 28 at £2; five twos by four; two who had not paid; no twos.
"""

from datetime import date, datetime

import pytest
from django.test import Client
from django.urls import reverse

from scoring.results.actions.ruling import rule
from scoring.results.models import TwosPot
from scoring.results.queries.side import pot_before, pot_now
from scoring.results.queries.standings import standing
from scoring.results.tables.side import TwosShown, twos_shown
from scoring.rules.twos import Pot, pot_of
from society.desk.actions.final import make_final
from society.entries.actions.freezing import take_handicaps
from society.entries.actions.twos import join_twos, set_stake, tick_twos
from society.entries.models import Entry
from society.fixtures.models import Fixture
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import Who
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.factories.results import OFFICER, competition_of, played

pytestmark = pytest.mark.django_db

FIVES = [5] * 18


def with_twos(*holes: int) -> list[int | None]:
    return [2 if hole in holes else 5 for hole in range(1, 19)]


CARDS = [with_twos(3, 16), with_twos(7), with_twos(11), with_twos(16), *[FIVES] * 24]


def day(cards: list[list[int | None]], at: datetime, **values: object) -> Fixture:
    """A day of 28 who all paid £2, every card in."""
    fixture = played(cards, **values)
    set_stake(fixture=fixture, stake=200, by=OFFICER, at=at)
    fixture.refresh_from_db()
    pay(fixture, at)
    return fixture


def pay(fixture: Fixture, at: datetime, *, without: tuple[str, ...] = ()) -> None:
    rows = Entry.objects.filter(fixture=fixture).exclude(player__name__in=without)
    paid = list(rows.values_list("public_id", flat=True))
    tick_twos(fixture=fixture, entries=paid, by=OFFICER, at=at)


def pot(fixture: Fixture) -> Pot:
    found = pot_now(fixture)
    assert found is not None
    return found


def shown(fixture: Fixture) -> TwosShown:
    found = twos_shown(standing(competition_of(fixture)))
    assert found is not None
    return found


def test_28_at_two_pounds_with_five_twos_by_four_players(at: datetime) -> None:
    fixture = day(CARDS, at)
    assert (pot(fixture).total, pot(fixture).each) == (5600, 1120)
    paid = {line.name: line.amount for line in shown(fixture).lines}
    assert paid == {
        "Player A000": 2240,
        "Player B001": 1120,
        "Player C002": 1120,
        "Player D003": 1120,
    }


def test_two_who_had_not_paid_make_52_pounds_and_their_two_is_ignored(at: datetime) -> None:
    fixture = day(CARDS, at)
    pay(fixture, at, without=("Player C002", "Player F005"))
    assert (pot(fixture).total, pot(fixture).count, pot(fixture).each) == (5200, 4, 1300)
    ignored = [line.name for line in shown(fixture).lines if not line.counts]
    assert ignored == ["Player C002"]


def test_without_twos_the_pot_goes_to_the_next_event_and_both_pages_say_so(
    secretary: Client, at: datetime
) -> None:
    first = day([FIVES] * 28, at, name="April", starts_on=date(2026, 4, 18))
    make_final(fixture=first, by=OFFICER, at=at)
    html = page(secretary, first)
    assert "No twos." in html
    assert 'The whole <b class="num">£56</b> goes on to the next event with twos.' in html
    second = day([with_twos(3), FIVES], at, name="May", starts_on=date(2026, 5, 16))
    assert (pot(second).brought, pot(second).total) == (5600, 6000)
    html = page(secretary, second)
    assert "£56 brought over from April" in html
    assert "One two pays" in html
    make_final(fixture=second, by=OFFICER, at=at)
    third = day([FIVES], at, name="June", starts_on=date(2026, 6, 20))
    assert pot_before(third) == (0, "")


def page(client: Client, fixture: Fixture) -> str:
    response = client.get(reverse("results:show", args=[fixture.public_id]))
    assert response.status_code == 200
    return " ".join(response.content.decode().split()).replace("\xa0", " ")


def test_a_pot_is_carried_once(at: datetime) -> None:
    first = day([FIVES], at, starts_on=date(2026, 4, 18))
    make_final(fixture=first, by=OFFICER, at=at)
    third = day([with_twos(3)], at, starts_on=date(2026, 6, 20))
    make_final(fixture=third, by=OFFICER, at=at)
    second = day([with_twos(3)], at, starts_on=date(2026, 5, 16))
    assert pot(third).brought == 200
    assert pot(second).brought == 0


def test_what_does_not_divide_goes_on_and_is_stated(secretary: Client, at: datetime) -> None:
    """Three twos for £56.00 pay £18.66 each; two pence are left."""
    fixture = day([*[with_twos(3)] * 3, *[FIVES] * 25], at)
    html = page(secretary, fixture)
    assert "£18.66" in html
    assert "£0.02" in html
    assert "does not divide" in html


def test_the_pot_is_kept_as_it_was_shared(at: datetime) -> None:
    fixture = day(CARDS, at)
    make_final(fixture=fixture, by=OFFICER, at=at)
    row = TwosPot.objects.get()
    assert pot_of(row.pot).each == 1120
    assert shown(fixture).shared_at == at
    with pytest.raises(WrongState):
        tick_twos(fixture=fixture, entries=[], by=OFFICER, at=at)


def test_penalty_strokes_count_and_a_disqualified_players_two_does_not(at: datetime) -> None:
    fixture = day(CARDS, at)
    competition = competition_of(fixture)
    entries = {entry.player.name: entry for entry in Entry.objects.filter(fixture=fixture)}
    rule(competition=competition, kind="penalty", entry=entries["Player B001"], hole=7, strokes=2,
         words="ball moved", by=OFFICER, at=at)  # fmt: skip
    rule(competition=competition, kind="disqualified", entry=entries["Player C002"],
         words="card not signed", by=OFFICER, at=at)  # fmt: skip
    assert pot(fixture).count == 3


def test_a_member_goes_in_and_out_until_handicaps_are_taken(at: datetime) -> None:
    fixture = saturday()
    entry = entered(fixture)
    me = Who(account="a", players=(entry.player.public_id,))
    with pytest.raises(WrongState, match="no twos"):
        join_twos(entry=entry, inside=True, by=me, at=at)
    set_stake(fixture=fixture, stake=200, by=OFFICER, at=at)
    join_twos(entry=entry, inside=True, by=me, at=at)
    entry.refresh_from_db()
    assert entry.twos
    with pytest.raises(WrongState, match="Take them out"):
        set_stake(fixture=fixture, stake=None, by=OFFICER, at=at)
    with pytest.raises(NotYours):
        join_twos(entry=entry, inside=False, by=Who(players=("someone",)), at=at)
    take_handicaps(fixture=fixture, by=OFFICER, at=at)
    with pytest.raises(WrongState, match="made up"):
        join_twos(entry=entry, inside=False, by=me, at=at)


@pytest.mark.parametrize("stake", [0, -1, 100_001])
def test_a_stake_is_a_sensible_amount(stake: int, at: datetime) -> None:
    fixture = saturday()
    with pytest.raises(BadInput):
        set_stake(fixture=fixture, stake=stake, by=OFFICER, at=at)
