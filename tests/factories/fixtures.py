"""Seasons and fixtures: a plain Saturday has one round and one competition."""

from datetime import date, time

import factory
from factory.django import DjangoModelFactory

from society.courses.models import Tee
from society.fixtures.models import Competition, Fixture, Round, RoundTee, Season
from tests.factories.courses import rated_tee

TERMS = '{"allowance":95,"format":"stableford"}'


class SeasonFactory(DjangoModelFactory):
    class Meta:
        model = Season

    name = factory.Sequence(lambda n: f"Season {n}")
    starts_on = date(2026, 1, 1)
    ends_on = date(2026, 12, 31)


class FixtureFactory(DjangoModelFactory):
    class Meta:
        model = Fixture

    season = factory.SubFactory(SeasonFactory)
    name = factory.Sequence(lambda n: f"Fixture {n}")
    starts_on = date(2026, 4, 18)
    ends_on = factory.SelfAttribute("starts_on")
    state = "open"


def saturday(
    *, tee: Tee | None = None, terms: str = TERMS, category: str = "men", **values: object
) -> Fixture:
    """A fixture with its round (one tee, from 09:30) and its competition."""
    tee = tee or rated_tee(category=category)
    fixture = FixtureFactory(**values)
    round_ = Round.objects.create(
        fixture=fixture, number=1, course=tee.course, day=fixture.starts_on, first_time=time(9, 30)
    )
    RoundTee.objects.create(round=round_, category=category, tee=tee)
    competition = Competition.objects.create(
        fixture=fixture, number=1, name=fixture.name, terms=terms
    )
    competition.rounds.add(round_)
    return fixture
