"""Offices: who holds one, from when to when."""

from datetime import date, datetime
from typing import Any

from society.audit.actions import Deed, deed
from society.members import queries
from society.members.models import (
    Account,
    Office,
    Society,
)
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import (
    KEEPERS,
    ROLE_NAMES,
    SECRETARY,
    Who,
)


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
