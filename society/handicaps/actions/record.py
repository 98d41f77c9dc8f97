"""The deeds of handicap records: lines are added, never changed."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal

from scoring.rules.strict_json import canonical
from scoring.rules.values import HandicapKind
from society.audit.actions import deed
from society.handicaps.models import HandicapEntry
from society.handicaps.queries.record import in_force
from society.handicaps.rules.figures import Source, checked, spoken_of
from society.members.models import Player
from society.members.queries import another_holds
from society.web.refusals import BadInput, NotYours
from society.web.who import HANDICAPPERS, Who

EARLIEST = date(1950, 1, 1)
OURS = (Source.SOCIETY, Source.COMMITTEE)  # nobody else can be asked why it changed


def record(
    *,
    player: Player,
    kind: str,
    value: Decimal,
    source: str,
    valid_from: date,
    words: str = "",
    cause: Mapping[str, str] | None = None,
    by: Who,
    at: datetime,
) -> HandicapEntry:
    """Add a line to a player's record. A plus handicap is below zero.

    `cause`: what an upper app did that led to it (kind, public id, words); it has asked who may.
    One's own is for another officer; where there is none, the line says that it was written alone.
    Raises NotYours; BadInput for a figure out of the limits, a date that cannot be meant, or no
    reason where the society or its committee puts another figure in the place of one, or for a
    line that stands already.
    """
    if cause is None and not by.may(HANDICAPPERS):
        raise NotYours("Handicap records are kept by the handicap secretary and the secretary.")
    alone = cause is None and by.is_player(player.public_id)
    if alone and another_holds(HANDICAPPERS, by, at):
        raise NotYours("This is your own handicap: another officer writes it down.")
    figure = _checked(value, kind)
    _check_day(valid_from, at)
    if source not in set(Source):
        raise BadInput("Choose where the figure comes from.", field="source")
    if source == Source.CARDS and cause is None:
        words = "A figure from cards is worked out here from the scores; it is not typed."
        raise BadInput(words, field="source")
    if not words.strip() and source in OURS:
        _check_first(player, figure, kind, valid_from)
    if alone:
        words = f"{words} (own handicap, written down alone)".strip()
    about = f"player:{player.public_id}"
    with deed(by=by, at=at, what="wrote down a handicap", about=about) as d:
        if cause is None:
            _refuse_twice(player, kind, figure, source, valid_from)
        line = HandicapEntry.objects.create(
            player=player,
            kind=kind,
            value=figure,
            source=source,
            valid_from=valid_from,
            cause=canonical(dict(cause)) if cause else "",
            at=d.at,
            by=d.by.as_json(),
            words=d.words(words),
        )
        d.change(
            about,
            {
                "handicap": line.public_id,
                "kind": kind,
                "source": source,
                "valid_from": valid_from.isoformat(),
                "value": figure,
            },
        )
    return line


def _checked(value: Decimal, kind: str) -> Decimal:
    try:
        return checked(value, HandicapKind(kind))
    except ValueError as wrong:
        raise BadInput(str(wrong), field="value") from wrong


def _check_first(player: Player, figure: Decimal, kind: str, on: date) -> None:
    """Without a reason only a first figure is taken, or one that says the same as before."""
    stands = in_force([player.pk], on=on, kind=kind, source="").get(player.pk)
    if stands is None or stands.value == figure:
        return
    asked = HandicapKind(kind)
    moved = f"{spoken_of(asked, stands.value)} becomes {spoken_of(asked, figure)}"
    raise BadInput(f"Say why {moved}: the reason stands in the record.", field="words")


def _refuse_twice(
    player: Player, kind: str, figure: Decimal, source: str, valid_from: date
) -> None:
    """A form pressed again, or two officers at once: the same line is not meant twice."""
    Player.objects.select_for_update().get(pk=player.pk)
    stands = in_force([player.pk], on=valid_from, kind=kind, source=source).get(player.pk)
    if stands and (stands.value, stands.valid_from) == (figure, valid_from):
        raise BadInput("That very figure stands in the record from that day already.")


def _check_day(valid_from: date, at: datetime) -> None:
    """A slip of the pen in the year would hide a figure, or put it above all others, for long."""
    if not EARLIEST <= valid_from <= at.date() + timedelta(days=366):
        raise BadInput(
            "A handicap is valid from a day of the past, or at most a year ahead.",
            field="valid_from",
        )
