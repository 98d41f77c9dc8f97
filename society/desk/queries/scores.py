"""The cards of a fixture as scores for the handicap records, and what is not told and why."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from scoring.cards.bridge import CardReading
from scoring.cards.queries import cards_of
from scoring.results.bridge import detail_of
from scoring.results.models import Ruling
from scoring.results.rules import STATUSES
from scoring.rules.values import INDIVIDUAL, RulingKind
from society.courses.rules import RatedHoles
from society.entries.bridge.tees import card_of
from society.entries.models import CourseCard
from society.entries.queries import current_course_cards, standing_frozen
from society.entries.rules.words import IN
from society.fixtures.models import Fixture, Round
from society.fixtures.queries import engine_terms, the_competition, the_round
from society.handicaps.rules.scores import Told, can_be, hole_by_hole
from society.web.templatetags.look import count_of

# At least ten of eighteen holes are to be played (Rules of Handicapping 2024, Rule 2.2b). A card
# does not tell a hole given up from one not played, so holes with a score are counted; that five
# of nine are enough is our own choice.
_FEWEST = {18: 10, 9: 5}

_WORDS = {
    "guest": ("guest,guests", ""),
    "no card": ("player,players", "without a card"),
    RulingKind.NO_RETURN.value: ("card,cards", "not returned"),
    RulingKind.WITHDRAWN.value: ("player,players", "withdrawn"),
    RulingKind.DISQUALIFIED.value: ("player,players", "disqualified"),
    "few": ("card,cards", "with too few holes"),
    "unrated": ("card,cards", "from a tee without Course Rating and Slope Rating"),
    "odd": ("card,cards", "with ratings or strokes that no record takes"),
}


@dataclass(frozen=True, slots=True)
class ToTell:
    """The scores of a fixture, what their origins begin with, and what is left out, in words."""

    told: Sequence[Told]
    within: str
    left_out: str


def scores_to_tell(fixture: Fixture) -> ToTell:
    """Every member's card of the round as a score. A constant number of queries.

    Individual rounds with one's own ball alone. A card counts with the strokes that stand and
    the penalties that were ruled on its holes; a hole without a score counts net double bogey,
    which the engine sees to. Cards that were not returned, and those of players withdrawn or
    disqualified, make no score.
    """
    round_ = the_round(fixture)
    within = f"round:{round_.public_id}:"
    if engine_terms(the_competition(fixture), round_.holes).format not in INDIVIDUAL:
        return ToTell((), within, "It is not played with one’s own ball alone: no scores.")
    return _from_cards(fixture, round_, within)


def _from_cards(fixture: Fixture, round_: Round, within: str) -> ToTell:
    frozen, cards = standing_frozen(round_), current_course_cards(round_)
    status, penalties = _rulings(fixture)
    cause = {"kind": "fixture", "id": fixture.public_id, "words": fixture.name}
    holes = RatedHoles(round_.holes)
    told: list[Told] = []
    left: Counter[str] = Counter()
    for entry_id, reading in cards_of(round_).items():
        row, entry = frozen.get(entry_id), reading.start.entry
        if row is None or reading.start.step not in IN:  # type: ignore[attr-defined]
            continue
        card = cards.get((row.tee_id, row.category)) or row.course_card
        why = _left_out(reading, status.get(entry_id, ""), card, holes)
        if why:
            left[why] += 1
            continue
        said = _said(reading, card, penalties.get(entry_id, {}), holes)
        if not can_be(said, played=round_.day, holes=holes.count):
            left["odd"] += 1  # a result is never held up by its handicaps
            continue
        origin = within + entry.public_id
        told.append(Told(entry.player.public_id, origin, round_.day, holes.count, said, cause))
    return ToTell(told, within, _words(left))


def _rulings(fixture: Fixture) -> tuple[dict[int, str], dict[int, dict[int, int]]]:
    """By entry id: the status of a card in any competition; strokes added, by hole, in the first.

    One query.
    """
    rows = Ruling.objects.filter(
        competition__fixture=fixture, entry__isnull=False, withdrawn__isnull=True
    ).select_related("competition")
    status: dict[int, str] = {}
    penalties: dict[int, dict[int, int]] = {}
    for row in rows.order_by("pk"):
        if row.entry_id is None:
            continue
        if row.kind in STATUSES:
            status[row.entry_id] = row.kind
        elif row.kind == RulingKind.PENALTY and row.competition.number == 1:
            detail = detail_of(row)
            of_entry = penalties.setdefault(row.entry_id, {})
            of_entry[detail["hole"]] = of_entry.get(detail["hole"], 0) + detail["strokes"]
    return status, penalties


def _left_out(reading: CardReading, status: str, card: CourseCard, holes: RatedHoles) -> str:
    """Why a card makes no score, by its name in the list of words; empty where it makes one."""
    if not reading.start.entry.as_member:
        return "guest"
    if status:
        return status
    if reading.strokes is None:
        return "no card"
    if sum(one is not None for one in reading.strokes) < _FEWEST[holes.count]:
        return "few"
    kept = card_of(card)
    return "unrated" if kept["course_rating"] is None or kept["slope_rating"] is None else ""


def _said(
    reading: CardReading, card: CourseCard, penalties: Mapping[int, int], holes: RatedHoles
) -> dict[str, object]:
    kept = card_of(card)
    strokes = [
        None if one is None else one + penalties.get(hole, 0)
        for hole, one in zip(holes.numbers, reading.strokes or (), strict=True)
    ]
    slope = kept["slope_rating"]
    return hole_by_hole(
        strokes,
        par=_in_play(kept["par"], holes),
        stroke_index=_in_play(kept["stroke_index"], holes),
        course_rating=Decimal(str(kept["course_rating"])),
        slope_rating=slope if isinstance(slope, int) else 0,
    )


def _in_play(figures: object, holes: RatedHoles) -> list[int]:
    """A card of the course may list all eighteen where nine are in play."""
    if not isinstance(figures, list):
        raise TypeError("a card of the course lists its holes")
    if len(figures) == holes.count:
        return figures
    return [figures[hole - 1] for hole in holes.numbers]


def _words(left: Counter[str]) -> str:
    """What makes no score, without anybody's name: "No score from: 1 player disqualified."."""
    parts = [
        f"{count_of(left[why], who)} {what}".strip()
        for why, (who, what) in _WORDS.items()
        if left[why]
    ]
    return f"No score for the handicap records from: {', '.join(parts)}." if parts else ""
