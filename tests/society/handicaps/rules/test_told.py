"""The sums a member reads are right when they are worked out again, and end at the engine's figure.

The sums are read back from the words and reckoned with fractions. Rules of Handicapping 2024; the
examples with a source name it.
"""

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.handicap import tenth
from scoring.rules.record.history import work_out
from scoring.rules.record.values import Adjustment
from society.handicaps.rules.own import Kept, Move, Own, own_history
from society.handicaps.rules.scores import read_said, said_text
from society.handicaps.rules.told import (
    Line,
    Part,
    after_parts,
    figure_before,
    low_day,
    part_of,
    stood,
    sum_of,
)
from tests.scoring.rules.records import by_hole, days, gross, ready, some_record

_NUMBER = re.compile(r"\d+(\.\d+)?")


def reckoned(words: str) -> Fraction:
    """A sum as it stands on the page, worked out by Python's own reading of it."""
    assert re.fullmatch(r"[\d.+−×÷() ]+", words), words
    plain = words.translate(str.maketrans({"−": "-", "×": "*", "÷": "/"}))
    found = eval(_NUMBER.sub(lambda n: f"Fraction('{n[0]}')", plain))
    assert isinstance(found, Fraction)
    return found


def figure(result: str) -> Decimal:
    """A figure as people write it: +1.2 is below zero; so is −1.2."""
    if result.startswith("+"):
        return -Decimal(result[1:])
    return Decimal(result.replace("−", "-"))


def kept(score: dict[str, Any], number: int, holes: int = 18) -> Kept:
    said = {key: None if value == "-" else value for key, value in score.items()}
    if "hole_scores" in said:
        said["hole_scores"] = [None if one == "-" else one for one in said["hole_scores"]]
    played = date.fromisoformat(said.pop("played"))
    return Kept(str(number), "", played, holes, said_text(said), "")


def own(*scores: dict[str, Any], moves: tuple[Move, ...] = ()) -> Own:
    found = [kept(score, number) for number, score in enumerate(scores)]
    return own_history(sorted(found, key=lambda one: one.played), moves)


def some_own(seed: int) -> Own:
    """A record of any shape, with committee adjustments and nines in some."""
    chance = Random(seed)
    scores = [kept(score, at) for at, score in enumerate(some_record(chance)["scores"])]
    for at in range(chance.choice([0, 0, 1, 2, 5])):
        if scores:
            near = chance.choice(scores)
            scores.append(kept(nine(chance.randint(36, 60), on=near.played), 100 + at, 9))
    scores.sort(key=lambda one: one.played)
    moves = []
    for at in range(chance.choice([0, 0, 0, 1, 2])):
        if scores:
            on, shots = chance.choice(scores).played, chance.choice(["-1.0", "1.0", "4.0", "-2.5"])
            moves.append(
                Move(str(at), on, Decimal(shots), shots[0] != "-" and chance.random() < 0.5)
            )
    return own_history(scores, sorted(moves, key=lambda move: move.on))


def nine(adjusted: int, *, on: date | str, pcc: int = 0) -> dict[str, Any]:
    rated = {"course_rating": Decimal("35.4"), "slope_rating": 121, "pcc": pcc}
    return {"played": str(on), "adjusted_gross": adjusted, **rated}


def titles(lines: list[Line]) -> list[str]:
    return [line.title for line in lines]


def right(line: Line) -> None:
    """A line's sum comes to what it says, before and after the rounding."""
    if not line.sum:
        assert not line.exact
        return
    exact = reckoned(line.sum)
    said = figure(line.exact or line.result)
    if line.title in ("Course handicap", "Differential of nine holes"):
        assert abs(Fraction(said) - exact) < Fraction(1, 100)
        return
    assert tenth(exact) == figure(line.result)
    assert tenth(Fraction(said)) == figure(line.result)
    assert abs(Fraction(said) - exact) < Fraction(1, 50)
    if not line.exact and " + " not in line.sum:
        assert exact == said


# the sum of a figure --------------------------------------------------------------------------


