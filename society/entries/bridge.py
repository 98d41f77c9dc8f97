"""Rows to plain values: what each entry plays off by the engine, and a draw as it was kept."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction
from typing import Any

from scoring.rules.handicap import strokes_received
from scoring.rules.lines import extra_strokes, handicaps
from scoring.rules.strict_json import canonical, read_json
from scoring.rules.values import Event, Handicap, HandicapKind, Player, Tee, Terms
from scoring.rules.working import Working, working
from society.courses.models import Tee as CourseTee
from society.courses.queries import course_card, rated_after
from society.courses.rules import RatedHoles
from society.entries.models import CourseCard, DrawRun, DrawStep, Entry, Frozen, Start
from society.entries.queries import (
    current_course_cards,
    groups_before,
    in_the_field,
    runs_of,
    standing_frozen,
    starts_of,
    steps_of_run,
    wishes_of,
)
from society.entries.rules.asks import Ask, AskKind
from society.entries.rules.dealing import draw_groups
from society.entries.rules.draw import DrawInputs, PastEvent
from society.entries.rules.groups import (
    MOST_IN_A_GROUP,
    Change,
    DrawDeed,
    Groups,
    groups_after,
    reprints,
)
from society.entries.rules.starts import GroupStart
from society.fixtures.bridge import full_terms
from society.fixtures.models import Competition, Fixture, Round
from society.fixtures.queries import the_round
from society.fixtures.rules import StartKind
from society.handicaps.models import HandicapEntry
from society.handicaps.queries import first_after, in_force, typed_for_day
from society.handicaps.rules import KIND_NAMES, Source
from society.web.refusals import BadInput


@dataclass(frozen=True, slots=True)
class PlaysOff:
    """What the engine makes of a figure on a tee.

    `course`: unrounded course handicap, None where none is worked out (gross, or a playing
    handicap was brought). `strokes`: received on each hole in play, below zero given back.
    `extra`: strokes of Rule 6.2b that are in the playing handicap.
    """

    course: Fraction | None
    playing: int
    strokes: tuple[int, ...]
    extra: int


def card_text(card: Mapping[str, object]) -> str:
    """The text kept for a card of the course, as `courses.queries.course_card` gives it."""
    return canonical(card)


@dataclass(frozen=True, slots=True)
class DifferingCard:
    """A card taken over that is not as the course has it now. `words`: what differs."""

    row: CourseCard
    card: Mapping[str, object]
    words: tuple[str, ...]


def differing_cards(round_: Round) -> list[DifferingCard]:
    """The cards of a round that the course has otherwise now, in what scores depend on.

    A tee that the course no longer has a card for differs in nothing: there is none to take.
    """
    found = []
    holes = RatedHoles(round_.holes)
    for row in current_course_cards(round_).values():
        try:
            card = course_card(row.tee, row.category, holes, round_.day)
        except BadInput:
            continue
        words = _differences(card_of(row), card_as_kept(card), tuple(holes.numbers))
        if words:
            found.append(DifferingCard(row, card, words))
    return found


def card_as_kept(card: Mapping[str, object]) -> dict[str, Any]:
    """A card of the course as it reads once it was kept as text."""
    kept = read_json(card_text(card))
    if not isinstance(kept, dict):
        raise TypeError("a card of the course is an object")
    return kept


def _differences(
    old: Mapping[str, Any], new: Mapping[str, Any], numbers: tuple[int, ...]
) -> tuple[str, ...]:
    said = [
        f"hole {hole}: {name} {now}, was {was}"
        for key, name in (("par", "par"), ("stroke_index", "stroke index"))
        for hole, was, now in zip(numbers, _in_play(old[key], numbers), new[key], strict=True)
        if was != now
    ]
    for key, name in (("course_rating", "course rating"), ("slope_rating", "slope")):
        if old[key] != new[key]:
            said.append(f"{name} {new[key] or 'none'}, was {old[key] or 'none'}")
    return tuple(said)


def _in_play(figures: list[int], numbers: tuple[int, ...]) -> list[int]:
    """A card may list all eighteen holes where nine are in play."""
    if len(figures) == len(numbers):
        return figures
    return [figures[number - 1] for number in numbers]


def engine_tee(key: str, card: Mapping[str, object]) -> Tee:
    """A card of the course (name, par, stroke_index, yards, ratings) as the engine's tee."""
    par, index = card["par"], card["stroke_index"]
    rating, slope = card["course_rating"], card["slope_rating"]
    if not isinstance(par, list | tuple) or not isinstance(index, list | tuple):
        raise TypeError("a card of the course lists par and stroke index")
    return Tee(
        key=key,
        par=tuple(par),
        stroke_index=tuple(index),
        course_rating=None if rating is None else Fraction(str(rating)),
        slope_rating=slope if isinstance(slope, int) else None,
        total_par=sum(par),
    )


