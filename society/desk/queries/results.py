"""Final results as the season page and a player's page tell them, in few queries."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from scoring.results.models import ResultVersion
from scoring.results.rules import STATUS_WORDS
from scoring.results.tables.board import settled_words, total_words
from scoring.rules.strict_json import read_json
from scoring.rules.values import Format
from society.entries.models import Entry
from society.fixtures.models import Competition, Fixture
from society.fixtures.queries import terms_of
from society.fixtures.rules import FixtureState
from society.web.templatetags.look import ordinal

_UNITS = {
    Format.STABLEFORD: "points",
    Format.MODIFIED_STABLEFORD: "points",
    Format.PAR: "against par",
}


# A result that is open again stands until its next version is sealed.
SEALED_STATES = (FixtureState.FINAL.value, FixtureState.REVIEWING.value)


@dataclass(frozen=True, slots=True)
class Placed:
    """One player in a final result. `place` is None without one, then `status` says why."""

    player: str
    name: str
    place: int | None
    tied: bool
    total: str
    unit: str
    settled: str
    status: str

    @property
    def words(self) -> str:
        """The place in a few words: "joint 3rd, 34 points"; the status where there is none."""
        if self.place is None:
            return self.status
        joint = "joint " if self.tied else ""
        return f"{joint}{ordinal(self.place)}, {self.total} {self.unit}"


@lru_cache(maxsize=64)
def _answer(outputs: str) -> tuple[tuple[tuple[str, Any], ...], ...]:
    """The rows of a sealed answer that these pages need; a sealed text never changes."""
    answer = read_json(outputs)
    if not isinstance(answer, dict):
        raise TypeError("the outputs of a seal are an object")
    kept = ("player", "place", "tied", "total", "settled", "status")
    rows = [*answer["standings"], *answer["unplaced"]]
    return tuple(tuple((key, row[key]) for key in kept if key in row) for row in rows)


def final_places(fixtures: Sequence[Fixture], number: int = 1) -> dict[int, list[Placed]]:
    """Fixture id → everyone in its final result, best first. Three queries for any number.

    `number`: of the competition; the first is what a fixture is known by.
    """
    versions = (
        ResultVersion.objects.filter(competition__fixture__in=fixtures, competition__number=number)
        .select_related("competition")
        .order_by("number")
    )
    standing = {version.competition.fixture_id: version for version in versions}
    people: dict[int, dict[str, tuple[str, str]]] = {pk: {} for pk in standing}
    rows = Entry.objects.filter(fixture__in=list(standing)).values_list(
        "fixture_id", "key", "player__public_id", "player__name"
    )
    for fixture_id, key, player, name in rows:
        people[fixture_id][key] = (player, name)
    return {pk: _placed(version, people[pk]) for pk, version in standing.items()}


def _placed(version: ResultVersion, people: Mapping[str, tuple[str, str]]) -> list[Placed]:
    terms = terms_of(version.competition)
    format_ = Format(str(terms["format"]))
    unit = _UNITS.get(format_, "gross" if terms.get("basis") == "gross" else "net")
    made = []
    for pairs in _answer(version.outputs):
        row = dict(pairs)
        player, name = people.get(row["player"], ("", row["player"]))
        status = row.get("status", "")
        made.append(
            Placed(
                player=player,
                name=name,
                place=row.get("place"),
                tied=row.get("tied", False),
                total="" if status else total_words(row["total"], format_),
                unit=unit,
                settled=settled_words(row.get("settled", "")),
                status=STATUS_WORDS.get(status, ""),
            )
        )
    return sorted(made, key=lambda row: (row.place is None, row.place or 0, row.name))


def results_of_player(player: str, fixtures: Sequence[Fixture]) -> dict[int, str]:
    """Fixture id → how a player (public id) came out of it, in a few words.

    Where the cards counted for more than one competition, each of them by its name.
    """
    final = [f for f in fixtures if f.state in SEALED_STATES]
    rows = Competition.objects.filter(fixture__in=final, number__gt=1)
    further = {(row.fixture_id, row.number): row.name for row in rows}
    said: dict[int, list[str]] = {}
    for number in (1, *sorted({number for _, number in further})):
        for pk, places in final_places(final, number).items():
            name = further.get((pk, number))
            said.setdefault(pk, []).extend(
                f"{name}: {placed.words}" if name else placed.words
                for placed in places
                if placed.player == player
            )
    return {pk: "; ".join(words) for pk, words in said.items() if words}
