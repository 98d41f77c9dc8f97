"""All that is kept about a player, and a player made anonymous without changing a result.

Sources: General Data Protection Regulation (EU) 2016/679, Articles 15, 17 and 20, as the reference
for what a person may ask for; from memory.
"""

import json
from datetime import date, timedelta

import pytest
from django.apps import apps
from django.test import Client
from django.urls import reverse

from scoring.results.models import ResultVersion
from scoring.results.queries.versions import verify_seals
from society.audit.actions import deed
from society.audit.models import AuditLine, Words
from society.desk.actions.final import make_final
from society.desk.actions.forgetting import make_anonymous
from society.desk.queries.held import HELD, LEFT_OUT, SECRETS, held_about
from society.desk.queries.soundness import unsound
from society.entries.actions.entering import enter
from society.entries.models import Entry, Start
from society.fixtures.models import Fixture
from society.members.actions import accounts
from society.members.actions import players as player_deeds
from society.members.models import (
    Account,
    CalendarLink,
    Invitation,
    Letter,
    Player,
    Society,
)
from society.members.rules import SubscriptionState
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import Who
from tests.factories.fixtures import saturday
from tests.factories.members import AccountFactory, OfficeFactory, PlayerFactory
from tests.factories.results import AT, OFFICER, played, scoring

pytestmark = pytest.mark.django_db
LATER = AT + timedelta(days=2)
PLANTED = ("Zebedee Quince", "zebedee@post.example", "Z-4711", "Quagmire Heath", "no walnuts")


# every table is in the file, or on the list of those that are not ----------------------------

PERSONS = {
    "members.Player", "members.Account", "entries.Entry", "entries.Start", "cards.Card",
    "results.Ruling",
}  # fmt: skip


def pointers() -> list[tuple[str, str]]:
    """Table and field of everything that points at a person or at what is a person's alone."""
    return [
        (model._meta.label, field.name)
        for model in apps.get_models()
        for field in (*model._meta.concrete_fields, *model._meta.many_to_many)
        if field.is_relation and field.related_model._meta.label in PERSONS
    ]


@pytest.mark.parametrize(("label", "name"), pointers())
def test_whatever_points_at_a_person_is_in_the_file_or_left_out_for_a_reason(
    label: str, name: str
) -> None:
    ways = HELD.get(label, ())
    assert name in {way.split("__")[0] for way in ways} or LEFT_OUT.get(f"{label}.{name}"), (
        f"{label}.{name} points at a person: put it in HELD or, with a reason, in LEFT_OUT of "
        "society/desk/queries/held.py"
    )


def test_neither_list_names_what_is_not_there() -> None:
    assert set(HELD) <= {model._meta.label for model in apps.get_models()}
    assert set(LEFT_OUT) <= {f"{label}.{name}" for label, name in pointers()}


# one player among others ---------------------------------------------------------------------


@pytest.fixture
def day(society: Society) -> Fixture:
    """A day made final, in which the planted player came first."""
    fixture = played([scoring(41), scoring(38), scoring(30)])
    entry = fixture.entries.order_by("pk")[0]
    player_deeds.change_player(
        player=entry.player, name=PLANTED[0], email=PLANTED[1], number=PLANTED[2],
        home_club=PLANTED[3], by=OFFICER, at=AT,
    )  # fmt: skip
    Entry.objects.filter(pk=entry.pk).update(meal="Pie", diet=PLANTED[4], answered=True)
    make_final(fixture=fixture, by=OFFICER, at=AT)
    return fixture


@pytest.fixture
def quince(day: Fixture) -> Player:
    player = Player.objects.get(name=PLANTED[0])
    account = AccountFactory(name=PLANTED[0], email=PLANTED[1], players=[player])
    CalendarLink.objects.create(account=account, salt="s" * 32, made_at=AT)
    player_deeds.note_subscriptions(
        players=[player], period="2026", state=SubscriptionState.EXCUSED, on=date(2026, 1, 1),
        words="ill all winter", by=OFFICER, at=AT,
    )  # fmt: skip
    accounts.invite(players=[player], email=PLANTED[1], by=OFFICER, at=AT)
    with deed(by=OFFICER, at=AT, what="noted", about=f"fixture:{day.public_id}") as d:
        d.words("Zebedee Quince found a ball that was not his own")
        d.change(f"fixture:{day.public_id}", {"noted": True})
    return player


