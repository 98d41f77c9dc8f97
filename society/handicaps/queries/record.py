"""Reads of the handicap records."""

from collections import Counter
from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db.models import Min, OuterRef, Q, QuerySet, Subquery

from scoring.rules.values import HandicapKind
from society.handicaps.models import HandicapEntry
from society.handicaps.rules.figures import Figure, Source, written
from society.members.models import Player


def in_force(
    player_ids: Iterable[int], *, on: date, kind: str, source: str
) -> dict[int, HandicapEntry]:
    """The line in force on a day for each player who has one, by the player's row number.

    The latest valid_from up to that day, then the latest written; none where that line says the
    figure has ended. `source` "" takes any that was written down. One query.
    """
    among = Q(kind=kind, valid_from__lte=on)
    among &= Q(source=source) if source else ~Q(source=Source.CARDS.value)
    latest = (
        HandicapEntry.objects.filter(among, player=OuterRef("player"))
        .order_by("-valid_from", "-pk")
        .values("pk")[:1]
    )
    found = HandicapEntry.objects.filter(
        player__in=list(player_ids), pk=Subquery(latest), ended=False
    )
    return {line.player_id: line for line in found}


def first_after(player_ids: Iterable[int], *, on: date, kind: str, source: str) -> dict[int, date]:
    """For each player whose record goes on after a day: from when its next line is valid.

    `source` "" takes any that was written down. One query.
    """
    among = Q(kind=kind, valid_from__gt=on)
    among &= Q(source=source) if source else ~Q(source=Source.CARDS.value)
    later = HandicapEntry.objects.filter(among, player__in=list(player_ids))
    return dict(later.values_list("player").annotate(first=Min("valid_from")))


def record_of(player: Player) -> QuerySet[HandicapEntry]:
    """A player's record, newest first."""
    return (
        HandicapEntry.objects.filter(player=player)
        .select_related("words")
        .order_by("-valid_from", "-pk")
    )


def written_down(player: Player) -> QuerySet[HandicapEntry]:
    """A player's record without what was worked out from cards, newest first."""
    return record_of(player).exclude(source=Source.CARDS.value)


def with_newest(players: QuerySet[Player], on: date) -> QuerySet[Player]:
    """Players with `handicap`, `handicap_kind`, `handicap_source`, `handicap_from` of the newest
    line of any kind that was written down and is valid on a day; all None without a record."""
    newest = (
        HandicapEntry.objects.filter(player=OuterRef("pk"), valid_from__lte=on)
        .exclude(source=Source.CARDS.value)
        .order_by("-valid_from", "-pk")
    )
    taken: dict[str, Any] = {
        "handicap": Subquery(newest.values("value")[:1]),
        "handicap_kind": Subquery(newest.values("kind")[:1]),
        "handicap_source": Subquery(newest.values("source")[:1]),
        "handicap_from": Subquery(newest.values("valid_from")[:1]),
    }
    return players.annotate(**taken)


def told_apart(players: Iterable[Player], on: date) -> dict[int, str]:
    """How each is called where one is chosen: the name, and for namesakes what tells them apart.

    That is the number, else the handicap on the day, else the home club. By row number; at most
    one query.
    """
    listed = list(players)
    names = Counter(player.name.casefold() for player in listed)
    doubles = [player for player in listed if names[player.name.casefold()] > 1]
    called = {player.pk: player.name for player in listed}
    if not doubles:
        return called
    figures = {
        player.pk: player
        for player in with_newest(Player.objects.filter(pk__in=[p.pk for p in doubles]), on)
    }
    for player in doubles:
        value = getattr(figures[player.pk], "handicap", None)
        if player.number:
            more = f"number {player.number}"
        elif value is not None:
            more = f"handicap {written(value)}"
        else:
            more = player.home_club or "no handicap"
        called[player.pk] = f"{player.name}, {more}"
    return called


def all_records() -> dict[str, list[Figure]]:
    """Everybody's record as plain values in the order written, by the player's public id.

    What was written down: figures worked out from cards are not among them.
    """
    records: dict[str, list[Figure]] = {}
    written_down = HandicapEntry.objects.exclude(source=Source.CARDS.value).order_by("pk")
    rows = written_down.values_list("player__public_id", "kind", "value", "source", "valid_from")
    for public_id, kind, value, source, valid_from in rows:
        line = Figure(HandicapKind(kind), value, Source(source), valid_from)
        records.setdefault(public_id, []).append(line)
    return records
