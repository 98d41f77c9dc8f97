"""Letters: written in the deed's own transaction, delivered afterwards by `manage.py due`.

A mail server that is down or slow never fails a deed and never delays one: no deed talks to it.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from email.utils import format_datetime, parseaddr
from smtplib import SMTPDataError, SMTPException, SMTPRecipientsRefused, SMTPResponseException

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db.models import F, Q, QuerySet
from django.urls import reverse
from django.utils.timezone import localtime

from society.audit.actions import Deed
from society.members.models import Account, Letter, Player
from society.members.queries import the_society
from society.members.rules import (
    INVITATION_DAYS,
    LETTER_DAYS,
    LETTERS_KEPT_DAYS,
    LINK_MINUTES,
    LetterKind,
    mail_line,
    retry_minutes,
)

_AT_ONCE = 40  # letters in one run: with a server that answers slowly it still ends in time
_LEASE = timedelta(minutes=10)  # longer than a run: a letter being sent is nobody else's


def write(
    d: Deed,
    *,
    to: Player | Account,
    kind: LetterKind,
    subject: str,
    text: str,
    about: str,
    link: str = "",
    until: datetime | None = None,
    holds_secret: bool = False,
    address: str | None = None,
) -> Letter | None:
    """Write one letter to one person as part of a deed; None if no address is known.

    `text`: plain paragraphs with an empty line between them; greeting, link and the society's
    name are put around it when it is sent. `about`: "fixture:<public id>" wherever there is a
    fixture, for pages count by it. `link`: a path of our own site (`reverse(…)`).
    `until`: the moment after which it is pointless (else three days). `holds_secret`: the link
    opens a door, and is forgotten once the letter is gone. `address`: where it goes, if that is
    not the person's own.

    Somebody without an address gets a row too, with an empty address, so that pages can say who
    has to be told by hand.
    """
    player, account = (to, None) if isinstance(to, Player) else (None, to)
    address = address_of(to) if address is None else address
    letter = Letter.objects.create(
        kind=kind.value,
        player=player,
        account=account,
        address=address,
        subject=mail_line(subject),
        text=text.strip(),
        link=link,
        holds_secret=holds_secret,
        about=about,
        made_at=d.at,
        made_by=d.by.as_json(),
        send_until=until or d.at + timedelta(days=LETTER_DAYS),
        not_before=d.at,
    )
    return letter if address else None


def address_of(to: Player | Account) -> str:
    """Where a letter to this person goes: the player's own e-mail, else that of an account."""
    if isinstance(to, Account):
        return to.email
    if to.email:
        return to.email
    emails = to.accounts.filter(is_active=True).order_by("pk").values_list("email", flat=True)
    return emails.first() or ""


# the words of our own letters ---------------------------------------------------------------


def invitation(
    d: Deed,
    *,
    to: Player | Account,
    address: str,
    names: Sequence[str],
    secret: str,
    until: datetime,
) -> None:
    """The link of an invitation; those still on their way to the same address are dropped.

    Nothing is written where nothing is sent: the secret would lie about for no purpose.
    """
    if not settings.SENDS_EMAIL:
        return
    older = Letter.objects.filter(
        kind=LetterKind.INVITATION.value, address=address, gone_at=None, given_up_at=None
    )
    _drop(older, d.at)
    called = " and ".join(names)
    write(
        d,
        to=to,
        kind=LetterKind.INVITATION,
        subject="your invitation to sign in",
        text=f"This is an invitation{f' for {called}' if called else ''} to sign in, enter "
        "fixtures and hand in cards. Open the page below and choose a password. The link works "
        f"once, within {INVITATION_DAYS} days. Whoever has it can choose the password, so pass "
        "it on to nobody.",
        about=f"player:{to.public_id}" if isinstance(to, Player) else f"account:{to.public_id}",
        link=reverse("members:invitation", args=[secret]),
        until=min(until, d.at + timedelta(days=LETTER_DAYS)),
        holds_secret=True,
        address=address,
    )


def sign_in_link(d: Deed, *, account: Account, secret: str, until: datetime) -> None:
    """The link somebody asked for at the sign-in page."""
    write(
        d,
        to=account,
        kind=LetterKind.SIGN_IN,
        subject="your link to sign in",
        text="Somebody, we hope you, asked for a link to sign in. Open the page below and press "
        f"the button there. The link works once, within {LINK_MINUTES} minutes. If you did not "
        "ask, do nothing: opening the page alone signs nobody in.",
        about=f"account:{account.public_id}",
        link=reverse("members:link", args=[secret]),
        until=until,
        holds_secret=True,
    )


# delivery -----------------------------------------------------------------------------------


def waiting_letters(at: datetime) -> QuerySet[Letter]:
    """Those still to be sent, the oldest first, whether or not their next try has come."""
    return (
        Letter.objects.filter(gone_at=None, given_up_at=None, send_until__gt=at)
        .exclude(address="")
        .order_by("made_at", "pk")
    )


