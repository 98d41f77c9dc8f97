"""The pages on which an officer adds a score, takes one off, or adjusts a record."""

from collections.abc import Iterator
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
import time_machine
from django.test import Client

from scoring.rules.strict_json import read_json
from society.handicaps.models import Adjustment, HandicapEntry, Score
from society.members.models import Player
from tests.conftest import signed_in
from tests.factories.cards import FIVES
from tests.factories.courses import PARS, rated_tee
from tests.factories.members import AccountFactory, OfficeFactory, PlayerFactory
from tests.factories.records import differentials, score

# Rules of Handicapping 2024, Interpretation 5.2a/2: an index of 37.4.
SIX = ("40.7", "42.4", "36.1", "45.9", "43.6", "45.0")


@pytest.fixture(autouse=True)
def today() -> Iterator[None]:
    """Sessions, offices and windows of a year all stand on one day."""
    with time_machine.travel(datetime(2026, 6, 1, 9, 0, tzinfo=UTC), tick=False):
        yield


@pytest.fixture
def keeper(society: object) -> Client:
    """The handicap secretary's browser, who is no player."""
    account = AccountFactory()
    OfficeFactory(account=account, role="handicap_secretary")
    return signed_in(account)


@pytest.fixture
def six(society: object) -> Player:
    player = PlayerFactory(name="Ivo Marrable")
    for day, tens in enumerate(SIX, start=1):
        score(player, tens, date(2026, 3, day))
    return player


def new(player: Player, known: str = "ready") -> str:
    return f"/players/{player.public_id}/scores/new/?known={known}"


def ready(**values: str) -> dict[str, str]:
    return {
        "played": "2026-03-07",
        "differential": "30.0",
        "words": "away",
        "step": "keep",
    } | values


def page(response: object) -> str:
    return response.content.decode()  # type: ignore[attr-defined]


@pytest.mark.parametrize("known", ["card", "gross", "ready", "nonsense"])
def test_the_page_opens_for_each_thing_that_may_be_known(
    keeper: Client, six: Player, known: str
) -> None:
    answer = keeper.get(new(six, known))
    assert answer.status_code == 200
    assert "See what it does" in page(answer)


def test_a_score_that_moves_nothing_still_tells_who_added_it_and_why(
    keeper: Client, six: Player
) -> None:
    before = Score.objects.count()
    keeper.post(new(six), ready(differential="53.9", words="away with the county"))
    added = Score.objects.order_by("-pk").first()
    assert added is not None
    assert Score.objects.count() == before + 1
    shown = page(keeper.get(f"/players/{six.public_id}/handicap/scores/{added.public_id}/"))
    assert "away with the county" in shown
    assert "Added by" in shown
    other = Score.objects.order_by("pk").first()
    assert other is not None
    shown = page(keeper.get(f"/players/{six.public_id}/handicap/scores/{other.public_id}/"))
    assert "away with the county" not in shown


def test_the_first_press_shows_and_the_second_keeps(keeper: Client, six: Player) -> None:
    looked = keeper.post(new(six), ready(step="look"))
    assert looked.status_code == 200
    # 37.4 − 30.0 = 7.4 is exceptional: all seven lose a shot, and (29.0 + 35.1) / 2 = 32.05 → 32.1
    assert '<b class="num">37.4</b> becomes <b class="num">32.1</b>' in page(looked)
    assert Score.objects.count() == 6
    done = keeper.post(new(six), ready(), follow=True)
    assert done.redirect_chain == [(f"/players/{six.public_id}/handicap/", 302)]
    assert Score.objects.count() == 7
    line = HandicapEntry.objects.order_by("-valid_from", "-pk")[0]
    assert (line.valid_from, line.value) == (date(2026, 3, 8), Decimal("32.1"))


def test_a_press_without_a_step_only_shows(keeper: Client, six: Player) -> None:
    told = ready()
    del told["step"]
    assert keeper.post(new(six), told).status_code == 200
    assert Score.objects.count() == 6


def test_a_card_takes_par_and_ratings_from_the_tee(keeper: Client, six: Player) -> None:
    tee = rated_tee()
    told = {
        "played": "2026-03-07", "tee": tee.public_id, "holes": "18", "pcc": "1", "words": "away",
        "strokes": "5 5 5 5 5 5 5 5 5  5 5 5 5 5 5 5 5 –", "step": "keep",
    }  # fmt: skip
    assert keeper.post(new(six, "card"), told).status_code == 302
    said = read_json(Score.objects.order_by("-pk")[0].said)
    assert isinstance(said, dict)
    assert said["hole_scores"] == [*FIVES[:17], None]
    assert (said["par"], said["pcc"], said["course_rating"]) == (PARS, 1, "70.1")


