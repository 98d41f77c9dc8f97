"""What a player's next score must be to move the figure worked out from cards, in sentences."""

from dataclasses import dataclass, replace
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
    """The edges: `rows` by differential, `tee_rows` from the tee that was chosen.

    A row is a figure for the margin and what it does. `words`: what is left to say; `where`: the
    tee, and the course handicap the points are counted off (empty without points).
    """

    rows: tuple[tuple[str, str], ...] = ()
    words: str = ""
    where: str = ""
    tee_rows: tuple[tuple[str, str], ...] = ()
    course: str = ""


def next_of(page: RecordPage, chosen: WouldPlay | None) -> NextShown:
    """What the next score must be; from a rated tee of 18 holes in strokes and points as well."""
    scores, moves = _engine(page.own)
    found = next_score(scores, moves, on=page.on)
    if found.now is None:
        return NextShown(words=_before_the_first(found, page))
    shown = NextShown(_rows(found), _words(found))
    tee = chosen.tee if chosen else None
    ratings = _ratings(tee)
    if tee is None or ratings is None or chosen is None:
        return shown
    edges = next_gross(scores, moves, on=page.on, ratings=ratings, par=tee.total_par)
    return _with_tee(shown, edges, chosen) if edges else shown


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


def _rows(found: Next) -> tuple[tuple[str, str], ...]:
    rows = []
    if found.lowers is not None and found.lowered is not None:
        lowers = signed(found.lowers)
        made = _figure(found.lowered)
        rows.append((lowers, f"or a better differential lowers it; {lowers} makes {made}"))
    if found.raises is not None:
        rows.append((signed(found.raises), f"or a worse one raises it, {_raised(found)}"))
    return tuple(rows)


def _words(found: Next) -> str:
    if found.lowers is None and found.raises is None:
        return "No score moves it."
    if found.raises is None:
        return "No score raises it: any other leaves it as it is."
    if found.lowers is None:
        return "No score lowers it."
    return "In between nothing moves." if found.between else "No score leaves it as it is."


def _raised(found: Next) -> str:
    raised, most = found.raised or Decimal(0), found.most or Decimal(0)
    if raised == most:
        return f"to {_figure(most)}"
    return f"from {_figure(raised)} to {_figure(most)} at most"


def _figure(value: Decimal) -> str:
    return f"{'+' if value < 0 else ''}{abs(value):.1f}"


def _with_tee(shown: NextShown, edges: NextGross, chosen: WouldPlay) -> NextShown:
    rows = []
    if edges.lowers is not None:
        points = _points(edges.lowers_points, "or more")
        rows.append((str(edges.lowers), f"or fewer adjusted strokes lower it{points}"))
    if edges.raises is not None:
        points = _points(edges.raises_points, "or fewer")
        rows.append((str(edges.raises), f"or more raise it{points}"))
    counted = edges.lowers_points is not None or edges.raises_points is not None
    course = f"+{-edges.course}" if edges.course < 0 else str(edges.course)
    return replace(
        shown,
        where=f"{chosen.card.tee.name.capitalize()} tee of {chosen.card.tee.course.name}",
        tee_rows=tuple(rows),
        course=course if counted else "",
    )


def _points(points: int | None, side: str) -> str:
    """The same edge in points, where there are such points."""
    if points is None or points < 0:
        return ""
    return f": {points} points {side}"
