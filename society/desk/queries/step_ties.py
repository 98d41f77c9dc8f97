"""The step of the ties: which are settled by countback, which are still level."""

from datetime import datetime
from itertools import groupby

from django.urls import reverse

from scoring.results.queries.standings import Standing, standing
from society.desk.queries.step import Step
from society.fixtures.models import Fixture
from society.fixtures.queries import competitions_of
from society.web.who import ORGANISERS, Who


def ties_step(fixture: Fixture, who: Who, at: datetime) -> Step:
    """How many ties there are, and whether somebody must say how one ended."""
    competitions = competitions_of(fixture)
    standings = [standing(competition) for competition in competitions]
    now = standings[0]
    counts = [_ties(found) for found in standings]
    ties, level = sum(n for n, _ in counts), sum(n for _, n in counts)
    worst = next((c for c, (_, n) in zip(competitions, counts, strict=True) if n), competitions[0])
    rulings = reverse("results:rulings", args=[worst.address])
    url = rulings if who.may(ORGANISERS) and not now.is_final else None
    unit = "tie" if ties == 1 else "ties"
    if now.is_final:
        words = "Done"
        desc = "Each tie is told under its upper row."
        return Step("Ties", desc, "ink", words, count=ties, unit=unit)
    if not now.cards_in:
        desc = "Countback settles ties as cards come in."
        return Step("Ties", desc, "pencil", "Waits for cards")
    all_in = now.cards_in == now.field_size
    if level:
        groups = "One group is" if level == 1 else f"{level} groups are"
        desc = f"{groups} level to the end and share the place, unless you set an order."
    else:
        desc = "Every tie so far falls by countback." if ties else "Nobody is level so far."
    words = "Nothing to do" if all_in else "Waits for the other cards"
    return Step("Ties", desc, "ink" if all_in else "pencil", words, url, ties, unit)


def _ties(now: Standing) -> tuple[int, int]:
    """How many groups were level on the total, and how many still are."""
    rows = now.answer["standings"]
    groups = [list(group) for _, group in groupby(rows, key=lambda row: row["total"])]
    level = {row["place"] for row in rows if row["tied"]}
    return sum(len(group) > 1 for group in groups), len(level)
