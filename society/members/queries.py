"""Reads of the society, its players, accounts and offices, and who acts."""

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib.auth.hashers import UNUSABLE_PASSWORD_PREFIX
from django.db.models import F, Q, QuerySet
from django.db.models.functions import Lower
from django.utils.crypto import constant_time_compare, salted_hmac

from society.members.models import (
    Account,
    CalendarLink,
    Invitation,
    Letter,
    Office,
    Player,
    SignInLink,
    SignInTry,
    Society,
    Subscription,
)
from society.members.rules import (
    LETTER_WORDS,
    LINKS_AN_HOUR,
    LetterKind,
    Person,
    PlayerKind,
    Signing,
    SubscriptionShown,
    SubscriptionState,
    same_name,
)
from society.web.access import RESULTS_WHEN_PUBLIC, SEASON_WHEN_PUBLIC
from society.web.rules import DateStyle
from society.web.who import SECRETARY, Who

TRIES_AN_HOUR = 20


def the_society() -> Society | None:
    """The one society of this database, or None before it is set up."""
    return Society.objects.filter(pk=1).first()


def society_zone() -> str:
    """The society's time zone by name; UTC before there is a society."""
    return Society.objects.filter(pk=1).values_list("time_zone", flat=True).first() or "UTC"


def society_ways() -> tuple[str, DateStyle]:
    """The society's time zone by name, and in which order it writes dates. One query."""
    row = Society.objects.filter(pk=1).values_list("time_zone", "date_style").first()
    return (row[0], DateStyle(row[1])) if row else ("UTC", DateStyle.DAY_FIRST)


def public_pages() -> frozenset[str]:
    """Which of the pages that can be public the society has switched on. One query."""
    row = Society.objects.filter(pk=1).values_list("season_is_public", "results_are_public").first()
    named = (SEASON_WHEN_PUBLIC, RESULTS_WHEN_PUBLIC)
    return frozenset(name for name, on in zip(named, row or (), strict=False) if on)


def cards_signed() -> Signing:
    """How the society's cards are signed; either way before there is a society."""
    row = Society.objects.filter(pk=1).values_list("cards_signed", flat=True).first()
    return Signing(row) if row else Signing.EITHER


def officers_to_seal() -> int:
    """How many officers a corrected result needs: 1 or 2."""
    return Society.objects.filter(pk=1).values_list("officers_to_seal", flat=True).first() or 1


def society_day(at: datetime) -> date:
    """The calendar day of a moment where the society is."""
    return at.astimezone(ZoneInfo(society_zone())).date()


def who_for(account: Account, at: datetime) -> Who:
    """Who this account is at a moment: its players, and the offices held on that day."""
    roles = offices_on(society_day(at)).filter(account=account).values_list("role", flat=True)
    players = tuple(account.players.order_by("name", "pk").values_list("public_id", flat=True))
    return Who(
        account=account.public_id,
        players=players,
        player=players[0] if len(players) == 1 else None,
        roles=frozenset(roles),
        name=account.name,
    )


def players_on_the_list() -> QuerySet[Player]:
    """Everyone who plays, merged doubles left out, by name."""
    return Player.objects.filter(merged_into__isnull=True).order_by(Lower("name"), "pk")


def players_sharing_email(player: Player) -> QuerySet[Player]:
    """Everyone on the list with this player's e-mail, the player included."""
    if not player.email:
        return players_on_the_list().filter(pk=player.pk)
    return players_on_the_list().filter(Q(pk=player.pk) | Q(email__iexact=player.email))


def people_kept() -> list[Person]:
    """Everybody on the list as plain values, for comparing with a file."""
    fields = ("name", "kind", "category", "number", "email", "home_club", "public_id")
    return [Person(*row) for row in players_on_the_list().values_list(*fields)]


def members_on_the_list() -> QuerySet[Player]:
    """Every member, merged doubles and guests left out, by name."""
    return players_on_the_list().filter(kind=PlayerKind.MEMBER.value)


def subscriptions(period: str) -> dict[str, SubscriptionShown]:
    """How the subscriptions of a period stand, by public id of the player; one query.

    Who is not in it has nothing noted: open. A merged double speaks for who stays.
    """
    rows = (
        Subscription.objects.filter(period=period)
        .order_by("pk")
        .values_list("player__public_id", "player__merged_into__public_id", "state", "on")
    )
    return {
        kept or player: SubscriptionShown(SubscriptionState(state), on)
        for player, kept, state, on in rows
    }


def namesakes(name: str) -> list[Player]:
    """Players on the list whose name reads the same."""
    return [player for player in players_on_the_list() if same_name(player.name, name)]


