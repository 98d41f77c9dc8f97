"""Reading a whole event document: one competition over one round.

Event document, section 1. Everything is checked before anything is scored, and a refusal names
the exact place. An `order` ruling is good only if the players it names are still level after
every step, so a document that has one is also ranked here.

>>> read_event({"document": "golf-event", "version": 1})
Traceback (most recent call last):
scoring.rules.strict_json.Refused: event: is missing
"""

from collections import Counter
from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from scoring.rules import engine
from scoring.rules.checks import day, entries, items, key_of, known, number, obj, text, whole
from scoring.rules.lines import tees_in_use
from scoring.rules.rulings import read_rulings
from scoring.rules.sides import fit_to_sides, read_sides
from scoring.rules.strict_json import Refused, inside, quoted
from scoring.rules.terms import read_terms
from scoring.rules.values import (
    INDIVIDUAL,
    ONE_BALL,
    Card,
    Event,
    Format,
    Gross,
    Handicap,
    HandicapIndex,
    HandicapKind,
    Player,
    RulingKind,
    Side,
    StrokeIndex,
    Tee,
    Terms,
)

__all__ = ["read_event", "read_terms"]

REQUIRED = ("document", "version", "event", "terms", "tees", "players", "cards")
MOST_DIVISIONS = 8
_HANDICAPS = {
    "handicap_index": HandicapKind.INDEX,
    "course_handicap": HandicapKind.COURSE,
    "playing_handicap": HandicapKind.PLAYING,
}


def read_event(value: object) -> Event:
    """The event of a parsed document, checked whole; raises Refused with the exact place."""
    if not isinstance(value, dict):
        raise Refused("file", f"wants an object, not {quoted(value)}")
    found = obj(value, "", *_keys(value))
    if found["document"] != "golf-event" or not isinstance(found["document"], str):
        raise Refused("document", f'wants "golf-event", not {quoted(found["document"])}')
    whole(found["version"], "version", 1, 1)
    about = obj(found["event"], "event", ("name", "date"))
    holes = _holes(found)
    terms = read_terms(found["terms"], holes)
    tees = _tees(found["tees"], holes)
    players = _players(found["players"], tees, terms, holes)
    sides: dict[str, Side] = {}
    if terms.format not in INDIVIDUAL:
        sides = read_sides(found["sides"], players, terms.format)
        terms = fit_to_sides(terms, sides)
    carded = sides if terms.format in ONE_BALL else players
    event = Event(
        name=text(about["name"], "event.name"),
        on=day(about["date"], "event.date"),
        holes=holes,
        terms=terms,
        tees=tees,
        players=players,
        sides=sides,
        cards=_cards(found["cards"], carded, holes),
        rulings=read_rulings(found.get("rulings", []), players, sides, terms, holes),
    )
    _check_reference_par(event)
    if any(ruling.kind is RulingKind.ORDER for ruling in event.rulings):
        engine.score(event)
    return event


