"""What a final result proposes of cuts, what waits for an answer, and what became of the rest."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import lru_cache

from django.urls import reverse

from scoring.results.models import ResultVersion
from scoring.results.queries.newcomers import newcomers_in
from scoring.rules.strict_json import read_json
from scoring.rules.values import INDIVIDUAL, Format
from society.desk.queries.events import Event, events_of
from society.entries.models import Entry
from society.fixtures.models import Competition, Fixture, Season
from society.fixtures.queries import engine_terms, rules_of, the_round
from society.handicaps.models import CutProposal, SocietyCut
from society.handicaps.queries.cuts import (
    became,
    cuts_of_player,
    proposals_of,
    shots_of,
    standing_of,
    waiting_by_event,
)
from society.handicaps.queries.figures import figures_for
from society.handicaps.rules.answers import CutAnswerKind
from society.handicaps.rules.cuts.proposing import propose
from society.handicaps.rules.cuts.reading import read_cuts
from society.handicaps.rules.cuts.steps import Line, day_after, lines_of, read_steps
from society.handicaps.rules.cuts.values import CutRules, Placed, Proposed
from society.handicaps.rules.cuts.words import sentences
from society.handicaps.rules.figures import written
from society.handicaps.rules.season import HandicapRules
from society.handicaps.rules.used import Used, Whom
from society.members.models import Player
from society.members.queries import names_of
from society.web.refusals import Missing
from society.web.rules import day_words
from society.web.who import HANDICAPPERS, Who


@dataclass(frozen=True, slots=True)
class ToPropose:
    """What the cut rules make of a result, and the figures they were worked out from."""

    day: date
    told: Sequence[Proposed] = ()
    figures: Mapping[str, Decimal] = field(default_factory=dict)


def cut_rules_of(rules: HandicapRules) -> CutRules | None:
    """The cut rules in the handicap rules of a season, if any and if they can touch a figure."""
    return read_cuts(rules.cuts) if rules.cuts is not None and rules.takes_cuts else None


@lru_cache(maxsize=64)
def _placed(outputs: str) -> tuple[tuple[str, int, int], ...]:
    """Key, place and total of everyone with a place; a sealed text never changes."""
    answer = read_json(outputs)
    if not isinstance(answer, dict):
        raise TypeError("the outputs of a seal are an object")
    return tuple((row["player"], row["place"], row["total"]) for row in answer["standings"])


def cuts_to_propose(fixture: Fixture, version: ResultVersion) -> ToPropose:
    """What a sealed version proposes. A constant number of queries.

    Only individual rounds; points count in Stableford alone. The figure that changes is what the
    player plays off on the day after, before any maximum and without what this very result has
    cut already; it is exact, with the tenths of an index and half shots.
    """
    round_ = the_round(fixture)
    on = day_after(round_.day)
    terms = engine_terms(version.competition, round_.holes)
    season = Season.objects.get(pk=fixture.season_id)
    entries = {
        entry.key: entry
        for entry in Entry.objects.filter(fixture=fixture).select_related("player__merged_into")
    }
    players = {key: entry.player.merged_into or entry.player for key, entry in entries.items()}
    rules = rules_of(fixture)
    taken = figures_for(
        [
            Whom(players[key].pk, entry.category, not entry.as_member)
            for key, entry in entries.items()
        ],
        rules,
        on,
    )
    figures = _without_this(players.values(), taken, version.competition.public_id, on)
    cuts = cut_rules_of(rules)
    if cuts is None or terms.format not in INDIVIDUAL:
        return ToPropose(round_.day, (), figures)
    stableford = terms.format is Format.STABLEFORD
    new = newcomers_in(fixture)
    placed = [
        Placed(
            player=players[key].public_id,
            place=place,
            points=total if stableford else None,
            figure=figures.get(players[key].public_id, Decimal(0)),
            guest=not entries[key].as_member,
            newcomer=players[key].public_id in new.played,
            maximum=rules.highest(entries[key].category, guest=not entries[key].as_member),
        )
        for key, place, total in _placed(version.outputs)
        if key in entries
    ]
    found = propose(cuts, placed, played=round_.day, season_ends=season.ends_on)
    return ToPropose(round_.day, [one for one in found if one.player in figures], figures)


def _without_this(
    players: object, taken: Mapping[int, Used], event: str, on: date
) -> dict[str, Decimal]:
    """What each plays off by public id, without the cuts that this very result has made."""
    standing = standing_of(event)
    found: dict[str, Decimal] = {}
    for player in players:  # type: ignore[attr-defined]
        used = taken.get(player.pk)
        if used is None:
            continue
        cut = standing.get(player.public_id)
        runs = cut is not None and any(one.id == cut.public_id for one in used.cuts)
        off = shots_of(cut, on) if cut is not None and runs else Decimal(0)
        found[player.public_id] = used.exact - off
    return found


# pages --------------------------------------------------------------------------------------

_ANSWER_WORDS = {
    CutAnswerKind.CONFIRMED.value: "confirmed",
    CutAnswerKind.CHANGED.value: "changed",
    CutAnswerKind.DROPPED.value: "left as it was",
    CutAnswerKind.FELL_AWAY.value: "fell away, the result was corrected",
}


@dataclass(frozen=True, slots=True)
class ProposalShown:
    """One proposal in words. `own`: the reader's own, which another officer answers."""

    id: str
    name: str
    player: str
    old: str
    new: str
    because: str
    steps: tuple[str, ...]
    version: int
    replaces: bool
    own: bool
    answer: str = ""
    made: str = ""
    by: str = ""
    reason: str = ""
    fell_away: bool = False


