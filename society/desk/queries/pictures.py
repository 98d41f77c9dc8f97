"""Pictures of a player: the handicap over time, and where points were lost in a season."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from scoring.results.bridge import sealed_document
from scoring.results.models import ResultVersion
from scoring.rules.event import read_event
from scoring.rules.figures import two_decimals
from scoring.rules.handicap import strokes_received
from scoring.rules.lines import extra_strokes, handicaps, penalties, with_penalties
from scoring.rules.values import Event, HandicapKind
from society.courses.rules import RatedHoles
from society.desk.queries.handicaps import figure
from society.desk.queries.results import SEALED_STATES
from society.desk.rules.points_by_hole import (
    LEVEL,
    HolePlayed,
    Tally,
    by_hole,
    by_par,
    most_lost,
    points_of_round,
)
from society.entries.models import Entry
from society.entries.rules.words import IN
from society.fixtures.models import Season
from society.handicaps.models import HandicapEntry
from society.handicaps.queries.record import written_down
from society.handicaps.rules.figures import KIND_NAMES
from society.members.models import Player
from society.web.charts import Mark, Picture, bars, line
from society.web.templatetags.look import count_of, day_short, names

FEWEST_FOR_A_LINE = 2


@dataclass(frozen=True, slots=True)
class Drawn:
    """A picture, or a sentence on why there is none yet."""

    picture: Picture | None
    none_yet: str = ""


def handicap_picture(player: Player) -> Drawn:
    """The handicap of a player from the first line of the record to the last.

    Of the kind with the most lines (an index first), since kinds are not to be compared. What
    is worked out from cards is no part of it.
    """
    lines = list(reversed(written_down(player)))
    kinds = {kind: [row for row in lines if row.kind == kind.value] for kind in HandicapKind}
    kind, drawn = max(kinds.items(), key=lambda found: len(found[1]))
    if len(drawn) < FEWEST_FOR_A_LINE:
        so_far = "One figure is kept" if drawn else "No figure is kept"
        return Drawn(None, f"{so_far} so far. From the second on, the way of it is drawn here.")
    title = f"{KIND_NAMES[kind].capitalize()}, {count_of(len(drawn), 'figure,figures')}"
    words = _way(drawn)
    marks = [Mark(day_short(row.valid_from)[4:].strip(), float(row.value)) for row in drawn]
    return Drawn(
        Picture(
            name="way",
            title=title,
            words=words,
            svg=line(marks, name="way", title=title, words=words, say=_as_handicap),
            head=("Valid from", "Figure", "Source"),
            rows=tuple(
                (day_short(row.valid_from, "year"), figure(kind, row.value), row.source)
                for row in reversed(drawn)
            ),
        )
    )


def _way(rows: Sequence[HandicapEntry]) -> str:
    first, last = rows[0], rows[-1]
    lowest = min(rows, key=lambda row: row.value)
    now = f"From {_figure(first)} on {_day(first)} to {_figure(last)} on {_day(last)}"
    return f"{now}; the lowest was {_figure(lowest)}, from {_day(lowest)}."


def _figure(row: HandicapEntry) -> str:
    return figure(HandicapKind(row.kind), row.value)


def _day(row: HandicapEntry) -> str:
    return day_short(row.valid_from, "year")


def _as_handicap(value: float) -> str:
    return f"+{-value:g}" if value < 0 else f"{value:g}"


def points_picture(player: Player) -> Drawn:
    """Points by hole over the last season in which a card of the player is in a final result."""
    season, rounds = _last_season(player)
    if season is None or not rounds:
        return Drawn(None, "No card is in a final result yet. After the first one it shows here.")
    tallies = by_hole(rounds)
    title = f"Points by hole, {season.name}"
    words = _where(rounds, tallies)
    marks = [
        Mark(tally.label, float(tally.average), tally in most_lost(tallies)) for tally in tallies
    ]
    return Drawn(
        Picture(
            name="holes",
            title=title,
            words=words,
            svg=bars(marks, name="holes", title=title, words=words, top=3, level=LEVEL),
            head=("Hole", "Times played", "Points", "A time", "Lost to net par"),
            rows=(
                *(_row(tally.label, tally) for tally in tallies),
                *(_row(f"All par {tally.label}s", tally) for tally in by_par(rounds)),
            ),
        )
    )


def _row(label: str, tally: Tally) -> tuple[str, ...]:
    lost = str(tally.lost) if tally.lost >= 0 else f"{-tally.lost} won"
    average = two_decimals(tally.average)
    return (label, str(tally.rounds), str(tally.points), average, lost)


def _where(rounds: Sequence[Sequence[HolePlayed]], tallies: Sequence[Tally]) -> str:
    lost = most_lost(tallies)
    said = f"{count_of(len(rounds), 'card,cards')}, each counted as Stableford off what was played."
    if not lost:
        return f"{said} On no hole number were points lost to net par."
    holes = f"{'hole' if len(lost) == 1 else 'holes'} {names(tally.label for tally in lost)}"
    average = two_decimals(lost[0].average)
    pars = most_lost(by_par(rounds))
    said += f" Fewest on {holes}: {average} a time, where net par is {LEVEL} (the dashed line)."
    if pars:
        said += f" By par, fewest on the par {pars[0].label}s: {two_decimals(pars[0].average)}."
    return said


def _last_season(player: Player) -> tuple[Season | None, list[list[HolePlayed]]]:
    """The season and the rounds, in order of play; of each fixture the first competition."""
    entries = list(
        Entry.objects.filter(player=player, fixture__state__in=SEALED_STATES)
        .with_step()
        .select_related("fixture__season")
        .order_by("-fixture__starts_on", "-pk")
    )
    keys = {entry.fixture_id: entry for entry in entries if entry.step in IN}
    versions = (
        ResultVersion.objects.filter(competition__fixture__in=keys, competition__number=1)
        .select_related("competition")
        .prefetch_related("competition__rounds")
        .order_by("number")
    )
    standing = {version.competition.fixture_id: version for version in versions}
    season: Season | None = None
    rounds: list[list[HolePlayed]] = []
    for fixture_id, entry in keys.items():  # the latest first
        version = standing.get(fixture_id)
        played = _holes(version, entry.key) if version else []
        if not played:
            continue
        season = season or entry.fixture.season
        if entry.fixture.season_id == season.pk:
            rounds.insert(0, played)
    return season, rounds


def _holes(version: ResultVersion, key: str) -> list[HolePlayed]:
    """The holes of one player in a sealed result; none without a card."""
    event = _event(version.inputs)
    card = event.cards.get(key)
    if card is None:
        return []
    player = event.players[key]
    extra = extra_strokes(event)[player.tee.key]
    _, playing = handicaps(event.terms, player, event.holes, extra)
    shots = strokes_received(playing, player.tee.stroke_index)
    ruled = with_penalties(card, penalties([r for r in event.rulings if r.player == key]))
    holes = next(iter(version.competition.rounds.all())).holes
    return points_of_round(RatedHoles(holes).numbers, player.tee.par, shots, ruled)


@lru_cache(maxsize=32)
def _event(inputs: str) -> Event:
    """A sealed document as the engine reads it; a sealed text never changes."""
    return read_event(sealed_document(inputs))
