"""What the pages need on which an officer adds a score to a record, takes one off or adjusts."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models.functions import Lower

from scoring.rules.record.index import highest_by_committee
from scoring.rules.values import HandicapKind
from society.courses.models import Tee
from society.courses.queries import course_card
from society.courses.rules import RatedHoles
from society.desk.queries.handicaps import figure
from society.handicaps.models import Score
from society.handicaps.queries.scores import Preview, own_of
from society.handicaps.rules.own import low_began, lowest_in_a_year, steps
from society.handicaps.rules.scores import NOTHING, hole_by_hole, in_words, read_said
from society.members.models import Player
from society.members.queries import another_holds
from society.web.refusals import BadInput, Missing
from society.web.who import HANDICAPPERS, Who


def tees_to_choose(player: Player) -> list[tuple[str, str]]:
    """The tees that have a card for the player's category: public id, and course and tee."""
    rows = (
        Tee.objects.filter(course__retired=False, holes__category=player.category)
        .select_related("course")
        .order_by(Lower("course__name"), Lower("name"))
        .distinct()
    )
    return [(tee.public_id, f"{tee.course.name}, {tee.name}") for tee in rows]


def said_of_card(
    player: Player,
    *,
    tee: str,
    holes: RatedHoles,
    played: date,
    strokes: tuple[int | None, ...],
    pcc: int,
) -> dict[str, object]:
    """A card as a score, with the ratings in force on the day. BadInput where there are none."""
    found = Tee.objects.filter(public_id=tee).first()
    if found is None:
        raise BadInput("Choose a tee of the list.", field="tee")
    card = course_card(found, player.category, holes, played)
    rating, slope = card["course_rating"], card["slope_rating"]
    par, index = card["par"], card["stroke_index"]
    if not (isinstance(rating, Decimal) and isinstance(slope, int)):
        raise BadInput(
            f"The {found.name} tee had no Course Rating and Slope Rating for these holes on that "
            "day, so a card makes no score there. Type the adjusted gross with the ratings.",
            field="tee",
        )
    if not (isinstance(par, list) and isinstance(index, list)):
        raise TypeError("a card of the course lists its holes")
    return hole_by_hole(
        strokes,
        par=par,
        stroke_index=index,
        course_rating=rating,
        slope_rating=slope,
        pcc=pcc,
    )


def alone(player: Player, who: Who, at: datetime) -> bool:
    """Whether it is one's own record and no other officer can act: a witness is named."""
    return who.is_player(player.public_id) and not another_holds(HANDICAPPERS, who, at)


def score_to_withdraw(player: Player, public_id: str) -> Score:
    """A score of a player, by the public id of any of its numbers: the one that stands.

    Raises Missing where it is not this player's, or counts no longer.
    """
    asked = Score.objects.filter(player=player, public_id=public_id).first()
    if asked is not None:
        last = Score.objects.filter(player=player, origin=asked.origin).order_by("number").last()
        if last is not None and last.said != NOTHING:
            return last
    raise Missing("There is no such score that counts.")


def score_words(score: Score) -> str:
    """What a score is, in a few words."""
    return in_words(read_said(score.said, played=score.played, holes=score.holes), score.holes)


@dataclass(frozen=True, slots=True)
class Tried:
    """What a change would do, ready to be shown: figures with their tenth, "none" without."""

    before: str
    after: str
    changes: list[tuple[date, str, str]]
    waits: bool
    low: str
    cautions: Sequence[str]


def tried(seen: Preview) -> Tried:
    """A preview for the screen."""
    return Tried(
        before=_shown(seen.before),
        after=_shown(seen.after),
        changes=[(one.day, _shown(one.old), _shown(one.new)) for one in seen.changes],
        waits=seen.waits,
        low=seen.low,
        cautions=seen.cautions,
    )


@dataclass(frozen=True, slots=True)
class Adjustable:
    """The figure a committee would move, and how far: "none" where there is none.

    `since`: from which day the figure counts, which may be to come. `began`: the day on which the
    low index last began anew.
    """

    figure: str
    lowest: str
    highest: str
    there: bool
    since: date | None
    began: date | None


def adjustable(player: Player, on: date) -> Adjustable:
    """What a player's figure is and how far a committee may raise it."""
    own = own_of(player)
    low = lowest_in_a_year(own, on)
    changed = steps(own)
    return Adjustable(
        figure=_shown(own.figure),
        lowest=_shown(low),
        highest=_shown(None if low is None else highest_by_committee(low)),
        there=own.figure is not None,
        since=changed[-1].day if changed else None,
        began=low_began(own.found),
    )


def _shown(value: Decimal | None) -> str:
    return "none" if value is None else figure(HandicapKind.INDEX, value)