def test_nine_holes_are_said_to_wait(keeper: Client, six: Player) -> None:
    told = {
        "played": "2026-03-07", "holes": "9", "adjusted_gross": "50", "course_rating": "35,1",
        "slope_rating": "120", "pcc": "0", "words": "an evening", "step": "look",
    }  # fmt: skip
    answer = page(keeper.post(new(six, "gross"), told))
    assert "These nine holes wait for another nine" in answer
    assert "stays 37.4" in answer


@pytest.mark.parametrize(
    ("known", "values", "words"),
    [
        ("ready", {"differential": "many"}, "“many” is not a differential, like 21.4"),
        ("ready", {"differential": "300"}, "The differential wants a number from -50 to 200"),
        ("ready", {"played": "2027-03-07"}, "A score is of a day that is past, or of today"),
        ("ready", {"played": "0026-03-07"}, "year"),
        ("ready", {"played": "2026-03-01", "differential": "40.7"}, "in the record already"),
        ("ready", {"words": ""}, "Say why, in a few words"),
        ("card", {"tee": "none-such"}, "is not one of the available choices"),
        ("card", {"strokes": "5 5 5"}, "These are 3 holes, and 18 were played"),
        ("card", {"strokes": "5 " * 17 + "x"}, "“x”, figure 18, is no score"),
        ("card", {"strokes": "5 " * 17 + "0"}, "“0”, figure 18, is no score"),
        ("card", {"holes": "first 9", "strokes": "5 " * 9}, "no Course Rating and Slope Rating"),
        ("card", {"played": "2019-03-07"}, "no Course Rating and Slope Rating"),
        ("gross", {"course_rating": "70.15"}, "is not a Course Rating, like 70.1"),
        ("gross", {"course_rating": "7.0"}, "The Course Rating wants a number from 10 to 100"),
        ("gross", {"slope_rating": "30"}, "The Slope Rating wants a whole number from 55 to 155"),
        ("gross", {"adjusted_gross": "9"}, "The adjusted gross score wants a whole number"),
        ("gross", {"pcc": "7"}, "less than or equal to 3"),
        ("gross", {"holes": "9"}, "The Course Rating wants 5 to 50 for nine holes"),
    ],
)
def test_bad_input_is_told_beside_its_field_and_nothing_is_saved(
    keeper: Client, six: Player, known: str, values: dict[str, str], words: str
) -> None:
    tee = rated_tee()
    given = ready() | {
        "tee": tee.public_id, "holes": "18", "strokes": "5 " * 18, "pcc": "0",
        "adjusted_gross": "95", "course_rating": "70.1", "slope_rating": "120",
    }  # fmt: skip
    answer = keeper.post(new(six, known), given | values)
    assert answer.status_code == 422
    assert words in page(answer)
    assert Score.objects.count() == 6


def test_a_score_is_taken_off_with_a_reason(keeper: Client, six: Player) -> None:
    last = Score.objects.order_by("-pk")[0]
    address = f"/players/{six.public_id}/scores/{last.public_id}/off/"
    assert '<b class="num">37.4</b> becomes <b class="num">36.1</b>' in page(keeper.get(address))
    assert keeper.post(address, {"words": ""}).status_code == 422
    assert keeper.post(address, {"words": "not by the Rules"}).status_code == 302
    assert Score.objects.filter(origin=last.origin).count() == 2
    assert keeper.get(address).status_code == 404  # it counts no longer
    other = PlayerFactory()
    first = Score.objects.order_by("pk")[0]
    wrong = f"/players/{other.public_id}/scores/{first.public_id}/off/"
    assert keeper.get(wrong).status_code == 404


def adjusting(**values: str) -> dict[str, str]:
    given = {"way": "down", "shots": "1.5", "words": "better than that", "heard": "on"}
    return given | {"step": "keep"} | values


def test_a_record_is_adjusted_once_looked_at(keeper: Client, six: Player) -> None:
    address = f"/players/{six.public_id}/handicap/adjust/"
    opened = page(keeper.get(address))
    assert "37.4" in opened
    assert "to be heard (Rules of Handicapping 2024, Rule 7.1a)" in opened
    looked = page(keeper.post(address, adjusting(step="look")))
    assert '<b class="num">37.4</b> becomes <b class="num">35.9</b>' in looked
    assert not Adjustment.objects.exists()
    assert keeper.post(address, adjusting()).status_code == 302
    assert Adjustment.objects.get().shots == Decimal("-1.5")


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"heard": ""}, "Tell the player first"),
        ({"way": ""}, "Say which way"),
        ({"shots": "0.5"}, "by 1.0 or more"),
        ({"shots": "-2.0"}, "without a sign"),
        ({"shots": "lots"}, "is not a number of strokes"),
        ({"way": "up", "shots": "6.0"}, "more than 5.0 above 34.1"),
    ],
)
def test_an_adjustment_that_cannot_be_is_refused(
    keeper: Client, six: Player, values: dict[str, str], words: str
) -> None:
    answer = keeper.post(f"/players/{six.public_id}/handicap/adjust/", adjusting(**values))
    assert answer.status_code == 422
    assert words in page(answer)
    assert not Adjustment.objects.exists()


