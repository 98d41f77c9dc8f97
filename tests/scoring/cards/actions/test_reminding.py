"""Asking for cards that are out: by an officer's press, and by the clock once after the day."""

from datetime import UTC, datetime, timedelta

import pytest

from scoring.cards.actions.reminding import remind, remind_due
from society.members.models import Letter
from society.web.refusals import NotYours, WrongState
from society.web.who import NOBODY, Who
from tests.factories.cards import FOURS, ready
from tests.factories.results import paper

pytestmark = pytest.mark.django_db
DUE = Who.due()
# The fixture is on Saturday 18 April 2026, in British Summer Time.
AFTERNOON = datetime(2026, 4, 18, 15, 0, tzinfo=UTC)
NEXT_MORNING = datetime(2026, 4, 19, 8, 0, tzinfo=UTC)


def field(players: int, came_in: int):
    starts = ready(players=players)
    for start in starts[:came_in]:
        paper(start, FOURS)
    return starts[0].round, [start.entry.player for start in starts[came_in:]]


def asked() -> set[int]:
    return set(Letter.objects.filter(kind="card missing").values_list("player_id", flat=True))


def test_the_clock_asks_once_from_nine_on_the_next_morning(society):
    _round, missing = field(4, came_in=3)
    assert remind_due(by=DUE, at=NEXT_MORNING - timedelta(minutes=1)) == 0
    assert remind_due(by=DUE, at=NEXT_MORNING) == 1
    assert remind_due(by=DUE, at=NEXT_MORNING) == 0
    assert remind_due(by=DUE, at=NEXT_MORNING + timedelta(days=1)) == 0
    assert asked() == {player.pk for player in missing}


def test_the_clock_asks_from_the_hour_that_cards_are_due(society):
    round_, missing = field(4, came_in=3)
    round_.cards_due_at = AFTERNOON
    round_.save()
    assert remind_due(by=DUE, at=AFTERNOON - timedelta(minutes=1)) == 0
    assert remind_due(by=DUE, at=AFTERNOON) == len(missing)


@pytest.mark.parametrize("came_in", [0, 2])
def test_the_clock_asks_nobody_where_paper_is_still_to_be_typed(society, came_in):
    field(4, came_in=came_in)
    assert remind_due(by=DUE, at=NEXT_MORNING) == 0


def test_the_clock_asks_for_nothing_once_the_result_stands_or_long_after(society):
    round_, _missing = field(4, came_in=3)
    assert remind_due(by=DUE, at=NEXT_MORNING + timedelta(days=8)) == 0
    round_.fixture.state = "final"
    round_.fixture.save()
    assert remind_due(by=DUE, at=NEXT_MORNING) == 0
    assert not asked()


def test_an_officers_press_asks_everyone_who_is_out_and_names_who_has_no_address(society, machine):
    round_, missing = field(4, came_in=1)
    nobody = missing[-1]
    nobody.accounts.all().update(is_active=False)
    done = remind(round=round_, by=machine, at=AFTERNOON)
    assert set(done.told) == {player.name for player in missing[:-1]}
    assert done.by_hand == (nobody.name,)
    again = remind(round=round_, by=machine, at=AFTERNOON + timedelta(minutes=90))
    assert (again.told, set(again.lately)) == ((), {player.name for player in missing})
    later = remind(round=round_, by=machine, at=AFTERNOON + timedelta(hours=3))
    assert len(later.told) == len(missing) - 1


def test_nobody_is_asked_before_the_day_or_after_the_result_or_by_a_member(society, machine):
    round_, _missing = field(4, came_in=1)
    with pytest.raises(WrongState, match="Nobody has played"):
        remind(round=round_, by=machine, at=AFTERNOON - timedelta(days=1))
    with pytest.raises(NotYours):
        remind(round=round_, by=NOBODY, at=AFTERNOON)
    round_.fixture.state = "final"
    round_.fixture.save()
    with pytest.raises(WrongState, match="is over"):
        remind(round=round_, by=machine, at=AFTERNOON)
    assert not asked()
