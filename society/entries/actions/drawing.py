"""The draw: made, changed by hand, published, withdrawn; and what a leaver does to a group."""

import secrets
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, time

from society.audit.actions import Deed, deed
from society.courses.rules import RatedHoles
from society.entries import letters
from society.entries.bridge.draws import (
    Draw,
    change_text,
    groups_text,
    inputs_text,
    minute_of,
    past_of,
    the_draw,
    time_of,
)
from society.entries.bridge.handicaps import frozen_value
from society.entries.bridge.tees import plays_off, tee_of
from society.entries.models import DrawRun, DrawStep, Entry, Start
from society.entries.queries import (
    current_course_cards,
    handicaps_taken,
    in_the_field,
    standing_frozen,
    starts_of,
)
from society.entries.rules.asks import Ask
from society.entries.rules.dealing import draw_groups
from society.entries.rules.draw import BY_FIGURE, DrawInputs, DrawMethod
from society.entries.rules.groups import (
    MOST_IN_A_GROUP,
    Change,
    DrawDeed,
    group_of,
    groups_after,
    markers,
    reprints,
)
from society.entries.rules.starts import Opening
from society.entries.rules.words import listed
from society.fixtures.actions.holding import locked
from society.fixtures.actions.states import move_state
from society.fixtures.models import Fixture, Round
from society.fixtures.queries import engine_terms, the_competition, the_round
from society.fixtures.rules import FixtureState, StartKind
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import ORGANISERS, Who

MOST_BACK = 20
_BEFORE_PLAY = (FixtureState.PLANNED, FixtureState.OPEN, FixtureState.CLOSED)
_RUNNING = (*_BEFORE_PLAY, FixtureState.DRAWN)


def make_draw(
    *,
    fixture: Fixture,
    method: DrawMethod,
    seed: str = "",
    group_size: int | None = None,
    interval: int | None = None,
    first_time: time | None = None,
    start: StartKind | None = None,
    asks: Iterable[Ask] = (),
    back: int = 0,
    standing: Mapping[str, int] | None = None,
    by: Who,
    at: datetime,
) -> DrawRun:
    """Draw the groups, and keep everything they were made from. Nothing is published by it.

    Whatever is left out comes from the round; a seed left out is five figures by chance. `asks`:
    what is asked of the groups, by entry key. `back`: how many earlier fixtures count for who has
    played with whom. `standing`: places by entry key, for leaders last. Every earlier draw is
    kept. Raises NotYours, WrongState (published, nobody in, handicaps not taken for a draw that
    goes by them, no standing) and BadInput.
    """
    with deed(by=by, at=at, what="draw made", about=f"fixture:{fixture.public_id}") as d:
        now, round_ = _opened(fixture, by)
        if FixtureState(now.state) not in _BEFORE_PLAY:
            raise WrongState("The draw is published. Withdraw it before drawing afresh.")
        inputs = _inputs(
            now,
            round_,
            method,
            seed=seed.strip() or str(10_000 + secrets.randbelow(90_000)),
            group_size=group_size or round_.group_size,
            opening=_opening(round_, start, first_time, interval),
            asks=tuple(dict.fromkeys(asks)),
            back=back,
            standing=standing or {},
        )
        _check_times(inputs.opening, len(inputs.sizes))
        groups = draw_groups(inputs)
        earlier = DrawRun.objects.filter(round=round_).count()
        run = DrawRun.objects.create(
            round=round_,
            number=earlier + 1,
            method=method.value,
            method_version=inputs.version,
            seed=inputs.seed,
            inputs=inputs_text(inputs),
            groups=groups_text(groups),
            at=d.at,
            by=d.by.as_json(),
        )
        d.change(
            f"draw:{run.public_id}",
            {
                "number": run.number,
                "method": method.value,
                "seed": inputs.seed,
                "players": len(inputs.figures),
                "groups": len(groups),
            },
        )
    return run