def card_of(course_card: CourseCard) -> dict[str, object]:
    """The kept card of the course; its Course Rating is a text with one decimal, or None."""
    card = read_json(course_card.card)
    if not isinstance(card, dict):
        raise TypeError("a card of the course is an object")
    return card


def tee_of(course_card: CourseCard) -> Tee:
    """The kept card of the course as the engine's tee, under its own key."""
    return engine_tee(course_card.key, card_of(course_card))


def plays_off(
    terms: Terms, brought: Mapping[str, tuple[Tee, HandicapKind | None, Decimal | None]]
) -> dict[str, PlaysOff]:
    """What each plays off, by entry key, from tee, kind and figure (None: nothing brought).

    All who are in the field belong in `brought`: the lowest par of their tees is what Rule 6.2b
    compares with where the terms name no reference par.
    """
    if not brought:
        return {}
    players = {
        key: Player(
            key=key,
            name=key,
            tee=tee,
            handicap=None if kind is None or value is None else Handicap(kind, Fraction(value)),
            divisions=frozenset(),
            first_hole=1,
        )
        for key, (tee, kind, value) in brought.items()
    }
    holes = len(next(iter(players.values())).tee.par)
    event = Event(
        name="",
        on=date.min,
        holes=holes,
        terms=terms,
        tees={player.tee.key: player.tee for player in players.values()},
        players=players,
        sides={},
        cards={},
        rulings=(),
    )
    extra = extra_strokes(event)
    found = {}
    for key, player in players.items():
        more = extra[player.tee.key]
        course, playing = handicaps(terms, player, holes, more)
        shots = strokes_received(playing, player.tee.stroke_index)
        found[key] = PlaysOff(course, playing, shots, more)
    return found


def tee_in_play(tee: Tee, numbers: Sequence[int]) -> Tee:
    """The holes in play alone: a card of the course may list all eighteen where nine are."""
    if len(tee.par) == len(numbers):
        return tee
    par = tuple(tee.par[number - 1] for number in numbers)
    index = tuple(tee.stroke_index[number - 1] for number in numbers)
    return replace(tee, par=par, stroke_index=index, total_par=sum(par))


@dataclass(frozen=True, slots=True)
class HandicapLine:
    """What one player of the field plays off, or would if handicaps were taken now.

    `frozen` is None until the handicap is taken. `record`: the line of the record it comes
    from. `card`: the card of the course. `lacks`: a sentence if it cannot be taken, else empty;
    `refused`: the tee itself cannot be played in this competition as its terms stand.
    """

    entry: Entry
    start: Start | None
    frozen: Frozen | None
    record: HandicapEntry | None
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
    """Kind and source of handicap this fixture is played off: its own, else the season's."""
    season = fixture.season
    kind = HandicapKind(fixture.handicap_kind or season.handicap_kind)
    return kind, fixture.handicap_source or season.handicap_source


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
    kind, source = asked_for(fixture)
    records = _records(entries, round_, kind, source)
    starts, frozen = starts_of(round_), standing_frozen(round_)
    tees = {row.category: row.tee for row in round_.tees.select_related("tee")}
    book = _Cards(round_)
    lines = []
    for entry in entries:
        start, row = starts.get(entry.pk), frozen.get(entry.pk)
        tee = row.tee if row else start.tee if start else tees.get(entry.category)
        category = row.category if row else entry.category
        record = row.source_entry if row else records.get(entry.player_id)
        found = book.find(tee, category)
        line = HandicapLine(
            entry=entry,
            start=start,
            frozen=row,
            record=record,
            kind=HandicapKind(row.kind) if row else HandicapKind(record.kind) if record else None,
            value=row.value if row else record.value if record else None,
            tee=tee,
            card=found.card,
            card_key=found.key,
            par=found.par,
            plays=None,
            lacks=found.fault,
            refused=False,
        )
        lines.append(line if row else _judged(line, terms, found.rated_after, fixture))
    _say_what_comes(lines, round_.day, kind, source)
    return _with_figures(lines, terms[0])