def names_of(bys: Iterable[str]) -> dict[str, str]:
    """Who acted, for showing: the `by` of append-only rows → the account's name, or the program."""
    accounts_by_row = {by: json.loads(by).get("account") for by in set(bys)}
    names = dict(
        Account.objects.filter(
            public_id__in={account for account in accounts_by_row.values() if account}
        ).values_list("public_id", "name")
    )
    return {
        by: names.get(account, "someone") if account else "the program"
        for by, account in accounts_by_row.items()
    }


def accounts() -> QuerySet[Account]:
    """Everyone who can sign in, by name, each with its players."""
    return Account.objects.filter(is_active=True).order_by("name", "pk").prefetch_related("players")


def account_with_email(email: str) -> Account | None:
    """The account that signs in with this address."""
    return Account.objects.filter(email=email.strip().lower()).first()


def players_of(account: Account) -> QuerySet[Player]:
    """The players an account may act for, by name."""
    return account.players.order_by("name", "pk")


def offices_on(day: date) -> QuerySet[Office]:
    """The offices held on a day."""
    return Office.objects.filter(starts__lte=day).filter(Q(ends__isnull=True) | Q(ends__gte=day))


def another_holds(roles: Iterable[str], by: Who, at: datetime) -> bool:
    """Whether anyone else who can sign in holds one of these offices on that day."""
    return (
        offices_on(society_day(at))
        .filter(role__in=list(roles), account__is_active=True)
        .exclude(account__public_id=by.account)
        .exclude(account__password__startswith=UNUSABLE_PASSWORD_PREFIX)
        .exists()
    )


def offices_of(account: Account, day: date) -> QuerySet[Office]:
    """What one account holds on a day, longest held first."""
    return offices_on(day).filter(account=account).order_by("starts", "pk")


def offices() -> QuerySet[Office]:
    """All offices ever given, those still held first."""
    held_first = F("ends").desc(nulls_first=True)
    return Office.objects.select_related("account").order_by(held_first, "role", "starts", "pk")


def another_secretary(office: Office, last_day: date) -> bool:
    """Whether someone else can sign in as secretary, without an end, once `office` has ended."""
    others = Office.objects.filter(
        role=SECRETARY,
        ends__isnull=True,
        starts__lte=min(last_day, date.max - timedelta(days=1)) + timedelta(days=1),
        account__is_active=True,
    ).exclude(pk=office.pk)
    return any(other.account.has_usable_password() for other in others.select_related("account"))


def hash_email(email: str) -> str:
    """What stands in the list of failed sign-ins in place of the address."""
    text = email.strip().lower()
    return salted_hmac("society.members.sign_in", text, algorithm="sha256").hexdigest()


def sign_in_is_slowed(email: str, at: datetime) -> bool:
    """Whether too many guesses were made at this address within the hour, known or not."""
    since = at - timedelta(hours=1)
    tries = SignInTry.objects.filter(email_hash=hash_email(email), at__gt=since)
    return tries.count() >= TRIES_AN_HOUR


def hash_secret(secret: str) -> str:
    """What is kept of an invitation link; the link itself is shown once and forgotten."""
    return hashlib.sha256(secret.encode()).hexdigest()


def open_invitation(secret: str, at: datetime) -> Invitation | None:
    """The invitation of a link, if it is neither spent nor too old."""
    return Invitation.objects.filter(
        token_hash=hash_secret(secret), spent_at=None, expires_at__gt=at
    ).first()


def links_are_enough(email: str, at: datetime) -> bool:
    """Whether so many links were asked for at this address within the hour that no more go out."""
    since = at - timedelta(hours=1)
    asked = SignInLink.objects.filter(email_hash=hash_email(email), made_at__gt=since)
    return asked.count() >= LINKS_AN_HOUR


def open_link(secret: str, at: datetime, *, hold: bool = False) -> SignInLink | None:
    """The sign-in link of a secret, if it is neither spent nor too old and its account is live.

    `hold` locks its row until the deed ends.
    """
    rows = SignInLink.objects.select_related("account")
    if hold:
        rows = rows.select_for_update(of=("self",))
    return rows.filter(
        token_hash=hash_secret(secret),
        spent_at=None,
        expires_at__gt=at,
        account__is_active=True,
    ).first()


def names_invited(invitation: Invitation) -> str:
    """The players an invitation is for, on one line."""
    return " and ".join(invitation.players.order_by("name", "pk").values_list("name", flat=True))


# calendar -----------------------------------------------------------------------------------


