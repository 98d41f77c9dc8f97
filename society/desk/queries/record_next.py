"""What a player's next score must be to move the figure worked out from cards, in sentences."""

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from scoring.rules import parameters
from scoring.rules.handicap import course_handicap, round_half_up
from scoring.rules.parameters import EDITION, in_force
from scoring.rules.record.next import index_after, next_score, strokes_on
from scoring.rules.record.values import Adjustment, Nine, Ratings, Score
from scoring.rules.values import Tee
from society.desk.queries.record import RecordPage, signed
from society.desk.queries.would_play import WouldPlay
from society.handicaps.rules.own import Own
from society.handicaps.rules.scores import NINE, read_said
from society.web.templatetags.look import in_words

FEWEST = 3
_HOLES = 18
_MOST_FOR_POINTS = in_force(parameters.HIGHEST_INDEX, EDITION.effective).value
_LEVEL = 36  # points of 18 holes in net par, Rules of Golf 2023, Rule 21.1b


@dataclass(frozen=True, slots=True)
class Next:
    """What the next score does to a figure; all figures in tenths.

    `now`: the figure before it, None if there is none. `lowers`: the highest differential that
    brings a lower figure, `lowered` that figure; `raises`: the lowest that brings a higher one,
    `raised` that figure and `most` the highest that any score can bring. Each is None where no
    score does it. `first`: there is no figure yet, and any next score brings one.
    """

    now: Decimal | None
    lowers: Decimal | None
    lowered: Decimal | None
    raises: Decimal | None
    raised: Decimal | None
    most: Decimal | None
    first: bool

    @property
    def between(self) -> bool:
        """Whether there are scores that leave the figure as it is."""
        if self.lowers is None or self.raises is None:
            return True
        return self.raises - self.lowers > Decimal("0.1")


@dataclass(frozen=True, slots=True)
class NextGross:
    """The same from one tee, in adjusted gross and in Stableford points.

    `lowers`: the highest adjusted gross that lowers, `raises` the lowest that raises. The points
    are those of the whole course handicap, `course`: as many or more lower, as few or fewer raise;
    None where the gross is, or where a hole may count less than net double bogey.
    """

    course: int
    lowers: int | None
    raises: int | None
    lowers_points: int | None
    raises_points: int | None


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
    found = _next(scores, moves, page.on)
    if found.now is None:
        return NextShown(words=_before_the_first(found, page))
    shown = NextShown(_rows(found), _words(found))
    tee = chosen.tee if chosen else None
    ratings = _ratings(tee)
    if tee is None or ratings is None or chosen is None:
        return shown
    edges = _gross(scores, moves, page.on, found.now, ratings, tee.total_par)
    return _with_tee(shown, edges, chosen)


def _next(scores: list[Score | Nine], moves: list[Adjustment], on: date) -> Next:
    """The edges by differential, with the figures on them."""
    found = next_score(scores, moves, on)
    lowers, raises = found.turns.lowers, found.turns.raises
    return Next(
        now=found.now,
        lowers=lowers,
        lowered=None if lowers is None else index_after(scores, moves, on, lowers),
        raises=raises,
        raised=None if raises is None else index_after(scores, moves, on, raises),
        most=None if raises is None else found.highest,
        first=found.now is None and found.highest is not None,
    )


def _gross(
    scores: list[Score | Nine],
    moves: list[Adjustment],
    on: date,
    now: Decimal,
    ratings: Ratings,
    par: int,
) -> NextGross:
    """The edges from a tee. A hole held at net double bogey has no points, so adjusted gross and
    points add up to par + course handicap + 36 (Rules of Handicapping 2024, Rule 3.1b)."""
    turns = strokes_on(scores, moves, on, ratings)
    course = round_half_up(
        course_handicap(index=now, slope=ratings.slope, rating=ratings.course, par=par)
    )
    known = course <= _MOST_FOR_POINTS  # from 55 on a hole counts at most par + 5
    level = par + course + _LEVEL
    return NextGross(
        course=course,
        lowers=turns.lowers,
        raises=turns.raises,
        lowers_points=level - turns.lowers if turns.lowers is not None and known else None,
        raises_points=level - turns.raises if turns.raises is not None and known else None,
    )


def _engine(own: Own) -> tuple[list[Score | Nine], list[Adjustment]]:
    scores: list[Score | Nine] = []
    for kept in own.kept:
        score = read_said(kept.said, played=kept.played, holes=kept.holes)
        scores.append(Nine(score) if kept.holes == NINE else score)
    return scores, [Adjustment(move.on, move.shots, move.resets_low) for move in own.moves]


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
