"""The demo's made-up figures: repeatable, and such as a card may hold."""

from society.desk.rules.chance import chance, made_up_card
from tests.factories.courses import PARS


def test_the_same_words_give_the_same_chance():
    assert chance("a", 1, below=1000) == chance("a", 1, below=1000)
    assert {chance("spread", n, below=6) for n in range(200)} == set(range(6))


def test_cards_are_such_as_a_day_brings():
    """Over many cards: every score may be written down, some pick up, the average is golf."""
    strokes = [1] * 18
    cards = [made_up_card(f"card {n}", PARS, strokes) for n in range(300)]
    written = [score for card in cards for score in card if score is not None]
    assert all(1 <= score <= 15 for score in written)
    assert 0 < sum(score is None for card in cards for score in card) < 300
    points = [
        sum(
            max(0, 2 + par + 1 - score)
            for par, score in zip(PARS, card, strict=True)
            if score is not None
        )
        for card in cards
    ]
    assert 25 < sum(points) / len(points) < 36


def test_a_medal_is_played_out():
    cards = [made_up_card(f"medal {n}", PARS, [0] * 18, must_finish=True) for n in range(100)]
    assert all(score is not None for card in cards for score in card)
