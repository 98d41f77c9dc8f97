"""The state of a card: each line of DESIGN section 4, on plain values."""

import doctest
from itertools import product

import pytest

from scoring.cards.rules import payload, state, strokes
from scoring.cards.rules.state import (
    Facts,
    differ,
    differences,
    signature_counts,
    standing_digest,
    standing_record,
    state_of,
    taken_back,
)
from scoring.cards.rules.words import CardState, Record

A, B = "digest a", "digest b"
ON_A = frozenset({A})
ON_B = frozenset({B})
BOTH = {"signed_by_player": ON_A, "signed_by_marker": ON_A}


@pytest.mark.parametrize("module", [payload, state, strokes])
def test_the_worked_examples_in_the_modules_run(module) -> None:
    result = doctest.testmod(module)
    assert result.attempted > 0
    assert result.failed == 0


@pytest.mark.parametrize(
    ("facts", "wanted"),
    [
        # nothing written
        (Facts(), "out"),
        (Facts(question_open=True), "out"),
        (Facts(signed_by_player=ON_A, signed_by_marker=ON_A), "out"),
        # one of the two wrote
        (Facts(player=A), "started"),
        (Facts(marker=A), "started"),
        (Facts(player=A, signed_by_player=ON_A), "waiting"),
        (Facts(player=A, signed_by_marker=ON_A), "waiting"),
        (Facts(marker=A, signed_by_player=ON_A), "waiting"),
        (Facts(player=A, **BOTH), "returned"),
        (Facts(marker=A, **BOTH), "returned"),
        # both wrote the same
        (Facts(player=A, marker=A), "started"),
        (Facts(player=A, marker=A, signed_by_marker=ON_A), "waiting"),
        (Facts(player=A, marker=A, **BOTH), "returned"),
        # both wrote, and differ: whatever was signed
        (Facts(player=A, marker=B), "queried"),
        (Facts(player=A, marker=B, signed_by_player=ON_A, signed_by_marker=ON_B), "queried"),
        (Facts(player=A, marker=B, **BOTH), "queried"),
        # new figures: the old signatures no longer count
        (Facts(player=B, signed_by_player=ON_A, signed_by_marker=ON_A), "started"),
        (Facts(player=B, signed_by_player=ON_A | ON_B, signed_by_marker=ON_A), "waiting"),
        # a typed paper card is returned, signatures seen or not
        (Facts(committee=A), "returned"),
        (Facts(committee=A, **BOTH), "returned"),
        (Facts(committee=A, player=B, marker=A), "returned"),
        # an officer's question
        (Facts(committee=A, question_open=True), "queried"),
        (Facts(player=A, question_open=True, **BOTH), "queried"),
        # checked holds for the figures that were checked
        (Facts(committee=A, checked=ON_A), "checked"),
        (Facts(player=A, checked=ON_A, **BOTH), "checked"),
        (Facts(committee=B, checked=ON_A), "returned"),
        (Facts(player=A, checked=ON_A, signed_by_player=ON_A), "waiting"),
        (Facts(committee=A, checked=ON_A, question_open=True), "queried"),
    ],
)
def test_state(facts: Facts, wanted: str) -> None:
    assert state_of(facts) == CardState(wanted)


def test_every_combination_has_exactly_one_state_and_a_returned_card_agrees() -> None:
    seen = set()
    for player, marker, committee in product((None, A, B), repeat=3):
        for own, other, checked in product((frozenset(), ON_A, ON_B), repeat=3):
            for asked in (False, True):
                facts = Facts(player, marker, committee, own, other, asked, checked)
                found = state_of(facts)
                seen.add(found)
                if found in (CardState.RETURNED, CardState.CHECKED):
                    assert not asked
                    assert not differ(facts)
                    digest = standing_digest(facts)
                    assert committee or (digest in own and digest in other)
                if found is CardState.CHECKED:
                    assert standing_digest(facts) in checked
    assert seen == set(CardState)


def test_the_committee_stands_above_both_and_the_player_above_the_marker() -> None:
    assert standing_record(Facts()) is None
    assert standing_record(Facts(marker=A)) is Record.MARKER
    assert standing_record(Facts(player=A, marker=B)) is Record.PLAYER
    assert standing_record(Facts(player=A, marker=A, committee=B)) is Record.COMMITTEE
    assert standing_digest(Facts(player=A, marker=A, committee=B)) == B


def test_paper_signatures_count_until_they_are_taken_back() -> None:
    seen, back = ("signatures seen", A), ("signatures taken back", A)
    assert taken_back([seen]) == frozenset()
    assert taken_back([seen, back]) == ON_A
    assert taken_back([seen, back, seen]) == frozenset()
    assert taken_back([seen, back, ("signatures seen", B)]) == ON_A
    assert not signature_counts("paper seen", A, ON_A)
    assert signature_counts("paper seen", B, ON_A)
    assert signature_counts("own sign-in", A, ON_A)


def test_differences_name_hole_and_both_figures() -> None:
    assert differences((1, 2, 3), (4, None, 5), (4, 6, 7)) == ((2, None, 6), (3, 5, 7))
    assert differences((1, 2), (4, None), (4, None)) == ()