def _inputs(
    now: Fixture,
    round_: Round,
    method: DrawMethod,
    *,
    seed: str,
    group_size: int,
    opening: Opening,
    asks: tuple[Ask, ...],
    back: int,
    standing: Mapping[str, int],
) -> DrawInputs:
    if not 2 <= group_size <= 4:
        raise BadInput("Groups are of two, three or four.", field="group_size")
    if not 0 <= back <= MOST_BACK:
        raise BadInput(f"Look back over at most {MOST_BACK} fixtures.", field="back")
    if len(seed) > 64:
        raise BadInput("A seed has at most 64 characters.", field="seed")
    entries = list(in_the_field(now))
    if not entries:
        raise WrongState("Nobody is entered yet, so there is nobody to draw.")
    figures: dict[str, object] = dict.fromkeys((entry.key for entry in entries), None)
    if method is DrawMethod.LEADERS and not standing:
        raise WrongState("Nobody has a place in a standing yet, so there are no leaders.")
    if method in BY_FIGURE:
        if not handicaps_taken(now):
            raise WrongState("Take handicaps first: this draw goes by what each plays off.")
        playing = _playing(now, round_, entries)
        figures = {key: playing.get(key) for key in figures}
    return DrawInputs(
        method=method,
        seed=seed,
        group_size=group_size,
        figures=figures,  # type: ignore[arg-type]
        opening=opening,
        asks=asks,
        past=past_of(round_, entries, back=back) if back else (),
        standing=standing if method is DrawMethod.LEADERS else None,
    )


def _opening(
    round_: Round, start: StartKind | None, first_time: time | None, interval: int | None
) -> Opening:
    """How the round begins. What is left out is as the round says."""
    every = interval or round_.interval
    if not 1 <= every <= 60:
        raise BadInput("Give an interval of 1 to 60 minutes.", field="interval")
    try:
        return Opening(
            kind=start or StartKind(round_.start),
            first_minute=minute_of(first_time or round_.first_time),
            interval=every,
            holes=tuple(RatedHoles(round_.holes).numbers),
        )
    except ValueError as wrong:
        raise BadInput("Two tees want a round of eighteen holes.", field="start") from wrong


def _playing(now: Fixture, round_: Round, entries: Iterable[Entry]) -> dict[str, int]:
    """What each plays off, by entry key; whoever has no frozen handicap is left out."""
    frozen, cards = standing_frozen(round_), current_course_cards(round_)
    brought = {}
    for entry in entries:
        if (row := frozen.get(entry.pk)) is not None:
            tee = tee_of(cards[row.tee_id, row.category])
            brought[entry.key] = (tee, *frozen_value(row))
    terms = engine_terms(the_competition(now), round_.holes)
    return {key: found.playing for key, found in plays_off(terms, brought).items()}


def _check_times(opening: Opening, groups: int) -> None:
    if opening.most is not None and groups > opening.most:
        raise BadInput(
            f"{groups} groups are too many: {opening.most} can start at once.", field="start"
        )
    last = opening.starts(groups)[-1].minute
    if last is not None and last >= 24 * 60:
        raise BadInput(
            f"{groups} groups from this hour at this interval run past midnight.",
            field="first_time",
        )


# changes by hand ---------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Changed:
    """What a change by hand did. `words`: one or more sentences for the screen.

    `again`: whose cards read differently now. `alone`: left in a group without company.
    """

    number: int
    words: str
    again: tuple[Entry, ...]
    alone: tuple[Entry, ...]


def swap(
    *, fixture: Fixture, one: Entry, other: Entry, words: str = "", by: Who, at: datetime
) -> Changed:
    """Two players change places; after publication their groups' starts are made anew."""
    if one.pk == other.pk:
        raise BadInput("Choose two different players.")
    with deed(by=by, at=at, what="draw swapped", about=f"fixture:{fixture.public_id}") as d:
        now, round_ = _opened(fixture, by)
        draw = _standing_draw(now, round_)
        if None in (group_of(draw.groups, one.key), group_of(draw.groups, other.key)):
            raise WrongState("One of the two is in no group now. Look at the draw again.")
        change = _next(draw, DrawDeed.SWAPPED, entries=(one.key, other.key))
        return _apply(d, round_, draw, change, words)