def test_the_file_holds_all_that_was_planted_and_nothing_of_the_others(quince: Player) -> None:
    told = held_about(quince, LATER)
    text = json.dumps(told, ensure_ascii=False)
    for words in (*PLANTED, "ill all winter", "changed a player"):
        assert words in text
    for other in Player.objects.exclude(pk=quince.pk):
        assert other.name not in text
    kept = told["kept"]
    for label in (
        "members.Subscription", "members.Account", "members.Invitation", "members.CalendarLink",
        "members.Letter", "entries.Entry", "entries.EntryStep", "entries.Start", "entries.Frozen",
        "cards.CardRevision",
    ):  # fmt: skip
        assert kept[label], label
    (entry,) = kept["entries.Entry"]
    assert (entry["meal"], entry["diet"]) == ("Pie", "no walnuts")
    assert kept["members.CalendarLink"][0]["salt"] == "kept, not written out"
    (result,) = told["results"]
    assert result["place"].startswith("1st")


def test_no_secret_is_in_the_file(quince: Player) -> None:
    start = Start.objects.get(entry__player=quince)
    Start.objects.filter(pk=start.pk).update(digits="8264")
    text = json.dumps(held_about(quince, LATER))
    account = Account.objects.get(email=PLANTED[1])
    for secret in (account.password, "s" * 32, Invitation.objects.get().token_hash, '"8264"'):
        assert secret not in text
    assert {"password", "token_hash", "salt", "digits"} <= SECRETS


def test_a_couple_on_one_account_reads_each_its_own_letters(quince: Player) -> None:
    other = PlayerFactory(name="Hepzibah Quince")
    account = Account.objects.get(email=PLANTED[1])
    account.players.add(other)
    text = json.dumps(held_about(other, LATER))
    assert "ill all winter" not in text
    assert "no walnuts" not in text


def test_the_player_and_the_secretary_download_it(
    member: Client, secretary: Client, quince: Player
) -> None:
    address = reverse("desk:player_held", args=[quince.public_id])
    assert member.get(address).status_code == 403
    response = secretary.get(address)
    assert response.headers["Content-Disposition"].startswith("attachment")
    assert json.loads(response.content)["player"] == quince.public_id
    mine = Client()
    mine.force_login(Account.objects.get(email=PLANTED[1]))
    assert address in mine.get(reverse("members:kept")).content.decode()
    assert json.loads(mine.get(address).content)["player"] == quince.public_id


# made anonymous ------------------------------------------------------------------------------


def everything() -> str:
    """All text of every table."""
    rows = [
        str(value)
        for model in apps.get_models()
        for row in model._default_manager.values()
        for value in row.values()
    ]
    return "\n".join(rows)


def forget(player: Player, **values: object) -> None:
    given = {"words": "asked for it", "by": OFFICER, "at": LATER} | values
    make_anonymous(player=player, **given)


def test_nothing_that_names_the_person_is_left_and_the_seals_hold(
    quince: Player, day: Fixture
) -> None:
    version = ResultVersion.objects.get()
    before = (version.digest, version.outputs, version.inputs)
    held = everything()
    assert all(words in held for words in PLANTED)
    forget(quince)
    left = everything()
    for words in (*PLANTED, "Zebedee", "Quince", "ill all winter"):
        assert words not in left, words
    version = ResultVersion.objects.get()
    assert (version.digest, version.outputs, version.inputs) == before
    assert list(verify_seals()) == []
    assert list(unsound()) == []
    line = AuditLine.objects.latest("number")
    assert (line.deed, line.reason) == ("player made anonymous", "asked for it")


