"""A draw as it was kept: what it was made from, its groups, its changes, what is asked of it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, time

from scoring.rules.strict_json import canonical, read_json
from society.entries.models import DrawRun, DrawStep, Entry
from society.entries.queries import (
    groups_before,
    in_the_field,
    runs_of,
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
from society.fixtures.models import Fixture, Round
from society.fixtures.queries import the_round
from society.fixtures.rules import StartKind


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
