"""A season as it is sealed: everything a table was made from, and the answer to it.

Both are plain objects for canonical JSON, by public ids and not by names, so that a person can be
made anonymous and the seal stays whole.
"""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from scoring.rules.checks import day, entries, items, obj, text, whole, word, yes_or_no
from scoring.rules.strict_json import Refused, canonical, inside
from society.merit.rules.reading import rules_as_object, rules_from_object
from society.merit.rules.rows import Row
from society.merit.rules.season import standings
from society.merit.rules.values import (
    Decision,
    Event,
    Facts,
    Finish,
    MeritRules,
    Person,
    SeasonTie,
)

FORMAT = "merit-season"
VERSION = 1
_MANY = 1_000_000


@dataclass(frozen=True, slots=True)
class Origin:
    """The sealed result that an event was read from: its public id, number and digest."""

    result: str
    number: int
    digest: str


@dataclass(frozen=True, slots=True)
class Sealed:
    """A season read back: all that its standing is worked out from."""

    rules: MeritRules
    events: tuple[Event, ...]
    origins: tuple[Origin, ...]
    facts: Facts
    left_out: tuple[str, ...]

    def rows(self) -> list[Row]:
        """The table, worked out again."""
        return standings(self.events, self.rules, facts=self.facts)


def document_of(sealed: Sealed) -> dict[str, Any]:
    """What is sealed as inputs. `left_out`: competitions that were not finished, by public id."""
    facts = sealed.facts
    given = {"given": {key: str(sum_) for key, sum_ in facts.given.items()}} if facts.given else {}
    return given | {
        "document": FORMAT,
        "version": VERSION,
        "rules": rules_as_object(sealed.rules),
        "season": {
            "starts_on": facts.starts_on.isoformat(),
            "cancelled": facts.cancelled,
            "days": [played.isoformat() for played in facts.days],
        },
        "events": [
            {
                "competition": event.key,
                "day": event.day.isoformat(),
                "stableford": event.stableford,
                "result": origin.result,
                "number": origin.number,
                "digest": origin.digest,
                "finishes": [_finish(finish) for finish in event.finishes],
            }
            for event, origin in zip(sealed.events, sealed.origins, strict=True)
        ],
        "left_out": list(sealed.left_out),
        "people": {
            player: {
                "joined_on": _written(person.joined_on),
                "paid_on": _written(person.paid_on),
            }
            for player, person in facts.people.items()
        },
        "decisions": [
            {"way": decision.way.value, "players": list(decision.players)}
            for decision in facts.decisions
        ],
    }


def answer_to(rows: Sequence[Row]) -> dict[str, Any]:
    """What is sealed as outputs: everyone's place, total and what counted."""
    return {
        "standings": [
            {
                "player": row.player,
                "place": row.place,
                "total": str(row.total),
                "short": row.short,
                "unranked": row.unranked,
                "cells": [
                    None
                    if cell is None
                    else {"points": str(cell.points), "counts": cell.counts, "place": cell.place}
                    for cell in row.cells
                ],
            }
            for row in rows
        ]
    }


def sealed_from(value: object) -> Sealed:
    """Sealed inputs read back. Raises Refused with the place of what cannot be read."""
    found = obj(
        value,
        "",
        ("document", "version", "rules", "season", "events", "left_out", "people", "decisions"),
        ("given",),
    )
    if found["document"] != FORMAT:
        raise Refused("document", f"wants {FORMAT}")
    whole(found["version"], "version", VERSION, VERSION)
    season = obj(found["season"], "season", ("starts_on", "cancelled", "days"))
    read = [_event(value, inside("events", at)) for at, value in _listed(found, "events")]
    return Sealed(
        rules=rules_from_object(found["rules"]),
        events=tuple(event for event, _ in read),
        origins=tuple(origin for _, origin in read),
        facts=Facts(
            cancelled=whole(season["cancelled"], "season.cancelled", 0, _MANY),
            starts_on=day(season["starts_on"], "season.starts_on"),
            days=tuple(
                day(value, inside("season.days", at))
                for at, value in enumerate(items(season["days"], "season.days"))
            ),
            people={
                player: _person(value, inside("people", player))
                for player, value in entries(found["people"], "people").items()
            },
            decisions=tuple(
                _decision(value, inside("decisions", at))
                for at, value in _listed(found, "decisions")
            ),
            given={
                player: _points(value, inside("given", player))
                for player, value in entries(found.get("given", {}), "given").items()
            },
        ),
        left_out=tuple(
            text(value, inside("left_out", at)) for at, value in _listed(found, "left_out")
        ),
    )


