"""What a player would play off on any card of the society, worked out step by step."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from scoring.rules.handicap import round_half_up
from scoring.rules.terms import read_terms
from scoring.rules.values import Handicap, HandicapKind, Tee
from scoring.rules.working import Step, Working, shown, working
from society.courses.queries import course_card
from society.courses.rules import HOLES_IN_WORDS, RatedHoles
from society.desk.queries.learn import CardChoice, cards_to_choose, first_card
from society.desk.queries.record import line_words
from society.entries.bridge.tees import engine_tee
from society.handicaps.rules.figures import written_of
from society.handicaps.rules.used import Used
from society.members.models import Player
from society.web.refusals import BadInput


@dataclass(frozen=True, slots=True)
class WouldPlay:
    """What a figure comes to on a card; `lacks` says why it comes to nothing.

    `course`: the exact course handicap, and rounded, as people write them; empty where none is
    worked out. `tee`: with its ratings, for what a score would count.
    """

    card: CardChoice
    holes: RatedHoles
    allowance: int
    lacks: str = ""
    working: Working | None = None
    tee: Tee | None = None

    @property
    def where(self) -> str:
        """The tee, the course and the holes."""
        name = f"the {self.card.tee.name} tee of {self.card.tee.course.name}"
        return f"{name}, {HOLES_IN_WORDS[self.holes]}"

    @property
    def course(self) -> tuple[str, str]:
        """The course handicap exactly and rounded."""
        exact = self.working.course if self.working else None
        if exact is None:
            return "", ""
        return _plus(shown(exact)), _plus(str(round_half_up(exact)))

    @property
    def playing(self) -> int:
        """What would be played off."""
        return self.working.playing if self.working else 0


def _plus(said: str) -> str:
    return f"+{said[1:]}" if said.startswith("-") else said


def cards_for(player: Player) -> list[CardChoice]:
    """The cards of all courses in use for a player's category; all where there is none."""
    cards = cards_to_choose()
    return [card for card in cards if card.category == player.category] or cards


def usual_card(cards: Sequence[CardChoice], player: Player, on: date) -> CardChoice | None:
    """The card of the next fixture, else the first."""
    return first_card(cards, player, on)


def would_play(
    used: Used, card: CardChoice, holes: RatedHoles, allowance: int, on: date
) -> WouldPlay:
    """What a figure comes to on a card on a day, at an allowance in percent."""
    asked = WouldPlay(card, holes, allowance)
    try:
        found = course_card(card.tee, card.category, holes, on)
    except BadInput as refusal:
        return replace(asked, lacks=refusal.words)
    tee = engine_tee("would", found)
    if used.kind is HandicapKind.INDEX and found["course_rating"] is None:
        return replace(
            asked,
            lacks=f"{asked.where[:1].upper()}{asked.where[1:]}, has no rating, so this figure "
            "cannot be converted. Only a course or playing handicap can be used there.",
        )
    terms = read_terms({"format": "stableford", "allowance": Decimal(allowance)}, holes.count)
    brought = Handicap(used.kind, Fraction(used.value))
    made = working(terms, tee, brought, numbers=tuple(holes.numbers))
    return replace(asked, tee=tee, working=replace(made, steps=(*_brought(used), *made.steps[1:])))


def _brought(used: Used) -> tuple[Step, ...]:
    """Where the figure comes from: its own steps, or the line of the record."""
    if used.steps:
        return used.steps
    base = used.base
    title = line_words(base.kind.value, base.source.value).partition(",")[0]
    words = f"{base.in_words[:1].upper()}{base.in_words[1:]}."
    return (Step(title, written_of(base.kind, base.value), words=words),)
