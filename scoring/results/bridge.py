"""Between the rows of a competition and the open event document that the engine reads.

The document says what stands: the field, the course card and the handicap each was frozen on, the
standing figures of every card, the rulings that were not withdrawn. It is what `export_event`
writes, what the pages score and, with keys in place of names, what a seal keeps.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from scoring.cards.bridge import CardReading
from scoring.cards.queries import cards_of
from scoring.results.models import Ruling
from scoring.results.rules import ACCEPTED, order_words
from scoring.rules.strict_json import Refused, read_json
from scoring.rules.values import Basis, HandicapKind, RulingKind
from society.courses.rules import RatedHoles
from society.entries.bridge.tees import card_of
from society.entries.models import CourseCard, Frozen
from society.entries.queries import current_course_cards, standing_frozen
from society.entries.rules.words import IN, FrozenReason
from society.fixtures.models import Competition, Round
from society.fixtures.rules import TakesPart

_HANDICAP_KEYS = {
    HandicapKind.INDEX: "handicap_index",
    HandicapKind.COURSE: "course_handicap",
    HandicapKind.PLAYING: "playing_handicap",
}
_DECIDED = "as the committee decided"  # stands in where the words of an order were blanked


@dataclass(frozen=True, slots=True)
class Facts:
    """All that one competition stands on, read at one moment.

    `readings`: the cards of its field by entry key, in order of the draw. `rulings`: those that
    stand, in the order they were made. `holes`: the numbers on the card of the course.
    """

    competition: Competition
    round: Round
    readings: Mapping[str, CardReading]
    frozen: Mapping[str, Frozen]
    course_cards: Mapping[str, CourseCard]
    rulings: tuple[Ruling, ...]

    @property
    def holes(self) -> tuple[int, ...]:
        """The holes in play as the card of the course numbers them."""
        return tuple(RatedHoles(self.round.holes).numbers)

    def names(self) -> dict[str, str]:
        """Players' names by entry key."""
        return {key: reading.start.entry.player.name for key, reading in self.readings.items()}


def facts_of(competition: Competition) -> Facts:
    """Read it all in a number of queries that does not depend on the field.

    The field: entries with Start and Frozen that hold their place, and that the competition is
    for.
    """
    round_ = competition.rounds.select_related("course").order_by("number")[0]
    frozen = standing_frozen(round_)
    cards = current_course_cards(round_)
    readings = {
        reading.start.entry.key: reading
        for entry_id, reading in cards_of(round_).items()
        if entry_id in frozen and _takes_part(competition, reading)
    }
    taken = {key: frozen[reading.entry_id] for key, reading in readings.items()}
    return Facts(
        competition=competition,
        round=round_,
        readings=readings,
        frozen=taken,
        course_cards={
            key: cards.get((row.tee_id, row.category)) or row.course_card
            for key, row in taken.items()
        },
        rulings=tuple(
            Ruling.objects.filter(competition=competition, withdrawn__isnull=True)
            .select_related("entry", "words")
            .order_by("pk")
        ),
    )


def _takes_part(competition: Competition, reading: CardReading) -> bool:
    entry = reading.start.entry
    if reading.start.step not in IN:  # type: ignore[attr-defined]
        return False
    return competition.takes_part == TakesPart.EVERYBODY or entry.as_member == (
        competition.takes_part == TakesPart.MEMBERS
    )


def event_document(competition: Competition, *, names: bool = True) -> dict[str, Any]:
    """The golf-event document of a competition as it stands now.

    `names=False` puts each player's key in place of the name. The engine may still refuse it,
    for instance where nobody is in the field.
    """
    return document_of(facts_of(competition), names=names)


def document_of(facts: Facts, *, names: bool = True) -> dict[str, Any]:
    """The golf-event document of facts already read."""
    competition, round_ = facts.competition, facts.round
    terms = read_json(competition.terms)
    gross = isinstance(terms, dict) and terms.get("basis") == Basis.GROSS
    tees = {card.key: _tee(card, facts.holes) for card in facts.course_cards.values()}
    document: dict[str, Any] = {
        "document": "golf-event",
        "version": 1,
        "event": {"name": competition.name, "date": round_.day.isoformat()},
        "terms": terms_as_document(terms),
        "tees": tees,
        "players": {
            key: _player(facts, key, tees, names=names, gross=gross) for key in facts.readings
        },
        "cards": {
            key: list(reading.strokes)
            for key, reading in facts.readings.items()
            if reading.strokes is not None
        },
    }
    rulings = [_ruling(row, facts.holes) for row in exported(facts)]
    return {**document, "rulings": rulings} if rulings else document


def exported(facts: Facts) -> list[Ruling]:
    """The rulings of the document, in its order: ours alone and those of nobody in it left out."""
    return [row for row in facts.rulings if row.kind != ACCEPTED and _in_document(row, facts)]


def _in_document(ruling: Ruling, facts: Facts) -> bool:
    if ruling.kind == RulingKind.ORDER:
        return set(detail_of(ruling)["players"]) <= facts.readings.keys()
    return ruling.entry is not None and ruling.entry.key in facts.readings


def detail_of(ruling: Ruling) -> dict[str, Any]:
    """What a ruling says beyond its kind: hole and strokes, points, or keys in order."""
    detail = read_json(ruling.detail)
    if not isinstance(detail, dict):
        raise TypeError("the detail of a ruling is an object")
    return detail


