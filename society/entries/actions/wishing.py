"""What whoever enters asked for: meal, diet, buggy, a partner, earlier or later."""

from dataclasses import dataclass
from datetime import datetime

from society.audit.actions import Deed, deed
from society.entries.models import Entry
from society.entries.queries import field
from society.entries.rules.words import OUT, TimeWish
from society.fixtures.actions.holding import locked
from society.fixtures.models import Fixture
from society.fixtures.rules import ENDED, Extra, FixtureState, Window, window
from society.members.models import Player
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import ORGANISERS, Who

ANY_MEAL = "yes"  # where a meal is asked for and there is nothing to choose from


@dataclass(frozen=True, slots=True)
class Wished:
    """What was asked for. `meal`: a dish of the fixture, ANY_MEAL, or empty for none."""

    meal: str = ""
    diet: str = ""
    buggy: bool = False
    buggy_with: Player | None = None
    partner: Player | None = None
    time_wish: str = ""


def change_wishes(*, entry: Entry, wished: Wished, by: Who, at: datetime) -> Entry:
    """Ask for something else: the player until entries close, the organisers until the end.

    A guest's host may, too. Raises NotYours, WrongState, BadInput.
    """
    about = f"fixture:{entry.fixture.public_id}"
    with deed(by=by, at=at, what="wishes changed", about=about) as d:
        now = locked(entry.fixture)
        standing = field(now).get(pk=entry.pk)
        _may(now, standing, by, at)
        write_wishes(d, now, standing, wished)
    return standing


def write_wishes(d: Deed, now: Fixture, entry: Entry, wished: Wished) -> None:
    """Put what was asked for on the entry; part of a deed. Raises BadInput.

    The audit is told what changed, and of the diet only that it did: it is kept for ever.
    """
    asked = set(now.asks.split())
    _check(now, entry, wished, asked)
    old = _kept(entry)
    if Extra.MEAL in asked:
        entry.meal = wished.meal
    diet = wished.diet.strip() if Extra.DIET in asked else entry.diet
    changed_diet, entry.diet = diet != entry.diet, diet
    if Extra.BUGGY in asked:
        entry.buggy = wished.buggy or wished.buggy_with is not None
        entry.buggy_with = wished.buggy_with
    if Extra.PARTNER in asked:
        entry.partner = wished.partner
    if Extra.TIME in asked:
        entry.time_wish = wished.time_wish
    entry.answered = True
    entry.save()
    new = _kept(entry)
    moved = [key for key in new if new[key] != old[key]]
    if moved or changed_diet:
        told = {key: new[key] for key in moved} | ({"diet": "changed"} if changed_diet else {})
        d.change(f"entry:{entry.public_id}", told, {key: old[key] for key in moved})


def forget_wishes(d: Deed, player: Player) -> None:
    """Take diet and wishes of a person who is made anonymous off every entry; part of that deed.

    What others wished for of this player goes, too. The audit never held a diet.
    """
    Entry.objects.filter(player=player).update(
        answered=False,
        meal="",
        diet="",
        buggy=False,
        buggy_with=None,
        partner=None,
        time_wish="",
    )
    Entry.objects.filter(buggy_with=player).update(buggy_with=None)
    Entry.objects.filter(partner=player).update(partner=None)
    d.change(f"player:{player.public_id}", {"wishes": "forgotten"})


def _may(now: Fixture, entry: Entry, by: Who, at: datetime) -> None:
    if FixtureState(now.state) in ENDED:
        raise WrongState("This fixture is over; what was asked for stands.")
    if entry.step in OUT:
        raise WrongState(f"{entry.player.name} is not entered any more.")
    if by.may(ORGANISERS):
        return
    host = entry.host.public_id if entry.host else None
    if not (by.is_player(entry.player.public_id) or by.is_player(host)):
        raise NotYours("That is for the player to say.")
    if window(FixtureState(now.state), now.entries_open_at, now.entries_close_at, at) is not (
        Window.OPEN
    ):
        raise WrongState("Entries are closed, and numbers are given on. Ask the organiser.")


def _check(now: Fixture, entry: Entry, wished: Wished, asked: set[str]) -> None:
    dishes = now.meals.splitlines() or [ANY_MEAL]
    if Extra.MEAL in asked and wished.meal and wished.meal not in dishes:
        raise BadInput("Choose one of the meals, or none.", field="meal")
    if len(wished.diet.strip()) > 200:
        raise BadInput("At most 200 characters.", field="diet")
    if wished.time_wish and wished.time_wish not in list(TimeWish):
        raise BadInput("Choose earlier, later, or neither.", field="time_wish")
    for name, other in (("buggy_with", wished.buggy_with), ("partner", wished.partner)):
        if other is not None and other.pk == entry.player_id:
            raise BadInput("Name somebody else.", field=name)


def _kept(entry: Entry) -> dict[str, object]:
    """What is asked for, in values that the audit may keep; the diet is not among them."""
    return {
        "meal": entry.meal,
        "buggy": entry.buggy,
        "buggy_with": entry.buggy_with.public_id if entry.buggy_with else "",
        "partner": entry.partner.public_id if entry.partner else "",
        "time_wish": entry.time_wish,
    }
