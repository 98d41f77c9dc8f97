"""The card of the course taken over, as the engine's tee, and what a figure plays off there."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from scoring.rules.handicap import strokes_received
from scoring.rules.lines import extra_strokes, handicaps
from scoring.rules.strict_json import canonical, read_json
from scoring.rules.values import Event, Handicap, HandicapKind, Player, Tee, Terms
from society.courses.queries import course_card
from society.courses.rules import RatedHoles
from society.entries.models import CourseCard
from society.entries.queries import (
    current_course_cards,
)
from society.fixtures.models import Round
from society.web.refusals import BadInput


@dataclass(frozen=True, slots=True)
class PlaysOff:
    """What the engine makes of a figure on a tee.

    `course`: unrounded course handicap, None where none is worked out (gross, or a playing
    handicap was brought). `strokes`: received on each hole in play, below zero given back.
    `extra`: strokes of Rule 6.2b that are in the playing handicap.
    """

    course: Fraction | None
    playing: int
    strokes: tuple[int, ...]
    extra: int


def card_text(card: Mapping[str, object]) -> str:
    """The text kept for a card of the course, as `courses.queries.course_card` gives it."""
    return canonical(card)


@dataclass(frozen=True, slots=True)
class DifferingCard:
    """A card taken over that is not as the course has it now. `words`: what differs."""

    row: CourseCard
    card: Mapping[str, object]
    words: tuple[str, ...]


def differing_cards(round_: Round) -> list[DifferingCard]:
    """The cards of a round that the course has otherwise now, in what scores depend on.

    A tee that the course no longer has a card for differs in nothing: there is none to take.
    """
    found = []
    holes = RatedHoles(round_.holes)
    for row in current_course_cards(round_).values():
        try:
            card = course_card(row.tee, row.category, holes, round_.day)
        except BadInput:
            continue
        words = _differences(card_of(row), card_as_kept(card), tuple(holes.numbers))
        if words:
            found.append(DifferingCard(row, card, words))
    return found


def card_as_kept(card: Mapping[str, object]) -> dict[str, Any]:
    """A card of the course as it reads once it was kept as text."""
    kept = read_json(card_text(card))
    if not isinstance(kept, dict):
        raise TypeError("a card of the course is an object")
    return kept


def _differences(
    old: Mapping[str, Any], new: Mapping[str, Any], numbers: tuple[int, ...]
) -> tuple[str, ...]:
    said = [
        f"hole {hole}: {name} {now}, was {was}"
        for key, name in (("par", "par"), ("stroke_index", "stroke index"))
        for hole, was, now in zip(numbers, _in_play(old[key], numbers), new[key], strict=True)
        if was != now
    ]
    for key, name in (("course_rating", "course rating"), ("slope_rating", "slope")):
        if old[key] != new[key]:
            said.append(f"{name} {new[key] or 'none'}, was {old[key] or 'none'}")
    return tuple(said)


def _in_play(figures: list[int], numbers: tuple[int, ...]) -> list[int]:
    """A card may list all eighteen holes where nine are in play."""
    if len(figures) == len(numbers):
        return figures
    return [figures[number - 1] for number in numbers]


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
        sides={},
        cards={},
        rulings=(),
    )
    extra = extra_strokes(event)
    found = {}
    for key, player in players.items():
        more = extra[player.tee.key]
        course, playing = handicaps(terms, player, holes, more)
        shots = strokes_received(playing, player.tee.stroke_index)
        found[key] = PlaysOff(course, playing, shots, more)
    return found


def tee_in_play(tee: Tee, numbers: Sequence[int]) -> Tee:
    """The holes in play alone: a card of the course may list all eighteen where nine are."""
    if len(tee.par) == len(numbers):
        return tee
    par = tuple(tee.par[number - 1] for number in numbers)
    index = tuple(tee.stroke_index[number - 1] for number in numbers)
    return replace(tee, par=par, stroke_index=index, total_par=sum(par))
