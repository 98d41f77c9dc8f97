"""Deeds on players, accounts, invitations and offices, and the setting up of the society."""

import secrets
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

from django.db import transaction

from scoring.rules.values import Category
from society.audit.actions import Deed, deed
from society.members import letters, queries
from society.members.models import (
    Account,
    CalendarLink,
    Invitation,
    Office,
    Player,
    SignInLink,
    SignInTry,
    Society,
    Subscription,
)
from society.members.rules import (
    CURRENCIES,
    INVITATION_DAYS,
    LINK_MINUTES,
    LONGEST_NUMBER,
    PlayerKind,
    Signing,
    SubscriptionState,
    clean_email,
)
from society.web.refusals import BadInput, Missing, NotYours, WrongState
from society.web.rules import DateStyle, clean_text
from society.web.who import (
    KEEPERS,
    ORGANISERS,
    ROLE_NAMES,
    SECRETARY,
    TREASURERS,
    Who,
)

# players ------------------------------------------------------------------------------------


def _cleaned(values: dict[str, str]) -> dict[str, str]:
    """Each given field in the form it is kept in; BadInput beside its field."""
    readers: dict[str, Callable[[str], str]] = {
        "name": lambda text: clean_text(text, what="The name"),
        "email": clean_email,
        "number": lambda text: clean_text(text, what="The number", longest=LONGEST_NUMBER),
        "home_club": lambda text: clean_text(text, what="The home club"),
        "kind": lambda text: PlayerKind(text).value,
        "category": lambda text: Category(text).value,
    }
    kept = {}
    for name, text in values.items():
        try:
            kept[name] = readers[name](text)
        except ValueError as wrong:
            raise BadInput(str(wrong), field=name) from wrong
    if kept.get("name") == "":
        raise BadInput("A player needs a name.", field="name")
    return kept


def _number_is_free(number: str, *, but: Player | None = None) -> None:
    holders = Player.objects.filter(number=number)
    holder = (holders.exclude(pk=but.pk) if but else holders).first()
    if number and holder:
        raise BadInput(f"{holder.name} has number {number} already.", field="number")


def add_player(
    *,
    kind: str,
    name: str,
    category: str,
    email: str = "",
    number: str = "",
    home_club: str = "",
    by: Who,
    at: datetime,
) -> Player:
    """Put a player on the list. A guest may be added by anyone who plays or organises.

    Raises NotYours; BadInput for a text that cannot be kept or a number that is taken.
    """
    values = _cleaned(
        {
            "kind": kind,
            "name": name,
            "category": category,
            "email": email,
            "number": number,
            "home_club": home_club,
        }
    )
    guest = values["kind"] == PlayerKind.GUEST.value
    if not (by.may(KEEPERS) or (guest and (by.players or by.may(ORGANISERS)))):
        raise NotYours("Only the secretary adds members.")
    player = Player(added_at=at, **values)
    with deed(by=by, at=at, what="added a player", about=f"player:{player.public_id}") as d:
        _number_is_free(player.number)
        player.save()
        _report(d, player, values)
    return player


# What names a person stands in words, which can be blanked; the chain keeps no name or address.
_PERSONAL = ("name", "email", "number", "home_club")


def _report(
    d: Deed, player: Player, new: Mapping[str, str], old: Mapping[str, str] | None = None
) -> None:
    """Report what is kept about a player now, and what was."""
    about = f"player:{player.public_id}"
    said = {key: "changed" if key in _PERSONAL else text for key, text in new.items()}
    was = {key: text for key, text in (old or {}).items() if key not in _PERSONAL}
    if old is None:
        said = {key: text for key, text in new.items() if key not in _PERSONAL}
    d.change(about, said, was or None)
    for key in _PERSONAL:
        if new.get(key) or (old or {}).get(key):
            before = f" (before: {(old or {})[key] or 'none'})" if key in (old or {}) else ""
            d.note(f"{key.replace('_', ' ')}: {new[key] or 'none'}{before}")


def change_player(*, player: Player, by: Who, at: datetime, **values: str) -> Player:
    """Change what is kept about a player: kind, name, category, email, number, home_club.

    What is not given stays. Nothing changed writes nothing. Raises NotYours, BadInput.
    """
    if not by.may(KEEPERS):
        raise NotYours("Only the secretary changes players.")
    kept = _cleaned(values)
    with transaction.atomic():
        player = Player.objects.select_for_update().get(pk=player.pk)
        old = {name: getattr(player, name) for name in kept if getattr(player, name) != kept[name]}
        if not old:
            return player
        about = f"player:{player.public_id}"
        with deed(by=by, at=at, what="changed a player", about=about) as d:
            if "number" in old:
                _number_is_free(kept["number"], but=player)
            for name in old:
                setattr(player, name, kept[name])
            player.save(update_fields=list(old))
            _report(d, player, {name: kept[name] for name in old}, old)
    return player


