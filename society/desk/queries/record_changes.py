"""Every change of a player's record: old → new, why, which event, by whom, from when."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal

from scoring.rules.values import HandicapKind
from society.desk.queries.events import Event, events_of
from society.desk.queries.handicaps import figure
from society.desk.queries.record import line_words
from society.handicaps.models import Adjustment, HandicapEntry, Score, SocietyCut
from society.handicaps.queries.cuts import became
from society.handicaps.queries.scores import kept
from society.handicaps.rules.cuts.steps import lines_of, read_steps
from society.handicaps.rules.figures import written
from society.handicaps.rules.own import Own
from society.handicaps.rules.told import part_of
from society.members.models import Player
from society.members.queries import names_of

NOTHING = "{}"
_ANEW = " The low index starts anew: no figure from before this day counts for it."


@dataclass(frozen=True, slots=True)
class CutLine:
    """One step of a society cut with both its days: it counts until, and without, the second."""

    words: str
    since: date
    until: date | None
    runs: bool


@dataclass(frozen=True, slots=True)
class Change:
    """One change. `old`, `new`: as people write them, empty where there was or is none.

    `day`: from when. `said`: what is to be read beside it. `void`: it counts no longer. `cut`: the
    steps of a society cut.
    """

    day: date
    what: str
    old: str
    new: str
    at: datetime
    by: str
    why: str = ""
    said: str = ""
    event: Event | None = None
    cut: tuple[CutLine, ...] = ()
    void: bool = False

    @property
    def runs(self) -> bool:
        """Whether a step of the cut counts today."""
        return any(line.runs for line in self.cut)


def changes_of(player: Player, own: Own, on: date) -> tuple[Change, ...]:
    """All changes of a record, newest first. A constant number of queries."""
    lines = list(
        HandicapEntry.objects.filter(player=player)
        .select_related("words")
        .order_by("valid_from", "pk")
    )
    cuts = list(
        SocietyCut.objects.filter(player=player)
        .select_related("words", "answer__proposal__replaces", "replaces", "replaced_by")
        .order_by("pk")
    )
    moves = list(
        Adjustment.objects.filter(player=player).select_related("words").order_by("on", "pk")
    )
    scores = list(Score.objects.filter(player=player).select_related("words").order_by("pk"))
    corrected = [row for row in scores if row.number > 1]
    names = names_of(row.by for row in (*lines, *cuts, *moves, *corrected))
    found = [
        *_of_lines(lines, names),
        *_of_cuts(cuts, names, on),
        *_of_moves(moves, own, names),
        *_of_scores(scores, own, names),
    ]
    events = events_of(player, (cause for _, cause in found))
    told = (replace(change, event=events.get(cause)) for change, cause in found)
    return tuple(sorted(told, key=lambda change: (change.day, change.at), reverse=True))


Told = tuple[Change, str]  # a change, and the cause of it as kept


def _of_lines(rows: Iterable[HandicapEntry], names: dict[str, str]) -> Iterator[Told]:
    """The lines of the record; the old figure is that of the same kind and source before it."""
    standing: dict[tuple[str, str], str] = {}
    for row in rows:
        place = (row.kind, row.source)
        new = "" if row.ended else figure(HandicapKind(row.kind), row.value)
        change = Change(
            day=row.valid_from,
            what=line_words(row.kind, row.source),
            old=standing.get(place, ""),
            new=new,
            at=row.at,
            by=names[row.by],
            why=row.reason,
            said="From that day there is none." if row.ended else "",
        )
        standing[place] = new
        yield change, row.cause


def _of_cuts(rows: Iterable[SocietyCut], names: dict[str, str], on: date) -> Iterator[Told]:
    for row in rows:
        answer = getattr(row, "answer", None)
        proposal = answer.proposal if answer else None
        void = hasattr(row, "replaced_by")
        steps = read_steps(row.steps)
        lines = tuple(
            CutLine(_shots(line.shots), line.since, line.until, line.runs_on(on) and not void)
            for line in lines_of(row.valid_from, steps)
            if line.shots
        )
        because = row.because.rstrip(".")
        said = [f"{because[:1].upper()}{because[1:]}."] if because else []
        if row.replaces is not None:
            said.append("It takes the place of an earlier one.")
        if void:
            said.append("Another one took its place; it counts no longer.")
        if not lines:
            said.append("Nothing comes off or on.")
        yield (
            Change(
                day=row.valid_from,
                what=_cut_title(steps[0].shots if steps else Decimal(0)),
                old=_plays_off(proposal.old) if proposal else "",
                new=_plays_off(became(proposal, row)) if proposal else "",
                at=row.at,
                by=names[row.by],
                why=row.reason,
                said=" ".join(said),
                cut=lines,
                void=void,
            ),
            row.cause,
        )


def _cut_title(shots: Decimal) -> str:
    if not shots:
        return "Society cut taken back"
    return "Society cut" if shots < 0 else "Shots given back by the society"


def _plays_off(value: Decimal) -> str:
    return written(value)


def _shots(shots: Decimal) -> str:
    count = written(abs(shots))
    return f"{count} {'shot' if count == '1' else 'shots'} {'off' if shots < 0 else 'on'}"


def _of_moves(rows: Sequence[Adjustment], own: Own, names: dict[str, str]) -> Iterator[Told]:
    """What a committee moved, with the figure before and after it as the history has them."""
    figures = {move.id: worked for move, worked in zip(own.moves, own.found.moves, strict=True)}
    for row in rows:
        worked = figures.get(row.public_id)
        yield (
            Change(
                day=row.on,
                what="Adjustment by the committee",
                old=figure(HandicapKind.INDEX, worked.before) if worked else "",
                new=figure(HandicapKind.INDEX, worked.index) if worked else "",
                at=row.at,
                by=names[row.by],
                why=row.reason,
                said=f"Each of the latest 20 differentials: {_shots(row.shots)}. "
                f"It counts from the next day.{_ANEW if row.resets_low else ''}",
            ),
            "",
        )


def _of_scores(rows: Iterable[Score], own: Own, names: dict[str, str]) -> Iterator[Told]:
    """Scores put right, taken off, or back; a first one is no change of what was written."""
    before: dict[str, Score] = {}
    for row in rows:
        earlier = before.get(row.origin)
        before[row.origin] = row
        if earlier is None:
            continue
        off = row.said == NOTHING
        again = earlier.said == NOTHING
        what = "Score put right"
        if off:
            what = "Score taken off the record"
        elif again:
            what = "Score back on the record"
        moved = earlier.played != row.played and not (off or again)
        yield (
            Change(
                day=row.played,
                what=what,
                old=_score(own, earlier),
                new=_score(own, row),
                at=row.at,
                by=names[row.by],
                why=row.reason,
                said="The day it was played on was another." if moved else "",
            ),
            earlier.cause if off else row.cause,
        )


def _score(own: Own, row: Score) -> str:
    """A score by its differential, as it is worked out today; empty for one that says nothing."""
    if row.said == NOTHING:
        return ""
    return part_of(own, kept(row)).lines[-1].result
