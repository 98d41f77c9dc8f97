"""The handicap record of a player: figures in force, the sum of the own figure, every score."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from scoring.rules.record.values import Ready, Total
from scoring.rules.values import HandicapKind
from society.desk.queries.events import Event, events_of
from society.desk.queries.handicaps import figure
from society.fixtures.models import Season
from society.fixtures.queries import present_season, season_rules_on
from society.handicaps.models import HandicapEntry, Score
from society.handicaps.queries.figures import figures_on
from society.handicaps.queries.scores import own_of
from society.handicaps.rules.figures import Source, called
from society.handicaps.rules.own import Kept, Own, steps
from society.handicaps.rules.scores import read_said
from society.handicaps.rules.season import brief
from society.handicaps.rules.told import (
    Line,
    Part,
    Stood,
    after_parts,
    part_of,
    stood,
    sum_of,
)
from society.handicaps.rules.used import Used
from society.members.models import Player
from society.members.queries import names_of
from society.web.refusals import Missing

SOURCE_WORDS = {
    Source.ASSOCIATION: "from the association",
    Source.SOCIETY: "written down by the society",
    Source.COMMITTEE: "set by the committee",
    Source.STATED: "as stated",
    Source.CARDS: "worked out from cards",
}


def line_words(kind: str, source: str) -> str:
    """What a line of the record is called: kind and source."""
    named = called(HandicapKind(kind), source)
    return f"{named.capitalize()}, {SOURCE_WORDS[Source(source)]}"


@dataclass(frozen=True, slots=True)
class Standing:
    """A figure in force: of one kind and source, since when, written by whom and why."""

    words: str
    value: str
    since: date
    by: str
    why: str
    cards: bool


@dataclass(frozen=True, slots=True)
class Scored:
    """One score of the record, or nine holes that make none (yet).

    `id`: of the score, for its own page. `stood`: None for nine holes that wait or waited too long,
    `lapsed` then. `rounds`: what was played, in words; `days`, the last first.
    """

    id: str
    day: date
    days: tuple[date, ...]
    events: tuple[Event, ...]
    rounds: str
    gross: int | None
    stood: Stood | None
    lapsed: bool = False

    @property
    def now(self) -> str:
        """The differential as it stands, as people write it; below zero with a minus."""
        return signed(self.stood.now) if self.stood else ""

    @property
    def notes(self) -> list[str]:
        """What else is to be said of it, each in a few words."""
        said = []
        if self.stood is None:
            waits = "Nine holes, too old to be joined: they make no score"
            return [waits if self.lapsed else "Nine holes, waiting for the next nine"]
        if len(self.days) > 1:
            said.append("Two nines, joined")
        row = self.stood.row
        if row.exceptional:
            said.append(f"Exceptional: {-row.exceptional} off each of the latest 20")
        if self.stood.moved:
            said.append(f"{signed(row.differential)} when made, {self.now} as it now stands")
        if not self.stood.latest:
            said.append("Older than the latest 20")
        return said


@dataclass(frozen=True, slots=True)
class RecordPage:
    """All of a record for one day. `used`: None where the season's rules find no figure."""

    player: Player
    on: date
    season: Season | None
    rules: str
    used: Used | None
    standing: tuple[Standing, ...]
    own: Own
    sum: tuple[Line, ...]
    scores: tuple[Scored, ...]

    @property
    def figure(self) -> str:
        """The figure worked out from cards, however it stands in the lines; empty for none."""
        return _written(self.own.figure)

    @property
    def used_figure(self) -> str:
        """What the season uses, as people write it."""
        return figure(self.used.kind, self.used.value) if self.used else ""

    @property
    def from_day(self) -> date | None:
        """From when the figure worked out from cards is what it is: overnight, Rule 5.4."""
        changed = steps(self.own)
        return changed[-1].day if changed else None

    @property
    def latest(self) -> tuple[Scored, ...]:
        """The scores that are looked at, and the nines among them; newest first."""
        return tuple(score for score in self.scores if not _old(score))

    @property
    def older(self) -> tuple[Scored, ...]:
        """Scores before the latest 20, newest first."""
        return tuple(score for score in self.scores if _old(score))

    @property
    def counted(self) -> int:
        """How many make the figure."""
        return sum(1 for score in self.scores if score.stood and score.stood.counts)

    @property
    def holes(self) -> int:
        """How many holes are in towards a first figure; nines that lapsed make none."""
        return sum(kept.holes for kept in self.own.kept if kept not in self.own.lapsed)

    @property
    def made(self) -> int:
        """How many scores the record has, two nines as one."""
        return len(self.own.found.rows)