def move_to_group(*, entry: Entry, group: int, words: str = "", by: Who, at: datetime) -> Changed:
    """Put a player into a group with room, from another group or from none (a late entry).

    `group` one past the last group starts a new one. Raises WrongState where the group is full.
    """
    fixture = entry.fixture
    with deed(by=by, at=at, what="draw moved", about=f"fixture:{fixture.public_id}") as d:
        now, round_ = _opened(fixture, by)
        draw = _standing_draw(now, round_)
        if not in_the_field(now).filter(pk=entry.pk).exists():
            raise WrongState(f"{entry.player.name} has no place in this fixture.")
        if not 1 <= group <= len(draw.groups) + 1:
            raise BadInput("There is no such group.", field="group")
        if group_of(draw.groups, entry.key) == group:
            raise WrongState(f"{entry.player.name} is in group {group} already.")
        if group <= len(draw.groups) and len(draw.groups[group - 1]) >= MOST_IN_A_GROUP:
            raise WrongState(f"Group {group} is full. Choose a group with room.")
        _check_times(draw.inputs.opening, group)
        change = _next(draw, DrawDeed.MOVED, entries=(entry.key,), to=group)
        return _apply(d, round_, draw, change, words)


def undo(*, fixture: Fixture, number: int, words: str = "", by: Who, at: datetime) -> Changed:
    """Take back one swap or move by its number, as if it had never been; later ones stay."""
    with deed(by=by, at=at, what="draw change undone", about=f"fixture:{fixture.public_id}") as d:
        now, round_ = _opened(fixture, by)
        draw = _standing_draw(now, round_)
        if number not in undoable(draw):
            raise WrongState("That change can no longer be undone; swap or move by hand instead.")
        return _apply(d, round_, draw, _next(draw, DrawDeed.UNDONE, undoes=number), words)


def undoable(draw: Draw) -> set[int]:
    """The changes that can be taken back: swaps and moves between groups of those still in it."""
    found = set()
    standing = [made.change for made in draw.changes]
    for made in draw.changes:
        change = made.change
        left = change.kind is DrawDeed.MOVED and change.to is None
        if left or change.kind is DrawDeed.UNDONE or change.number in draw.undone:
            continue
        if any(
            None in (group_of(draw.groups, key), group_of(made.before, key))
            for key in change.entries
        ):
            continue
        taken_back = [*standing, _next(draw, DrawDeed.UNDONE, undoes=change.number)]
        if all(len(g) <= MOST_IN_A_GROUP for g in groups_after(draw.drawn, taken_back)):
            found.add(change.number)
    return found


def leave_group(*, entry: Entry, by: Who, at: datetime) -> Changed | None:
    """Take a withdrawn or absent player out of the draw; only their own group is touched.

    Its markers are made anew. Called by whoever writes the coming or going, inside that deed,
    for members too. None if the player was in no group. Whoever had named the player as marker
    without a draw has no marker now.
    """
    round_ = the_round(entry.fixture)
    draw = the_draw(round_)
    grouped = draw is not None and group_of(draw.groups, entry.key) is not None
    named = Start.objects.filter(round=round_, marker=entry)
    if draw is None or not grouped:
        named.update(marker=None)
        return None
    with deed(by=by, at=at, what="left the group", about=f"entry:{entry.public_id}") as d:
        change = _next(draw, DrawDeed.MOVED, entries=(entry.key,))
        if draw.is_published:
            named.update(marker=None)
            _clear(d, Start.objects.filter(round=round_, entry=entry))
        return _apply(d, round_, draw, change, "")