def note_joined(*, player: Player, joined_on: date | None, by: Who, at: datetime) -> Player:
    """Note the day a member joined, or None for long ago. Raises NotYours, BadInput."""
    if not by.may(TREASURERS):
        raise NotYours("Only the secretary or the treasurer notes who joined when.")
    if not player.is_member:
        raise BadInput("A guest has not joined.", field="joined_on")
    with transaction.atomic():
        player = Player.objects.select_for_update().get(pk=player.pk)
        old = player.joined_on
        if old == joined_on:
            return player
        about = f"player:{player.public_id}"
        with deed(by=by, at=at, what="joining noted", about=about) as d:
            player.joined_on = joined_on
            player.save(update_fields=["joined_on"])
            said = {"joined_on": joined_on.isoformat() if joined_on else None}
            d.change(about, said, {"joined_on": old.isoformat() if old else None})
    return player


def note_subscriptions(
    *,
    players: Sequence[Player],
    period: str,
    state: SubscriptionState,
    on: date,
    words: str = "",
    by: Who,
    at: datetime,
) -> int:
    """Note for several members how their subscription of a period stands since `on`.

    Returns how many rows were written; who stands like that already is left alone. Excusing
    somebody wants a reason. Raises NotYours, and BadInput where nothing is said or nothing changes.
    """
    if not by.may(TREASURERS):
        raise NotYours("Only the secretary or the treasurer notes subscriptions.")
    if not players:
        raise BadInput("Tick at least one member.")
    if state is SubscriptionState.EXCUSED and not words.strip():
        raise BadInput("Say why, in a few words.", field="words")
    noted = 0
    with deed(by=by, at=at, what="subscriptions noted", about=f"season:{period}") as d:
        standing = queries.subscriptions(period)
        reason = d.words(words)
        for player in players:
            had = standing.get(player.public_id)
            was = had.state if had else SubscriptionState.OPEN
            if was is state and (state is SubscriptionState.OPEN or (had and had.on == on)):
                continue
            Subscription.objects.create(
                player=player, period=period, state=state.value, on=on,
                at=d.at, by=d.by.as_json(), words=reason,
            )  # fmt: skip
            said = {"subscription": state.value, "on": on.isoformat()}
            d.change(f"player:{player.public_id}", said, {"subscription": was.value})
            noted += 1
        if not noted:
            raise BadInput("They stand like that already.")
    return noted


# accounts -----------------------------------------------------------------------------------


def invite(*, players: Sequence[Player], email: str, by: Who, at: datetime) -> str:
    """Make a link for one person (or a couple) to hand over, good once and for 14 days.

    Returns its secret; where e-mail is set up the link is sent to the address as well. Earlier
    links for the same address end. Raises NotYours, BadInput.
    """
    if not by.may(KEEPERS):
        raise NotYours("Only the secretary invites.")
    address = _cleaned({"email": email})["email"]
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
    called = _cleaned({"name": name})["name"] if name.strip() else ""
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


# offices ------------------------------------------------------------------------------------


def hold_office(
    *, account: Account, role: str, starts: date, ends: date | None = None, by: Who, at: datetime
) -> Office:
    """Give an office. Raises NotYours; BadInput; WrongState if it is held already."""
    if not by.may(KEEPERS):
        raise NotYours("Only the secretary gives offices.")
    if role not in ROLE_NAMES:
        raise BadInput("There is no such office.", field="role")
    if ends and ends < starts:
        raise BadInput("The last day is before the first.", field="ends")
    with deed(by=by, at=at, what="gave an office", about=f"account:{account.public_id}") as d:
        if _held(account, role, starts, ends):
            raise WrongState(f"{account.name} holds that office already.")
        office = Office.objects.create(account=account, role=role, starts=starts, ends=ends)
        _tell(d, office)
    return office


def _held(account: Account, role: str, starts: date, ends: date | None) -> bool:
    """Whether the same office of the same account would overlap."""
    same = account.offices.filter(role=role).exclude(ends__lt=starts)
    return (same.filter(starts__lte=ends) if ends else same).exists()


def _tell(d: Deed, office: Office, old: object = None) -> None:
    new: dict[str, Any] = {
        "account": office.account.public_id,
        "ends": office.ends and office.ends.isoformat(),
        "role": office.role,
        "starts": office.starts.isoformat(),
    }
    d.change(f"office:{office.public_id}", new, old)


def end_office(*, office: Office, last_day: date, by: Who, at: datetime) -> None:
    """End an office with a day; one that had not begun by then is taken back altogether.

    Raises NotYours, and WrongState where nobody could sign in as secretary afterwards.
    """
    if not by.may(KEEPERS):
        raise NotYours("Only the secretary ends offices.")
    with deed(
        by=by, at=at, what="ended an office", about=f"account:{office.account.public_id}"
    ) as d:
        Society.objects.select_for_update().filter(pk=1).first()  # one at a time
        if office.role == SECRETARY and not queries.another_secretary(office, last_day):
            raise WrongState(
                "The society would be left without a secretary who can sign in. "
                "Give the office to someone else first, without a last day."
            )
        if last_day < office.starts:
            _tell(d, office, {"taken back": True})
            office.delete()
            return
        old = {"ends": office.ends and office.ends.isoformat()}
        office.ends = last_day
        office.save(update_fields=["ends"])
        _tell(d, office, old)


