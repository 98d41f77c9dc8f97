"""What the draw page shows, to the organiser and to members."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, time

from society.desk.queries.draw_words import (
    METHODS,
    Why,
    as_of_now,
    break_words,
    hole_words,
    how_to_repeat,
    total_words,
    why,
)
from society.entries.actions.drawing import undoable
from society.entries.bridge.draws import ChangeMade, Draw, inputs_of, repeat, the_draw
from society.entries.bridge.handicaps import handicap_lines
from society.entries.models import DrawRun, DrawStep, Entry
from society.entries.queries import handicaps_taken, in_the_field, runs_of
from society.entries.rules.draw import EVEN, DrawInputs
from society.entries.rules.groups import (
    MOST_IN_A_GROUP,
    Change,
    DrawDeed,
    group_of,
    groups_after,
    markers,
    reprints,
)
from society.entries.rules.report import broken_by, draw_warnings
from society.entries.rules.words import listed
from society.fixtures.models import Fixture
from society.fixtures.queries import the_round
from society.fixtures.rules import FixtureState
from society.members.models import Account
from society.web.refusals import Missing
from society.web.who import ORGANISERS, Who


@dataclass(frozen=True, slots=True)
class PlayerShown:
    """One player in a group. `tags`: (kind, words) of parts/_tag.html."""

    entry: Entry
    playing: int | None
    marks: str
    marked_by: str
    tags: tuple[tuple[str, str], ...]
    chosen: bool
    mine: bool


@dataclass(frozen=True, slots=True)
class GroupShown:
    """One group; an emptied group is not shown. `rooms`: where somebody alone in it may go.

    `hole`: where it starts, as "10" or "7A"; empty where all start on one. `total`: the sum of
    what its players play off, None where sums do not matter or are not known.
    """

    number: int
    time: time | None
    hole: str
    total: int | None
    players: tuple[PlayerShown, ...]
    rooms: tuple[tuple[int, str], ...]

    @property
    def mine(self) -> bool:
        return any(player.mine for player in self.players)

    @property
    def alone(self) -> bool:
        return len(self.players) == 1


@dataclass(frozen=True, slots=True)
class ChangeShown:
    """One change by hand in words, and whose cards it makes to be printed again."""

    number: int
    at: datetime
    words: str
    reason: str
    by: str
    undone: bool
    can_undo: bool
    again: str


@dataclass(frozen=True, slots=True)
class Picked:
    """What would happen to the one or two players ticked."""

    players: tuple[Entry, ...]
    where: tuple[str, ...]
    breaks: tuple[str, ...]
    rooms: tuple[tuple[int, str], ...]
    room_breaks: tuple[tuple[str, tuple[str, ...]], ...] = ()


@dataclass(frozen=True, slots=True)
class RunShown:
    """One of the draws made for this round."""

    number: int
    seed: str
    method: str
    version: int
    at: datetime
    by: str
    inputs: str
    stands: bool


@dataclass(frozen=True, slots=True)
class DrawPage:
    """Everything the page says. `draw` is None before the first one."""

    draw: Draw | None
    groups: tuple[GroupShown, ...]
    left_out: tuple[Entry, ...]
    rooms: tuple[tuple[int, str], ...]
    changes: tuple[ChangeShown, ...]
    runs: tuple[RunShown, ...]
    warnings: tuple[str, ...]
    how_to_repeat: str
    repeats: bool | None  # None where it was not drawn once more just now
    why: Why | None
    again: str
    withdrawn: str
    in_field: int
    handicaps_taken: bool
    may_draw: bool
    may_change: bool

    @property
    def players(self) -> int:
        return sum(len(group.players) for group in self.groups)

    @property
    def run(self) -> RunShown | None:
        return self.runs[-1] if self.runs else None


def draw_page(
    fixture: Fixture, who: Who, picked: Iterable[str] = (), *, repeats: bool = False
) -> DrawPage:
    """The page for this reader. Raises Missing for a member before publication."""
    round_ = the_round(fixture)
    draw = the_draw(round_)
    runs_it = who.may(ORGANISERS)
    if not runs_it and (draw is None or not draw.is_published):
        raise Missing("No draw is published for this fixture.")
    state = FixtureState(fixture.state)
    before = state in (FixtureState.PLANNED, FixtureState.OPEN, FixtureState.CLOSED)
    entries = list(in_the_field(fixture))
    runs = runs_of(round_) if runs_it or draw else []
    names = _actors([*runs, *(draw.steps if draw else ())])
    return DrawPage(
        draw=draw,
        groups=_groups(fixture, draw, who, set(picked)) if draw else (),
        left_out=tuple(
            entry for entry in entries if draw and group_of(draw.groups, entry.key) is None
        ),
        rooms=_rooms(draw) if draw else (),
        changes=_changes(fixture, draw, names) if draw else (),
        runs=tuple(_run(run, names, run == runs[-1]) for run in runs),
        warnings=tuple(draw_warnings(draw.inputs)) if draw and runs_it else (),
        how_to_repeat=how_to_repeat(draw.inputs) if draw else "",
        repeats=repeat(draw.run) == draw.drawn if draw and repeats else None,
        why=_why(fixture, draw) if draw else None,
        again=listed(entry.player.name for entry in _named(fixture, draw.changed_since))
        if draw
        else "",
        withdrawn=_withdrawn(draw),
        in_field=len(entries),
        handicaps_taken=handicaps_taken(fixture),
        may_draw=runs_it and before and (draw is None or not draw.is_published),
        may_change=runs_it and draw is not None and (before or state is FixtureState.DRAWN),
    )


def picked_players(fixture: Fixture, draw: Draw, keys: Iterable[str]) -> Picked | None:
    """What a swap of the two ticked breaks, or where the one ticked may go; None otherwise."""
    wanted = set(keys)
    found = [
        entry
        for entry in Entry.objects.filter(fixture=fixture, public_id__in=wanted).select_related(
            "player", "host"
        )
        if group_of(draw.groups, entry.key) is not None
    ]
    found.sort(key=lambda entry: (group_of(draw.groups, entry.key), entry.player.name))
    if len(found) not in (1, 2):
        return None
    judge = _judge(fixture, draw)
    number = len(draw.changes) + 1
    rooms = _rooms(draw, but=group_of(draw.groups, found[0].key))
    swap = Change(number, DrawDeed.SWAPPED, tuple(entry.key for entry in found))
    moves = [(words, Change(number, DrawDeed.MOVED, swap.entries, to)) for to, words in rooms]
    return Picked(
        players=tuple(found),
        where=tuple(_where(draw, group_of(draw.groups, entry.key) or 0) for entry in found),
        breaks=_breaks(judge, swap, tuple(found)) if len(found) == 2 else (),
        rooms=rooms,
        room_breaks=tuple((words, _breaks(judge, move, tuple(found))) for words, move in moves)
        if len(found) == 1
        else (),
    )


# parts -------------------------------------------------------------------------------------


def _named(fixture: Fixture, keys: Iterable[str]) -> list[Entry]:
    wanted = set(keys)
    if not wanted:
        return []
    rows = Entry.objects.filter(fixture=fixture, key__in=wanted).select_related("player")
    return sorted(rows, key=lambda entry: entry.player.name)


def _groups(fixture: Fixture, draw: Draw, who: Who, picked: set[str]) -> tuple[GroupShown, ...]:
    lines = {line.entry.key: line for line in handicap_lines(fixture)}
    entries = {entry.key: entry for entry in _named(fixture, sum(draw.groups, ()))}
    moved = reprints(draw.drawn, draw.groups) & _touched(draw)
    shown = []
    for number, group in enumerate(draw.groups, 1):
        marked_by = markers(group)
        marks = {marker: player for player, marker in marked_by.items()}
        players = []
        for key in group:
            entry = entries[key]
            line = lines.get(key)
            chosen = entry.public_id in picked
            players.append(
                PlayerShown(
                    entry=entry,
                    playing=line.plays.playing if line and line.plays else None,
                    marks=entries[marks[key]].player.name if key in marks else "",
                    marked_by=entries[marked_by[key]].player.name if key in marked_by else "",
                    tags=_tags(entry, moved=key in moved, chosen=chosen),
                    chosen=chosen,
                    mine=who.is_player(entry.player.public_id),
                )
            )
        if players:
            rooms = _rooms(draw, but=number)[:-1] if len(players) == 1 else ()
            figures = [player.playing for player in players if player.playing is not None]
            sums = draw.inputs.method in EVEN and len(figures) == len(players)
            shown.append(
                GroupShown(
                    number=number,
                    time=draw.time_of_group(number),
                    hole=hole_words(draw, number),
                    total=sum(figures) if sums else None,
                    players=tuple(players),
                    rooms=rooms,
                )
            )
    return tuple(shown)


def _why(fixture: Fixture, draw: Draw) -> Why:
    names = dict(Entry.objects.filter(fixture=fixture).values_list("key", "player__name"))
    return why(draw, names)


def _touched(draw: Draw) -> set[str]:
    """The entries that some standing change by hand names."""
    return {
        key
        for made in draw.changes
        if made.change.number not in draw.undone
        for key in made.change.entries
    }


def _tags(entry: Entry, *, moved: bool, chosen: bool) -> tuple[tuple[str, str], ...]:
    tags = []
    if entry.host is not None:
        tags.append(("plain", f"guest of {entry.host.first_name}"))
    if moved:
        tags.append(("pencil", "moved by hand"))
    if chosen:
        tags.append(("act", "chosen"))
    return tuple(tags)


def _rooms(draw: Draw, but: int | None = None) -> tuple[tuple[int, str], ...]:
    """Groups that can take one more, with words; the last one is a new group."""
    found = []
    for number, group in enumerate(draw.groups, 1):
        if number != but and 0 < len(group) < MOST_IN_A_GROUP:
            makes = {1: "two", 2: "three", 3: "four"}[len(group)]
            found.append((number, f"{_where(draw, number)}, makes a {makes}"))
    return (*found, (len(draw.groups) + 1, "a new group at the end"))


def _where(draw: Draw, number: int) -> str:
    at = draw.time_of_group(number)
    hole = f", hole {hole_words(draw, number)}" if draw.several_holes else ""
    return f"group {number}" + (f", {at:%H:%M}" if at else "") + hole


def _breaks(judge: "_Judge", change: Change, picked: tuple[Entry, ...]) -> tuple[str, ...]:
    """What a change would break, and whose printed cards it changes."""
    draw = judge.draw
    after = groups_after(draw.drawn, [*(made.change for made in draw.changes), change])
    homes = {group_of(draw.groups, entry.key) for entry in picked}
    said: list[str] = []
    if len(picked) == 2 and len(homes) == 1:
        said.append("Both are in one group: only who marks whom may change.")
    said += break_words(judge.inputs, draw.groups, after, judge.names)
    sums = total_words(broken_by(judge.inputs, draw.groups, after))
    if sums and (draw.inputs.method in EVEN):
        said.append(sums)
    if draw.is_published:
        again = sorted(judge.names[key] for key in reprints(draw.groups, after))
        if again:
            said.append(f"To be printed again: {listed(again)}.")
    return tuple(said)


@dataclass(frozen=True, slots=True)
class _Judge:
    """What a change is judged by, read once for all that is asked about."""

    draw: Draw
    inputs: DrawInputs
    names: dict[str, str]


def _judge(fixture: Fixture, draw: Draw) -> _Judge:
    lines = {line.entry.key: line for line in handicap_lines(fixture)}
    names = dict(Entry.objects.filter(fixture=fixture).values_list("key", "player__name"))
    return _Judge(draw, as_of_now(fixture, draw, lines), names)


def _changes(fixture: Fixture, draw: Draw, names: dict[str, str]) -> tuple[ChangeShown, ...]:
    entries = {
        entry.key: entry for entry in Entry.objects.filter(fixture=fixture).select_related("player")
    }
    can_undo, undone = undoable(draw), draw.undone
    shown = []
    for made in draw.changes:
        again = reprints(made.before, made.after) if made.published else set()
        shown.append(
            ChangeShown(
                number=made.change.number,
                at=made.at,
                words=_sentence(draw, made, entries),
                reason=made.step.reason,
                by=names.get(_account(made.step), "the program"),
                undone=made.change.number in undone,
                can_undo=made.change.number in can_undo,
                again=listed(sorted(entries[key].player.name for key in again)),
            )
        )
    return tuple(reversed(shown))


def _sentence(draw: Draw, made: ChangeMade, entries: dict[str, Entry]) -> str:
    change = made.change
    names = [entries[key].player.name for key in change.entries]
    if change.kind is DrawDeed.UNDONE:
        return f"Change {change.undoes} undone."
    was = [group_of(made.before, key) for key in change.entries]
    now = [group_of(made.after, key) for key in change.entries]
    if change.kind is DrawDeed.SWAPPED:
        parts = [
            f"{name}, {_short(draw, old)} to {_short(draw, new)}"
            for name, old, new in zip(names, was, now, strict=True)
        ]
        return f"{parts[0]}, and {parts[1]}."
    if change.to is None:
        return f"{names[0]} left {_where(draw, was[0] or 1)}."
    if was[0] is None:
        return f"{names[0]} joined {_where(draw, change.to)}."
    return f"{names[0]}, {_short(draw, was[0])} to {_short(draw, change.to)}."


def _short(draw: Draw, number: int | None) -> str:
    at = draw.time_of_group(number) if number else None
    if draw.several_holes and number:
        return f"group {number}, hole {hole_words(draw, number)}"
    return f"{at:%H:%M}" if at else f"group {number}"


def _run(run: DrawRun, names: dict[str, str], stands: bool) -> RunShown:
    return RunShown(
        number=run.number,
        seed=run.seed,
        method=METHODS[inputs_of(run).method],
        version=run.method_version,
        at=run.at,
        by=names.get(_account(run), "the program"),
        inputs=run.inputs,
        stands=stands,
    )


def _withdrawn(draw: Draw | None) -> str:
    """The reason of a withdrawn draw that has not been published again."""
    if draw is None or draw.is_published:
        return ""
    reasons = [step.reason for step in draw.steps if step.kind == DrawDeed.WITHDRAWN.value]
    return reasons[-1] if reasons else ""


def _account(row: DrawRun | DrawStep) -> str:
    return json.loads(row.by)["account"] or ""


def _actors(rows: Iterable[DrawRun | DrawStep]) -> dict[str, str]:
    wanted = {_account(row) for row in rows} - {""}
    found = Account.objects.filter(public_id__in=wanted).values_list("public_id", "name")
    return dict(found) if wanted else {}
