"""Rows to plain values: what each entry plays off by the engine, and a draw as it was kept."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction

from scoring.rules.handicap import strokes_received
from scoring.rules.lines import extra_strokes, handicaps
from scoring.rules.strict_json import canonical, read_json
from scoring.rules.values import Event, Handicap, HandicapKind, Player, Tee, Terms
from society.entries.models import CourseCard, DrawRun, DrawStep, Frozen
from society.entries.queries import runs_of, steps_of_run
from society.entries.rules import (
    Change,
    DrawDeed,
    DrawInputs,
    Groups,
    draw_groups,
    groups_after,
    reprints,
    tee_minutes,
)
from society.fixtures.models import Round


@dataclass(frozen=True, slots=True)
class PlaysOff:
    """What the engine makes of a figure on a tee.

    `course`: unrounded course handicap, None where none is worked out (gross, or a playing
    handicap was brought). `strokes`: received on each hole in play, below zero given back.
    """

    course: Fraction | None
    playing: int
    strokes: tuple[int, ...]


def card_text(card: Mapping[str, object]) -> str:
    """The text kept for a card of the course, as `courses.queries.course_card` gives it."""
    return canonical(card)


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
        cards={},
        rulings=(),
    )
    extra = extra_strokes(event)
    found = {}
    for key, player in players.items():
        course, playing = handicaps(terms, player, holes, extra[player.tee.key])
        found[key] = PlaysOff(course, playing, strokes_received(playing, player.tee.stroke_index))
    return found


def frozen_value(frozen: Frozen) -> tuple[HandicapKind, Decimal]:
    """Kind and figure of a frozen row, as the engine takes them."""
    return HandicapKind(frozen.kind), frozen.value


# the draw ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ChangeMade:
    """A change by hand with who made it, when and why."""

    change: Change
    step: DrawStep
    before: Groups
    after: Groups

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
        """How many changes by hand hold."""
        gone = self.undone
        return sum(
            made.change.kind is not DrawDeed.UNDONE and made.change.number not in gone
            for made in self.changes
        )

    @property
    def changed_since(self) -> set[str]:
        """The entries whose printed card reads differently from the day of publication."""
        return set() if self.published is None else reprints(self.published, self.groups)

    def time_of_group(self, number: int) -> time | None:
        """The tee time of a group, from 1."""
        return time_of(tee_minutes(self.inputs, len(self.groups))[number - 1])


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
            made.append(ChangeMade(changes[-1], step, before, groups))
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
