"""Players: added, changed, joined on a day, paid for a season."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime

from django.db import transaction

from scoring.rules.values import Category
from society.audit.actions import Deed, deed
from society.members import queries
from society.members.models import (
    Player,
    Subscription,
)
from society.members.rules import (
    LONGEST_NUMBER,
    PlayerKind,
    SubscriptionState,
    clean_email,
)
from society.web.refusals import BadInput, NotYours
from society.web.rules import clean_text
from society.web.who import (
    KEEPERS,
    ORGANISERS,
    TREASURERS,
    Who,
)


def cleaned(values: dict[str, str]) -> dict[str, str]:
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
    values = cleaned(
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
    kept = cleaned(values)
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