@given(st.integers(0, 10**6))
def test_every_sum_comes_to_its_result_and_the_last_result_is_the_figure(seed: int) -> None:
    found = some_own(seed)
    lines = sum_of(found)
    assert bool(lines) == (found.figure is not None)
    for line in lines:
        right(line)
    if lines:
        said = [line for line in lines if line.title != "Low index"]
        assert figure(said[-1].result) == found.figure


@given(st.integers(0, 10**6))
def test_what_counts_are_the_lowest_of_the_latest_twenty_as_they_stand(seed: int) -> None:
    record = stood(some_own(seed))
    counted = [score.now for score in record if score.counts]
    others = [score.now for score in record if score.latest and not score.counts]
    assert sum(score.latest for score in record) == min(20, len(record))
    assert all(score.latest for score in record if score.counts)
    assert len(record) < 3 or counted
    assert not others or not counted or max(counted) <= min(others)


@given(st.integers(0, 10**6))
def test_the_rules_of_the_differentials_as_they_stand(seed: int) -> None:
    """Worked out the other way round: from the end, what came after each score is added up."""
    found = some_own(seed)
    rows, record = found.found.rows, stood(found)
    for at, score in enumerate(record):
        later = range(at, min(at + 20, len(rows)))
        off = sum((rows[one].exceptional for one in later), start=Decimal(0))
        moved = [move.shots for move in found.found.moves if move.first <= at < move.rows]
        assert score.now == score.row.differential + off + sum(moved)
        assert score.moved == (score.now != score.row.differential)


def test_too_few_scores_have_no_sum() -> None:
    assert sum_of(own()) == []
    assert stood(own()) == ()
    assert sum_of(own(*days("12.0", "13.0"))) == []


def test_three_scores_take_the_lowest_and_the_table_takes_two_off() -> None:
    """Rules of Handicapping 2024, Rule 5.2a: of three scores the lowest, less 2.0."""
    lines = sum_of(own(*days("15.3", "15.2", "16.6")))
    assert titles(lines) == ["Average", "Table"]
    assert lines[0].words == "The lowest of the latest 3 differentials."
    assert (lines[1].sum, lines[1].result) == ("15.2 − 2", "13.2")


def test_a_soft_cap_is_told_with_the_low_it_is_held_against() -> None:
    """Rule 5.8, from its text: 11.6 against a low of 6.5 gives 10.55, so 10.6.

    The low is that of the third score: 8.5 less 2.0.
    """
    found = own(*days(*["8.5"] * 20), *days(*["11.6"] * 20, first=date(2025, 6, 1)))
    assert found.found.rows[-1].low == Decimal("6.5")
    lines = {line.title: line for line in sum_of(found)}
    assert lines["Soft cap"].sum == "6.5 + 3 + (11.6 − 6.5 − 3) ÷ 2"
    assert lines["Soft cap"].exact == "10.55"
    assert lines["Soft cap"].result == "10.6"
    assert "worked out on 3 January 2025" in lines["Low index"].words


def test_a_hard_cap_is_told_after_the_soft_one() -> None:
    """Rule 5.8: no more than 5.0 above the low, here that of the third score."""
    lines = sum_of(own(*days(*["12.2"] * 20), *days(*["18.2"] * 20, first=date(2025, 6, 1))))
    assert titles(lines) == ["Average", "Low index", "Soft cap", "Hard cap"]
    assert (lines[2].result, lines[3].sum, lines[3].result) == ("15.7", "10.2 + 5", "15.2")


def test_the_limit_is_told_only_where_it_bites() -> None:
    """Rule 5.3: 54.0."""
    lines = sum_of(own(*days("60.0", "61.0", "62.0")))
    assert titles(lines) == ["Average", "Table", "Limit"]
    assert lines[-1].result == "54.0"
    assert titles(sum_of(own(*days("56.0", "61.0", "62.0")))) == ["Average", "Table"]


