"""Which handicap a season is played off: read, refused, written, and in plain words."""

import pytest

from scoring.rules.values import HandicapKind
from society.handicaps.rules.season import (
    Basis,
    HandicapRules,
    brief,
    read_rules,
    sentences,
    written_rules,
)


def test_nothing_said_is_the_latest_index_of_the_record():
    rules = read_rules("{}")
    assert rules == HandicapRules()
    assert (rules.basis, rules.asked, rules.asked_source) == (Basis.WRITTEN, "index", "")
    assert rules.stale_days == 30  # PRACTICE table of settings: older than 30 days or missing


@pytest.mark.parametrize("basis", list(Basis))
def test_every_basis_is_written_and_read_again_with_all_values(basis):
    rules = HandicapRules(
        basis=basis,
        kind=HandicapKind.PLAYING,
        source="society",
        maximum={"men": 28, "women": 36},
        guest_maximum=24,
        stale_days=None,
        newcomer_events=2,
    )
    assert read_rules(written_rules(rules)) == rules
    assert sentences(rules)[0] == brief(rules)
    assert "at most 28 for men, 36 for women and 24 for guests." in brief(rules)
    assert "A newcomer cannot win in the first 2 events." in sentences(rules)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[]", "an object"),
        ("{", "cannot be read"),
        ('{"basis":"guess"}', "what is played off"),
        ('{"kind":"guess"}', "kind"),
        ('{"source":"rumour"}', "where figures come from"),
        ('{"maximum":{"men":55}}', "from 1 to 54"),
        ('{"maximum":{"men":true}}', "from 1 to 54"),
        ('{"maximum":{"dogs":10}}', "by category"),
        ('{"maximum":[28]}', "by category"),
        ('{"guest_maximum":0}', "from 1 to 54"),
        ('{"guest_maximum":24.5}', "from 1 to 54"),
        ('{"stale_days":0}', "from 1 to 1000"),
        ('{"newcomer_events":21}', "from 0 to 20"),
        ('{"most":28}', "“most”"),
    ],
)
def test_what_is_not_known_is_refused_with_a_sentence(text, words):
    with pytest.raises(ValueError, match=words):
        read_rules(text)


@pytest.mark.parametrize(
    ("rules", "words"),
    [
        ({}, "Played off: the latest handicap index of the record."),
        ({"source": "association"}, "Played off: the association’s index."),
        ({"kind": "course"}, "Played off: the latest course handicap of the record."),
        (
            {"kind": "playing", "source": "committee"},
            "Played off: the playing handicap set by the committee.",
        ),
        ({"source": "cards"}, "Played off: the society handicap, worked out from cards."),
        ({"basis": "association"}, "Played off: the association’s index."),
        (
            {"basis": "with cuts", "maximum": {"men": 28}},
            "Played off: the association’s index, with the society’s cuts on top; "
            "at most 28 for men.",
        ),
        ({"basis": "fixed"}, "Played off: a fixed playing handicap."),
        (
            {"basis": "fixed", "cuts": {"preset": "one"}},
            "Played off: a fixed playing handicap, with the society’s cuts on top.",
        ),
    ],
)
def test_the_one_sentence_for_every_page(rules, words):
    assert brief(HandicapRules(**_typed(rules))) == words


def _typed(values):
    typed = dict(values)
    if "basis" in typed:
        typed["basis"] = Basis(typed["basis"])
    if "kind" in typed:
        typed["kind"] = HandicapKind(typed["kind"])
    return typed


def test_an_associations_index_alone_never_takes_cuts():
    cuts = {"preset": "one"}
    takes = {basis: HandicapRules(basis=basis, cuts=cuts).takes_cuts for basis in Basis}
    assert takes == {basis: basis is not Basis.ASSOCIATION for basis in Basis}
    without = {basis: HandicapRules(basis=basis).takes_cuts for basis in Basis}
    assert without == {basis: basis is Basis.WITH_CUTS for basis in Basis}


def test_a_guest_has_the_lower_of_both_maxima():
    rules = HandicapRules(maximum={"men": 28}, guest_maximum=24)
    assert rules.highest("men", guest=False) == 28
    assert rules.highest("men", guest=True) == 24
    assert rules.highest("women", guest=False) is None
    assert HandicapRules(maximum={"men": 20}, guest_maximum=24).highest("men", guest=True) == 20
    assert HandicapRules(maximum={"men": 20}).highest("men", guest=True) == 20
