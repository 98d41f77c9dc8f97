"""Who joined when, and whose subscription of a season is paid: noted by secretary or treasurer."""

from datetime import UTC, date, datetime

import pytest
from django.db import DatabaseError, connection, transaction

from scoring.rules.strict_json import read_json
from society.audit.models import AuditLine
from society.members.actions.players import note_joined, note_subscriptions
from society.members.models import Subscription
from society.members.queries import members_on_the_list, subscriptions
from society.members.rules import SubscriptionState
from society.web.refusals import BadInput, NotYours
from society.web.who import Who
from tests.factories.members import PlayerFactory

pytestmark = pytest.mark.django_db

AT = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
DAY = date(2026, 3, 1)
TREASURER = Who(account="t", roles=frozenset({"treasurer"}), name="T")
PAID, EXCUSED, OPEN = SubscriptionState.PAID, SubscriptionState.EXCUSED, SubscriptionState.OPEN


def note(players: list[object], state: SubscriptionState = PAID, **values: object) -> int:
    given = {"period": "s2026", "on": DAY, "by": TREASURER, "at": AT} | values
    return note_subscriptions(players=players, state=state, **given)


def test_the_latest_row_says_how_a_subscription_stands() -> None:
    ada, bea, cy = (PlayerFactory(name=name) for name in ("Ada", "Bea", "Cy"))
    assert note([ada, bea]) == 2
    assert note([ada, cy], on=date(2026, 4, 1)) == 2  # Ada's day was put right
    note([bea], OPEN)
    note([cy], EXCUSED, words="Eighty this year")
    found = subscriptions("s2026")
    assert found[ada.public_id].counts_from == date(2026, 4, 1)
    assert found[bea.public_id].counts_from is None
    assert found[cy.public_id].counts_from == date.min
    assert subscriptions("s2027") == {}
    assert Subscription.objects.get(player=cy, state="excused").reason == "Eighty this year"


def test_who_stands_like_that_already_is_left_alone() -> None:
    ada, bea = PlayerFactory(), PlayerFactory()
    note([ada])
    assert note([ada, bea]) == 1
    lines = AuditLine.objects.count()
    with pytest.raises(BadInput, match="already"):
        note([ada])
    assert AuditLine.objects.count() == lines


def test_a_merged_double_speaks_for_who_stays() -> None:
    kept, double = PlayerFactory(), PlayerFactory()
    note([double])
    double.merged_into = kept
    double.save()
    assert set(subscriptions("s2026")) == {kept.public_id}
    assert list(members_on_the_list()) == [kept]


@pytest.mark.parametrize(
    ("values", "error"),
    [
        ({"by": Who(account="c", roles=frozenset({"captain"}))}, NotYours),
        ({"state": EXCUSED}, BadInput),
        ({"players": []}, BadInput),
    ],
)
def test_what_is_refused(values: dict[str, object], error: type[Exception]) -> None:
    given = {"players": [PlayerFactory()], "state": PAID} | values
    with pytest.raises(error):
        note(**given)
    assert not Subscription.objects.exists()


def test_rows_cannot_be_changed() -> None:
    note([PlayerFactory()])
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE members_subscription SET state = 'open'")


def test_the_day_of_joining_is_on_record() -> None:
    ada = PlayerFactory()
    note_joined(player=ada, joined_on=DAY, by=TREASURER, at=AT)
    ada.refresh_from_db()
    assert ada.joined_on == DAY
    lines = AuditLine.objects.count()
    note_joined(player=ada, joined_on=DAY, by=TREASURER, at=AT)
    assert AuditLine.objects.count() == lines
    note_joined(player=ada, joined_on=None, by=TREASURER, at=AT)
    (change,) = read_json(AuditLine.objects.latest("number").changes)
    assert change["old"] == {"joined_on": "2026-03-01"}
    with pytest.raises(BadInput):
        note_joined(player=PlayerFactory(kind="guest"), joined_on=DAY, by=TREASURER, at=AT)
    with pytest.raises(NotYours):
        note_joined(player=ada, joined_on=DAY, by=Who(account="x"), at=AT)