def _records(
    entries: list[Entry], round_: Round, kind: HandicapKind, source: str
) -> dict[int, HandicapEntry]:
    """The line each plays off, by player id.

    That of the source asked for. Whoever has none: what an officer typed for this very entry,
    and for a guest the figure stated. A course handicap typed for this very entry stands before
    an index: it is what plays where no rating converts one.
    """
    players = [entry.player_id for entry in entries]
    found = in_force(players, on=round_.day, kind=kind.value, source=source)
    if kind is HandicapKind.INDEX:
        ids = {entry.player_id: entry.public_id for entry in entries}
        course = HandicapKind.COURSE.value
        for record in typed_for_day(players, on=round_.day, kind=course):
            if ids[record.player_id] in _cause(record):
                found[record.player_id] = record
    without = {entry.player_id: entry for entry in entries if entry.player_id not in found}
    if not source or not without:
        return found
    for other in (Source.STATED, Source.COMMITTEE):
        more = in_force(without, on=round_.day, kind=kind.value, source=other.value)
        for player, record in more.items():
            entry = without[player]
            stated_guest = other is Source.STATED and not entry.as_member
            if stated_guest or entry.public_id in _cause(record):
                found[player] = record
    return found


def _cause(record: HandicapEntry) -> tuple[object, ...]:
    cause = read_json(record.cause) if record.cause else {}
    return tuple(cause.values()) if isinstance(cause, dict) else ()


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
    line: HandicapLine, terms: list[Terms], rated: date | None, fixture: Fixture
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
    asked, _ = asked_for(fixture)
    none_found = line.kind is None or line.value is None
    index = (asked if none_found else line.kind) is HandicapKind.INDEX
    if index and needed and line.card is not None and line.card["course_rating"] is None:
        words = (
            f"The {tee} tee has no rating for {line.entry.category}, so an index cannot be "
            "converted there. Type the course handicap, or rate the tee."
            if rated is None
            else f"The {tee} tee is rated for {line.entry.category} from {_day(rated)} on, after "
            "the day of play. Add the rating in force on the day to the course, or type the "
            "course handicap."
        )
        return replace(line, lacks=words, unrated=True)
    if none_found:
        return replace(line, lacks=_none_found(fixture)) if needed else line
    if index and line.card is not None and line.card["course_rating"] is None:
        return replace(line, kind=None, value=None)
    return line


def _say_what_comes(lines: list[HandicapLine], on: date, kind: HandicapKind, source: str) -> None:
    """Say of those without a figure on the day from when they have one."""
    bare = [
        at
        for at, line in enumerate(lines)
        if line.lacks and line.card and line.value is None and not line.unrated
    ]
    if not bare:
        return
    players = [lines[at].entry.player_id for at in bare]
    later = first_after(players, on=on, kind=kind.value, source=source)
    for at in bare:
        line = lines[at]
        if line.entry.player_id in later:
            since = _day(later[line.entry.player_id])
            lines[at] = replace(line, lacks=f"{line.lacks} The first is valid from {since}.")


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def _none_found(fixture: Fixture) -> str:
    kind, source = asked_for(fixture)
    origin = f" from the {source}" if source in ("association", "society", "committee") else ""
    return f"No {KIND_NAMES[kind]}{origin} in force on the day."


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
        source=line.record.source if line.record else "",
        since=line.record.valid_from if line.record else None,
    )


