"""What led to a line of a record: the event by name, with where it is read and the card of it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from scoring.rules.strict_json import read_json
from society.entries.models import Entry
from society.entries.rules.words import IN
from society.fixtures.models import Competition, Fixture, Round
from society.members.models import Player


@dataclass(frozen=True, slots=True)
class Event:
    """What led to it, in words.

    `fixture`, `entry`: public id and key for a link, where there is one; the entry is that of the
    player whose record it is.
    """

    words: str
    fixture: str = ""
    entry: str = ""


def events_of(player: Player, causes: Iterable[str]) -> dict[str, Event]:
    """The causes of a player's rows (canonical JSON) as events. At most five queries.

    A cause names a fixture, a competition, a round or an entry by its public id; whatever else it
    names is told in its own words.
    """
    read = {text: _read(text) for text in set(causes) if text}
    ids = {str(cause["id"]) for cause in read.values() if cause.get("id")}
    if not ids:
        return {text: Event(_words(cause)) for text, cause in read.items()}
    fixtures = _fixtures(ids)
    own = {
        entry.fixture_id: entry.key
        for entry in Entry.objects.filter(player=player, fixture__in=set(fixtures.values()))
        .with_step()
        .only("key", "fixture_id")
        if entry.step in IN
    }
    found = {}
    for text, cause in read.items():
        fixture = fixtures.get(str(cause.get("id", "")))
        if fixture is None:
            found[text] = Event(_words(cause))
        else:
            found[text] = Event(fixture.name, fixture.public_id, own.get(fixture.pk, ""))
    return found


def _read(text: str) -> Mapping[str, Any]:
    cause = read_json(text)
    return cause if isinstance(cause, dict) else {}


def _words(cause: Mapping[str, Any]) -> str:
    return str(cause.get("words", ""))


def _fixtures(ids: set[str]) -> dict[str, Fixture]:
    """The fixture each public id belongs to, whatever of it the id names. Four queries."""
    of_fixture = Fixture.objects.filter(public_id__in=ids)
    rows = [*of_fixture.values_list("public_id", "pk", "public_id", "name")]
    for model in (Competition, Round, Entry):
        named = model._default_manager.filter(public_id__in=ids)
        rows += named.values_list("public_id", "fixture__pk", "fixture__public_id", "fixture__name")
    return {
        said: Fixture(pk=pk, public_id=public_id, name=name) for said, pk, public_id, name in rows
    }