def _old(score: Scored) -> bool:
    return score.lapsed or (score.stood is not None and not score.stood.latest)


def signed(value: Decimal) -> str:
    """A differential: no handicap, so below zero it has a minus."""
    return f"{'−' if value < 0 else ''}{abs(value):.1f}"


def _written(value: Decimal | None) -> str:
    return figure(HandicapKind.INDEX, value)


def record_page(player: Player, on: date) -> RecordPage:
    """The record of a player as it stands on a day. A constant number of queries."""
    season = present_season(on)
    rules = season_rules_on(season, on) if season else None
    own = own_of(player)
    return RecordPage(
        player=player,
        on=on,
        season=season,
        rules=brief(rules) if rules else "",
        used=figures_on([player], rules, on).get(player.pk) if rules else None,
        standing=_standing(player, on),
        own=own,
        sum=tuple(sum_of(own)),
        scores=_scores(player, own),
    )


def _standing(player: Player, on: date) -> tuple[Standing, ...]:
    """The latest line of each kind and source, without those that ended. Two queries."""
    latest: dict[tuple[str, str], HandicapEntry] = {}
    rows = HandicapEntry.objects.filter(player=player, valid_from__lte=on)
    for row in rows.select_related("words").order_by("valid_from", "pk"):
        latest[row.kind, row.source] = row
    listed = sorted(
        (row for row in latest.values() if not row.ended),
        key=lambda row: (row.valid_from, row.pk),
        reverse=True,
    )
    names = names_of(row.by for row in listed)
    return tuple(
        Standing(
            words=line_words(row.kind, row.source),
            value=figure(HandicapKind(row.kind), row.value),
            since=row.valid_from,
            by=names[row.by],
            why=row.reason,
            cards=row.source == Source.CARDS,
        )
        for row in listed
    )


@dataclass(frozen=True, slots=True)
class OwnFigure:
    """What a player is taken at today, in words; `figure` is empty where the season finds none."""

    player: Player
    figure: str
    words: str


def own_figures(season: Season, players: Sequence[Player], on: date) -> list[OwnFigure]:
    """What each of the reader's own players is taken at on a day. At most three queries."""
    if not players:
        return []
    taken = figures_on(players, season_rules_on(season, on), on)
    found = []
    for player in players:
        used = taken.get(player.pk)
        if used is None:
            found.append(OwnFigure(player, "", "No figure yet that the season can use."))
        else:
            words = f"{used.base.in_words[:1].upper()}{used.base.in_words[1:]}"
            cuts = "; society cuts on top" if used.cuts else ""
            most = f"; at most {used.maximum}" if used.capped else ""
            found.append(OwnFigure(player, figure(used.kind, used.value), f"{words}{cuts}{most}."))
    return found


# scores ---------------------------------------------------------------------------------------


def _scores(player: Player, own: Own) -> tuple[Scored, ...]:
    """Every score newest first, nines that make none among them by their day."""
    events = events_of(player, (one.cause for one in own.kept))
    made = [_scored(own, events, one.of, one) for one in stood(own)]
    if own.waiting:
        made.append(_scored(own, events, (own.waiting,), None))
    made += [_scored(own, events, (one,), None, lapsed=True) for one in own.lapsed]
    return tuple(sorted(made, key=_order, reverse=True))


def _order(score: Scored) -> tuple[date, int]:
    return score.day, score.stood.number if score.stood else 0


