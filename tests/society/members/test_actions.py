"""Deeds on players, accounts, invitations and offices: the rows, the audit line, the refusals."""

import json
from datetime import date, datetime, timedelta

import pytest

from society.audit.models import AuditLine
from society.members.actions import accounts, offices
from society.members.actions import players as player_deeds
from society.members.actions import society as society_deeds
from society.members.models import Account, Invitation, Office, Player, SignInTry, Society
from society.members.queries import hash_secret, sign_in_is_slowed, who_for
from society.web.refusals import BadInput, Missing, NotYours, WrongState
from society.web.who import NOBODY, Who
from tests.factories.members import AccountFactory, OfficeFactory, PlayerFactory

pytestmark = pytest.mark.usefixtures("society")
MEMBER = Who(account="a", players=("p",), player="p")
CAPTAIN = Who(account="c", roles=frozenset({"captain"}))
IVO = {"kind": "member", "name": "Ivo Marrable", "category": "men"}


def last_line() -> AuditLine:
    return AuditLine.objects.latest("number")


# players


def test_add_player_keeps_a_row_and_says_so(machine: Who, at: datetime) -> None:
    player = player_deeds.add_player(
        **IVO, email="Ivo@Example.org", number=" 12 ", home_club="Long Meadow", by=machine, at=at
    )
    player.refresh_from_db()
    assert (player.name, player.email, player.number) == ("Ivo Marrable", "ivo@example.org", "12")
    assert player.is_member
    assert player.added_at == at
    line = last_line()
    assert (line.deed, line.about) == ("added a player", f"player:{player.public_id}")
    assert json.loads(line.changes)[0]["new"] == {"kind": "member", "category": "men"}
    assert "number: 12" in line.reason.splitlines()  # in words, which can be blanked


def test_a_number_is_given_once(machine: Who, at: datetime) -> None:
    PlayerFactory(name="Jem Saltcote", number="12")
    with pytest.raises(BadInput, match="Jem Saltcote has number 12 already") as refusal:
        player_deeds.add_player(**IVO, number="12", by=machine, at=at)
    assert refusal.value.field == "number"
    assert Player.objects.count() == 1
    assert not AuditLine.objects.exists()


def test_players_without_a_number_do_not_clash(machine: Who, at: datetime) -> None:
    for _ in range(2):
        player_deeds.add_player(**IVO, by=machine, at=at)
    assert Player.objects.filter(number="").count() == 2


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("name", "  "),
        ("name", "Ivo\x07"),
        ("email", "ivo"),
        ("number", "9" * 21),
        ("kind", "x"),
        ("category", "x"),
    ],
)
def test_add_player_refuses_beside_the_field(
    field: str, text: str, machine: Who, at: datetime
) -> None:
    with pytest.raises(BadInput) as refusal:
        player_deeds.add_player(**(IVO | {field: text}), by=machine, at=at)
    assert refusal.value.field == field


@pytest.mark.parametrize("who", [MEMBER, CAPTAIN])
def test_members_are_added_by_the_secretary_guests_by_who_plays(who: Who, at: datetime) -> None:
    with pytest.raises(NotYours):
        player_deeds.add_player(**IVO, by=who, at=at)
    guest = player_deeds.add_player(**(IVO | {"kind": "guest"}), by=who, at=at)
    assert not guest.is_member


def test_an_account_without_players_adds_nobody(at: datetime) -> None:
    with pytest.raises(NotYours):
        player_deeds.add_player(**(IVO | {"kind": "guest"}), by=Who(account="o"), at=at)


def test_change_player_writes_only_what_differs(machine: Who, at: datetime) -> None:
    player = PlayerFactory(name="Ivo Marrable", number="12", home_club="Long Meadow")
    changed = player_deeds.change_player(
        player=player, name="Ivo Marrable", number="14", by=machine, at=at
    )
    assert (changed.number, changed.home_club) == ("14", "Long Meadow")
    assert json.loads(last_line().changes) == [
        {
            "about": f"player:{player.public_id}",
            "new": {"number": "changed"},
        }
    ]
    assert last_line().reason == "number: 14 (before: 12)"


def test_a_change_of_nothing_writes_nothing(machine: Who, at: datetime) -> None:
    player = PlayerFactory(name="Ivo Marrable", number="12")
    player_deeds.change_player(player=player, name="Ivo Marrable", number="12", by=machine, at=at)
    assert not AuditLine.objects.exists()


def test_change_player_refusals(machine: Who, at: datetime) -> None:
    PlayerFactory(number="12")
    player = PlayerFactory(number="14")
    with pytest.raises(BadInput):
        player_deeds.change_player(player=player, number="12", by=machine, at=at)
    with pytest.raises(NotYours):
        player_deeds.change_player(player=player, name="X", by=CAPTAIN, at=at)
    player.refresh_from_db()
    assert player.number == "14"


# invitations


