"""What a document that is to be brought in means here: whose keys they are, what stands already."""

from collections.abc import Mapping, Set
from dataclasses import dataclass
from typing import Any

from scoring.results.bridge import event_document
from scoring.rules.event import read_event
from scoring.rules.strict_json import Refused
from scoring.rules.values import Category, Event
from society.courses.rules import RatedHoles
from society.entries.models import Entry
from society.fixtures.models import Fixture
from society.fixtures.queries import the_competition
from society.members.models import Player
from society.members.queries import players_on_the_list
from society.members.rules import plain_name
from society.web.refusals import BadInput, WrongState

ALL = "all"


class Unsettled(BadInput):
    """It is not sure who is meant, or something has to be said first: `lines`, one each."""

    def __init__(self, lines: list[str]) -> None:
        super().__init__("Somebody has to say more before this day can be brought in.")
        self.lines = lines


@dataclass(frozen=True, slots=True)
class Document:
    """A good event document: as it was written, and as the engine reads it."""

    content: Any
    event: Event

    @property
    def players(self) -> Mapping[str, Any]:
        """What it says of each player, in its order."""
        return self.content["players"]  # type: ignore[no-any-return]

    @property
    def tees(self) -> Mapping[str, Any]:
        """Its tees as written."""
        return self.content["tees"]  # type: ignore[no-any-return]

    @property
    def cards(self) -> Mapping[str, Any]:
        """Its cards as written."""
        return self.content["cards"]  # type: ignore[no-any-return]

    @property
    def terms(self) -> Mapping[str, object]:
        """Its terms as written."""
        return self.content["terms"]  # type: ignore[no-any-return]

    @property
    def holes(self) -> RatedHoles:
        """The holes in play: nine holes are the first nine of a course."""
        return RatedHoles.EIGHTEEN if self.event.holes == 18 else RatedHoles.FIRST_NINE


@dataclass(frozen=True, slots=True)
class Whom:
    """Who stands behind a key: a player of the list, or somebody new."""

    name: str
    player: Player | None = None
    category: str = ""


def same_event(document: Document) -> Fixture | None:
    """The fixture that says the same already; None where there is none of that name and day.

    Raises WrongState where a fixture of that name and day says something else.
    """
    event = document.event
    found = Fixture.objects.filter(name__iexact=event.name.strip(), starts_on=event.on)
    for fixture in found:
        try:
            there = read_event(event_document(the_competition(fixture)))
        except Refused:
            continue
        if what_is_kept(there) == what_is_kept(event):
            return fixture
    if found:
        raise WrongState(
            f"There is a fixture {event.name} on {event.on} already, and it says something else."
        )
    return None


def what_is_kept(event: Event) -> tuple[object, ...]:
    """All that comes back from an event brought in: not the names, which are those of the list,
    nor a tee that nobody plays."""
    players = {
        key: (p.tee, p.handicap, p.divisions, p.first_hole) for key, p in event.players.items()
    }
    return (event.on, event.terms, players, event.cards, event.rulings)


def whom_is_meant(
    document: Document, match: Mapping[str, str], new: Set[str], categories: Mapping[str, str]
) -> dict[str, Whom]:
    """Who each player of the document is here. Raises Unsettled with every open question.

    Sure is: who was told by `match`; a key that is this society's own, or a player's number, with
    the same name. A name alone never decides. Nobody alike is a new player.
    """
    known = _Known(list(players_on_the_list()), match, new, categories)
    found: dict[str, Whom] = {}
    lines = [f"{key}: the document has no such player" for key in sorted(
        ({*match, *new, *categories} - {ALL, ""}) - document.players.keys()
    )]  # fmt: skip
    for key, said in document.players.items():
        try:
            found[key] = known.whom(key, said["name"])
        except ValueError as sentence:
            lines.append(f"{key}, {said['name']}: {sentence}")
    lines += _twice(found)
    if lines:
        raise Unsettled(lines)
    return found


def _twice(found: Mapping[str, Whom]) -> list[str]:
    seen: dict[int, str] = {}
    lines = []
    for key, whom in found.items():
        if whom.player and seen.setdefault(whom.player.pk, key) != key:
            lines.append(f"{key}: {whom.player.name} is meant by {seen[whom.player.pk]} already")
    return lines


class _Known:
    """The players of the list, to find the one behind a key."""

    def __init__(
        self,
        people: list[Player],
        match: Mapping[str, str],
        new: Set[str],
        categories: Mapping[str, str],
    ) -> None:
        self.people = people
        self.match, self.new, self.categories = match, new, categories
        self.own = {
            entry.key: entry.player
            for entry in Entry.objects.select_related("player")
            if entry.key == entry.public_id and entry.player.merged_into_id is None
        }

    def whom(self, key: str, name: str) -> Whom:
        """Whom a key means. ValueError with a sentence where that is not sure."""
        if key in self.match:
            return Whom(name, self._told(self.match[key]))
        if key in self.new:
            return self._fresh(key, name)
        same = [one for one in self.people if plain_name(one.name) == plain_name(name)]
        sure = [one for one in same if key in (one.public_id, one.number)]
        if key in self.own and self.own[key] in same:
            sure = [self.own[key]]
        if len(sure) == 1:
            return Whom(name, sure[0])
        numbered = [one for one in self.people if one.number == key]
        alike = same or numbered
        if not alike or ALL in self.new:
            return self._fresh(key, name)
        what = "the same name as" if same else "the number of"
        listed = "; ".join(f"{one.name} ({_called(one)})" for one in alike)
        raise ValueError(f"{what} {listed}. Say --match {key}={_called(alike[0])} or --new {key}")

    def _told(self, text: str) -> Player:
        found = [
            one
            for one in self.people
            if text in (one.public_id, one.number)
            or (one.email and one.email.lower() == text.lower())
        ]
        if len(found) != 1:
            some = "nobody has" if not found else f"{len(found)} players have"
            raise ValueError(f"{some} the number, e-mail or id {text}")
        return found[0]

    def _fresh(self, key: str, name: str) -> Whom:
        category = self.categories.get(key, self.categories.get("", ""))
        if category not in list(Category):
            raise ValueError(
                "a new player needs a category: --category men or --category women for all, "
                f"--category {key}=women for one"
            )
        return Whom(name, category=category)


def _called(player: Player) -> str:
    return player.number or player.public_id