def _scored(
    own: Own,
    events: dict[str, Event],
    of: Sequence[Kept],
    one: Stood | None,
    *,
    lapsed: bool = False,
) -> Scored:
    last = of[-1]
    return Scored(
        id=last.id,
        day=last.played,
        days=tuple(kept.played for kept in reversed(of)),
        events=tuple(_told_once(events.get(kept.cause) for kept in of)),
        rounds="; ".join(_round(kept) for kept in of),
        gross=one.row.adjusted_gross if one else _gross(own, last),
        stood=one,
        lapsed=lapsed,
    )


def _told_once(events: Iterable[Event | None]) -> list[Event]:
    return list(dict.fromkeys(event for event in events if event is not None and event.words))


def _round(kept: Kept) -> str:
    """What it was played against: "18 holes, rated 70.1 / 120"."""
    score = read_said(kept.said, played=kept.played, holes=kept.holes)
    if isinstance(score, Ready):
        return "Differential worked out elsewhere"
    ratings = score.ratings
    pcc = f", conditions {ratings.pcc:+d}".replace("-", "−") if ratings.pcc else ""
    rated = f"rated {Decimal(ratings.course.numerator) / ratings.course.denominator:.1f}"
    return f"{kept.holes} holes, {rated} / {ratings.slope}{pcc}"


def _gross(own: Own, kept: Kept) -> int | None:
    holes = part_of(own, kept).holes
    if holes:
        return sum(hole.counts for hole in holes)
    score = read_said(kept.said, played=kept.played, holes=kept.holes)
    return score.adjusted_gross if isinstance(score, Total) else None


# the working of one score ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Typed:
    """Who added a score by hand, when and why."""

    by: str
    at: datetime
    why: str


@dataclass(frozen=True, slots=True)
class PartShown:
    """A round, or one of two nines, with its event and the holes as the card numbers them.

    `typed`: who added it by hand; None for one that came with a result.
    """

    part: Part
    event: Event | None
    rounds: str
    typed: Typed | None = None

    @property
    def strip(self) -> tuple[dict[str, object], ...]:
        """The holes as plain mappings, for the strip of a card."""
        return tuple(
            {
                "hole": hole.number,
                "par": hole.par,
                "index": hole.index,
                "shots": hole.shots,
                "gross": hole.written,
                "net": hole.most,
                "value": hole.counts,
                "held": hole.held,
            }
            for hole in self.part.holes
        )


@dataclass(frozen=True, slots=True)
class ScorePage:
    """One score down to what was written. `after`: the two nines joined, what it took off."""

    player: Player
    scored: Scored
    parts: tuple[PartShown, ...]
    after: tuple[Line, ...]

    @property
    def made(self) -> str:
        """The differential as first made."""
        return signed(self.scored.stood.row.differential) if self.scored.stood else ""


def score_page(player: Player, score_id: str) -> ScorePage:
    """The working of a score of the record; nine holes of two open the whole.

    Raises Missing for none that counts.
    """
    own = own_of(player)
    wanted = next((one for one in own.kept if one.id == score_id), None)
    if wanted is None:
        raise Missing("There is no such score in this record.")
    whole = next((one for one in stood(own) if wanted in one.of), None)
    of = whole.of if whole else (wanted,)
    events = events_of(player, (one.cause for one in of))
    parts = [part_of(own, one) for one in of]
    lapsed = wanted in own.lapsed
    typed = _typed(of)
    return ScorePage(
        player=player,
        scored=_scored(own, events, of, whole, lapsed=lapsed),
        parts=tuple(
            PartShown(
                part,
                events.get(part.kept.cause),
                _round(part.kept),
                typed.get(part.kept.id),
            )
            for part in parts
        ),
        after=tuple(after_parts(whole, parts)) if whole else (),
    )


def _typed(of: Sequence[Kept]) -> dict[str, Typed]:
    """Those of these scores that were added by hand, by their public ids. Two queries at most."""
    ids = [one.id for one in of if one.origin.startswith("typed:")]
    rows = list(Score.objects.filter(public_id__in=ids)) if ids else []
    names = names_of(row.by for row in rows)
    return {row.public_id: Typed(names[row.by], row.at, row.reason) for row in rows}
