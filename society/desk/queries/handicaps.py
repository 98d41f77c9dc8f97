"""What the handicaps page of a fixture shows."""

from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal

from django.db.models import QuerySet

from scoring.rules.figures import two_decimals
from scoring.rules.values import HandicapKind
from society.courses.models import Tee
from society.entries.bridge.handicaps import (
    HandicapLine,
    engine_terms_of,
    handicap_lines,
)
from society.entries.bridge.tees import DifferingCard, differing_cards
from society.entries.models import Entry, Frozen
from society.entries.queries import handicaps_taken
from society.entries.rules.words import FrozenReason
from society.fixtures.models import Fixture
from society.fixtures.queries import rules_of, the_competition, the_round
from society.fixtures.rules import ENDED, FixtureState
from society.handicaps.queries.figures import moment_text
from society.handicaps.rules.figures import KIND_NAMES, called, written_of
from society.handicaps.rules.season import HandicapRules, brief
from society.handicaps.rules.used import Used, days_too_old


@dataclass(frozen=True, slots=True)
class Row:
    """One player: the figure brought, where it comes from, and what it gives on this course.

    `figure`: as people write it, empty for none. `course`: two decimals, empty where none is worked
    out. `wanted`: the kind to be typed where one is missing. `corrected`: a sentence if a frozen
    figure was put right.
    """

    entry: Entry
    figure: str
    brought: HandicapKind | None
    wanted: HandicapKind
    kind: str
    origin: str
    since: date | None  # the day of the figure it comes from, before anything was done to it
    done: str  # what the society did to that figure; empty where it stands as it is
    tee: str
    tee_id: str
    course: str
    playing: int | None
    lacks: str
    refused: bool
    taken: bool
    corrected: str
    old: str = ""  # how old the figure is, where it is older than the rules allow
    now: str = ""  # the figure that would be taken today, where it is another than was taken
    moved: str = ""  # the same in a sentence, with how it comes about

    @property
    def needs_figure(self) -> bool:
        """Whether a typed figure is what is wanted."""
        return bool(self.lacks) and not self.refused and bool(self.tee)


@dataclass(frozen=True, slots=True)
class HandicapsPage:
    """The whole page: those who lack something first."""

    rows: list[Row]
    missing: list[Row]
    to_take: int
    taken_at: datetime | None
    played_off: str
    kind: HandicapKind
    tees: QuerySet[Tee]
    several_tees: bool
    reference_par: int | None
    takes_reference: bool
    open: bool
    differing: list[DifferingCard]

    @property
    def old(self) -> list[Row]:
        """Those whose figure is older than the rules of the season allow."""
        return [row for row in self.rows if row.old]

    @property
    def moved(self) -> list[Row]:
        """Those for whom another figure would be taken today."""
        return [row for row in self.rows if row.moved]

    def kind_of(self, entry_id: str) -> HandicapKind:
        """The kind of figure an entry is frozen with, else the one this fixture asks for."""
        found = [row.brought for row in self.rows if row.entry.public_id == entry_id]
        return (found[0] if found else None) or self.kind


def handicaps_page(fixture: Fixture) -> HandicapsPage:
    """Everything the page says, read once."""
    round_ = the_round(fixture)
    lines = handicap_lines(fixture)
    corrections = _corrections(fixture)
    rules = rules_of(fixture)
    kind = rules.asked
    rows = [
        replace(
            _row(line, kind, corrections.get(line.entry.pk, [])),
            old=_old(line, rules, round_.day),
            now=figure(line.now.kind, line.now.value)
            if line.now and has_moved(line.frozen, line.now)
            else "",
            moved=_moved_words(line) if has_moved(line.frozen, line.now) else "",
        )
        for line in lines
    ]
    terms = engine_terms_of(round_)[0][1]
    return HandicapsPage(
        rows=sorted(
            (row for row in rows if not row.lacks), key=lambda row: row.entry.player.name.lower()
        ),
        missing=[row for row in rows if row.lacks],
        to_take=sum(not row.taken and not row.lacks for row in rows),
        taken_at=the_competition(fixture).frozen_at if handicaps_taken(fixture) else None,
        played_off=brief(rules),
        kind=kind,
        tees=round_.course.tees.order_by("name"),
        several_tees=len({row.tee for row in rows}) > 1,
        reference_par=terms.reference_par,
        takes_reference=terms.stroke_total and terms.different_par,
        open=FixtureState(fixture.state) not in ENDED,
        differing=differing_cards(round_),
    )


