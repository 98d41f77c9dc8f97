"""The lesson of one player: on any card of a course, or for a fixture as it is played."""

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import partial
from typing import Any, cast

from django.db.models import Prefetch

from scoring.rules.handicap import round_half_up
from scoring.rules.terms import read_terms
from scoring.rules.values import ONE_BALL, Handicap, HandicapKind, Terms
from scoring.rules.values import Tee as EngineTee
from scoring.rules.working import Working, working
from society.courses.models import Course, Tee, TeeHole
from society.courses.queries import course_card
from society.courses.rules import RatedHoles
from society.desk.queries.handicaps import figure, heading_of
from society.desk.rules.lesson import Ground, Lesson, lesson, where_shots_fall
from society.entries.bridge.handicaps import HandicapLine, handicap_lines, working_of
from society.entries.bridge.tees import PlaysOff, engine_tee, plays_off
from society.entries.queries import starts_of
from society.fixtures.models import Fixture, RoundTee
from society.fixtures.queries import engine_terms, the_competition, the_round
from society.handicaps.queries.record import with_newest
from society.handicaps.rules.figures import written
from society.members.models import Player
from society.web.refusals import BadInput

# choosing a card ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CardChoice:
    """The card of a tee for a category. `value` is what a form sends for it."""

    tee: Tee
    category: str
    holes: int

    @property
    def value(self) -> str:
        """The tee's public id and the category."""
        return f"{self.tee.public_id}.{self.category}"

    @property
    def label(self) -> str:
        """The course too: a closed list shows the line chosen without its heading."""
        return f"{self.tee.course.name}, {self.tee.name} tee, {self.category}"


def cards_to_choose(courses: Iterable[Course] | None = None) -> list[CardChoice]:
    """Every card of every course in use, by course. Three queries."""
    among = Course.objects.filter(retired=False) if courses is None else courses
    tees = (
        Tee.objects.filter(course__in=among)
        .select_related("course")
        .order_by("course__name", "name")
        .prefetch_related(Prefetch("holes", queryset=TeeHole.objects.order_by("number")))
    )
    found = []
    for tee in tees:
        counted: dict[str, int] = {}
        for hole in tee.holes.all():
            counted[hole.category] = counted.get(hole.category, 0) + 1
        found += [CardChoice(tee, category, count) for category, count in sorted(counted.items())]
    return found


def by_course(cards: Sequence[CardChoice]) -> list[tuple[str, list[tuple[str, str]]]]:
    """The cards as the groups of one list to choose from."""
    grouped: dict[str, list[tuple[str, str]]] = {}
    for card in cards:
        grouped.setdefault(card.tee.course.name, []).append((card.value, card.label))
    return list(grouped.items())


def first_card(cards: Sequence[CardChoice], player: Player | None, on: date) -> CardChoice | None:
    """The card of the next fixture for a player's category, else the first that fits, else any."""
    if player is not None:
        coming = (
            RoundTee.objects.filter(category=player.category, round__day__gte=on)
            .order_by("round__day", "pk")
            .values_list("tee_id", flat=True)
            .first()
        )
        fitting = [card for card in cards if card.category == player.category]
        return next((card for card in fitting if card.tee.pk == coming), None) or next(
            iter(fitting or cards), None
        )
    return next(iter(cards), None)


def newest_figure(player: Player, on: date) -> tuple[HandicapKind, Decimal] | None:
    """The newest line of a player's record that is valid on a day; None without a record."""
    found: Any = with_newest(Player.objects.filter(pk=player.pk), on).get()
    if found.handicap is None:
        return None
    return HandicapKind(found.handicap_kind), found.handicap


# what it comes to ---------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Chain:
    """How a handicap becomes what is played off, as people write it; empty for a step left out.

    `heading`: what the figure it begins with is called over a narrow column.
    """

    index: str
    course: str
    playing: str
    allowance: str
    heading: str = "Index"

    @property
    def called(self) -> str:
        """The same in full, a word of the glossary."""
        return "handicap index" if self.heading == "Index" else "society handicap"


@dataclass(frozen=True, slots=True)
class Told:
    """A lesson with what stands at its head; `time`, `marker` and `marks` only once drawn.

    `steps` works the playing handicap out step by step, when a page asks for it.
    """

    lesson: Lesson
    chain: Chain
    course: str
    tee: str
    category: str
    player: Player | None = None
    name: str = ""
    time: dt.time | None = None
    group: int | None = None
    marker: str = ""
    marks: str = ""
    steps: Callable[[], Working | None] = lambda: None

    @property
    def working(self) -> Working | None:
        """How the playing handicap came about; None where it is not known."""
        return self.steps()

    @property
    def where(self) -> str:
        """Where the shots fall, in a sentence."""
        return where_shots_fall(self.lesson.playing, len(self.lesson.holes))


