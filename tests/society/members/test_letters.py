"""Letters: rows of the deed, delivered afterwards, once each, and never in the way of a deed."""

import smtplib
from datetime import timedelta
from email import message_from_string, policy

import pytest
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.db import DatabaseError, transaction

from society.audit.actions import deed
from society.members import letters
from society.members.models import Letter
from society.members.rules import LetterKind
from tests.factories.members import AccountFactory, PlayerFactory

pytestmark = pytest.mark.django_db
ABOUT = "fixture:thursday"


class Down(EmailBackend):
    """A mail server that is down."""

    def open(self):
        raise ConnectionRefusedError(111, "Connection refused")


class Refusing(EmailBackend):
    """A mail server that answers each recipient with `reply`."""

    reply = (550, b"5.1.1 no such mailbox")

    def send_messages(self, messages):
        raise smtplib.SMTPRecipientsRefused({messages[0].to[0]: self.reply})


class Busy(Refusing):
    reply = (451, b"4.3.0 try again later")


@pytest.fixture(autouse=True)
def set_up(settings, society):
    settings.SENDS_EMAIL = True
    settings.SITE_URL = "https://golf.example.org"
    settings.DEFAULT_FROM_EMAIL = "Testers <secretary@golf.example.org>"


@pytest.fixture
def ivo():
    return PlayerFactory(name="Ivo Marrable", email="ivo@example.org")


def write(by, at, to, **values):
    told = {"kind": LetterKind.DRAW, "subject": "The draw", "text": "You start at 09:08.", **values}
    with deed(by=by, at=at, what="told", about=ABOUT) as d:
        return letters.write(d, to=to, about=ABOUT, **told)


def through(settings, backend):
    settings.EMAIL_BACKEND = f"{__name__}.{backend.__name__}"


def test_a_letter_is_a_row_of_its_deed_and_goes_when_it_is_delivered(machine, at, ivo):
    written = write(machine, at, ivo, link="/fixtures/thursday/draw/")
    assert (written.made_at, written.gone_at, mail.outbox) == (at, None, [])
    assert letters.deliver(at=at) == 1
    assert letters.deliver(at=at) == 0
    (sent,) = mail.outbox
    assert sent.to == ["ivo@example.org"]
    assert sent.cc == sent.bcc == []
    assert sent.subject == "Testers' Golf Society: The draw"
    assert sent.body.split("\n\n") == [
        "Dear Ivo Marrable,",
        "You start at 09:08.",
        "https://golf.example.org/fixtures/thursday/draw/",
        "Testers' Golf Society\n",
    ]
    assert Letter.objects.get().gone_at == at


def test_a_deed_that_fails_leaves_no_letter(machine, at, ivo):
    def failing():
        with deed(by=machine, at=at, what="told", about=ABOUT):
            assert write(machine, at, ivo)
            raise RuntimeError

    with pytest.raises(RuntimeError):
        failing()
    assert not Letter.objects.exists()


def test_an_address_is_the_players_own_or_else_that_of_an_account(machine, at, ivo):
    hers = PlayerFactory(name="Una Quell")
    AccountFactory(email="couple@example.org", players=[ivo, hers])
    nobody = PlayerFactory(name="Odo Fenn")
    assert letters.address_of(ivo) == "ivo@example.org"
    assert letters.address_of(hers) == "couple@example.org"
    assert write(machine, at, nobody) is None
    row = Letter.objects.get(player=nobody)
    assert row.address == ""
    assert letters.deliver(at=at) == 0
    row.refresh_from_db()
    assert (row.gone_at, row.given_up_at) == (None, None)


def test_a_couple_on_one_address_gets_a_letter_each_that_names_the_player(machine, at):
    for name in ("Una Quell", "Odo Fenn"):
        write(machine, at, PlayerFactory(name=name, email="couple@example.org"))
    assert letters.deliver(at=at) == 2
    assert [sent.to for sent in mail.outbox] == [["couple@example.org"]] * 2
    assert [sent.body.split(",")[0] for sent in mail.outbox] == ["Dear Una Quell", "Dear Odo Fenn"]


def test_without_e_mail_set_up_letters_wait_and_nothing_is_tried(machine, at, ivo, settings):
    settings.SENDS_EMAIL = False
    through(settings, Down)
    write(machine, at, ivo)
    assert letters.deliver(at=at) == 0
    assert Letter.objects.get().last_error == ""
    assert letters.waiting_letters(at).count() == 1


def test_a_server_that_is_down_is_said_on_each_letter_and_none_is_lost(machine, at, ivo, settings):
    write(machine, at, ivo)
    sending = settings.EMAIL_BACKEND
    through(settings, Down)
    assert letters.deliver(at=at) == 0
    kept = Letter.objects.get()
    assert (kept.tries, kept.gone_at) == (0, None)
    assert "cannot be reached" in kept.last_error
    settings.EMAIL_BACKEND = sending
    assert letters.deliver(at=at + timedelta(minutes=1)) == 1
    assert Letter.objects.get().last_error == ""