def test_invite_keeps_only_the_hash(machine: Who, at: datetime) -> None:
    ida, wilf = PlayerFactory(name="Ida"), PlayerFactory(name="Wilf")
    secret = accounts.invite(players=[ida, wilf], email="Pair@example.org", by=machine, at=at)
    row = Invitation.objects.get()
    assert (row.email, row.token_hash) == ("pair@example.org", hash_secret(secret))
    assert set(row.players.all()) == {ida, wilf}
    assert row.expires_at == at + timedelta(days=14)
    line = last_line()
    assert line.about == f"player:{ida.public_id}"
    assert secret not in line.changes
    assert secret not in row.token_hash


def test_a_later_invitation_ends_the_earlier(machine: Who, at: datetime) -> None:
    player = PlayerFactory()
    first = accounts.invite(players=[player], email="a@example.org", by=machine, at=at)
    later = at + timedelta(minutes=1)
    second = accounts.invite(players=[player], email="a@example.org", by=machine, at=later)
    with pytest.raises(Missing):
        accounts.accept_invitation(secret=first, password="a long one", by=NOBODY, at=later)
    accounts.accept_invitation(secret=second, password="a long one", by=NOBODY, at=later)


def test_invite_refusals(machine: Who, at: datetime) -> None:
    player = PlayerFactory()
    for email in ("", "nothing"):
        with pytest.raises(BadInput):
            accounts.invite(players=[player], email=email, by=machine, at=at)
    with pytest.raises(BadInput):
        accounts.invite(players=[], email="new@example.org", by=machine, at=at)
    for who in (CAPTAIN, MEMBER, NOBODY):
        with pytest.raises(NotYours):
            accounts.invite(players=[player], email="a@example.org", by=who, at=at)
    assert not Invitation.objects.exists()


def test_accepting_makes_an_account_for_a_couple(machine: Who, at: datetime) -> None:
    ida, wilf = PlayerFactory(name="Ida Low"), PlayerFactory(name="Wilf Low")
    secret = accounts.invite(players=[ida, wilf], email="low@example.org", by=machine, at=at)
    account = accounts.accept_invitation(
        secret=secret, password="a long enough word", by=NOBODY, at=at
    )
    assert account.name == "Ida Low and Wilf Low"
    assert account.check_password("a long enough word")
    assert set(account.players.all()) == {ida, wilf}
    line = last_line()
    assert (line.deed, line.about) == ("accepted an invitation", f"account:{account.public_id}")
    assert json.loads(line.by)["account"] == account.public_id
    assert "long enough" not in line.changes


def test_accepting_for_an_account_sets_the_password_and_adds(machine: Who, at: datetime) -> None:
    old, new = PlayerFactory(name="Ida"), PlayerFactory(name="Pip")
    account = AccountFactory(name="Ida", email="ida@example.org", players=[old])
    accounts.note_failed_sign_in(email="ida@example.org", at=at)
    secret = accounts.invite(players=[new], email="ida@example.org", by=machine, at=at)
    accounts.accept_invitation(secret=secret, password="quite another word", by=NOBODY, at=at)
    account.refresh_from_db()
    assert account.check_password("quite another word")
    assert account.name == "Ida"
    assert set(account.players.all()) == {old, new}
    assert not SignInTry.objects.exists()


def test_a_link_is_good_once_and_for_fourteen_days(machine: Who, at: datetime) -> None:
    player = PlayerFactory()

    def made() -> str:
        return accounts.invite(players=[player], email="a@example.org", by=machine, at=at)

    with pytest.raises(Missing):
        accounts.accept_invitation(
            secret=made(), password="x", by=NOBODY, at=at + timedelta(days=14)
        )
    secret = made()
    accounts.accept_invitation(secret=secret, password="x", by=NOBODY, at=at)
    for wrong in (secret, "", "nonsense"):
        with pytest.raises(Missing):
            accounts.accept_invitation(secret=wrong, password="y", by=NOBODY, at=at)
    assert Account.objects.get().check_password("x")


def test_only_the_owner_changes_a_password(machine: Who, at: datetime) -> None:
    account = AccountFactory()
    accounts.change_password(account=account, password="new word", by=who_for(account, at), at=at)
    account.refresh_from_db()
    assert account.check_password("new word")
    assert last_line().deed == "changed the password"
    with pytest.raises(NotYours):
        accounts.change_password(account=account, password="other", by=machine, at=at)


def test_guessing_is_slowed_for_an_hour_and_for_one_address(at: datetime) -> None:
    for _ in range(19):
        accounts.note_failed_sign_in(email="ivo@example.org", at=at)
    assert not sign_in_is_slowed("ivo@example.org", at)
    accounts.note_failed_sign_in(email="IVO@example.org ", at=at)
    assert sign_in_is_slowed("ivo@example.org", at)
    assert not sign_in_is_slowed("jem@example.org", at)
    assert not sign_in_is_slowed("ivo@example.org", at + timedelta(hours=1))
    assert "ivo" not in SignInTry.objects.first().email_hash
    accounts.note_failed_sign_in(email="jem@example.org", at=at + timedelta(days=2))
    assert SignInTry.objects.count() == 1