def keep_label_sheet(*, sheet: str, by: Who, at: datetime) -> None:
    """Keep how the society's labels lie on a sheet, as the canonical JSON the desk has checked.

    Raises NotYours, and WrongState where there is no society yet.
    """
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain sets how labels lie on a sheet.")
    row = queries.the_society()
    if row is None:
        raise WrongState("There is no society in this database yet.")
    about = f"society:{row.public_id}"
    with deed(by=by, at=at, what="label sheet kept", about=about) as d:
        row = Society.objects.select_for_update().get(pk=row.pk)
        old, row.label_sheet = row.label_sheet, sheet
        row.save(update_fields=["label_sheet"])
        d.change(about, {"label_sheet": sheet}, {"label_sheet": old})


# settings -----------------------------------------------------------------------------------

SETTINGS = (
    "name",
    "time_zone",
    "currency",
    "date_style",
    "season_is_public",
    "results_are_public",
    "cards_signed",
    "officers_to_seal",
)


def change_settings(*, by: Who, at: datetime, **values: Any) -> dict[str, Any]:
    """Set some of SETTINGS in one deed; what is the same already is left alone.

    Returns what changed, name → new value; nothing changed writes no line. Raises NotYours, and
    BadInput beside its field.
    """
    if not by.may(KEEPERS):
        raise NotYours("Only the secretary changes the settings.")
    given = {name: _setting(name, value) for name, value in values.items()}
    row = queries.the_society()
    if row is None:
        raise WrongState("There is no society in this database yet.")
    if all(getattr(row, name) == value for name, value in given.items()):
        return {}
    about = f"society:{row.public_id}"
    with deed(by=by, at=at, what="settings changed", about=about) as d:
        row = Society.objects.select_for_update().get(pk=row.pk)
        old = {name: getattr(row, name) for name in given}
        changed = {name: value for name, value in given.items() if old[name] != value}
        for name, value in changed.items():
            setattr(row, name, value)
        row.save(update_fields=list(changed))
        d.change(about, changed, {name: old[name] for name in changed})
    return changed


def _setting(name: str, value: Any) -> Any:
    """One setting in the form it is kept in; BadInput with a sentence if it cannot be."""
    readers: dict[str, Callable[[Any], Any]] = {
        "name": lambda text: clean_text(text, what="The society's name"),
        "time_zone": _time_zone,
        "currency": _currency,
        "date_style": lambda text: DateStyle(text).value,
        "season_is_public": bool,
        "results_are_public": bool,
        "cards_signed": lambda text: Signing(text).value,
        "officers_to_seal": _officers,
    }
    try:
        kept = readers[name](value)
    except ValueError as wrong:
        raise BadInput(str(wrong), field=name) from wrong
    if name == "name" and not kept:
        raise BadInput("A society needs a name.", field=name)
    return kept


def _time_zone(text: str) -> str:
    if text not in available_timezones():
        raise BadInput(
            f"There is no time zone “{text}”. Write it like Europe/London.", field="time_zone"
        )
    return text


def _currency(text: str) -> str:
    if text not in CURRENCIES:
        raise BadInput(
            f"There is no currency “{text}”. Write its three letters, like GBP.", field="currency"
        )
    return text


def _officers(number: Any) -> int:
    if number not in (1, 2):
        raise BadInput("One officer or two.", field="officers_to_seal")
    return int(number)


# setting up ---------------------------------------------------------------------------------


def first_officer(
    *,
    society: str,
    time_zone: str,
    currency: str,
    name: str,
    email: str,
    password: str = "",
    by: Who,
    at: datetime,
) -> tuple[Account, str]:
    """Start a society on an empty database: its row, an account, the office of secretary.

    Returns the account, and the secret of an invitation link where no password was given.
    Raises WrongState if there is a society already; BadInput.
    """
    values = _cleaned({"name": name, "email": email})
    called = clean_text(society, what="The society's name")
    if not called or not values["email"]:
        raise BadInput("A society needs a name, and its first officer an e-mail.")
    time_zone, currency = _time_zone(time_zone), _currency(currency)
    with transaction.atomic():
        if Society.objects.exists():
            raise WrongState("There is a society in this database already.")
        row = Society(pk=1, name=called, time_zone=time_zone, currency=currency)
        with deed(by=by, at=at, what="started the society", about=f"society:{row.public_id}") as d:
            row.save(force_insert=True)
            account = Account(email=values["email"], name=values["name"], added_at=at)
            account.set_password(password or None)
            account.save()
            kept = {"currency": currency, "name": called, "time_zone": time_zone}
            d.change(f"society:{row.public_id}", kept)
            d.change(f"account:{account.public_id}", {"made": True})
            starts = at.astimezone(ZoneInfo(time_zone)).date()
            hold_office(account=account, role=SECRETARY, starts=starts, by=by, at=at)
            secret = "" if password else invite(players=[], email=account.email, by=by, at=at)
    return account, secret