def test_an_address_refused_for_good_is_given_up_and_says_why(machine, at, ivo, settings):
    # RFC 5321, section 4.2.1: 5yz is a permanent negative completion reply.
    through(settings, Refusing)
    write(machine, at, ivo)
    assert letters.deliver(at=at) == 0
    kept = Letter.objects.get()
    assert (kept.given_up_at, kept.last_error) == (at, "5.1.1 no such mailbox")
    assert letters.waiting_letters(at).count() == 0


def test_a_passing_refusal_is_tried_again_later_and_later(machine, at, ivo, settings):
    # RFC 5321, section 4.2.1: 4yz is a transient negative completion reply.
    through(settings, Busy)
    write(machine, at, ivo)
    letters.deliver(at=at)
    first = Letter.objects.get()
    assert (first.tries, first.given_up_at, first.not_before) == (
        1,
        None,
        at + timedelta(minutes=1),
    )
    letters.deliver(at=at + timedelta(seconds=30))
    assert Letter.objects.get().tries == 1
    then = at + timedelta(minutes=1)
    letters.deliver(at=then)
    assert Letter.objects.get().not_before == then + timedelta(minutes=2)


def test_a_letter_older_than_three_days_is_not_sent_any_more(machine, at, ivo):
    write(machine, at, ivo)
    late = at + timedelta(days=3)
    assert letters.deliver(at=late) == 0
    assert letters.give_up_the_old(at=late) == 1
    assert letters.give_up_the_old(at=late) == 0
    assert mail.outbox == []
    assert Letter.objects.get().given_up_at == late


def test_a_letter_another_sender_holds_is_left_alone(machine, at, ivo):
    write(machine, at, ivo)
    Letter.objects.update(not_before=at + timedelta(minutes=10))
    assert letters.deliver(at=at) == 0
    assert letters.deliver(at=at + timedelta(minutes=10)) == 1


@pytest.mark.parametrize("ended", ["gone", "too old"])
def test_a_link_that_opens_a_door_is_forgotten_with_the_letter(machine, at, ivo, ended):
    write(machine, at, ivo, link="/sign-in/link/opensesame/", holds_secret=True)
    if ended == "gone":
        letters.deliver(at=at)
    else:
        letters.give_up_the_old(at=at + timedelta(days=9))
    assert Letter.objects.get().link == ""
    assert len(mail.outbox) == (1 if ended == "gone" else 0)


def test_a_name_or_a_subject_cannot_forge_a_head(machine, at):
    # RFC 5322, section 2.2: a header field holds no CR or LF of its own.
    evil = PlayerFactory(name="Ivo\r\nBcc: all@example.org", email="ivo@example.org")
    write(machine, at, evil, subject="The draw\r\nBcc: all@example.org\x1b[2J")
    assert letters.deliver(at=at) == 1
    read = message_from_string(mail.outbox[0].message().as_string(), policy=policy.default)
    assert read["Bcc"] is None
    assert read["To"] == "ivo@example.org"
    assert read["Subject"] == "Testers' Golf Society: The draw Bcc: all@example.org [2J"
    # RFC 3834, section 5.
    assert read["Auto-Submitted"] == "auto-generated"


def test_each_try_carries_the_same_message_id(machine, at, ivo):
    # RFC 5322, section 3.6.4: the same instantiation of a message keeps its identifier.
    letter = write(machine, at, ivo)
    one, other = letters.message(letter), letters.message(letter)
    assert one.extra_headers["Message-ID"] == other.extra_headers["Message-ID"]
    assert one.extra_headers["Message-ID"].endswith("@golf.example.org>")


@pytest.mark.parametrize(
    "change",
    [
        {"text": "You start at 10:00."},
        {"address": "other@example.org"},
        {"about": "fixture:friday"},
        {"player": None},
    ],
)
def test_what_a_letter_says_cannot_be_changed(machine, at, ivo, change):
    write(machine, at, ivo)
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        Letter.objects.update(**change)


def test_a_letter_is_not_deleted_nor_its_going_taken_back_but_may_be_emptied(machine, at, ivo):
    write(machine, at, ivo)
    letters.deliver(at=at)
    for change in (
        lambda: Letter.objects.all().delete(),
        lambda: Letter.objects.update(gone_at=None),
    ):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
            change()
    Letter.objects.update(address="", text="", subject="", link="")
    assert Letter.objects.get().text == ""


def test_after_a_year_and_more_only_the_fact_of_a_letter_is_kept(machine, at, ivo):
    write(machine, at, ivo)
    letters.deliver(at=at)
    assert letters.empty_the_old(at=at + timedelta(days=399)) == 0
    assert letters.empty_the_old(at=at + timedelta(days=400)) == 1
    assert letters.empty_the_old(at=at + timedelta(days=400)) == 0
    kept = Letter.objects.get()
    assert (kept.address, kept.subject, kept.text, kept.link) == ("", "", "", "")
    assert (kept.kind, kept.gone_at) == ("draw", at)
