"""Accounts: invited, opened, signed in by password or link, with a calendar of their own."""

import secrets
from collections.abc import Sequence
from datetime import datetime, timedelta

from django.db import transaction

from society.audit.actions import deed
from society.members import letters, queries
from society.members.actions.players import cleaned
from society.members.models import (
    Account,
    CalendarLink,
    Invitation,
    Player,
    SignInLink,
    SignInTry,
)
from society.members.rules import (
    INVITATION_DAYS,
    LINK_MINUTES,
)
from society.web.refusals import BadInput, Missing, NotYours
from society.web.who import (
    KEEPERS,
    Who,
)


def invite(*, players: Sequence[Player], email: str, by: Who, at: datetime) -> str:
    """Make a link for one person (or a couple) to hand over, good once and for 14 days.

    Returns its secret; where e-mail is set up the link is sent to the address as well. Earlier
    links for the same address end. Raises NotYours, BadInput.
    """
    if not by.may(KEEPERS):
        raise NotYours("Only the secretary invites.")
    address = cleaned({"email": email})["email"]
    if not address:
        raise BadInput("Write the e-mail they will sign in with.", field="email")
    secret = secrets.token_urlsafe(24)
    account = queries.account_with_email(address)
    abouts = [f"player:{player.public_id}" for player in players]
    if account:
        abouts.append(f"account:{account.public_id}")
    if not abouts:
        raise BadInput("Choose at least one player for the invitation.", field="players")
    with deed(by=by, at=at, what="made an invitation", about=abouts[0]) as d:
        open_ones = Invitation.objects.filter(email=address, spent_at=None, expires_at__gt=at)
        open_ones.update(expires_at=at)
        made = Invitation.objects.create(
            email=address,
            token_hash=queries.hash_secret(secret),
            made_at=at,
            made_by=d.by.as_json(),
            expires_at=at + timedelta(days=INVITATION_DAYS),
        )
        made.players.set(players)
        for about in abouts:
            d.change(about, {"invitation": made.public_id})
        to = players[0] if players else account
        if to is not None:
            letters.invitation(
                d,
                to=to,
                address=address,
                names=[player.name for player in players],
                secret=secret,
                until=made.expires_at,
            )
    return secret


def accept_invitation(
    *, secret: str, password: str, name: str = "", by: Who, at: datetime
) -> Account:
    """Spend a link: make the account or set a new password, and add the players to it.

    `name` is for a new account; empty takes the players' own. The deed is written as the
    account's own. Raises Missing if the link is unknown, spent or too old; BadInput.
    """
    called = cleaned({"name": name})["name"] if name.strip() else ""
    with transaction.atomic():
        found = (
            Invitation.objects.select_for_update()
            .filter(token_hash=queries.hash_secret(secret), spent_at=None, expires_at__gt=at)
            .first()
        )
        if found is None:
            raise Missing("This link was used already, or it is too old.")
        account, holder = _account_for(found, called, by, at)
        about = f"account:{account.public_id}"
        with deed(by=holder, at=at, what="accepted an invitation", about=about) as d:
            account.set_password(password)
            account.is_active = True
            account.save()
            account.players.add(*found.players.all())
            found.spent_at = at
            found.save(update_fields=["spent_at"])
            SignInTry.objects.filter(email_hash=queries.hash_email(account.email)).delete()
            d.change(about, {"invitation": found.public_id, "password": "chosen"})
    return account


def _account_for(found: Invitation, called: str, by: Who, at: datetime) -> tuple[Account, Who]:
    """The account an invitation is for, made if need be, and who acts when it is spent."""
    account = queries.account_with_email(found.email)
    if account is None:
        names = [player.name for player in found.players.order_by("name", "pk")]
        kept = called or " and ".join(names)[:100] or found.email
        account = Account(email=found.email, name=kept, added_at=at)
    return account, Who(account=account.public_id, means=by.means, name=by.name)


def change_password(*, account: Account, password: str, by: Who, at: datetime) -> None:
    """Set one's own password. Whoever is signed in elsewhere is signed out by it."""
    if by.account != account.public_id:
        raise NotYours("A password is changed by its owner alone.")
    about = f"account:{account.public_id}"
    with deed(by=by, at=at, what="changed the password", about=about) as d:
        account.set_password(password)
        account.save(update_fields=["password"])
        d.change(about, {"password": "chosen"})


def ask_for_link(*, email: str, by: Who, at: datetime) -> None:
    """Somebody at the sign-in page wants a link for an address; nobody learns if it is known.

    A row is written in either case; past a few in an hour nothing is. Only an account that can
    sign in gets a letter.
    """
    secret = secrets.token_urlsafe(24)
    with transaction.atomic():
        SignInLink.objects.filter(made_at__lt=at - timedelta(days=1)).delete()
        if queries.links_are_enough(email, at):
            return
        account = queries.account_with_email(email)
        if account is not None and not account.is_active:
            account = None
        made = SignInLink.objects.create(
            email_hash=queries.hash_email(email),
            account=account,
            token_hash=queries.hash_secret(secret),
            made_at=at,
            expires_at=at + timedelta(minutes=LINK_MINUTES),
        )
        if account is not None:
            about = f"account:{account.public_id}"
            with deed(by=by, at=at, what="asked for a sign-in link", about=about) as d:
                letters.sign_in_link(d, account=account, secret=secret, until=made.expires_at)


def spend_link(*, secret: str, by: Who, at: datetime) -> Account:
    """Spend a link to sign in with; the account it is for. It works once.

    Raises Missing if the link is unknown, spent or too old.
    """
    with transaction.atomic():
        found = queries.open_link(secret, at, hold=True)
        if found is None or found.account is None:
            raise Missing("This link was used already, or it is too old.")
        account = found.account
        holder = Who(account=account.public_id, means=by.means, name=account.name)
        about = f"account:{account.public_id}"
        with deed(by=holder, at=at, what="signed in by a link", about=about):
            found.spent_at = at
            found.save(update_fields=["spent_at"])
            SignInTry.objects.filter(email_hash=queries.hash_email(account.email)).delete()
    return account


def renew_calendar(*, account: Account, by: Who, at: datetime) -> None:
    """Make the secret address of one's calendar, or a new one; the old one ends with it."""
    if by.account != account.public_id:
        raise NotYours("A calendar is its owner's alone.")
    about = f"account:{account.public_id}"
    with deed(by=by, at=at, what="made a calendar address", about=about):
        CalendarLink.objects.update_or_create(
            account=account, defaults={"salt": secrets.token_hex(16), "made_at": at}
        )


def stop_calendar(*, account: Account, by: Who, at: datetime) -> None:
    """End the secret address of one's calendar."""
    if by.account != account.public_id:
        raise NotYours("A calendar is its owner's alone.")
    about = f"account:{account.public_id}"
    with deed(by=by, at=at, what="ended a calendar address", about=about):
        CalendarLink.objects.filter(account=account).delete()


def note_failed_sign_in(*, email: str, at: datetime) -> None:
    """Count a wrong guess at an address, known or not, and forget those of yesterday."""
    with transaction.atomic():
        SignInTry.objects.filter(at__lt=at - timedelta(days=1)).delete()
        SignInTry.objects.create(email_hash=queries.hash_email(email), at=at)


def forget_failed_sign_ins(*, email: str) -> None:
    """The right password was given: the guesses before it count no longer."""
    SignInTry.objects.filter(email_hash=queries.hash_email(email)).delete()
