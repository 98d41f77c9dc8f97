"""Scores of a record: told as plain values, kept as canonical JSON, read back for the engine.

A score is the object that the handicap record document has for it, without the day. Nine holes
have the same keys with nine figures in each list, and the ratings of those nine.

>>> text = said_text({"adjusted_gross": 95, "course_rating": Decimal("70.1"), "slope_rating": 120})
>>> text
'{"adjusted_gross":95,"course_rating":"70.1","slope_rating":120}'
>>> read_said(text, played=date(2026, 3, 7)).adjusted_gross
95
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from scoring.rules.checks import whole
from scoring.rules.record.document import read_record
from scoring.rules.record.values import ByHole, Ratings, Ready, Score, Total
from scoring.rules.strict_json import Refused, canonical, read_json
from scoring.rules.values import Gross

NINE, EIGHTEEN = 9, 18
NOTHING = "{}"  # what is kept of a score that counts no longer
_DECIMALS = ("course_rating", "differential")
# The sum of nine holes, and what nine holes are rated at, are not bounded by the open document;
# these bounds are half of those it has for eighteen.
_NINE_GROSS = (9, 200)
_NINE_RATING = (Decimal(5), Decimal(50))
_SLOPE = (55, 155)
_PCC = (-1, 3)

# What the document calls a key, in words for a screen.
_NAMES = {
    "adjusted_gross": "The adjusted gross score",
    "course_rating": "The Course Rating",
    "slope_rating": "The Slope Rating",
    "differential": "The differential",
    "pcc": "The adjustment for conditions",
    "hole_scores": "A score",
    "par": "Par",
    "stroke_index": "The stroke index",
}


@dataclass(frozen=True, slots=True)
class Told:
    """A score told from above; `said` is empty where it counts no longer.

    `player`: public id. `origin`: what it comes from, the same for every correction of it.
    `said`: the score as the handicap record document has it, without the day. `cause`: kind,
    public id and words of what it was played in.
    """

    player: str
    origin: str
    played: date
    holes: int
    said: Mapping[str, object]
    cause: Mapping[str, str]


def hole_by_hole(
    strokes: Sequence[int | None],
    *,
    par: Sequence[int],
    stroke_index: Sequence[int],
    course_rating: Decimal,
    slope_rating: int,
    pcc: int = 0,
) -> dict[str, object]:
    """A card as a score: None is a hole without a score, which counts net double bogey."""
    return {
        "hole_scores": list(strokes),
        "par": list(par),
        "stroke_index": list(stroke_index),
        "course_rating": course_rating,
        "slope_rating": slope_rating,
        "pcc": pcc,
    }


def said_text(said: Mapping[str, object]) -> str:
    """The canonical JSON of a score, decimals with one digit; "{}" for none."""
    tidy = {
        key: _tidy(value) if key in _DECIMALS else value
        for key, value in said.items()
        if not (key == "pcc" and value == 0)
    }
    return canonical(tidy)


def _tidy(value: object) -> str:
    """A figure of tenths with its one digit; one with more keeps them, and is refused later."""
    figure = Decimal(str(value))
    return f"{figure:.1f}" if figure == round(figure, 1) else str(figure)


def read_said(text: str, *, played: date, holes: int = EIGHTEEN) -> Score:
    """A kept score as the engine has it; one of nine holes is `Total` or `ByHole` of nine.

    Raises Refused where it is no such score.
    """
    said = _with_numbers(text)
    if holes == NINE:
        return _nine(said, played)
    entry = {**said, "played": played.isoformat()}
    (score,) = read_record({"document": "handicap-record", "version": 1, "scores": [entry]})
    return score


def can_be(said: Mapping[str, object], *, played: date, holes: int) -> bool:
    """Whether the engine takes such a score."""
    try:
        read_said(said_text(said), played=played, holes=holes)
    except Refused:
        return False
    return True


def _with_numbers(text: str) -> dict[str, Any]:
    said = read_json(text)
    if not isinstance(said, dict):
        raise Refused("score", "wants an object")
    return {
        key: Decimal(value) if key in _DECIMALS and isinstance(value, str) else value
        for key, value in said.items()
    }


def plainly(text: str, *, played: date, holes: int) -> dict[str, Any]:
    """A kept score as the plain second reading takes it (`scoring.rules.recount_index`)."""
    said = _with_numbers(text) | {"played": played.isoformat()}
    return said | {"nine": True} if holes == NINE else said


def _nine(said: Mapping[str, Any], played: date) -> Total | ByHole:
    """Nine holes, with bounds of their own, since the open document knows eighteen alone."""
    if "differential" in said:
        raise Refused("differential", "is of 18 holes; nine holes have none of their own")
    ratings = _nine_ratings(said)
    if "adjusted_gross" in said:
        gross = whole(said["adjusted_gross"], "adjusted_gross", *_NINE_GROSS)
        return Total(played=played, adjusted_gross=gross, ratings=ratings)
    return ByHole(
        played=played,
        scores=tuple(
            None if one is None else Gross(whole(one, "hole_scores", 1, 99))
            for one in _list_of_nine(said, "hole_scores")
        ),
        par=tuple(whole(one, "par", 3, 6) for one in _list_of_nine(said, "par")),
        stroke_index=_nine_indexes(said),
        ratings=ratings,
    )


def _nine_ratings(said: Mapping[str, Any]) -> Ratings:
    rating = said.get("course_rating")
    low, high = _NINE_RATING
    if not isinstance(rating, int | Decimal) or not low <= rating <= high:
        raise Refused("course_rating", f"wants {low} to {high} for nine holes")
    return Ratings(
        course=Fraction(rating),
        slope=whole(said.get("slope_rating"), "slope_rating", *_SLOPE),
        pcc=whole(said.get("pcc", 0), "pcc", *_PCC),
    )


def _nine_indexes(said: Mapping[str, Any]) -> tuple[int, ...]:
    found = tuple(whole(one, "stroke_index", 1, 18) for one in _list_of_nine(said, "stroke_index"))
    if len(set(found)) != NINE:
        raise Refused("stroke_index", "has an index twice")
    return found


def _list_of_nine(said: Mapping[str, Any], key: str) -> list[Any]:
    found = said.get(key)
    if not isinstance(found, list) or len(found) != NINE:
        raise Refused(key, f"wants {NINE} holes")
    return found


def refusal_words(refused: Refused) -> str:
    """The engine's refusal of a score, as a sentence for the screen."""
    place = refused.place.removeprefix("scores[0]").lstrip(".")
    key = place.partition("[")[0]
    return f"{_NAMES.get(key, 'The score')} {refused.words}."


def refused_field(refused: Refused) -> str:
    """Which key of the score the engine refused; empty for the whole."""
    return refused.place.removeprefix("scores[0]").lstrip(".").partition("[")[0]


def in_words(score: Score, holes: int) -> str:
    """A score in a few words: "95 adjusted, 18 holes"."""
    if isinstance(score, Ready):
        return f"differential {score.differential}, worked out elsewhere"
    if isinstance(score, Total):
        return f"{score.adjusted_gross} adjusted gross, {holes} holes"
    return f"card of {holes} holes"