def _corrections(fixture: Fixture) -> dict[int, list[Frozen]]:
    """All frozen rows of those who have more than one, by entry id."""
    rows = (
        Frozen.objects.filter(start__round__fixture=fixture)
        .select_related("start", "tee", "words")
        .order_by("number")
    )
    found: dict[int, list[Frozen]] = {}
    for row in rows:
        found.setdefault(row.start.entry_id, []).append(row)
    return {entry: listed for entry, listed in found.items() if len(listed) > 1}


def _old(line: HandicapLine, rules: HandicapRules, day: date) -> str:
    """That a figure not taken yet is older than the rules of the season allow."""
    days = days_too_old(rules, line.now, day)
    if line.frozen is not None or line.now is None or days is None:
        return ""
    return f"{line.now.base.in_words}: {days} days old on the day"


def has_moved(row: Frozen | None, now: Used | None) -> bool:
    """Whether another figure would be taken today than was taken.

    A figure put right by hand stands as the officer left it, until the record goes on, or a cut is
    written or ended.
    """
    if row is None or now is None or row.reason_class == FrozenReason.NONE_NEEDED.value:
        return False
    by_hand = row.number > 1 and row.source_entry_id is None
    if by_hand and now.touched <= moment_text(row.at):
        return False
    return (row.kind, row.value) != (now.kind.value, now.value)


def _moved_words(line: HandicapLine) -> str:
    """Both figures, and how the one of today comes about."""
    now = line.now
    if now is None:
        return ""
    taken = figure(line.kind, line.value)
    return f"Taken at {taken}; it would be {figure(now.kind, now.value)} now. {now.words}"


def _row(line: HandicapLine, asked: HandicapKind, frozen: list[Frozen]) -> Row:
    course = line.plays.course if line.plays else None
    none_needed = (
        line.frozen is not None and line.frozen.reason_class == FrozenReason.NONE_NEEDED.value
    )
    return Row(
        entry=line.entry,
        figure="" if none_needed else figure(line.kind, line.value),
        brought=line.kind,
        wanted=HandicapKind.COURSE if line.unrated else asked,
        kind="" if none_needed else _kind_words(line),
        origin=_origin(line),
        since=line.record.valid_from if line.record else None,
        done=_done(line.used) if line.record else "",
        tee=line.tee.name if line.tee else "",
        tee_id=line.tee.public_id if line.tee else "",
        course="" if course is None else two_decimals(course).replace("-", "+"),
        playing=line.plays.playing if line.plays else None,
        lacks=line.lacks,
        refused=line.refused,
        taken=line.frozen is not None,
        corrected=_put_right(frozen),
    )


def _kind_words(line: HandicapLine) -> str:
    if line.kind is None:
        return ""
    if line.used is not None:
        return line.used.called
    return called(line.kind, line.record.source if line.record is not None else "")


def heading_of(line: HandicapLine) -> str:
    """What the figure of a line is called over a narrow column of a paper."""
    return "Index" if _kind_words(line) == KIND_NAMES[HandicapKind.INDEX] else "Handicap"


def _origin(line: HandicapLine) -> str:
    if line.record is not None:
        return _way(line.record.source, line.used)
    return "corrected by hand" if line.frozen is not None and line.frozen.number > 1 else ""


def _way(source: str, used: Used | None) -> str:
    """Whose figure it is; where the society changed it, that figure too."""
    if used is None or not used.changed:
        return source
    return f"{source} {figure(used.base.kind, used.base.value)}"


def _done(used: Used | None) -> str:
    """What the society did to the figure; the figure's day is not the day of that."""
    if used is None or not used.changed:
        return ""
    done = ["with society cuts"] if used.cuts else []
    if used.capped:
        done.append(f"at most {used.maximum}")
    return ", ".join(done)


def _put_right(frozen: list[Frozen]) -> str:
    if not frozen:
        return ""
    old, new = frozen[-2], frozen[-1]
    changes = []
    if old.value != new.value:
        changes.append(f"{_written(old)} became {_written(new)}")
    if old.tee_id != new.tee_id:
        changes.append(f"the {old.tee.name} tee became {new.tee.name}")
    said = " and ".join(changes) or "corrected"
    return f"{said[0].upper()}{said[1:]}: {new.reason}" if new.reason else f"{said}."


def _written(frozen: Frozen) -> str:
    return figure(HandicapKind(frozen.kind), frozen.value)


def figure(kind: HandicapKind | None, value: Decimal | None) -> str:
    """A figure as people write it: an index always with its tenth, +1.2 for a plus handicap."""
    return "" if kind is None or value is None else written_of(kind, value)
