"""Changing a fixture that stands: its rows, the waiting list, and what everyone plays off."""

from dataclasses import dataclass
from datetime import datetime

from society.audit.actions import deed
from society.desk import letters
from society.desk.actions.sealing import refuse_if_sealed
from society.entries.actions.entering import change_places
from society.entries.bridge.handicaps import handicap_lines
from society.entries.models import Entry
from society.entries.queries import handicaps_taken
from society.fixtures.actions import planning, states
from society.fixtures.bridge import Plan, plan_of
from society.fixtures.models import Fixture
from society.web.who import Who


@dataclass(frozen=True, slots=True)
class Moved:
    """A player whose playing handicap is another one under the changed terms."""

    name: str
    old: int
    new: int


@dataclass(frozen=True, slots=True)
class Changed:
    """What a change set off: who got a place, whose figures moved, who is offered a place."""

    fixture: Fixture
    placed: tuple[Entry, ...]
    moved: tuple[Moved, ...]
    offered: tuple[Entry, ...] = ()


def change_fixture(
    *, fixture: Fixture, plan: Plan, edited: int, words: str = "", by: Who, at: datetime
) -> Changed:
    """Put a changed plan in place of the old one; those waiting move into new places.

    Once handicaps are taken it says whose figures move. Raises what `fixtures.change_fixture`
    raises: Stale, BadTerms, BadInput, WrongState, NotYours.
    """
    about = f"fixture:{fixture.public_id}"
    with deed(by=by, at=at, what="fixture changed", about=about) as d:
        before, old = _figures(fixture), plan_of(fixture)
        changed = planning.change_fixture(
            fixture=fixture, plan=plan, edited=edited, words=words, by=by, at=at
        )
        letters.moved(d, changed, old, plan, words)
        filled = change_places(fixture=changed, by=by, at=at)
        after = _figures(changed)
        moved = tuple(
            Moved(name, figure, after[key][1])
            for key, (name, figure) in before.items()
            if key in after and after[key][1] != figure
        )
        for key, (_, figure) in before.items():
            if key in after and after[key][1] != figure:
                d.change(f"entry:{key}", {"plays_off": after[key][1]}, {"plays_off": figure})
    return Changed(changed, filled.moved, moved, filled.offered)


def end_fixture(*, fixture: Fixture, void: bool, words: str, by: Who, at: datetime) -> None:
    """Cancel a fixture, or declare it void; everyone who is in or waits hears why.

    Raises what `fixtures.cancel_fixture` raises: WrongState, NotYours, BadInput on `words`; and
    WrongState where a sealed result stands, opened again or not.
    """
    about = f"fixture:{fixture.public_id}"
    with deed(by=by, at=at, what="fixture void" if void else "fixture cancelled", about=about) as d:
        refuse_if_sealed(fixture, f"it cannot be {'declared void' if void else 'cancelled'}")
        end = states.declare_void if void else states.cancel_fixture
        end(fixture=fixture, words=words, by=by, at=at)
        letters.called_off(d, fixture, words, void=void)


def _figures(fixture: Fixture) -> dict[str, tuple[str, int]]:
    """Public id of the entry → name and playing handicap, for those whose handicap is taken."""
    if not handicaps_taken(fixture):
        return {}
    return {
        line.entry.public_id: (line.entry.player.name, line.plays.playing)
        for line in handicap_lines(fixture)
        if line.frozen is not None and line.plays is not None
    }