def test_a_plus_figure_is_below_zero_in_the_sum_alone() -> None:
    lines = sum_of(own(*days("-1.0", "-2.0", "0.5", "1.0", "2.0", "3.0")))
    assert lines[0].sum == "((−1.0) + (−2.0)) ÷ 2"
    assert (lines[0].result, lines[1].result) == ("+1.5", "+2.5")


def test_there_is_no_day_of_a_low_before_there_is_a_low() -> None:
    assert low_day(own().found) is None
    assert low_day(own(*days(*["6.5"] * 20)).found) is None


# what moved a differential --------------------------------------------------------------------


def test_an_exceptional_score_moves_all_of_the_latest() -> None:
    """Rule 5.9: 7.0 better takes 1.0 off each of the latest 20."""
    record = stood(own(*days("15.0", "15.0", "15.0", "15.0", "15.0", "8.0")))
    assert [score.now for score in record] == [Decimal("14.0")] * 5 + [Decimal("7.0")]
    assert all(score.moved for score in record)


def test_a_committee_moves_the_scores_up_to_its_day_and_the_sum_has_it() -> None:
    """Rule 7.1a with Interpretation 7.1a/1: each of the latest 20 differentials."""
    early = Move("m", date(2025, 1, 2), Decimal("-1.0"))
    record = stood(own(*days("15.0", "16.0", "17.0"), moves=(early,)))
    assert [score.now for score in record] == [Decimal("14.0"), Decimal("15.0"), Decimal("17.0")]
    after = Move("m", date(2025, 2, 1), Decimal("-1.0"))
    found = own(*days("15.0", "16.0", "17.0"), moves=(after,))
    lines = sum_of(found)
    assert lines[0].words == "The lowest of the latest 3 differentials, as they now stand."
    assert lines[-1].result == "12.0"
    assert figure_before(found.found, date(2025, 2, 1)) == Decimal("13.0")
    assert figure_before(found.found, date(2025, 2, 2)) == Decimal("12.0")
    assert figure_before(found.found, date(2025, 1, 1)) is None


def test_a_low_that_begins_anew_says_so() -> None:
    """Rule 7.1a: a committee may let the Low Index begin anew after a rise, at most 5.0 above."""
    found = own(*days(*["12.2"] * 21))
    raised = own_history(found.kept, ())
    again = type(found)(found.kept, (), _raised(found, "9.0"))
    assert titles(sum_of(raised))[-1] == "Low index"
    line = sum_of(again)[-1]
    assert (line.title, line.sum, line.result) == ("Raised by the committee", "10.2 + 5", "15.2")


def _raised(found: Own, shots: str) -> Any:
    scores = [read_said(one.said, played=one.played, holes=one.holes) for one in found.kept]
    return work_out(scores, [Adjustment(date(2025, 3, 1), Decimal(shots), resets_low=True)])


# the working of one score ---------------------------------------------------------------------


@given(st.integers(0, 10**6))
def test_the_parts_of_a_score_come_to_its_gross_and_its_differential(seed: int) -> None:
    found = some_own(seed)
    for one in stood(found):
        parts = [part_of(found, each) for each in one.of]
        lines = [line for part in parts for line in part.lines] + after_parts(one, parts)
        for line in lines:
            right(line)
        made = [line for line in lines if line.title == "Differential"]
        assert [figure(line.result) for line in made] == [one.row.differential]
        if one.row.adjusted_gross is not None:
            said = [line.result for line in lines if line.title == "Adjusted gross"]
            assert sum(int(text) for text in said) == one.row.adjusted_gross
        for part in parts:
            if part.holes:
                said = [line.result for line in part.lines if line.title == "Adjusted gross"]
                assert said == [str(sum(hole.counts for hole in part.holes))]


