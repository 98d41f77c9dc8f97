"""What a player's next score must be to move the figure worked out from cards, in sentences."""

from dataclasses import dataclass
from decimal import Decimal

from scoring.rules.record.next import Next, NextGross, next_gross, next_score
from scoring.rules.record.values import Adjustment, Nine, Ratings, Score
from scoring.rules.values import Tee
from society.desk.queries.record import RecordPage, signed
from society.desk.queries.would_play import WouldPlay
from society.handicaps.rules.own import Own
from society.handicaps.rules.scores import NINE, read_said
from society.web.templatetags.look import in_words

FEWEST = 3
_HOLES = 18


@dataclass(frozen=True, slots=True)
class NextShown:
    """The edges in sentences: by differential, and from the tee that was chosen."""

    lines: tuple[str, ...]
    tee: tuple[str, ...] = ()


def next_of(page: RecordPage, chosen: WouldPlay | None) -> NextShown:
    """What the next score must be; from a rated tee of 18 holes in strokes and points as well."""
    scores, moves = _engine(page.own)
    found = next_score(scores, moves, on=page.on)
    if found.now is None:
        return NextShown((_before_the_first(found, page),))
    lines = _lines(found)
    tee = chosen.tee if chosen else None
    ratings = _ratings(tee)
    if tee is None or ratings is None or chosen is None:
        return NextShown(lines)
    edges = next_gross(scores, moves, on=page.on, ratings=ratings, par=tee.total_par)
    return NextShown(lines, _from_tee(edges, chosen) if edges else ())


def _engine(own: Own) -> tuple[list[Score | Nine], list[Adjustment]]:
    scores: list[Score | Nine] = []
    for kept in own.kept:
        score = read_said(kept.said, played=kept.played, holes=kept.holes)
        scores.append(Nine(score) if kept.holes == NINE else score)
    return scores, [Adjustment(move.on, move.shots) for move in own.moves]


def _ratings(tee: Tee | None) -> Ratings | None:
    if tee is None or len(tee.par) != _HOLES:
        return None
    if tee.course_rating is None or tee.slope_rating is None:
        return None
    return Ratings(course=tee.course_rating, slope=tee.slope_rating, pcc=0)


def _before_the_first(found: Next, page: RecordPage) -> str:
    if found.first:
        return "The next score of 18 holes makes the first figure."
    missing = FEWEST - page.made
    return f"{in_words(missing).capitalize()} more scores of 18 holes make the first figure."


# sentences ------------------------------------------------------------------------------------


def _lines(found: Next) -> tuple[str, ...]:
    said = []
    if found.lowers is not None and found.lowered is not None:
        said.append(
            f"A differential of {signed(found.lowers)} or better lowers it; "
            f"{signed(found.lowers)} makes {_figure(found.lowered)}."
        )
    else:
        said.append("No score lowers it.")
    if found.raises is None or found.raised is None or found.most is None:
        said.append("No score raises it.")
    else:
        said.append(f"{signed(found.raises)} or worse raises it, {_raised(found)}.")
    if found.between and found.raises is not None:
        said.append("In between nothing moves.")
    elif found.raises is None and found.lowers is not None:
        said.append("Any other leaves it as it is.")
    return tuple(said)


def _raised(found: Next) -> str:
    raised, most = found.raised or Decimal(0), found.most or Decimal(0)
    if raised == most:
        return f"to {_figure(most)}"
    return f"from {_figure(raised)} to {_figure(most)} at most"


def _figure(value: Decimal) -> str:
    return f"{'+' if value < 0 else ''}{abs(value):.1f}"


def _from_tee(edges: NextGross, chosen: WouldPlay) -> tuple[str, ...]:
    where = f"the {chosen.card.tee.name} tee of {chosen.card.tee.course.name}"
    said = []
    if edges.lowers is not None:
        points = _points(edges.lowers_points, "or more")
        said.append(f"From {where}: {edges.lowers} or fewer adjusted strokes lower it{points}.")
    if edges.raises is not None:
        points = _points(edges.raises_points, "or fewer")
        said.append(f"{edges.raises} or more raise it{points}.")
    if said and (edges.lowers_points is not None or edges.raises_points is not None):
        course = f"+{-edges.course}" if edges.course < 0 else str(edges.course)
        said.append(f"Points are Stableford points off the whole course handicap, {course}.")
    return tuple(said)


def _points(points: int | None, side: str) -> str:
    """The same edge in points, where there are such points."""
    if points is None or points < 0:
        return ""
    return f", {points} points {side}"
