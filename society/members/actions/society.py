"""The one society of this database: its beginning and its settings."""

from collections.abc import Callable
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

from django.db import transaction

from society.audit.actions import deed
from society.members import queries
from society.members.actions.accounts import invite
from society.members.actions.offices import hold_office
from society.members.actions.players import cleaned
from society.members.models import (
    Account,
    Society,
)
from society.members.rules import (
    CURRENCIES,
    Signing,
)
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.rules import DateStyle, clean_text
from society.web.who import (
    KEEPERS,
    ORGANISERS,
    SECRETARY,
    Who,
)


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


# In the list of zones, and no place: one is without an hour, the other whatever this machine says.
_NOWHERE = frozenset({"Factory", "localtime"})


def _time_zone(text: str) -> str:
    if text not in available_timezones() - _NOWHERE:
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
    values = cleaned({"name": name, "email": email})
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
