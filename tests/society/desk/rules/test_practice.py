"""The practice round: its points against the printed table, and what every round must bring."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.rules.terms import read_terms
from society.desk.rules.lesson import Ground
from society.desk.rules.practice import (
    CHOICES,
    Answer,
    Question,
    answers,
    asked,
    explained,
    look_again,
    practice_round,
)
from tests.factories.courses import INDEXES, PARS

TERMS = read_terms({"format": "stableford"}, 18)
CARD = Ground(tuple(range(1, 19)), tuple(PARS), tuple(INDEXES))
NINE = Ground(tuple(range(1, 10)), tuple(PARS[:9]), tuple(INDEXES[:9]))

# Rules of Golf 2023, Rule 21.1b, typed from the table of points: net less par → points.
PRINTED = {-4: 6, -3: 5, -2: 4, -1: 3, 0: 2, 1: 1}


def played(playing: int, seed: int = 1, card: Ground = CARD) -> list[Question]:
    terms = TERMS if len(card.numbers) == 18 else read_terms({"format": "stableford"}, 9)
    return practice_round(terms, card, playing=playing, seed=seed)


handicaps = st.integers(-8, 73)
seeds = st.integers(1, 999_999)


@settings(deadline=None)
@given(handicaps, seeds, st.sampled_from([CARD, NINE]))
def test_points_are_those_of_the_printed_table(playing, seed, card):
    for question in played(playing, seed, card):
        if question.gross is None:
            assert question.points == 0
            # the last stroke that could still have earned a point is played
            assert question.played == question.par + question.shots + 1
        else:
            assert question.gross >= 1
            net = question.gross - question.shots
            assert question.points == PRINTED.get(net - question.par, 0)
        assert question.points in CHOICES


@settings(deadline=None)
@given(handicaps, seeds)
def test_every_round_brings_what_is_to_be_learnt(playing, seed):
    found = played(playing, seed)
    assert [question.gross is None for question in found].count(True) == 1
    assert {question.points for question in found} >= {0, 1, 2, 3}
    assert sum(question.shots for question in found) == playing
    most = max(question.shots for question in found)
    to_count = [q for q in found if q.shots == most and q.gross is not None]
    assert to_count, "holes with the most shots are there to be counted"
    if playing < 0:
        assert any(q.shots < 0 for q in found)


def test_the_same_seed_makes_the_same_round_and_another_one_another():
    assert played(22, 5) == played(22, 5)
    assert played(22, 5) != played(22, 6)


def test_a_round_on_nine_holes():
    assert [question.number for question in played(10, 3, NINE)] == list(range(1, 10))


# sentences ----------------------------------------------------------------------------------------


def question(par: int, shots: int, gross: int | None, points: int, **more: int) -> Question:
    return Question(4, par, 7, shots, gross, points, **more)


@pytest.mark.parametrize(
    ("of", "said"),
    [
        (
            question(4, 1, 6, 1),
            "6 less your shot is net 5. Net 5 on a par 4 is one over: 1 point.",
        ),
        (
            question(5, 2, 7, 2),
            "7 less your two shots is net 5. Net 5 on a par 5 is par: 2 points.",
        ),
        (
            question(3, 0, 2, 3),
            "No shot here, so 2 is net 2. Net 2 on a par 3 is one under: 3 points.",
        ),
        (
            question(4, -1, 4, 1),
            "4 and the shot you give back is net 5. Net 5 on a par 4 is one over: 1 point.",
        ),
        (
            question(4, 1, 8, 0),
            "8 less your shot is net 7. Net 7 on a par 4 is three over: 0 points.",
        ),
        (question(4, 1, None, 0), "No score: 0 points. Write a dash; the rest of the card counts."),
    ],
)  # fmt: skip
def test_each_answer_is_explained(of, said):
    assert explained(of) == said


def test_what_happened_is_said():
    assert asked(question(4, 1, 6, 1)) == "You take 6."
    pick_up = question(4, 1, None, 0, played=6)
    assert asked(pick_up) == "You have played 6, the ball is not in, and you pick up."


# what to look at again ----------------------------------------------------------------------------


def test_nothing_to_look_at_when_all_is_right():
    found = played(22)
    assert look_again(answers(found, {q.number: q.points for q in found})) == []


@settings(deadline=None)
@given(handicaps, seeds)
def test_every_wrong_answer_is_told_once(playing, seed):
    found = played(playing, seed)
    given_ = answers(found, {q.number: (q.points + 1) % 6 for q in found})
    told = look_again(given_)
    assert sum(one.wrong for one in told) == 18
    assert sum(one.of for one in told) == 18


def test_the_kinds_of_hole_are_named():
    given_ = [
        Answer(question(4, 2, 6, 2), 3),
        Answer(question(4, 2, 7, 1), 1),
        Answer(question(4, 1, None, 0), 1),
        Answer(question(4, -1, 4, 1), 2),
        Answer(question(4, 1, 9, 0), 1),
        Answer(question(4, 0, 4, 2), 0),
        Answer(question(4, 1, 5, 2), 1),
    ]
    assert [(one.what, one.wrong, one.of) for one in look_again(given_)] == [
        ("Pick-ups", 1, 1),
        ("Holes where you give a shot back", 1, 1),
        ("Scores worth nothing", 1, 1),
        ("Holes with two shots or more", 1, 2),
        ("Holes without a shot", 1, 1),
        ("Holes with one shot", 1, 1),
    ]
