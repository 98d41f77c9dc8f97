"""What players are taken at on a day by the rules of a season."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date
from typing import Any

from django.db.models import OuterRef, Subquery

from scoring.rules.strict_json import read_json
from scoring.rules.values import HandicapKind
from society.handicaps.models import HandicapEntry, SocietyCut
from society.handicaps.rules.cuts.steps import read_steps
from society.handicaps.rules.figures import Source
from society.handicaps.rules.season import HandicapRules, brief
from society.handicaps.rules.used import Cut, Line, Used, Whom, used
from society.members.models import Player


def figures_on(players: Iterable[Player], rules: HandicapRules, on: date) -> dict[int, Used]:
    """What each player would be taken at on a day, by row number; whoever has none is left out.

    At most three queries for any number of players.
    """
    return figures_for([Whom(p.pk, p.category, not p.is_member) for p in players], rules, on)


def not_taken(player: Player, line: str, rules: HandicapRules | None, on: date) -> str:
    """A sentence where the season takes another line of the record than this one; else empty.

    `line`: its public id. Without rules there is no season, and nothing to say.
    """
    if rules is None:
        return ""
    taken = figures_on([player], rules, on).get(player.pk)
    if taken is None:
        return f"The season takes nothing of the record yet. {brief(rules)}"
    another = f"The season takes another figure today: {taken.base.in_words}."
    return "" if taken.base.id == line else another


def figures_for(whom: Iterable[Whom], rules: HandicapRules, on: date) -> dict[int, Used]:
    """The same for players as they enter: their category, as guests or not, for which entry."""
    asked = list(whom)
    ids = [one.player for one in asked]
    lines = lines_on(ids, on)
    if rules.asked is HandicapKind.INDEX and any(one.entry for one in asked):
        for player, typed in _typed_on(ids, on).items():
            lines.setdefault(player, []).extend(typed)
    cuts = cuts_of(ids, on) if rules.takes_cuts else {}
    found = {
        one.player: used(rules, one, lines.get(one.player, []), cuts.get(one.player, []), on)
        for one in asked
    }
    return {player: taken for player, taken in found.items() if taken is not None}


def lines_on(player_ids: Iterable[int], on: date) -> dict[int, list[Line]]:
    """The latest line of each kind and source on a day, ended ones too. One query."""
    latest = (
        HandicapEntry.objects.filter(
            player=OuterRef("player"),
            kind=OuterRef("kind"),
            source=OuterRef("source"),
            valid_from__lte=on,
        )
        .order_by("-valid_from", "-pk")
        .values("pk")[:1]
    )
    rows = HandicapEntry.objects.filter(player__in=list(player_ids), pk=Subquery(latest))
    return _by_player(rows)


def records_of(player_ids: Iterable[int]) -> dict[int, list[Line]]:
    """Whole records, where figures of several days are asked for. One query."""
    rows = HandicapEntry.objects.filter(player__in=list(player_ids)).order_by("pk")
    return _by_player(rows)


def _typed_on(player_ids: Sequence[int], on: date) -> dict[int, list[Line]]:
    """The course handicaps with a cause from one day: some are typed for one entry alone."""
    rows = HandicapEntry.objects.filter(
        player__in=player_ids, kind=HandicapKind.COURSE.value, valid_from=on
    )
    return _by_player(rows.exclude(cause="").order_by("pk"))


def cuts_of(player_ids: Iterable[int], on: date) -> dict[int, list[Cut]]:
    """Cuts begun by a day that no other takes the place of. One query."""
    rows = SocietyCut.objects.filter(
        player__in=list(player_ids), valid_from__lte=on, replaced_by__isnull=True
    ).order_by("valid_from", "pk")
    found: dict[int, list[Cut]] = {}
    for row in rows:
        cut = Cut(
            id=row.public_id,
            since=row.valid_from,
            steps=read_steps(row.steps),
            because=row.because,
            written=moment_text(row.at),
        )
        found.setdefault(row.player_id, []).append(cut)
    return found


def _by_player(rows: Iterable[HandicapEntry]) -> dict[int, list[Line]]:
    found: dict[int, list[Line]] = {}
    for row in rows:
        found.setdefault(row.player_id, []).append(line_of(row))
    return found


def line_of(row: HandicapEntry) -> Line:
    """A row of the record as the rules read it."""
    cause = read_json(row.cause) if row.cause else {}
    causes: Mapping[str, Any] = cause if isinstance(cause, dict) else {}
    return Line(
        id=row.public_id,
        row=row.pk,
        kind=HandicapKind(row.kind),
        value=row.value,
        source=Source(row.source),
        valid_from=row.valid_from,
        written=moment_text(row.at),
        causes=tuple(str(value) for value in causes.values()),
        ended=row.ended,
    )


def moment_text(at: Any) -> str:
    """A moment as text that sorts by time."""
    return str(at.astimezone(UTC).isoformat(timespec="microseconds"))