def _next(
    draw: Draw,
    kind: DrawDeed,
    *,
    entries: tuple[str, ...] = (),
    to: int | None = None,
    undoes: int | None = None,
) -> Change:
    return Change(len(draw.changes) + 1, kind, entries, to, undoes)


def _apply(d: Deed, round_: Round, draw: Draw, change: Change, words: str) -> Changed:
    """Write the change's row, and, once published, the starts of the groups it touches."""
    after = groups_after(draw.drawn, [*(made.change for made in draw.changes), change])
    DrawStep.objects.create(
        run=draw.run,
        kind=change.kind.value,
        detail=change_text(change),
        at=d.at,
        by=d.by.as_json(),
        words=d.words(words),
    )
    before = (*draw.groups, *((),) * (len(after) - len(draw.groups)))
    touched = [n for n, (was, now) in enumerate(zip(before, after, strict=True), 1) if was != now]
    entries = _by_key(round_)
    d.change(
        f"draw:{draw.run.public_id}",
        {str(n): [entries[key].public_id for key in after[n - 1]] for n in touched},
        {str(n): [entries[key].public_id for key in before[n - 1]] for n in touched},
    )
    for key in change.entries:
        d.change(
            f"entry:{entries[key].public_id}",
            {"group": group_of(after, key)},
            {"group": group_of(before, key)},
        )
    if draw.is_published:
        heard = letters.slips(round_)
        _write_starts(d, round_, draw.inputs, after, touched)
        letters.draw_changed(d, round_, heard)
    again = tuple(
        entries[key] for group in after for key in group if key in reprints(before, after)
    )
    alone = tuple(entries[after[n - 1][0]] for n in touched if len(after[n - 1]) == 1)
    return Changed(
        change.number, _said(change, before, after, entries, again, alone, draw), again, alone
    )


def _said(
    change: Change,
    before: tuple[tuple[str, ...], ...],
    after: tuple[tuple[str, ...], ...],
    entries: Mapping[str, Entry],
    again: tuple[Entry, ...],
    alone: tuple[Entry, ...],
    draw: Draw,
) -> str:
    said = [_what(change, before, after, entries)]
    if draw.is_published and again:
        said.append(f"Print again: {listed(entry.player.name for entry in again)}.")
    said += [
        f"{entry.player.name} is alone in group {group_of(after, entry.key)} now, with nobody to "
        "mark the card: choose another group."
        for entry in alone
    ]
    return " ".join(said)


def _what(
    change: Change,
    before: tuple[tuple[str, ...], ...],
    after: tuple[tuple[str, ...], ...],
    entries: Mapping[str, Entry],
) -> str:
    names = [entries[key].player.name for key in change.entries]
    if change.kind is DrawDeed.SWAPPED:
        return f"{names[0]} and {names[1]} have changed places."
    if change.kind is DrawDeed.UNDONE:
        return "The change is undone."
    if change.to is None:
        return f"{names[0]} is out of group {group_of(before, change.entries[0])}."
    return f"{names[0]} is in group {change.to} now."


# publication -------------------------------------------------------------------------------


def publish_draw(*, fixture: Fixture, by: Who, at: datetime) -> DrawRun:
    """Show the draw to everyone: starts get group, place, time and marker; state drawn.

    Raises WrongState while somebody in the field is in no group, or entries are still open.
    """
    with deed(by=by, at=at, what="draw published", about=f"fixture:{fixture.public_id}") as d:
        now, round_ = _opened(fixture, by)
        draw = _standing_draw(now, round_)
        if draw.is_published:
            raise WrongState("This draw is published already.")
        left_out = [
            entry.player.name
            for entry in in_the_field(now)
            if group_of(draw.groups, entry.key) is None
        ]
        if left_out:
            raise WrongState(
                f"{listed(left_out)} came in after this draw and "
                f"{'is' if len(left_out) == 1 else 'are'} in no group. "
                "Choose a group for each, or draw afresh."
            )
        DrawStep.objects.create(
            run=draw.run, kind=DrawDeed.PUBLISHED.value, at=d.at, by=d.by.as_json()
        )
        move_state(fixture=fixture, to=FixtureState.DRAWN, by=by, at=at)
        _write_starts(d, round_, draw.inputs, draw.groups, range(1, len(draw.groups) + 1))
        d.change(f"draw:{draw.run.public_id}", {"published": True})
        letters.draw_published(d, now)
    return draw.run


