"""Everything that is kept about one player, in one file for that player.

Every table that points at a person, or at a person's entry, start, card or ruling, is either in
HELD or in LEFT_OUT with a reason; a test walks all tables and finds the one that is in neither.
"""

import json
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from typing import Any

from django.apps import apps
from django.db.models import Field, Model, Q

from society.audit.models import AuditLine
from society.audit.queries import lines_about
from society.desk.queries.results import results_of_player
from society.fixtures.models import Fixture
from society.members.models import Player

# Table → how each of its rows points at the player; a row that points in any of these ways is in.
HELD: dict[str, tuple[str, ...]] = {
    "members.Player": ("", "merged_into"),
    "members.Subscription": ("player",),
    "members.Account": ("players",),
    "members.Office": ("account__players",),
    "members.Invitation": ("players",),
    "members.SignInLink": ("account__players",),
    "members.CalendarLink": ("account__players",),
    "members.Letter": ("player", "account__players"),
    "handicaps.HandicapEntry": ("player",),
    "handicaps.Score": ("player",),
    "handicaps.Adjustment": ("player",),
    "handicaps.SocietyCut": ("player",),
    "handicaps.CutProposal": ("player",),
    "handicaps.CutAnswer": ("proposal__player",),
    "entries.Entry": ("player",),
    "entries.EntryStep": ("entry__player",),
    "entries.Start": ("entry__player",),
    "entries.CardPrint": ("start__entry__player",),
    "entries.DigitsTry": ("start__entry__player",),
    "entries.Frozen": ("start__entry__player",),
    "entries.SideMember": ("entry__player",),
    "cards.Card": ("entry__player",),
    "cards.CardRevision": ("card__entry__player",),
    "cards.CardStep": ("card__entry__player",),
    "cards.Certificate": ("subject", "signer"),
    "cards.GuestLink": ("start__entry__player",),
    "results.Ruling": ("entry__player",),
    "results.RulingWithdrawn": ("ruling__entry__player",),
    "merit.MeritGiven": ("player",),
    "results.SideWinner": ("entry__player",),
}

# Table and field → why rows that point at the player only so are not in that player's file.
LEFT_OUT: dict[str, str] = {
    "entries.Entry.host": "the guest's own entry; a host is told by the entry page",
    "entries.Entry.buggy_with": "another player's wish, which stands in that player's file",
    "entries.Entry.partner": "another player's wish, which stands in that player's file",
    "entries.Start.marker": "another player's start; whose card is marked is on the start sheet",
    "cards.CardRevision.author": "another player's figures; that they were written is in the deeds",
    "cards.Certificate.card": "found by who signed and whose card it is",
}

# Kept, and told by name alone: to write them out would open a door, or show what nobody may read.
SECRETS = frozenset({"password", "token_hash", "salt", "digits", "email_hash"})


def held_about(player: Player, at: datetime) -> dict[str, Any]:
    """Everything kept about a player, ready for JSON: rows by table, results, deeds.

    Other persons appear by public id only. A constant number of queries.
    """
    tables: dict[str, Any] = {}
    abouts = [f"player:{player.public_id}"]
    for label, ways in HELD.items():
        rows = _rows(label, ways, player)
        tables[label] = [dict(_told(row)) for row in rows]
        abouts += _abouts(label, rows)
    entered = Fixture.objects.filter(entries__player=player).order_by("starts_on", "pk")
    results = results_of_player(player.public_id, list(entered))
    return {
        "about": "Everything this society's program keeps about one player.",
        "player": player.public_id,
        "made_at": at.isoformat(),
        "not_written_out": sorted(SECRETS),
        "kept": tables,
        "results": [
            {"fixture": fixture.name, "day": fixture.starts_on.isoformat(), "place": str(told)}
            for fixture in entered
            if (told := results.get(fixture.pk))
        ],
        "deeds": [_deed(line, frozenset(abouts)) for line in lines_about(*abouts)],
    }


def _rows(label: str, ways: Sequence[str], player: Player) -> list[Model]:
    wanted = Q()
    for way in ways:
        wanted |= Q(**{way or "pk": player if way else player.pk})
    if label == "members.Letter":  # a couple on one account: the other's letters are the other's
        wanted = Q(player=player) | Q(player=None, account__players=player)
    model = apps.get_model(label)
    return list(model._default_manager.filter(wanted).order_by("pk").distinct())


def _abouts(label: str, rows: Sequence[Model]) -> list[str]:
    kind = {"members.Account": "account", "entries.Entry": "entry", "entries.Start": "card"}
    named = kind.get(label)
    return [f"{named}:{getattr(row, 'public_id', '')}" for row in rows] if named else []


def _told(row: Model) -> Iterator[tuple[str, Any]]:
    """Each column by name; whom or what a row points at by public id, and its words as text."""
    for column in row._meta.concrete_fields:
        if column.primary_key and not column.is_relation:
            continue
        if column.name in SECRETS:
            yield column.name, "kept, not written out"
        elif column.name in ("by", "made_by"):
            continue  # who acted: the deeds say it
        elif column.is_relation:
            yield column.name, _pointed(row, column)
        else:
            yield column.name, _plain(getattr(row, column.name))


def _pointed(row: Model, column: "Field[Any, Any]") -> Any:
    found = getattr(row, column.name)
    if found is None:
        return None
    if column.name == "words":
        return found.text
    return getattr(found, "public_id", None) or str(found)


def _plain(value: Any) -> Any:
    if isinstance(value, date | datetime):
        return value.isoformat()
    return value if value is None or isinstance(value, bool | int | str | list) else str(value)


def _deed(line: AuditLine, abouts: frozenset[str]) -> dict[str, Any]:
    """One line of the audit, with what it changed of this player's and nobody else's."""
    changes = [one for one in json.loads(line.changes) if isinstance(one, dict)]
    mine = [one for one in changes if one.get("about") in abouts]
    alone = len(mine) == len(changes)
    return {
        "number": line.number,
        "at": line.at.isoformat(),
        "deed": line.deed,
        "changed": mine,
        "words": line.reason if alone else "",
    }
