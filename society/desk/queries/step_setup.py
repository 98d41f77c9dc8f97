"""The first step: the fixture is set up."""

from datetime import datetime
from decimal import Decimal
from fractions import Fraction

from django.urls import reverse

from society.desk.queries.step import Step
from society.entries.queries import in_the_field
from society.fixtures.models import Fixture
from society.fixtures.queries import engine_terms, the_competition, the_round
from society.fixtures.rules import ENDED, FORMAT_NAMES, FixtureState
from society.web.who import ORGANISERS, Who


def setup_step(fixture: Fixture, who: Who, at: datetime) -> Step:
    """What is played, from where, and what is missing: a tee for each category, a first time."""
    round_, competition = the_round(fixture), the_competition(fixture)
    terms = engine_terms(competition, round_.holes)
    tees = {row.category: row.tee.name for row in round_.tees.select_related("tee")}
    played = {entry.category for entry in in_the_field(fixture)}
    missing = [f"no tee for {category} yet" for category in sorted(played - set(tees))]
    words = [FORMAT_NAMES[terms.format], f"{_names(tees)} at {round_.course.name}"]
    if terms.net:
        words.append(f"{percent(terms.allowance)} %")
    if not round_.first_time:
        words.append("no first tee time")
    may = who.may(ORGANISERS) and FixtureState(fixture.state) not in ENDED
    return Step(
        title="Set up",
        desc="; ".join(missing).capitalize() if missing else ", ".join(words),
        state="act" if missing else "ink",
        state_words="Choose a tee" if missing else "Done",
        url=reverse("desk:fixture_change", args=[fixture.public_id]) if may else None,
        count=fixture.places,
        unit="places" if fixture.places else "no limit of places",
    )


def percent(allowance: Fraction) -> str:
    """An allowance without idle noughts: 95, 92.5."""
    return f"{Decimal(allowance.numerator) / Decimal(allowance.denominator):f}"


def _names(tees: dict[str, str]) -> str:
    names = sorted(set(tees.values()))
    return f"{' and '.join(names)} {'tee' if len(names) == 1 else 'tees'}"