def withdraw_draw(*, fixture: Fixture, words: str, by: Who, at: datetime) -> None:
    """Take the published draw back, with a reason; members no longer see it, entries stay.

    It is the organiser's unpublished draw again, to be changed, published or drawn afresh.
    """
    with deed(by=by, at=at, what="draw withdrawn", about=f"fixture:{fixture.public_id}") as d:
        now, round_ = _opened(fixture, by)
        draw = _standing_draw(now, round_)
        if not draw.is_published:
            raise WrongState("No draw is published.")
        if not words.strip():
            raise BadInput("Say why, in a few words: others will read it.", field="words")
        DrawStep.objects.create(
            run=draw.run,
            kind=DrawDeed.WITHDRAWN.value,
            at=d.at,
            by=d.by.as_json(),
            words=d.words(words),
        )
        move_state(fixture=fixture, to=FixtureState.CLOSED, words=words, by=by, at=at)
        letters.draw_withdrawn(d, now, words)
        _clear(d, Start.objects.filter(round=round_, group__isnull=False))
        d.change(f"draw:{draw.run.public_id}", {"published": False})


def _opened(fixture: Fixture, by: Who) -> tuple[Fixture, Round]:
    """The fixture's row, held, and its round, for an organiser and before the result."""
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain makes the draw.")
    now = locked(fixture)
    if FixtureState(now.state) not in _RUNNING:
        raise WrongState("The draw stands as it is now.")
    return now, the_round(now)


def _standing_draw(now: Fixture, round_: Round) -> Draw:
    draw = the_draw(round_)
    if draw is None:
        raise WrongState("There is no draw yet.")
    return draw


def _by_key(round_: Round) -> dict[str, Entry]:
    rows = Entry.objects.filter(fixture=round_.fixture_id).select_related("player")
    return {entry.key: entry for entry in rows}


def _write_starts(
    d: Deed,
    round_: Round,
    inputs: DrawInputs,
    groups: tuple[tuple[str, ...], ...],
    numbers: Iterable[int],
) -> None:
    """Group, place, time and marker of everyone in the groups with these numbers."""
    entries, starts = _by_key(round_), starts_of(round_)
    tees = {row.category: row.tee for row in round_.tees.select_related("tee")}
    begins = inputs.opening.starts(len(groups))
    for number in numbers:
        group = groups[number - 1]
        marked_by = markers(group)
        for place, key in enumerate(group, 1):
            entry = entries[key]
            start = starts.get(entry.pk)
            if start is None:
                if entry.category not in tees:
                    raise WrongState(
                        f"No tee is set for {entry.category}, and {entry.player.name} is drawn. "
                        "Choose the tee on the fixture's page first."
                    )
                start = Start(round=round_, entry=entry, tee=tees[entry.category])
            start.group, start.place, start.time = number, place, time_of(begins[number - 1].minute)
            start.first_hole = begins[number - 1].hole
            marker = marked_by.get(key)
            start.marker = entries[marker] if marker else None
            start.save()
            d.change(
                f"start:{start.public_id}",
                {
                    "group": number,
                    "place": place,
                    "time": start.time.isoformat("minutes") if start.time else None,
                    "hole": start.first_hole,
                    "marker": start.marker.public_id if start.marker else None,
                },
            )


def _clear(d: Deed, starts: Iterable[Start]) -> None:
    for start in starts:
        start.group = start.place = start.time = start.marker = None
        start.first_hole = 1
        start.save()
        d.change(f"start:{start.public_id}", {"group": None, "place": None, "marker": None})