def deliver(*, at: datetime) -> int:
    """Send the letters that wait; how many have gone. Safe at any time, twice, and side by side.

    Each letter is claimed by one row update before it is sent, so two senders never send the
    same. Letters past their time are left alone. Without a mail server nothing is tried.
    """
    if not settings.SENDS_EMAIL:
        return 0
    ready = waiting_letters(at).filter(not_before__lte=at)
    if not ready.exists():
        return 0
    with _Line() as line:
        if line.error:
            ready.update(last_error=line.error)
            return 0
        return sum(_send(line, letter, at) for letter in list(ready[:_AT_ONCE]))


class _Line:
    """The line to the mail server: open, or with the words for why it is not."""

    def __init__(self) -> None:
        self.backend: BaseEmailBackend = get_connection()
        self.error = ""

    def __enter__(self) -> "_Line":
        try:
            self.backend.open()
        except (OSError, SMTPException) as error:
            self.error = mail_line(f"The mail server cannot be reached: {_reason(error)}")
        return self

    def __exit__(self, *ended: object) -> None:
        try:
            self.backend.close()
        except (OSError, SMTPException):  # what was sent is sent
            return


def _send(line: _Line, letter: Letter, at: datetime) -> int:
    """Claim, send and mark one letter: 1 if it has gone, 0 if not."""
    claimed = Letter.objects.filter(
        pk=letter.pk, gone_at=None, given_up_at=None, not_before__lte=at
    ).update(not_before=at + _LEASE, tries=F("tries") + 1)
    if not claimed:
        return 0
    mine = Letter.objects.filter(pk=letter.pk)
    try:
        line.backend.send_messages([message(letter)])
    except (OSError, SMTPException, ValueError) as error:
        if _for_good(error):
            mine.update(given_up_at=at, last_error=mail_line(_reason(error)))
            _forget_secrets(mine)
        else:
            later = at + timedelta(minutes=retry_minutes(letter.tries))
            mine.update(not_before=later, last_error=mail_line(_reason(error)))
        return 0
    mine.update(gone_at=at, last_error="")
    _forget_secrets(mine)
    return 1


def _for_good(error: Exception) -> bool:
    """Whether this letter can never be taken: a reply of the 500s to the recipient or the text.

    RFC 5321, section 4.2.1. A refused sender or a lost line is our own trouble, and may pass.
    """
    if isinstance(error, SMTPRecipientsRefused):
        return all(code >= 500 for code, _words in error.recipients.values())
    if isinstance(error, SMTPDataError):
        return error.smtp_code >= 500
    return isinstance(error, ValueError)  # an address or a line that is no mail at all


def _reason(error: Exception) -> str:
    """What a mail server or the network said, on one line."""
    said: bytes | str = str(error) or type(error).__name__
    if isinstance(error, OSError) and error.strerror:
        said = error.strerror  # without the number of the error
    if isinstance(error, SMTPRecipientsRefused):
        replies = list(error.recipients.values())
        said = replies[0][1] if replies else b""
    elif isinstance(error, SMTPResponseException):
        said = error.smtp_error
    return said.decode("utf-8", "replace") if isinstance(said, bytes) else said


def give_up_the_old(*, at: datetime) -> int:
    """A letter that waited too long says nothing true any more: it is never sent. How many."""
    old = Letter.objects.filter(
        gone_at=None, given_up_at=None, send_until__lte=at, not_before__lte=at
    )
    return _drop(old.exclude(address=""), at)


def empty_the_old(*, at: datetime) -> int:
    """Letters of last year keep only that they were written: address and text go. How many."""
    old = Letter.objects.filter(made_at__lte=at - timedelta(days=LETTERS_KEPT_DAYS))
    return old.exclude(subject="").update(address="", subject="", text="", link="")


def _drop(letters: QuerySet[Letter], at: datetime) -> int:
    """Letters that have not gone and shall not go any more; how many."""
    chosen = list(letters.values_list("pk", flat=True))
    if not chosen:
        return 0
    mine = Letter.objects.filter(pk__in=chosen)
    count = mine.filter(gone_at=None, given_up_at=None).update(given_up_at=at)
    _forget_secrets(mine)
    return count


def _forget_secrets(letters: QuerySet[Letter]) -> None:
    letters.filter(Q(gone_at__isnull=False) | Q(given_up_at__isnull=False)).filter(
        holds_secret=True
    ).exclude(link="").update(link="")


def message(letter: Letter) -> EmailMessage:
    """The letter as it goes out: one recipient, plain text, the same Message-ID at every try."""
    society = the_society()
    called = society.name if society else "The society"
    name = letter.player.name if letter.player else letter.account.name if letter.account else ""
    host = parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition("@")[2] or "localhost"
    return EmailMessage(
        subject=f"{called}: {letter.subject}",
        body="\n\n".join(_paragraphs(letter, name, called)) + "\n",
        to=[letter.address],
        headers={
            "Message-ID": f"<{letter.public_id}@{host}>",
            "Date": format_datetime(localtime(letter.made_at)),
            "Auto-Submitted": "auto-generated",  # RFC 3834, section 5: no answering machine replies
        },
    )


def _paragraphs(letter: Letter, name: str, called: str) -> Iterator[str]:
    if name:
        yield f"Dear {name},"
    yield letter.text
    if letter.link:
        yield f"{settings.SITE_URL}{letter.link}"
    yield called