@dataclass(frozen=True, slots=True)
class CutsPage:
    """All that a result proposed: what waits, what was answered, what fell away."""

    waiting: tuple[ProposalShown, ...]
    answered: tuple[ProposalShown, ...]
    fell_away: tuple[ProposalShown, ...]
    from_day: date
    sentences: tuple[str, ...]

    @property
    def mine(self) -> bool:
        """Whether the reader's own waits among them."""
        return any(one.own for one in self.waiting)

    @property
    def nothing(self) -> bool:
        """Whether nothing was ever proposed."""
        return not (self.waiting or self.answered or self.fell_away)


def cuts_page(fixture: Fixture, competition: Competition, who: Who) -> CutsPage:
    """The proposals of a fixture's first competition. A constant number of queries."""
    rows = proposals_of(competition.public_id)
    answers = {row.pk: row.answer for row in rows if hasattr(row, "answer")}
    names = names_of(answer.by for answer in answers.values())
    shown = [_shown(row, names, who) for row in rows]
    cuts = cut_rules_of(rules_of(fixture))
    return CutsPage(
        waiting=tuple(one for one in shown if not one.answer),
        answered=tuple(one for one in shown if one.answer and not one.fell_away),
        fell_away=tuple(one for one in shown if one.fell_away),
        from_day=day_after(the_round(fixture).day),
        sentences=tuple(sentences(cuts)) if cuts else (),
    )


def _shown(row: CutProposal, names: Mapping[str, str], who: Who) -> ProposalShown:
    answer = getattr(row, "answer", None)
    cut = answer.cut if answer else None
    steps = read_steps(cut.steps if cut else row.steps)
    made = ""
    if cut:
        made = written(became(row, cut))
    ends = tuple(
        f"{written(abs(line.shots))} {'off' if line.shots < 0 else 'back'} until "
        f"{day_words(line.until)}"
        for line in lines_of(day_after(row.day), steps)
        if line.until is not None
    )
    return ProposalShown(
        id=row.public_id,
        name=row.player.name,
        player=row.player.public_id,
        old=written(row.old),
        new=written(row.new),
        because=row.because,
        steps=ends,
        version=row.version,
        replaces=row.replaces is not None,
        own=who.is_player(row.player.public_id),
        answer=_ANSWER_WORDS[answer.answer] if answer else "",
        made=made,
        by=names.get(answer.by, "") if answer else "",
        reason=answer.reason if answer else "",
        fell_away=answer is not None and answer.answer == CutAnswerKind.FELL_AWAY.value,
    )


@dataclass(frozen=True, slots=True)
class WaitingCuts:
    """How many cuts of a fixture wait for the reader's word."""

    fixture: str
    name: str
    day: date
    count: int

    @property
    def words(self) -> str:
        """ "5 cuts wait for your word"."""
        return f"{self.count} {'cut waits' if self.count == 1 else 'cuts wait'} for your word"

    @property
    def url(self) -> str:
        """Where they are answered."""
        return reverse("desk:proposals", args=[self.fixture])


def waiting_cuts(who: Who, fixture: Fixture | None = None) -> list[WaitingCuts]:
    """What waits for a keeper of handicaps, by day; nothing for others. Two queries at most."""
    if not who.may(HANDICAPPERS):
        return []
    among = None
    if fixture is not None:
        among = list(fixture.competitions.values_list("public_id", flat=True))
    counts = waiting_by_event(among)
    if not counts:
        return []
    rows = Competition.objects.filter(public_id__in=list(counts)).select_related("fixture")
    return [
        WaitingCuts(
            row.fixture.public_id, row.fixture.name, row.fixture.ends_on, counts[row.public_id]
        )
        for row in rows.order_by("fixture__starts_on", "pk")
    ]


@dataclass(frozen=True, slots=True)
class CutOfPlayer:
    """One cut of a player as the page lists it, each line with its end.

    `event`: what it came from; without words for one written by hand.
    """

    id: str
    because: str
    lines: tuple[str, ...]
    since: date
    runs: bool
    ended: bool
    reason: str
    event: Event


def cuts_listed(player: Player, on: date) -> list[CutOfPlayer]:
    """Every cut of a player, the latest first. At most six queries."""
    listed = cuts_of_player(player)
    events = events_of(player, (shown.cut.cause for shown in listed))
    return [
        CutOfPlayer(
            id=shown.cut.public_id,
            because=shown.cut.because,
            lines=tuple(_line_words(line) for line in shown.lines),
            since=shown.cut.valid_from,
            runs=not shown.ended
            and any(line.until is None or line.until > on for line in shown.lines),
            ended=shown.ended,
            reason=shown.cut.reason,
            event=events.get(shown.cut.cause, Event("")),
        )
        for shown in listed
    ]


def _line_words(line: Line) -> str:
    size = f"{written(abs(line.shots))} {'off' if line.shots < 0 else 'back'}"
    last = f"until {day_words(line.until)}" if line.until else "without end"
    return f"{size} from {day_words(line.since)}, {last}"


def cut_to_end(player: Player, public_id: str) -> SocietyCut:
    """A cut of this player by its public id. Raises Missing."""
    found = SocietyCut.objects.filter(player=player, public_id=public_id).first()
    if found is None:
        raise Missing("There is no such cut.")
    return found
