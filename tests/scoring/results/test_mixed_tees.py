"""Different tees and categories in one field, against the worked figures of the reference.

Rules of Handicapping 2024, Rule 6.2b; case D-TEE-women of tests/cases/handicaps.json: index 22.6 on
a tee of slope 131, rating 73.4, par 73, with a lowest par of 71 in the field, allowance 95 %: plays
off 25 in Stableford and 27 in net stroke play.
"""

import json
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from scoring.results.queries.standings import Standing, provisional
from scoring.results.sheets import result_listing
from scoring.results.tables.board import board_of
from society.courses.models import Rating, Tee, TeeHole
from society.fixtures.models import Fixture, RoundTee
from tests.factories.cards import FIVES, ready
from tests.factories.courses import INDEXES, PARS, TeeFactory, rated_tee
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.factories.results import competition_of, paper

pytestmark = pytest.mark.django_db

CASES = json.loads((Path(__file__).parents[2] / "cases" / "handicaps.json").read_text())
CASE = next(
    case
    for value in (CASES.values() if isinstance(CASES, dict) else [CASES])
    if isinstance(value, list)
    for case in value
    if case["id"] == "D-TEE-women"
)


def womens_red(course: object) -> Tee:
    """The tee of the case: par 73 (one hole more than our card's 72), slope and rating."""
    given = CASE["inputs"]
    red = TeeFactory(name="Red", course=course)
    pars = [*PARS]
    pars[0] += given["par"] - sum(PARS)
    TeeHole.objects.bulk_create(
        TeeHole(tee=red, category="women", number=n, par=par, stroke_index=index, yards=280)
        for n, (par, index) in enumerate(zip(pars, INDEXES, strict=True), 1)
    )
    Rating.objects.create(
        tee=red,
        category="women",
        holes="18",
        valid_from=date(2020, 1, 1),
        course_rating=Decimal(str(given["course_rating"])),
        slope_rating=given["slope_rating"],
    )
    return red


def mixed(terms: str) -> Fixture:
    """A man from a tee of par 71 and the woman of the case, both cards in."""
    white = rated_tee(name="White")
    first = white.holes.get(number=1)
    first.par -= sum(PARS) - CASE["inputs"]["lowest_par_in_field"]
    first.save()
    fixture = saturday(tee=white, terms=terms)
    RoundTee.objects.create(
        round=fixture.rounds.get(), category="women", tee=womens_red(white.course)
    )
    entered(fixture, name="Ann", category="women", index=str(CASE["inputs"]["handicap_index"]))
    entered(fixture, name="Ben", index="10.0")
    for start in ready(fixture):
        paper(start, FIVES)
    return fixture


def standing(fixture: Fixture) -> Standing:
    return provisional(competition_of(fixture))


def playing(fixture: Fixture, name: str) -> int:
    now = standing(fixture)
    return next(
        row["playing_handicap"]
        for row in now.answer["standings"]
        if now.name_of(row["player"]) == name
    )


def test_stableford_adds_nothing_and_says_why() -> None:
    fixture = mixed('{"allowance":95,"format":"stableford"}')
    assert playing(fixture, "Ann") == CASE["expected"]["playing_handicap_stableford"]
    board = board_of(standing(fixture))
    assert {row.name: row.tee for row in board.rows} == {"Ann": "Red", "Ben": "White"}
    assert board.tees == (
        "Played from Red, par 73; White, par 71. "
        "Each hole counts against the par of the player’s own tee."
    )


def test_a_medal_adds_the_difference_in_par_and_says_it(secretary: Client) -> None:
    fixture = mixed('{"allowance":95,"format":"medal"}')
    assert playing(fixture, "Ann") == CASE["expected"]["playing_handicap_net_stroke_play"]
    words = "Strokes added for the higher par, in the playing handicap: Red 2 (Rule 6.2b)."
    assert board_of(standing(fixture)).tees.endswith(words)
    html = secretary.get(reverse("results:show", args=[fixture.public_id])).content.decode()
    assert "Red 2 (Rule 6.2b)" in html.replace("\xa0", " ")
    assert "White tee" in html


def test_a_file_for_a_spreadsheet_names_the_tee_and_the_place_in_each_division() -> None:
    fixture = mixed('{"allowance":95,"format":"stableford"}')
    fixture.entries.filter(player__name="Ben").update(divisions='["Low"]')
    listing = result_listing(standing(fixture))
    assert [column.heading for column in listing.columns][-2:] == ["Tee", "Divisions"]
    assert {row[2]: row[-2:] for row in listing.rows} == {
        "Ann": ["Red", ""],
        "Ben": ["White", "Low: 1"],
    }


def test_where_all_play_one_tee_nothing_is_said_of_it() -> None:
    fixture = saturday()
    entered(fixture)
    ready(fixture)
    assert board_of(standing(fixture)).tees == ""