def _tee(course_card: CourseCard, holes: tuple[int, ...]) -> dict[str, Any]:
    card = card_of(course_card)
    par, index = _in_play(card["par"], holes), _in_play(card["stroke_index"], holes)
    tee = {"par": par, "stroke_index": index}
    if card["course_rating"] is None or card["slope_rating"] is None:
        return tee
    return tee | {
        "course_rating": Decimal(str(card["course_rating"])),
        "slope_rating": card["slope_rating"],
    }


def _in_play(figures: object, holes: tuple[int, ...]) -> list[int]:
    """A card of the course may list all eighteen where nine are in play."""
    if not isinstance(figures, list):
        raise TypeError("a card of the course lists its holes")
    return figures if len(figures) == len(holes) else [figures[hole - 1] for hole in holes]


def _player(
    facts: Facts, key: str, tees: Mapping[str, Any], *, names: bool, gross: bool
) -> dict[str, Any]:
    start, row = facts.readings[key].start, facts.frozen[key]
    tee = facts.course_cards[key].key
    player: dict[str, Any] = {"name": start.entry.player.name if names else key, "tee": tee}
    kind = HandicapKind(row.kind)
    # Gross needs no handicap; one that the tee cannot convert would only be refused.
    unrated = kind is HandicapKind.INDEX and "slope_rating" not in tees[tee]
    if not (gross and (unrated or row.reason_class == FrozenReason.NONE_NEEDED)):
        whole = kind is HandicapKind.PLAYING
        player[_HANDICAP_KEYS[kind]] = int(row.value) if whole else row.value
    divisions = read_json(start.entry.divisions)
    if divisions:
        player["divisions"] = divisions
    if start.first_hole in facts.holes[1:]:
        player["first_hole"] = facts.holes.index(start.first_hole) + 1
    return player


def _ruling(row: Ruling, holes: tuple[int, ...]) -> dict[str, Any]:
    detail = detail_of(row)
    said: dict[str, Any] = {"kind": row.kind}
    if row.kind == RulingKind.ORDER:
        said["players"] = detail["players"]
    elif row.entry is not None:
        said["player"] = row.entry.key
    if "hole" in detail:
        hole = detail["hole"]
        said["hole"] = holes.index(hole) + 1 if hole in holes else hole
    said |= {name: detail[name] for name in ("strokes", "points") if name in detail}
    if row.rule:
        said["rule"] = row.rule
    reason = row.reason or (_order(detail) if row.kind == RulingKind.ORDER else "")
    return said | {"reason": reason} if reason else said


def _order(detail: Mapping[str, Any]) -> str:
    """What an order says of itself where its words were blanked."""
    return order_words(detail.get("how", ""), "", detail.get("seed", "")) or _DECIDED


def terms_as_document(terms: object) -> dict[str, Any]:
    """Terms as the document writes them; canonical JSON has their one decimal as text."""
    if not isinstance(terms, dict):
        raise TypeError("terms are an object")
    allowance = terms.get("allowance")
    return terms | {"allowance": Decimal(allowance)} if isinstance(allowance, str) else terms


def sealed_document(inputs: str) -> dict[str, Any]:
    """The document of a seal's inputs, its decimals numbers again; ValueError if it is none."""
    document = read_json(inputs)
    try:
        return _numbers_again(document)
    except (TypeError, KeyError, ArithmeticError) as broken:
        raise ValueError("The inputs of this seal are no event document.") from broken


def _numbers_again(document: Any) -> dict[str, Any]:
    return {
        **document,
        "terms": terms_as_document(document["terms"]),
        "tees": _decimals(document["tees"].items(), ("course_rating",)),
        "players": _decimals(document["players"].items(), ("handicap_index", "course_handicap")),
    }


def _decimals(
    rows: Iterable[tuple[str, dict[str, Any]]], keys: tuple[str, ...]
) -> dict[str, dict[str, Any]]:
    return {
        name: row | {key: Decimal(row[key]) for key in keys if isinstance(row.get(key), str)}
        for name, row in rows
    }


# refusals in words -------------------------------------------------------------------------


def sentence(
    refused: Refused,
    document: Mapping[str, Any],
    facts: Facts,
    made: Ruling | None = None,
) -> str:
    """What the engine's refusal means, for the screen. `made`: the ruling just tried, if any."""
    if not document["players"]:
        return "Nobody is in the field of this competition."
    at = next(
        (
            at
            for at in range(len(document.get("rulings", [])))
            if refused.place.startswith(f"rulings[{at}]")
        ),
        None,
    )
    if at is None:
        return f"The engine cannot score this competition: {refused}."
    row = exported(facts)[at]
    whose = str(row.entry.player) if row.entry else ""
    what = refused.place.removeprefix(f"rulings[{at}]")
    if row.kind == RulingKind.ORDER and what.startswith(".players"):
        if made is not None and row.pk != made.pk:
            return (
                f"The order “{row.reason}” would no longer fit the cards. "
                "Withdraw that order first, then make this ruling."
            )
        return (
            "An order names all of one group that is still level after the countback, "
            f"and nobody else: it {refused.words}."
        )
    if what == ".kind" and row.kind == RulingKind.POINTS_OFF:
        return "Points come off only where points or holes are counted, not strokes."
    if what == ".kind":
        return f"{whose} has such a ruling already. Withdraw that one first."
    if what == ".hole":
        return "The card has no such hole."
    return f"That ruling cannot be taken: {what.lstrip('.')} {refused.words}."


def disagreement(found: Sequence[str]) -> str:
    """What is said where engine and recount differ; `found` as the recount gives it."""
    shown = ". ".join(found[:3])
    more = f" And {len(found) - 3} more." if len(found) > 3 else ""
    return f"The engine and the recount do not agree, so nothing was sealed. {shown}.{more}"
