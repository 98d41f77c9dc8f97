"""What each entry brings and plays off: its record, or what was frozen, read by the engine."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from scoring.rules.values import Handicap, HandicapKind, Terms
from scoring.rules.working import Working, working
from society.courses.models import Tee as CourseTee
from society.courses.queries import course_card, rated_after
from society.courses.rules import RatedHoles
from society.entries.bridge.tees import (
    PlaysOff,
    card_of,
    engine_tee,
    plays_off,
    tee_in_play,
    tee_of,
)
from society.entries.models import Entry, Frozen, Start
from society.entries.queries import (
    current_course_cards,
    in_the_field,
    standing_frozen,
    starts_of,
)
from society.fixtures.bridge import full_terms
from society.fixtures.models import Competition, Fixture, Round
from society.fixtures.queries import rules_of, the_round
from society.handicaps.queries.figures import figures_for, line_of
from society.handicaps.queries.record import first_after
from society.handicaps.rules.figures import KIND_NAMES
from society.handicaps.rules.season import Basis, HandicapRules
from society.handicaps.rules.used import Line, Used, Whom, read_made
from society.web.refusals import BadInput
from society.web.rules import day_words


@dataclass(frozen=True, slots=True)
class HandicapLine:
    """What one player of the field plays off, or would if handicaps were taken now.

    `frozen` is None until the handicap is taken. `record`: the line of the record it comes
    from. `used`: how the figure came about (None where it was put right by hand, or nothing else
    was kept); `now`: what would be taken today, whether or not something is taken. `card`: the
    card of the course. `lacks`: a sentence if it cannot be taken, else empty; `refused`: the tee
    itself cannot be played in this competition as its terms stand.
    """

    entry: Entry
    start: Start | None
    frozen: Frozen | None
    record: Line | None
    used: Used | None
    now: Used | None
    kind: HandicapKind | None
    value: Decimal | None
    tee: CourseTee | None
    card: Mapping[str, object] | None
    card_key: str
    par: int
    plays: PlaysOff | None
    lacks: str
    refused: bool
    unrated: bool = False  # an index cannot be converted on this tee: a course handicap is wanted


def asked_for(fixture: Fixture) -> tuple[HandicapKind, str]:
    """Kind and source of handicap this fixture is played off; "" where several sources serve."""
    rules = rules_of(fixture)
    return rules.asked, rules.asked_source


def engine_terms_of(round_: Round) -> list[tuple[Competition, Terms]]:
    """The competitions a round counts for, with their terms as the engine reads them."""
    holes = RatedHoles(round_.holes)
    rows = round_.competitions.order_by("number")
    return [(row, full_terms(row.terms, holes)) for row in rows]


def handicap_lines(fixture: Fixture) -> list[HandicapLine]:
    """A line for everyone in the field, by arrival. A constant number of queries."""
    round_ = the_round(fixture)
    terms = [found for _, found in engine_terms_of(round_)]
    entries = list(in_the_field(fixture))
    rules = rules_of(fixture)
    figures = figures_for(whom_of(entries), rules, round_.day)
    starts, frozen = starts_of(round_), standing_frozen(round_)
    tees = {row.category: row.tee for row in round_.tees.select_related("tee")}
    book = _Cards(round_)
    lines = []
    for entry in entries:
        start, row = starts.get(entry.pk), frozen.get(entry.pk)
        tee = row.tee if row else start.tee if start else tees.get(entry.category)
        category = row.category if row else entry.category
        now = figures.get(entry.player_id)
        taken = read_made(row.made_of) if row else now
        record = _line_of(row) if row else now.base if now else None
        found = book.find(tee, category)
        line = HandicapLine(
            entry=entry,
            start=start,
            frozen=row,
            record=record,
            used=taken,
            now=now,
            kind=HandicapKind(row.kind) if row else now.kind if now else None,
            value=row.value if row else now.value if now else None,
            tee=tee,
            card=found.card,
            card_key=found.key,
            par=found.par,
            plays=None,
            lacks=found.fault,
            refused=False,
        )
        lines.append(line if row else _judged(line, terms, found.rated_after, rules))
    _say_what_comes(lines, round_.day, rules)
    return _with_figures(lines, terms[0])


def whom_of(entries: Iterable[Entry]) -> list[Whom]:
    """For whom a figure is asked: each player in the category and the part it entered in."""
    return [
        Whom(entry.player_id, entry.category, not entry.as_member, entry.public_id)
        for entry in entries
    ]


def _line_of(frozen: Frozen) -> Line | None:
    return line_of(frozen.source_entry) if frozen.source_entry else None


@dataclass(frozen=True, slots=True)
class _Card:
    card: Mapping[str, object] | None
    key: str
    par: int
    fault: str
    rated_after: date | None = None  # where no rating is in force: from when there is one


class _Cards:
    """The cards of the course of a round, those not taken over yet read from the course."""

    def __init__(self, round_: Round) -> None:
        self._round = round_
        self._found: dict[tuple[int, str], _Card] = {
            place: _Card(card_of(row), row.key, tee_of(row).total_par, "")
            for place, row in current_course_cards(round_).items()
        }

    def find(self, tee: CourseTee | None, category: str) -> _Card:
        if tee is None:
            return _Card(None, "", 0, f"No tee is set for {category}.")
        if (tee.pk, category) not in self._found:
            self._found[tee.pk, category] = self._read(tee, category)
        return self._found[tee.pk, category]

    def _read(self, tee: CourseTee, category: str) -> _Card:
        key = f"{tee.public_id}-{category}"
        try:
            card = course_card(tee, category, RatedHoles(self._round.holes), self._round.day)
        except BadInput as refusal:
            return _Card(None, key, 0, refusal.words)
        later = None
        if card["course_rating"] is None:
            holes = RatedHoles(self._round.holes)
            later = rated_after(tee, category, holes, self._round.day)
        return _Card(card, key, engine_tee(key, card).total_par, "", later)


def _judged(
    line: HandicapLine, terms: list[Terms], rated: date | None, rules: HandicapRules
) -> HandicapLine:
    """The line with what it lacks, if anything: tee, figure, rating or reference par."""
    if line.lacks:
        return line
    tee = line.tee.name if line.tee else ""
    lowest = max((t.reference_par for t in terms if t.reference_par is not None), default=0)
    if line.par < lowest:
        words = (
            f"The {tee} tee has par {line.par}, below the reference par {lowest} that "
            "everyone's strokes are reckoned from. An organiser can set a lower one, with a reason."
        )
        return replace(line, lacks=words, refused=True)
    needed = any(t.net for t in terms)
    none_found = line.kind is None or line.value is None
    index = (rules.asked if none_found else line.kind) is HandicapKind.INDEX
    if index and needed and line.card is not None and line.card["course_rating"] is None:
        words = (
            f"The {tee} tee has no rating for {line.entry.category}, so an index cannot be "
            "converted there. Type the course handicap, or rate the tee."
            if rated is None
            else f"The {tee} tee is rated for {line.entry.category} from {day_words(rated)} on, "
            "after the day of play. Add the rating in force on the day to the course, or type the "
            "course handicap."
        )
        return replace(line, lacks=words, unrated=True)
    if none_found:
        return replace(line, lacks=none_found_words(rules)) if needed else line
    if index and line.card is not None and line.card["course_rating"] is None:
        return replace(line, kind=None, value=None, used=None)
    return line


def _say_what_comes(lines: list[HandicapLine], on: date, rules: HandicapRules) -> None:
    """Say of those without a figure on the day from when they have one."""
    bare = [
        at
        for at, line in enumerate(lines)
        if line.lacks and line.card and line.value is None and not line.unrated
    ]
    if not bare:
        return
    players = [lines[at].entry.player_id for at in bare]
    several = rules.basis in (Basis.CARDS, Basis.LOWER)
    source = "" if several else rules.asked_source
    later = first_after(players, on=on, kind=rules.asked.value, source=source)
    for at in bare:
        line = lines[at]
        if line.entry.player_id in later:
            since = day_words(later[line.entry.player_id])
            lines[at] = replace(line, lacks=f"{line.lacks} The first is valid from {since}.")


def none_found_words(rules: HandicapRules) -> str:
    """What somebody lacks whose record has nothing that serves."""
    if rules.basis is Basis.CARDS:
        return (
            "No society handicap in force on the day: none worked out from cards, and none written "
            "down by the society or the committee."
        )
    if rules.basis is Basis.LOWER:
        return "Neither an index from the association nor a society handicap in force on the day."
    if rules.takes_first:
        return (
            "No index from the association in force on the day, and no first figure: none worked "
            "out from cards, set by the committee, or stated."
        )
    source = rules.asked_source
    origin = f" from the {source}" if source in ("association", "society", "committee") else ""
    return f"No {KIND_NAMES[rules.asked]}{origin} in force on the day."


def _with_figures(lines: list[HandicapLine], terms: Terms) -> list[HandicapLine]:
    brought = {
        line.entry.key: (
            engine_tee(line.card_key, line.card),
            None if line.lacks else line.kind,
            line.value,
        )
        for line in lines
        if line.card is not None
    }
    found = plays_off(terms, brought)
    return [
        line if line.lacks else replace(line, plays=found.get(line.entry.key)) for line in lines
    ]


def working_of(line: HandicapLine, terms: Terms, numbers: Sequence[int]) -> Working | None:
    """How what a line plays off comes about; None where it lacks something.

    `terms`: of the first competition, as the figures of the line are. `numbers`: the holes in play.
    """
    if line.plays is None or line.card is None:
        return None
    brought = None
    if line.kind is not None and line.value is not None:
        brought = Handicap(line.kind, Fraction(line.value))
    return working(
        terms,
        tee_in_play(engine_tee(line.card_key, line.card), numbers),
        brought,
        extra=line.plays.extra,
        numbers=numbers,
        source=line.record.source.value if line.record else "",
        since=line.record.valid_from if line.record else None,
        before=line.used.steps if line.used else (),
    )


def frozen_value(frozen: Frozen) -> tuple[HandicapKind, Decimal]:
    """Kind and figure of a frozen row, as the engine takes them."""
    return HandicapKind(frozen.kind), frozen.value
