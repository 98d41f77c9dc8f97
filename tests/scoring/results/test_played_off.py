"""A result says which handicap was played off, as the rules were when handicaps were taken."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from scoring.results.printing import result_html
from scoring.results.queries.standings import standing
from society.fixtures.actions.seasons import set_season_handicaps
from society.fixtures.models import Competition
from society.fixtures.queries import played_off_words
from society.handicaps.rules.season import Basis, HandicapRules
from tests.factories.results import AT, OFFICER, competition_of, played, scoring

pytestmark = pytest.mark.django_db
LOWER = "Played off: the lower of the association’s index and the society handicap."


def set_rules(competition: Competition, basis: Basis) -> None:
    season = competition.fixture.season
    set_season_handicaps(
        season=season,
        rules=HandicapRules(basis=basis),
        valid_from=season.starts_on,
        words="Agreed.",
        by=OFFICER,
        at=AT,
    )


def test_page_and_paper_say_it(society, member: Client) -> None:
    competition = competition_of(played([scoring(36)]))
    set_rules(competition, Basis.LOWER)
    Competition.objects.filter(pk=competition.pk).update(frozen_at=AT + timedelta(hours=1))
    competition.refresh_from_db()
    page = member.get(reverse("results:show", args=[competition.address])).content.decode()
    assert LOWER in page
    assert LOWER in result_html(standing(competition), AT)


def test_rules_set_afterwards_change_nothing_of_it(society) -> None:
    competition = competition_of(played([scoring(36)]))
    before = played_off_words(competition)
    Competition.objects.filter(pk=competition.pk).update(frozen_at=AT - timedelta(hours=1))
    competition.refresh_from_db()
    set_rules(competition, Basis.FIXED)
    assert played_off_words(competition) == before != ""


def test_gross_play_uses_none(society) -> None:
    terms = '{"basis":"gross","format":"stableford"}'
    assert played_off_words(competition_of(played([scoring(36)], terms=terms))) == ""