# offices


def test_an_office_is_given_and_ended(machine: Who, at: datetime) -> None:
    account = AccountFactory()
    office = offices.hold_office(
        account=account, role="captain", starts=date(2026, 4, 15), by=machine, at=at
    )
    assert who_for(account, at).roles == {"captain"}
    assert last_line().deed == "gave an office"
    offices.end_office(office=office, last_day=date(2026, 4, 20), by=machine, at=at)
    assert who_for(account, at + timedelta(days=5)).roles == {"captain"}
    assert who_for(account, at + timedelta(days=6)).roles == set()
    assert last_line().deed == "ended an office"


def test_an_office_that_had_not_begun_is_taken_back(machine: Who, at: datetime) -> None:
    office = OfficeFactory(role="captain", starts=date(2026, 4, 15))
    offices.end_office(office=office, last_day=date(2026, 4, 14), by=machine, at=at)
    assert not Office.objects.exists()
    assert "taken back" in last_line().changes


def test_hold_office_refusals(machine: Who, at: datetime) -> None:
    account = AccountFactory()
    given = {"account": account, "starts": date(2026, 4, 15), "at": at}
    with pytest.raises(BadInput):
        offices.hold_office(**given, role="janitor", by=machine)
    with pytest.raises(BadInput):
        offices.hold_office(**given, role="captain", ends=date(2026, 4, 14), by=machine)
    with pytest.raises(NotYours):
        offices.hold_office(**given, role="captain", by=CAPTAIN)
    offices.hold_office(**given, role="captain", by=machine)
    with pytest.raises(WrongState):
        offices.hold_office(**given, role="captain", by=machine)
    assert Office.objects.count() == 1


def test_the_last_secretary_cannot_be_lost(machine: Who, at: datetime) -> None:
    only = OfficeFactory(role="secretary")
    day = date(2026, 4, 30)
    with pytest.raises(WrongState, match="without a secretary"):
        offices.end_office(office=only, last_day=day, by=machine, at=at)
    # none of these can stand in: an end of its own, a later start, no password, not active
    OfficeFactory(role="secretary", ends=date(2027, 1, 1))
    OfficeFactory(role="secretary", starts=date(2026, 5, 2))
    OfficeFactory(role="secretary", account=AccountFactory(password="!unusable"))
    Account.objects.filter(pk=Office.objects.latest("pk").account_id).update(password="!x")
    OfficeFactory(role="secretary", account=AccountFactory(is_active=False))
    OfficeFactory(role="captain")
    with pytest.raises(WrongState):
        offices.end_office(office=only, last_day=day, by=machine, at=at)
    OfficeFactory(role="secretary", starts=date(2026, 5, 1))
    offices.end_office(office=only, last_day=day, by=machine, at=at)
    only.refresh_from_db()
    assert only.ends == day


def test_end_office_is_the_secretarys(at: datetime) -> None:
    with pytest.raises(NotYours):
        offices.end_office(
            office=OfficeFactory(role="captain"), last_day=date(2026, 4, 20), by=CAPTAIN, at=at
        )


# setting up

START = {
    "society": "Tarn Hollow",
    "time_zone": "Europe/London",
    "currency": "GBP",
    "name": "Wilf Tanglewood",
    "email": "wilf@example.org",
}


def test_first_officer_starts_a_society(machine: Who, at: datetime) -> None:
    Society.objects.all().delete()
    account, secret = society_deeds.first_officer(**START, by=machine, at=at)
    society = Society.objects.get()
    assert (society.name, society.currency) == ("Tarn Hollow", "GBP")
    assert not account.has_usable_password()
    assert who_for(account, at).roles == {"secretary"}
    assert AuditLine.objects.count() == 1
    accepted = accounts.accept_invitation(secret=secret, password="a long one", by=NOBODY, at=at)
    assert accepted == account
    assert accepted.name == "Wilf Tanglewood"


def test_first_officer_with_a_password_needs_no_link(machine: Who, at: datetime) -> None:
    Society.objects.all().delete()
    account, secret = society_deeds.first_officer(**START, password="a long one", by=machine, at=at)
    assert secret == ""
    assert account.check_password("a long one")
    assert not Invitation.objects.exists()


def test_first_officer_refuses_a_second_society(machine: Who, at: datetime) -> None:
    with pytest.raises(WrongState):
        society_deeds.first_officer(**START, by=machine, at=at)
    assert not Account.objects.exists()


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("time_zone", "Europe/Nowhere"),
        ("time_zone", "../etc/passwd"),
        ("currency", "XYZ"),
        ("currency", "gbp"),
        ("name", ""),
        ("email", ""),
        ("society", " "),
    ],
)
def test_first_officer_checks_what_it_is_given(
    field: str, text: str, machine: Who, at: datetime
) -> None:
    Society.objects.all().delete()
    with pytest.raises(BadInput):
        society_deeds.first_officer(**(START | {field: text}), by=machine, at=at)
    assert not Society.objects.exists()