def test_a_hole_is_held_at_net_double_bogey() -> None:
    """Rule 3.1b: par + 2 + strokes received; with no figure yet par + 5 (Rule 3.1a)."""
    card = [5, 4, 3, 6, 5, 4, 3, 4, 10, 4, 3, 4, 5, 4, 4, 3, None, 5]
    found = own(*days("12.0", "12.0", "12.0"), by_hole(card, on="2025-02-01"))
    part = last_part(found)
    assert part.before == Decimal("10.0")
    for hole in part.holes:
        assert hole.shots in (0, 1)
        assert hole.most == hole.par + 2 + hole.shots
    assert [hole.number for hole in part.holes if hole.held] == [9, 17]
    assert part.holes[16].written is None
    assert part.holes[16].counts == part.holes[16].most
    assert [line.title for line in part.lines] == [
        "Figure on the day",
        "Course handicap",
        "Adjusted gross",
        "Differential",
    ]
    first = last_part(own(by_hole(card)))
    assert all(hole.shots is None and hole.most == hole.par + 5 for hole in first.holes)
    assert "par + 5, with no figure yet" in first.lines[0].words


def last_part(found: Own) -> Part:
    return part_of(found, found.kept[-1])


def test_the_conditions_of_the_day_stand_in_the_sum() -> None:
    for pcc, words in ((2, "− 2"), (-1, "+ 1")):
        line = last_part(own(gross(95, pcc=pcc))).lines[-1]
        assert line.sum == f"113 ÷ 120 × (95 − 70.1 {words})"
        assert "conditions of the day" in line.words


def test_a_ready_differential_says_that_it_was_made_elsewhere() -> None:
    part = last_part(own(ready("21.4")))
    assert [line.result for line in part.lines] == ["21.4"]
    assert "elsewhere" in part.lines[0].words


def test_two_nines_are_joined_in_a_sum() -> None:
    """Rule 5.1b, 2020 edition: 113/121 × (44 − 35.4) + 113/121 × (46 − 35.4 − 0.5) = 17.46."""
    nines = [kept(nine(44, on="2025-01-01"), 1, 9), kept(nine(46, on="2025-01-08", pcc=1), 2, 9)]
    found = own_history(nines, ())
    (one,) = stood(found)
    parts = [part_of(found, each) for each in one.of]
    assert parts[1].lines[-1].sum == "113 ÷ 121 × (46 − 35.4 − 0.5 × 1)"
    (line,) = after_parts(one, parts)
    assert (line.sum, line.exact, line.result) == ("8.03 + 9.43", "17.46", "17.5")


def test_half_the_figure_is_taken_for_the_shots_of_nine_holes() -> None:
    """Rule 6.1b."""
    card = by_hole([5] * 18, on="2025-02-01")
    for key in ("hole_scores", "par", "stroke_index"):
        card[key] = card[key][:9]
    card["course_rating"] = Decimal("35.4")
    scores = [kept(one, at) for at, one in enumerate(days("12.1", "13.0", "14.0"))]
    found = own_history([*scores, kept(card, 9, 9)], ())
    part = last_part(found)
    lines = {line.title: line for line in part.lines}
    assert (lines["Half of it"].sum, lines["Half of it"].exact) == ("10.1 ÷ 2", "5.05")
    assert lines["Half of it"].result == "5.1"
    assert lines["Course handicap"].sum.startswith("5.1 × 120 ÷ 113")
    assert len(part.holes) == 9


def test_an_exceptional_score_says_what_it_took() -> None:
    found = own(*days("15.0", "15.0", "15.0", "15.0", "15.0", "4.9"))
    one = stood(found)[-1]
    line = after_parts(one, [part_of(found, each) for each in one.of])[-1]
    assert (line.title, line.result, line.rule) == ("Exceptional score", "−2.0", "Rule 5.9")
    assert "10.1 better than 15.0" in line.words


@pytest.mark.parametrize(
    ("held", "words"), [(0, "Every hole counts"), (1, "One hole counts"), (2, "2 holes count")]
)
def test_how_many_holes_are_held_is_said(held: int, words: str) -> None:
    card = [4, 4, 3, 5, 4, 4, 3, 4, 5, 4, 3, 4, 5, 4, 4, 3, 4, 5]
    for hole in range(held):
        card[hole] = 15
    assert words in last_part(own(by_hole(card))).lines[0].words