@pytest.fixture
def level(society: object) -> Player:
    """Thirty scores of 10.0, twenty days apart: figure and low index are 10.0."""
    player = PlayerFactory(name="Ida Low")
    differentials(player, *["10.0"] * 30, first=date(2024, 10, 9), step=20)
    return player


@pytest.mark.parametrize(
    ("values", "said"),
    [
        (
            {"shots": "4.0"},
            (
                '<b class="num">10.0</b> becomes <b class="num">13.5</b>',
                "The cap holds the rise back, because the low index is 10.0.",
            ),
        ),
        (
            {"shots": "4.0", "resets_low": "on"},
            (
                '<b class="num">10.0</b> becomes <b class="num">14.0</b>',
                "The low index starts anew: no figure from before this day counts.",
            ),
        ),
        (
            {"shots": "8.0", "resets_low": "on"},
            (
                '<b class="num">10.0</b> becomes <b class="num">15.0</b>',
                "This rise stops at 5.0 above 10.0, the low index so far.",
                '<div class="caution" role="note"><p><b>Look again.</b> 8.0 strokes at once',
            ),
        ),
    ],
)
def test_a_rise_shows_what_the_low_index_does_to_it(
    keeper: Client, level: Player, values: dict[str, str], said: tuple[str, ...]
) -> None:
    """Rules 5.8 and 7.1a: 14.0 against the low of 10.0 is 13.5 by the soft cap."""
    address = f"/players/{level.public_id}/handicap/adjust/"
    looked = page(keeper.post(address, adjusting(way="up", step="look") | values))
    for words in said:
        assert words in looked, words
    assert ("Look again." in looked) == (values["shots"] == "8.0")
    assert not Adjustment.objects.exists()
    assert keeper.post(address, adjusting(way="up") | values).status_code == 302
    assert Adjustment.objects.get().resets_low == ("resets_low" in values)
    begun = "It began anew on" in page(keeper.get(address))
    assert begun == ("resets_low" in values)


def test_the_tick_is_offered_with_why_and_refused_for_a_cut(keeper: Client, level: Player) -> None:
    address = f"/players/{level.public_id}/handicap/adjust/"
    opened = page(keeper.get(address))
    assert "Start the low index anew with the new figure" in opened
    assert "Only for a rise." in opened
    for step in ("look", "keep"):
        answer = keeper.post(address, adjusting(resets_low="on", step=step))
        assert answer.status_code == 422
        assert "The low index starts anew only after a rise: take the tick out" in page(answer)
    assert not Adjustment.objects.exists()


def test_a_caution_is_no_refusal(keeper: Client, six: Player) -> None:
    """Rule 7.1a: 43.4 is more than 5.0 above 34.1, for which an exceptional reason is given."""
    address = f"/players/{six.public_id}/handicap/adjust/"
    given = {"way": "up", "shots": "6.0", "exceptional": "a hip"}
    looked = keeper.post(address, adjusting(step="look", **given))
    assert looked.status_code == 200
    assert "6.0 strokes at once is a great deal" in page(looked)
    assert "43.4 is more than 5.0 above 34.1, the lowest of the year." in page(looked)
    assert keeper.post(address, adjusting(**given)).status_code == 302
    assert Adjustment.objects.get().shots == Decimal("6.0")


def test_without_a_figure_the_page_says_so(keeper: Client, society: object) -> None:
    player = PlayerFactory()
    address = f"/players/{player.public_id}/handicap/adjust/"
    assert "No figure yet" in page(keeper.get(address))
    answer = keeper.post(address, adjusting())
    assert answer.status_code == 422
    assert not Adjustment.objects.exists()


def test_one_s_own_record_asks_for_a_witness_where_nobody_else_can_act(society: object) -> None:
    me = PlayerFactory()
    account = AccountFactory(players=[me])
    OfficeFactory(account=account, role="handicap_secretary")
    browser = signed_in(account)
    assert "who agrees with it?" in page(browser.get(new(me)))
    assert browser.post(new(me), ready()).status_code == 422
    assert browser.post(new(me), ready(witness="Hester Quill")).status_code == 302
    OfficeFactory(account=AccountFactory(), role="secretary")
    assert browser.post(new(me), ready(differential="31.0")).status_code == 403


@pytest.mark.parametrize("known", ["card", "gross", "ready"])
def test_a_member_adds_none(member: Client, six: Player, known: str) -> None:
    assert member.get(new(six, known)).status_code == 403