def plain_terms(format_: str, holes: RatedHoles) -> Terms:
    """The terms of a format with nothing else said: recommended allowance, usual maximum."""
    return read_terms({"format": format_}, holes.count)


def ground_of(card: dict[str, object], holes: RatedHoles) -> Ground:
    """A card of the course as the lesson takes it."""
    return Ground(
        numbers=tuple(holes.numbers),
        par=tuple(cast("Sequence[int]", card["par"])),
        stroke_index=tuple(cast("Sequence[int]", card["stroke_index"])),
        yards=tuple(cast("Sequence[int | None]", card.get("yards") or ())),
    )


@dataclass(frozen=True, slots=True)
class Chosen:
    """A card, the holes played, and the handicap of a player there."""

    card: CardChoice
    holes: RatedHoles
    terms: Terms
    ground: Ground
    plays: PlaysOff
    kind: HandicapKind
    value: Decimal
    tee: EngineTee


def worked_out(
    card: CardChoice,
    holes: RatedHoles,
    terms: Terms,
    kind: HandicapKind,
    value: Decimal,
    *,
    on: date,
) -> Chosen:
    """What a handicap comes to on a card. Raises BadInput with the field it is about."""
    found = course_card(card.tee, card.category, holes, on)
    if kind is HandicapKind.INDEX and found["course_rating"] is None:
        raise BadInput(
            f"The {card.tee.name} tee has no rating for these holes, so an index cannot be "
            "converted. Write a course handicap or a playing handicap.",
            field="handicap",
        )
    tee = engine_tee("own", found)
    plays = plays_off(terms, {"own": (tee, kind, value)})["own"]
    return Chosen(card, holes, terms, ground_of(found, holes), plays, kind, value, tee)


def told(chosen: Chosen, player: Player | None) -> Told:
    """The lesson of what was chosen."""
    return Told(
        lesson=lesson(chosen.terms, chosen.ground, playing=chosen.plays.playing),
        chain=_chain(chosen.terms, chosen.plays, chosen.kind, chosen.value),
        course=chosen.card.tee.course.name,
        tee=chosen.card.tee.name,
        category=chosen.card.category,
        player=player,
        name=player.name if player else "",
        steps=partial(_steps, chosen),
    )


def _steps(chosen: Chosen) -> Working:
    brought = Handicap(chosen.kind, Fraction(chosen.value))
    return working(
        chosen.terms,
        chosen.tee,
        brought,
        extra=chosen.plays.extra,
        numbers=chosen.ground.numbers,
    )


def _chain(
    terms: Terms, plays: PlaysOff, kind: HandicapKind | None, value: Decimal | None
) -> Chain:
    course = "" if plays.course is None else written(Decimal(round_half_up(plays.course)))
    return Chain(
        index=figure(kind, value) if kind is HandicapKind.INDEX else "",
        course=course,
        playing=written(Decimal(plays.playing)),
        allowance=f"{terms.allowance} %" if plays.course is not None else "",
    )


# a fixture ----------------------------------------------------------------------------------


def fixture_lessons(fixture: Fixture) -> list[Told]:
    """A lesson for everyone in the field who can play off something, by group, then by name.

    As handicaps were taken, or as they would be now. Where one ball is played by a side there is
    none: its shots are the side's.
    """
    round_ = the_round(fixture)
    holes = RatedHoles(round_.holes)
    terms = engine_terms(the_competition(fixture), round_.holes)
    if terms.format in ONE_BALL:
        return []
    starts = starts_of(round_)
    names = {start.entry_id: start.entry.player.name for start in starts.values()}
    marks: dict[int, list[str]] = {}
    for each in starts.values():
        if each.marker_id:
            marks.setdefault(each.marker_id, []).append(names[each.entry_id])
    made = []
    for line in handicap_lines(fixture):
        if line.plays is None or line.card is None or line.tee is None:
            continue
        start = starts.get(line.entry.pk)
        made.append(
            Told(
                lesson=lesson(terms, ground_of(dict(line.card), holes), playing=line.plays.playing),
                chain=_chain_of(terms, line),
                course=round_.course.name,
                tee=line.tee.name,
                category=line.entry.category,
                player=line.entry.player,
                name=line.entry.player.name,
                time=start.time if start else None,
                group=start.group if start else None,
                marker=start.marker.player.name if start and start.marker else "",
                marks=" and ".join(sorted(marks.get(line.entry.pk, ()))),
                steps=partial(working_of, line, terms, tuple(holes.numbers)),
            )
        )
    return sorted(made, key=lambda one: (one.group or 999, one.name.casefold()))


def _chain_of(terms: Terms, line: HandicapLine) -> Chain:
    assert line.plays is not None  # noqa: S101 - the caller has looked
    made = _chain(terms, line.plays, line.kind, line.value)
    return replace(made, heading=heading_of(line))