def calendar_secret(account: Account) -> str:
    """The secret part of the account's calendar address; empty while it has none."""
    link = CalendarLink.objects.filter(account=account).first()
    return _calendar_secret(account.public_id, link.salt) if link else ""


def account_of_calendar(secret: str) -> Account | None:
    """Whose calendar address it is; None for one that was renewed, stopped or never made."""
    public_id = secret.partition("-")[0]
    link = (
        CalendarLink.objects.filter(account__public_id=public_id, account__is_active=True)
        .select_related("account")
        .first()
    )
    wanted = _calendar_secret(public_id, link.salt) if link else ""
    return link.account if link and constant_time_compare(wanted, secret) else None


def _calendar_secret(public_id: str, salt: str) -> str:
    made = salted_hmac("society.members.calendar", f"{public_id} {salt}", algorithm="sha256")
    return f"{public_id}-{made.hexdigest()[:40]}"


# letters ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Post:
    """How the letters of one piece of news stand, for a page: "25 of 28 gone".

    `by_hand`: names without an address. `refused`: (name, what the mail server said). `error`:
    why those that wait have not gone. `set_up`: whether e-mail is set up at all.
    """

    written: int = 0
    gone: int = 0
    waiting: int = 0
    too_old: int = 0
    by_hand: tuple[str, ...] = ()
    refused: tuple[tuple[str, str], ...] = ()
    error: str = ""
    set_up: bool = False

    @property
    def people(self) -> int:
        """Everybody the news is for."""
        return self.written + len(self.by_hand)


def post_about(about: str, *kinds: LetterKind, latest: bool = False) -> Post:
    """How the letters of these kinds about one thing stand; `latest`: of the last deed only."""
    rows = list(
        Letter.objects.filter(about=about, kind__in=[kind.value for kind in kinds])
        .select_related("player", "account")
        .order_by("pk")
    )
    if latest and rows:
        last = max(row.made_at for row in rows)
        rows = [row for row in rows if row.made_at == last]
    return _post(rows)


@dataclass(frozen=True, slots=True)
class Outbox:
    """All letters of the society that have not gone yet, for the officers' own page."""

    set_up: bool
    waiting: int
    error: str


def outbox(at: datetime) -> Outbox:
    """Whether e-mail is set up, how many letters wait, and what keeps them. One query."""
    errors = list(
        Letter.objects.filter(gone_at=None, given_up_at=None, send_until__gt=at)
        .exclude(address="")
        .order_by("pk")
        .values_list("last_error", flat=True)
    )
    error = next((words for words in errors if words), "")
    return Outbox(set_up=settings.SENDS_EMAIL, waiting=len(errors), error=error)


@dataclass(frozen=True, slots=True)
class LetterShown:
    """One letter as the officers' list shows it. `state` and `words`: for parts/_tag.html."""

    letter: Letter
    what: str
    name: str
    state: str
    words: str


def letters_about(about: str) -> list[LetterShown]:
    """Every letter about one thing, the latest first; those with a secret are about no fixture."""
    rows = Letter.objects.filter(about=about).select_related("player", "account").order_by("-pk")
    return [
        LetterShown(row, LETTER_WORDS[LetterKind(row.kind)], _named(row), *_state(row))
        for row in rows
    ]


def _state(letter: Letter) -> tuple[str, str]:
    if letter.gone_at is not None:
        return "ink", "Gone"
    if letter.given_up_at is not None:
        if letter.tries and letter.last_error:
            return "act", "Refused"
        return "plain", "Not sent in time"
    if not letter.address:
        return "act", "No address"
    return "pencil", "Waits" if settings.SENDS_EMAIL else "Waits: no e-mail set up"


def _post(rows: list[Letter]) -> Post:
    sent = [row for row in rows if row.address or row.gone_at or row.given_up_at]
    waiting = [row for row in sent if row.gone_at is None and row.given_up_at is None]
    given_up = [row for row in sent if row.given_up_at is not None]
    refused = [row for row in given_up if row.tries and row.last_error]
    return Post(
        written=len(sent),
        gone=sum(row.gone_at is not None for row in sent),
        waiting=len(waiting),
        too_old=len(given_up) - len(refused),
        by_hand=tuple(_named(row) for row in rows if row not in sent),
        refused=tuple((_named(row), row.last_error) for row in refused),
        error=next((row.last_error for row in waiting if row.last_error), ""),
        set_up=settings.SENDS_EMAIL,
    )


def _named(letter: Letter) -> str:
    person = letter.player or letter.account
    return person.name if person else ""