def frozen_value(frozen: Frozen) -> tuple[HandicapKind, Decimal]:
    """Kind and figure of a frozen row, as the engine takes them."""
    return HandicapKind(frozen.kind), frozen.value


# the draw ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ChangeMade:
    """A change by hand with who made it, when and why; `published`: after publication."""

    change: Change
    step: DrawStep
    before: Groups
    after: Groups
    published: bool

    @property
    def at(self) -> datetime:
        return self.step.at


def inputs_of(run: DrawRun) -> DrawInputs:
    """What a run was made from."""
    value = read_json(run.inputs)
    if not isinstance(value, dict):
        raise TypeError("a draw's inputs are an object")
    return DrawInputs.from_plain(value)


def inputs_text(inputs: DrawInputs) -> str:
    """The text a run keeps of what it was made from."""
    return canonical(inputs.as_plain())


def groups_of(run: DrawRun) -> Groups:
    """The groups as they fell, in entry keys."""
    value = read_json(run.groups)
    if not isinstance(value, list):
        raise TypeError("groups are a list")
    return tuple(tuple(group) for group in value)


def groups_text(groups: Groups) -> str:
    """The text a run keeps of its groups."""
    return canonical([list(group) for group in groups])


def change_text(change: Change) -> str:
    """The detail a step keeps of a change."""
    if change.kind is DrawDeed.UNDONE:
        return canonical({"undoes": change.undoes})
    if change.kind is DrawDeed.MOVED:
        return canonical({"entries": list(change.entries), "to": change.to})
    return canonical({"entries": list(change.entries)})


def change_of(step: DrawStep, number: int) -> Change:
    """The change a step says; `number` is its place among the changes of its run."""
    detail = read_json(step.detail)
    if not isinstance(detail, dict):
        raise TypeError("the detail of a step is an object")
    return Change(
        number=number,
        kind=DrawDeed(step.kind),
        entries=tuple(detail.get("entries", ())),
        to=detail.get("to"),
        undoes=detail.get("undoes"),
    )


def minute_of(moment: time | None) -> int | None:
    """Minutes after midnight."""
    return None if moment is None else moment.hour * 60 + moment.minute