def test_the_sign_in_is_closed_and_its_links_with_it(quince: Player) -> None:
    account = Account.objects.get(email=PLANTED[1])
    client = Client()
    client.force_login(account)
    assert client.get(reverse("members:kept")).status_code == 200
    forget(quince)
    account.refresh_from_db()
    assert not account.is_active
    assert not account.has_usable_password()
    assert not CalendarLink.objects.exists()
    assert client.get(reverse("members:kept")).status_code == 302
    assert Invitation.objects.get().expires_at == LATER
    assert not Letter.objects.filter(player=quince).exclude(address="", text="").exists()


def test_a_shared_sign_in_goes_on_for_the_other(quince: Player) -> None:
    other = PlayerFactory(name="Hepzibah Marl")
    account = Account.objects.get(email=PLANTED[1])
    account.players.add(other)
    forget(quince)
    account.refresh_from_db()
    assert (account.is_active, account.name) == (True, "Hepzibah Marl")
    assert list(account.players.all()) == [other]


def test_words_of_others_stay(quince: Player, day: Fixture) -> None:
    with deed(by=OFFICER, at=AT, what="noted", about=f"fixture:{day.public_id}") as d:
        d.words("The greens were slow")
        d.change(f"fixture:{day.public_id}", {"noted": True})
    forget(quince)
    assert Words.objects.filter(text="The greens were slow").exists()


def test_a_letter_to_another_that_still_waits_is_given_up_with_the_name(quince: Player) -> None:
    """Without e-mail it would wait, and hold the name, for ever."""
    other = PlayerFactory(name="Hepzibah Marl", email="marl@post.example")
    for words in ("You play with Zebedee Quince.", "You play alone."):
        Letter.objects.create(
            kind="draw", player=other, address=other.email, text=words, about="fixture:x",
            made_at=AT, made_by="{}", send_until=LATER + timedelta(days=9), not_before=AT,
        )  # fmt: skip
    forget(quince)
    gone, kept = Letter.objects.filter(player=other).order_by("pk")
    assert (gone.text, gone.given_up_at) == ("", LATER)
    assert (kept.text, kept.given_up_at) == ("You play alone.", None)


def test_who_is_anonymous_is_entered_nowhere_again(quince: Player) -> None:
    forget(quince)
    quince.refresh_from_db()
    with pytest.raises(BadInput, match="no longer on the list"):
        enter(fixture=saturday(), player=quince, by=OFFICER, at=LATER)


def test_refused_while_the_player_is_needed_or_without_a_reason(quince: Player) -> None:
    lines = AuditLine.objects.count()
    with pytest.raises(BadInput, match="Say why"):
        forget(quince, words=" ")
    with pytest.raises(BadInput, match="Leave the name out"):
        forget(quince, words="zebedee quince asked")
    with pytest.raises(NotYours):
        forget(quince, by=Who(account="x", roles=frozenset({"captain"}), name="C"))
    OfficeFactory(account=Account.objects.get(email=PLANTED[1]), role="scorer")
    with pytest.raises(WrongState, match="An office is held"):
        forget(quince)
    assert AuditLine.objects.count() == lines
    assert Player.objects.filter(name=PLANTED[0]).exists()


def test_refused_while_a_fixture_is_still_to_be_played(society: Society) -> None:
    fixture = played([scoring(36)])
    player = fixture.entries.get().player
    with pytest.raises(WrongState, match="still in"):
        forget(player)


def test_on_the_page(secretary: Client, member: Client, quince: Player) -> None:
    page = reverse("desk:player", args=[quince.public_id])
    address = reverse("desk:player_anonymous", args=[quince.public_id])
    assert "Lost for good" in secretary.get(page).content.decode()
    assert "Lost for good" not in member.get(page).content.decode()
    assert member.post(address, {"words": "x"}).status_code == 403
    assert secretary.post(address, {"words": ""}).status_code == 422
    response = secretary.post(address, {"words": "left the society"}, follow=True)
    assert "The player is anonymous" in response.content.decode()
    assert "Former player" in response.content.decode()
    assert "Lost for good" not in response.content.decode()
    assert secretary.post(address, {"words": "again"}).status_code == 409
