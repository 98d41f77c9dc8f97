"""A committee raises a figure and lets the low index start anew, as an officer and a member see it.

Rules of Handicapping 2024, Rules 5.7 (Low Index), 5.8 (caps) and 7.1a (adjustment by a committee);
that the low may start anew after a rise: a governing body's answer to a question on injuries. All
figures are worked out by hand from Rule 5.7/5.8; no handbook prints them.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from random import Random
from typing import Any

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from scoring.rules.recount_index import recount_record
from scoring.rules.strict_json import canonical
from society.handicaps.rules.own import (
    Kept,
    Move,
    Own,
    cautions,
    low_began,
    lowest_in_a_year,
    own_history,
    read_otherwise,
    said_of_low,
)
from society.handicaps.rules.told import low_day, sum_of

D = Decimal
DAY = date(2024, 1, 1)
RISE = DAY + timedelta(days=600)  # 23 August 2025


def kept(on: date, tenths: int | str) -> Kept:
    shown = tenths if isinstance(tenths, str) else str(D(tenths).scaleb(-1))
    return Kept(str(on), str(on), on, 18, canonical({"differential": shown}), "")


def level() -> list[Kept]:
    """Thirty scores of 10.0, twenty days apart: figure and low index are 10.0."""
    return [kept(DAY + timedelta(days=20 * at), "10.0") for at in range(30)]


def rise(shots: str, *, anew: bool = True) -> Move:
    return Move("m", RISE, D(shots), anew)


def both(scores: Sequence[Kept], *moves: Move) -> Own:
    """Both readings of a record come to the same; here is what they come to."""
    found = own_history(scores, moves)
    assert not read_otherwise(found)
    return found


def later(many: int, differential: str) -> list[Kept]:
    return [kept(RISE + timedelta(days=1 + at), differential) for at in range(many)]


# the worked example ---------------------------------------------------------------------------


def test_a_rise_of_4_stands_and_so_do_the_figures_after_it() -> None:
    """Each of the latest 20 becomes 14.0, so the average is 14.0, 4.0 above the low of 10.0.

    Held: 10.0 + 3.0 + (4.0 − 3.0) ÷ 2 = 13.5. Anew: 14.0. Then thirteen scores of 18.0: of the
    latest 20 seven stand at 14.0, the lowest eight make (7 × 14.0 + 18.0) ÷ 8 = 14.5. Held against
    10.0: 13.0 + 1.5 ÷ 2 = 13.75, 13.8. Against the new low of 14.0 it is 0.5 above: 14.5.
    Another seven of 18.0 leave 18.0 alone: held at 10.0 + 5.0 = 15.0; anew 14.0 + 3.0 + 0.5, 17.5.
    """
    for anew, figures, low in ((False, "13.5 13.8 15.0", "10.0"), (True, "14.0 14.5 17.5", "14.0")):
        move = rise("4.0", anew=anew)
        made = [both([*level(), *later(many, "18.0")], move) for many in (0, 13, 20)]
        assert " ".join(str(one.figure) for one in made) == figures
        assert [str(one.found.rows[-1].low) for one in made[1:]] == [low, low]


def test_the_plain_second_reading_alone_has_the_same_example() -> None:
    scores = [
        {"played": str(one.played), "differential": D(text)}
        for one, text in ((one, one.said.split('"')[3]) for one in [*level(), *later(13, "18.0")])
    ]
    for anew, figure in ((True, "14.5"), (False, "13.8")):
        moves = [{"on": str(RISE), "shots": D("4.0"), "anew": anew}]
        found = recount_record({"scores": scores, "moves": moves})["figures"]
        assert found[str(RISE + timedelta(days=13))] == figure


def test_a_rise_goes_no_further_than_5_above_the_low_so_far() -> None:
    """Rule 7.1a: 10.0 + 5.0, though the average is 18.0."""
    assert both(level(), rise("8.0")).figure == D("15.0")
    assert both(level(), rise("8.0", anew=False)).figure == D("15.0")


def test_a_low_before_twenty_scores_is_forgotten_too() -> None:
    """A figure from fewer than 20 scores can be the low (our reading); not from before the day.

    Ten scores of 10.0, of which the third makes 8.0 (Rule 5.2a), then a rise of 4.0 and eleven
    scores of 18.0: the lowest eight of 20 are 14.0. Anew the low is 14.0 as well; the 8.0 of
    before holds it at 8.0 + 3.0 + (6.0 − 3.0) ÷ 2 = 12.5.
    """
    few = [kept(RISE - timedelta(days=10 - at), "10.0") for at in range(10)]
    after = [*later(10, "18.0"), kept(RISE + timedelta(days=30), "18.0")]
    for anew, figure, low in ((True, "14.0", "14.0"), (False, "12.5", "8.0")):
        found = both([*few, *after], rise("4.0", anew=anew))
        assert (str(found.figure), str(found.found.rows[-1].low)) == (figure, low)


# both readings --------------------------------------------------------------------------------


@st.composite
def records(draw: st.DrawFn) -> tuple[list[Kept], list[Move]]:
    """Twenty scores and more, with rises that let the low start anew, and other moves."""
    chance = Random(draw(st.integers(0, 10**6)))
    day, scores = DAY, []
    for _ in range(chance.randint(20, 40)):
        day += timedelta(days=chance.choice([0, 1, 7, 30, 60]))
        scores.append(kept(day, chance.randint(100, 190)))
    moves = []
    for at in range(chance.randint(1, 4)):
        on = chance.choice(scores[5:]).played + timedelta(days=chance.choice([0, 1, 40]))
        shots = chance.choice(["-3.0", "-1.0", "1.0", "2.5", "4.0", "6.0"])
        moves.append(Move(str(at), on, D(shots), shots[0] != "-" and chance.random() < 0.7))
    return scores, sorted(moves, key=lambda move: move.on)


@given(records())
def test_both_readings_agree_and_a_new_low_holds_a_later_score_no_lower(
    record: tuple[list[Kept], list[Move]],
) -> None:
    scores, moves = record
    found = both(scores, *moves)
    held = own_history(scores, [replace(move, resets_low=False) for move in moves])
    moved = found.found.figures != held.found.figures
    event(f"the new low moves a figure: {moved}")
    assert moved == read_otherwise(replace(held, moves=found.moves))
    if len(moves) == 1 and moves[0].shots > 0:
        pairs = zip(found.found.figures, held.found.figures, strict=True)
        event("one rise")
        assert all(one[1] >= other[1] for one, other in pairs) or any(
            row.exceptional for row in (*found.found.rows, *held.found.rows)
        )
    began = low_began(found.found)
    day = low_day(found.found)
    assert (began is None) == (not any(move.resets_low for move in moves))
    if day and began and found.found.rows[-1].played > began:
        assert day >= began


def test_a_second_reading_that_forgets_the_new_low_is_found_out() -> None:
    scores = [*level(), *later(13, "18.0")]
    forgot = own_history(scores, [rise("4.0", anew=False)])
    assert read_otherwise(replace(forgot, moves=(rise("4.0"),)))


def test_after_a_fall_the_low_does_not_start_anew() -> None:
    with pytest.raises(ValueError, match="after a rise only"):
        own_history(level(), [Move("m", RISE, D("-1.0"), True)])


# what is said of it ---------------------------------------------------------------------------


def test_the_low_of_the_year_is_not_from_before_it_started_anew() -> None:
    found = both(level(), rise("4.0"))
    assert low_began(found.found) == RISE
    assert low_began(found.found, RISE) is None
    assert lowest_in_a_year(found, RISE) == D("14.0")
    assert lowest_in_a_year(both(level(), rise("4.0", anew=False)), RISE) == D("10.0")


def test_the_sum_says_when_the_low_started_anew() -> None:
    sum_after = sum_of(both([*level(), *later(20, "18.0")], rise("4.0")))
    low, soft = sum_after[1:3]
    assert (low.title, low.result) == ("Low index", "14.0")
    # twelve scores of 18.0 leave eight at 14.0; from the thirteenth on the average is higher
    assert "worked out on 4 September 2025" in low.words
    assert low.words.endswith("It began anew on 23 August 2025, by the committee.")
    assert (soft.title, soft.result) == ("Soft cap", "17.5")


@pytest.mark.parametrize(
    ("shots", "anew", "words"),
    [
        ("2.0", False, ""),
        ("-2.0", False, ""),
        (
            "4.0",
            False,
            "The cap holds the rise back, because the low index is 10.0. Where the low index "
            "starts anew, a rise goes to 15.0 at most, and later figures are held against the "
            "new one.",
        ),
        ("4.0", True, "The low index starts anew: no figure from before this day counts."),
        (
            "8.0",
            True,
            "The low index starts anew: no figure from before this day counts. This rise stops at "
            "5.0 above 10.0, the low index so far.",
        ),
    ],
)
def test_what_an_adjustment_comes_to_beside_the_low(shots: str, anew: bool, words: str) -> None:
    move = rise(shots, anew=anew)
    assert said_of_low(both(level(), move), move) == words


def test_with_few_scores_the_low_is_still_to_come() -> None:
    move = rise("2.0")
    words = said_of_low(both(level()[:5], move), move)
    assert words == (
        "The low index starts anew: no figure from before this day counts. The caps begin with "
        "20 scores."
    )


def of(before: Sequence[Kept], move: Move) -> list[Any]:
    return cautions(both(before), both(before, move), move)


def test_a_great_deal_at_once_is_told() -> None:
    """Common practice, no source: more than 5.0 at once, up or down."""
    assert of(level(), rise("5.0")) == []
    assert of(level(), Move("m", RISE, D("-5.0"))) == []
    for shots in ("5.1", "-5.1"):
        (words,) = of(level(), Move("m", RISE, D(shots)))
        assert words.startswith("5.1 strokes at once is a great deal")


def test_more_than_5_above_the_low_is_told() -> None:
    """Rule 7.1a: at most 5.0 above the low, save in exceptional cases.

    Five scores of 10.0: the third makes 8.0, the lowest of the year, the fifth 10.0 (Rule 5.2a).
    3.0 more is 13.0, as far as it goes; the next 1.0 is 14.0.
    """
    near = [kept(RISE - timedelta(days=9 - at), "10.0") for at in range(5)]
    assert of(near, rise("3.0", anew=False)) == []
    first, second = Move("a", RISE, D("3.0")), Move("b", RISE, D("1.0"))
    before, after = both(near, first), both(near, first, second)
    assert cautions(before, after, second) == [
        "14.0 is more than 5.0 above 8.0, the lowest of the year. Rule 7.1a has a committee go so "
        "far only in an exceptional case."
    ]
    begun = both(near, replace(first, resets_low=True))
    assert cautions(begun, both(near, *begun.moves, second), second) == []  # 1.0 above the new low


def test_a_plus_figure_is_said_in_words() -> None:
    plus = [kept(DAY + timedelta(days=20 * at), "-2.0") for at in range(30)]
    move = rise("4.0", anew=False)
    assert "the low index is plus 2.0." in said_of_low(both(plus, move), move)