def time_of(minute: int | None) -> time | None:
    """The time of day of so many minutes after midnight. ValueError past the end of the day."""
    return None if minute is None else time(minute // 60, minute % 60)


@dataclass(frozen=True, slots=True)
class Draw:
    """The latest draw of a round as it stands.

    `drawn`: as it fell. `groups`: after all changes by hand; everyone who left is out of them.
    `published`: the groups as they were published, None while they are not. `steps`: every row.
    """

    run: DrawRun
    inputs: DrawInputs
    drawn: Groups
    groups: Groups
    changes: tuple[ChangeMade, ...]
    steps: tuple[DrawStep, ...]
    published: Groups | None
    published_at: datetime | None

    @property
    def is_published(self) -> bool:
        return self.published is not None

    @property
    def undone(self) -> frozenset[int]:
        """The numbers of the changes that no longer hold."""
        return frozenset(
            made.change.undoes
            for made in self.changes
            if made.change.kind is DrawDeed.UNDONE and made.change.undoes is not None
        )

    @property
    def by_hand(self) -> int:
        """How many swaps and moves by hand hold; players who left are no change by hand."""
        gone = self.undone
        return sum(
            made.change.kind is DrawDeed.SWAPPED or made.change.to is not None
            for made in self.changes
            if made.change.number not in gone
        )

    @property
    def changed_since(self) -> set[str]:
        """The entries whose printed card reads differently from the day of publication."""
        return set() if self.published is None else reprints(self.published, self.groups)

    @property
    def several_holes(self) -> bool:
        """Whether play begins on more than one hole."""
        return self.inputs.opening.kind in (StartKind.TWO_TEES, StartKind.SHOTGUN)

    def start_of_group(self, number: int) -> GroupStart:
        """Time and hole of a group, from 1."""
        return self.inputs.opening.starts(max(len(self.groups), number))[number - 1]

    def time_of_group(self, number: int) -> time | None:
        """The tee time of a group, from 1."""
        return time_of(self.start_of_group(number).minute)


def the_draw(round_: Round) -> Draw | None:
    """The latest draw of a round with all that was done to it; None if none was made."""
    runs = runs_of(round_)
    return read_draw(runs[-1]) if runs else None


def read_draw(run: DrawRun) -> Draw:
    """One draw with all that was done to it, worked out from its rows."""
    drawn = groups = groups_of(run)
    changes: list[Change] = []
    made: list[ChangeMade] = []
    published, published_at = None, None
    steps = steps_of_run(run)
    for step in steps:
        kind = DrawDeed(step.kind)
        if kind is DrawDeed.PUBLISHED:
            published, published_at = groups, step.at
        elif kind is DrawDeed.WITHDRAWN:
            published, published_at = None, None
        else:
            before = groups
            changes.append(change_of(step, len(changes) + 1))
            groups = groups_after(drawn, changes)
            made.append(ChangeMade(changes[-1], step, before, groups, published is not None))
    return Draw(
        run=run,
        inputs=inputs_of(run),
        drawn=drawn,
        groups=groups,
        changes=tuple(made),
        steps=tuple(steps),
        published=published,
        published_at=published_at,
    )


def repeat(run: DrawRun) -> Groups:
    """Draw once more from what the run was made from: the same groups, years later too."""
    return draw_groups(inputs_of(run))


def groups_with_room(fixture: Fixture) -> list[tuple[int, str]]:
    """Groups that can take one more, and a new one after the last; empty without a draw.

    Number and label: "Group 3, 09:46: Ida Fennick, Lottie Marsh".
    """
    round_ = the_round(fixture)
    draw = the_draw(round_)
    if draw is None:
        return []
    starts = starts_of(round_).values()
    times = {start.group: start.time for start in starts if start.group and start.time}
    names = {entry.key: entry.player.name for entry in in_the_field(fixture)}
    found = []
    for number, group in enumerate(draw.groups, 1):
        if len(group) < MOST_IN_A_GROUP:
            when = f", {times[number]:%H:%M}" if number in times else ""
            who = ", ".join(names.get(key, "") for key in group) or "nobody"
            found.append((number, f"Group {number}{when}: {who}"))
    return [*found, (len(draw.groups) + 1, "A new group after the last, alone")]


def asks_of(fixture: Fixture) -> tuple[Ask, ...]:
    """What entries ask of a draw: guests with their hosts, shared buggies, partners, the hour.

    Of two who are asked for more than once only the strongest counts.
    """
    entries = list(in_the_field(fixture))
    by_player = {entry.player_id: entry.key for entry in entries}
    keys = {entry.pk: entry.key for entry in entries}
    pairs: dict[frozenset[str], Ask] = {}
    single = []
    wishes = wishes_of(fixture)
    for entry in entries:
        if entry.host_id in by_player:
            pairs[frozenset({entry.key, by_player[entry.host_id]})] = Ask(
                AskKind.HOST, entry.key, by_player[entry.host_id]
            )
    for kind in (AskKind.BUGGY, AskKind.PARTNER):
        for pk, wish in wishes.items():
            for other in wish.buggy_with if kind is AskKind.BUGGY else wish.partners:
                both = frozenset({keys[pk], keys[other]})
                pairs.setdefault(both, Ask(kind, keys[pk], keys[other]))
    for pk, wish in wishes.items():
        if wish.earlier_or_later:
            single.append(Ask(AskKind(wish.earlier_or_later), keys[pk]))
    return (*pairs.values(), *single)


def past_of(round_: Round, entries: Iterable[Entry], *, back: int) -> tuple[PastEvent, ...]:
    """Who of these entries played with whom in the fixtures before, the latest first, by key."""
    keys = {entry.player_id: entry.key for entry in entries}
    return tuple(
        tuple(tuple(sorted(keys[player] for player in group)) for group in event)
        for event in groups_before(round_, keys, back=back)
    )
