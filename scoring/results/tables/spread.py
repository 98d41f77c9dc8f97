"""How the scores of a result are spread: how many came in with each total."""

from collections.abc import Collection, Sequence

from scoring.results.queries.standings import Standing
from scoring.results.tables.board import format_of, total_head, total_words
from scoring.rules.values import STROKE_TOTALS, Format
from society.web.charts import Mark, Picture, bars

MOST_BARS = 15
FEWEST_CARDS = 2


def spread_of(standing: Standing, mine: Collection[str] = (), division: str = "") -> Picture | None:
    """A bar for each total, or for a few together where they are far apart.

    None where fewer than two cards have a total. `mine`: public ids of the reader's players.
    Raises KeyError for a division nobody carries.
    """
    lists = standing.answer["divisions"][division] if division else standing.answer
    rows = lists["standings"]
    if len(rows) < FEWEST_CARDS:
        return None
    format_, net = format_of(standing.document)
    totals = sorted(row["total"] for row in rows)
    own = [row["total"] for row in rows if _is_mine(standing, row["player"], mine)]
    heaps = heaps_of(totals)
    marks = [
        Mark(total_words(first, format_), count, any(first <= total <= last for total in own))
        for first, last, count in heaps
    ]
    title = f"Spread of scores{f', {division}' if division else ''}"
    words = _words(totals, format_, own)
    return Picture(
        name="spread",
        title=title,
        words=words,
        svg=bars(marks, name="spread", title=title, words=words),
        head=(total_head(format_, net), "Cards"),
        rows=tuple((_range(first, last, format_), str(count)) for first, last, count in heaps),
    )


def _is_mine(standing: Standing, key: str, mine: Collection[str]) -> bool:
    return key in standing.people and standing.people[key].player in mine


def heaps_of(totals: Sequence[int]) -> list[tuple[int, int, int]]:
    """First and last total and how many cards, from the lowest to the highest, none left out.

    >>> heaps_of([28, 30, 30, 31])
    [(28, 28, 1), (29, 29, 0), (30, 30, 2), (31, 31, 1)]
    """
    low, high = min(totals), max(totals)
    width = -(-(high - low + 1) // MOST_BARS)
    return [
        (first, first + width - 1, sum(first <= total < first + width for total in totals))
        for first in range(low, high + 1, width)
    ]


def _range(first: int, last: int, format_: Format) -> str:
    said = total_words(first, format_)
    return said if first == last else f"{said} to {total_words(last, format_)}"


def _words(totals: Sequence[int], format_: Format, own: Sequence[int]) -> str:
    """Between which totals they lie, and which one the card in the middle has."""
    low, high = (total_words(total, format_) for total in (totals[0], totals[-1]))
    best_last = format_ not in STROKE_TOTALS
    middle = total_words(_middle(totals, best_last), format_)
    half = f"at least half of them have {middle} or {'more' if best_last else 'fewer'}"
    said = f"{len(totals)} cards, from {low} to {high}; {half}."
    return f"{said} The dark bar is yours." if own else said


def _middle(totals: Sequence[int], best_last: bool) -> int:
    """The total that at least half of the cards have or better."""
    half = -(-len(totals) // 2)
    return totals[-half] if best_last else totals[half - 1]