def _keys(value: dict[str, Any]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The keys of the document, required and optional.

    Sides belong to side formats; where the format itself is wrong, that is what is at fault.
    """
    terms = value.get("terms")
    format_ = terms.get("format") if isinstance(terms, dict) else None
    if not isinstance(format_, str) or format_ not in set(Format):
        return REQUIRED, ("sides", "rulings")
    if format_ in INDIVIDUAL:
        return REQUIRED, ("rulings",)
    return (*REQUIRED, "sides"), ("rulings",)


def _holes(found: dict[str, Any]) -> int:
    """18 or 9: what most arrays of the document have, so that the odd one out is at fault."""
    arrays: list[object] = []
    if isinstance(found["tees"], dict):
        for tee in found["tees"].values():
            if isinstance(tee, dict):
                arrays += [tee.get("par"), tee.get("stroke_index")]
    if isinstance(found["cards"], dict):
        arrays += found["cards"].values()
    lengths = Counter(len(array) for array in arrays if isinstance(array, list))
    return 9 if lengths[9] > lengths[18] else 18


def _some(value: object, place: str) -> dict[str, Any]:
    found = entries(value, place)
    if not found:
        raise Refused(place, "wants at least one entry")
    return found


def _tees(value: object, holes: int) -> dict[str, Tee]:
    tees = {}
    for key, entry in _some(value, "tees").items():
        place = inside("tees", key)
        text(key, place)
        found = obj(entry, place, ("par", "stroke_index"), ("course_rating", "slope_rating"))
        par = _array(found["par"], f"{place}.par", holes, 3, 6)
        tees[key] = Tee(
            key=key,
            par=par,
            stroke_index=_stroke_index(found["stroke_index"], f"{place}.stroke_index", holes),
            course_rating=_course_rating(found, place),
            slope_rating=_slope_rating(found, place),
            total_par=sum(par),
        )
    return tees


def _course_rating(found: dict[str, Any], place: str) -> Fraction | None:
    if "course_rating" not in found:
        return None
    return number(found["course_rating"], f"{place}.course_rating", 10, 100, 1)


def _slope_rating(found: dict[str, Any], place: str) -> int | None:
    if "slope_rating" not in found:
        return None
    return whole(found["slope_rating"], f"{place}.slope_rating", 55, 155)


def _array(value: object, place: str, holes: int, low: int, high: int) -> tuple[int, ...]:
    found = _of_length(value, place, holes)
    return tuple(whole(entry, inside(place, at), low, high) for at, entry in enumerate(found))


def _of_length(value: object, place: str, holes: int) -> list[Any]:
    found = items(value, place)
    if len(found) != holes:
        raise Refused(place, f"wants {holes} holes, has {len(found)}")
    return found


def _stroke_index(value: object, place: str, holes: int) -> tuple[StrokeIndex, ...]:
    index = _array(value, place, holes, 1, 18)
    if len(set(index)) != holes:
        raise Refused(place, "has an index twice")
    return tuple(StrokeIndex(number) for number in index)


def _players(value: object, tees: dict[str, Tee], terms: Terms, holes: int) -> dict[str, Player]:
    players = {}
    for key, entry in _some(value, "players").items():
        place = inside("players", key)
        key_of(key, place)
        found = obj(entry, place, ("name", "tee"), (*_HANDICAPS, "divisions", "first_hole"))
        tee = tees[known(found["tee"], f"{place}.tee", tees, "tee")]
        players[key] = Player(
            key=key,
            name=text(found["name"], f"{place}.name"),
            tee=tee,
            handicap=_handicap(found, place, tee, terms),
            divisions=_divisions(found, f"{place}.divisions"),
            first_hole=_first_hole(found, place, holes),
        )
    return players


def _first_hole(found: dict[str, Any], place: str, holes: int) -> int:
    if "first_hole" not in found:
        return 1
    return whole(found["first_hole"], f"{place}.first_hole", 1, holes)


def _handicap(found: dict[str, Any], place: str, tee: Tee, terms: Terms) -> Handicap | None:
    brought = [key for key in _HANDICAPS if key in found]
    if len(brought) > 1:
        raise Refused(place, f"brings two handicaps, {brought[0]} and {brought[1]}")
    if not brought:
        if terms.net:
            raise Refused(place, "brings no handicap")
        return None
    key = brought[0]
    kind = _HANDICAPS[key]
    if kind is HandicapKind.PLAYING and terms.net and terms.format in ONE_BALL:
        raise Refused(f"{place}.{key}", "cannot be shared out in a side that plays one ball")
    value = _handicap_value(found[key], f"{place}.{key}", kind)
    if kind is HandicapKind.INDEX:
        for rating in ("course_rating", "slope_rating"):
            if getattr(tee, rating) is None:
                words = f"is missing, and {place} brings an index"
                raise Refused(inside(inside("tees", tee.key), rating), words)
    return Handicap(kind, value)


def _handicap_value(value: object, place: str, kind: HandicapKind) -> Fraction:
    if kind is HandicapKind.INDEX:
        return HandicapIndex(number(value, place, -10, 54, 1))
    if kind is HandicapKind.COURSE:
        return number(value, place, -20, 100, 6)
    return Fraction(whole(value, place, -20, 100))


def _divisions(found: dict[str, Any], place: str) -> frozenset[str]:
    names: list[str] = []
    for at, value in enumerate(items(found.get("divisions", []), place)):
        name = text(value, inside(place, at))
        if name in names:
            raise Refused(inside(place, at), f"{quoted(name)} stands here twice")
        names.append(name)
    if len(names) > MOST_DIVISIONS:
        raise Refused(place, f"wants at most {MOST_DIVISIONS} divisions")
    return frozenset(names)


def _check_reference_par(event: Event) -> None:
    reference = event.terms.reference_par
    if reference is None:
        return
    for tee in tees_in_use(event):
        if tee.total_par < reference:
            words = f"the tee {quoted(tee.key)} has par {tee.total_par}"
            raise Refused("terms.reference_par", words)


def _cards(value: object, names: Mapping[str, object], holes: int) -> dict[str, Card]:
    cards = {}
    for key, entry in entries(value, "cards").items():
        place = inside("cards", key)
        known(key, place, names, "player or side")
        card = _of_length(entry, place, holes)
        cards[key] = tuple([_score(score, place, at) for at, score in enumerate(card)])
    return cards


def _score(value: object, place: str, at: int) -> Gross | None:
    if type(value) is int and 1 <= value <= 99:
        return Gross(value)
    if value is None or value == "-":
        return None
    raise Refused(inside(place, at), f'wants 1 to 99, null or "-", not {quoted(value)}')