def seal_digest(*, table: str, number: int, inputs: str, outputs: str) -> str:
    """SHA-256, in hex, of what a sealed season says and of which version it is."""
    said = {"table": table, "inputs": inputs, "number": number, "outputs": outputs}
    return hashlib.sha256(canonical(said).encode()).hexdigest()


def _points(value: object, place: str) -> Fraction:
    said = text(value, place)
    try:
        return Fraction(said)
    except (ValueError, ZeroDivisionError) as wrong:
        raise Refused(place, f"wants points, not {said}") from wrong


def _listed(found: Mapping[str, Any], name: str) -> list[tuple[int, Any]]:
    return list(enumerate(items(found[name], name)))


def _finish(finish: Finish) -> dict[str, Any]:
    return {
        "player": finish.player,
        "member": finish.member,
        "place": finish.place,
        "total": finish.total,
        "pins": finish.pins,
        "drives": finish.drives,
        "divisions": list(finish.divisions),
    }


def _event(value: object, place: str) -> tuple[Event, Origin]:
    keys = ("competition", "day", "stableford", "result", "number", "digest", "finishes")
    found = obj(value, place, keys)
    finishes = tuple(
        _read_finish(finish, inside(f"{place}.finishes", at))
        for at, finish in enumerate(items(found["finishes"], f"{place}.finishes"))
    )
    event = Event(
        key=text(found["competition"], f"{place}.competition"),
        finishes=finishes,
        stableford=yes_or_no(found["stableford"], f"{place}.stableford"),
        day=day(found["day"], f"{place}.day"),
    )
    origin = Origin(
        text(found["result"], f"{place}.result"),
        whole(found["number"], f"{place}.number", 1, _MANY),
        text(found["digest"], f"{place}.digest"),
    )
    return event, origin


def _read_finish(value: object, place: str) -> Finish:
    keys = ("player", "member", "place", "total", "pins", "drives", "divisions")
    found = obj(value, place, keys)
    return Finish(
        player=text(found["player"], f"{place}.player"),
        member=yes_or_no(found["member"], f"{place}.member"),
        place=whole(found["place"], f"{place}.place", 1, _MANY),
        total=whole(found["total"], f"{place}.total", -_MANY, _MANY),
        pins=whole(found["pins"], f"{place}.pins", 0, _MANY),
        drives=whole(found["drives"], f"{place}.drives", 0, _MANY),
        divisions=tuple(
            text(name, inside(f"{place}.divisions", at))
            for at, name in enumerate(items(found["divisions"], f"{place}.divisions"))
        ),
    )


def _person(value: object, place: str) -> Person:
    found = obj(value, place, ("joined_on", "paid_on"))
    return Person(
        _day(found["joined_on"], f"{place}.joined_on"), _day(found["paid_on"], f"{place}.paid_on")
    )


def _decision(value: object, place: str) -> Decision:
    found = obj(value, place, ("way", "players"))
    players = items(found["players"], f"{place}.players")
    return Decision(
        word(found["way"], f"{place}.way", SeasonTie),
        tuple(text(player, inside(f"{place}.players", at)) for at, player in enumerate(players)),
    )


def _written(when: date | None) -> str | None:
    """A day; the first day there is stands for "always" (excused)."""
    if when is None:
        return None
    return "always" if when == date.min else when.isoformat()


def _day(value: object, place: str) -> date | None:
    if value is None:
        return None
    return date.min if value == "always" else day(value, place)
