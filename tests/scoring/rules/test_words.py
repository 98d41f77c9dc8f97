"""The terms in sentences: every setting is said, and said as it is. Source: event document, 1."""

from decimal import Decimal

import pytest

from scoring.rules.terms import read_terms
from scoring.rules.values import INDIVIDUAL, Format
from scoring.rules.words import terms_sentences, value_word

COUNTBACK = "Ties are settled by countback on holes 10–18, then 13–18, 16–18, 18, 4–9, 7–9 and 9."
SHARED = "Whoever is still level shares the place."


def sentences(holes: int = 18, **terms: object) -> list[str]:
    return terms_sentences(read_terms(terms, holes), holes=holes)


def test_a_plain_stableford():
    assert sentences(format="stableford") == [
        "Stableford: points on each hole, and the most points win.",
        "Net: strokes are received hole by hole, by stroke index.",
        "The Playing Handicap is 95% of the Course Handicap, rounded once.",
        "A hole without a score earns no points; the rest of the card counts.",
        COUNTBACK,
        SHARED,
    ]


def test_a_net_medal_with_everything_set():
    assert sentences(
        format="medal",
        allowance=Decimal("87.50"),
        maximum_playing_handicap=28,
        countback=["10-18", "18"],
        countback_holes="played",
        handicap_share="rounded",
        after_countback="lower_handicap",
        reference_par=71,
    ) == [
        "Medal: every stroke counts, and the fewest win.",
        "Net: the Playing Handicap comes off the total.",
        "The Playing Handicap is 87.5% of the Course Handicap, rounded once.",
        "Nobody plays off more than 28.",
        "From tees of a higher par, the difference from par 71 is added to the handicap, also "
        "above the maximum (Rule 6.2b).",
        "Every hole must be holed out: a card with a hole without a score is no return.",
        "Ties are settled by countback on holes 10–18, then 18.",
        "These are counted in the order played: hole 18 means the last hole you played.",
        "There, each hole takes one eighteenth of the handicap, and the share of a range is "
        "rounded (a half goes up).",
        "Still level: the lower Playing Handicap is ahead; level on that too, they share.",
    ]


@pytest.mark.parametrize(
    ("terms", "sentence"),
    [
        ({"format": "medal", "basis": "gross"}, "Gross: nobody receives handicap strokes."),
        ({"format": "medal"}, "From tees of a higher par, the difference from the lowest par of "
         "any tee in play is added to the handicap (Rule 6.2b)."),
        ({"format": "medal", "different_par": False},
         "Nobody receives extra strokes for playing from tees of a higher par."),
        ({"format": "medal"}, "There, each hole takes one eighteenth of the handicap, fractions "
         "kept."),
        ({"format": "medal", "handicap_share": "by_stroke_index"},
         "There, each player's strokes come off where they fall by stroke index."),
        ({"format": "par"}, "A hole without a score is lost; the rest of the card counts."),
        ({"format": "par", "countback": []}, "There is no countback."),
        ({"format": "par", "countback": ["18"]}, "Ties are settled by countback on hole 18."),
        ({"format": "maximum_score"}, "The maximum on a hole is net double bogey (par + 2 + "
         "strokes received there); a hole without a score counts it."),
        ({"format": "maximum_score", "basis": "gross"},
         "The maximum on a hole is par + 2; a hole without a score counts it."),
        ({"format": "maximum_score", "maximum_hole_score": {"kind": "over_par", "strokes": 5}},
         "The maximum on a hole is par + 5; a hole without a score counts it."),
        ({"format": "maximum_score", "maximum_hole_score": {"kind": "fixed", "strokes": 10}},
         "The maximum on a hole is 10; a hole without a score counts it."),
        ({"format": "maximum_score", "maximum_hole_score": {"kind": "times_par", "times": 2}},
         "The maximum on a hole is 2 times par; a hole without a score counts it."),
        ({"format": "modified_stableford"}, "Points for the net score: 3 under or better 8, "
         "2 under 5, 1 under 2, par 0, 1 over −1, 2 over or worse −3, no score −3."),
        ({"format": "modified_stableford", "basis": "gross", "points": {"2": 1, "none": 0}},
         "Points for the gross score: any score 1, no score 0."),
        ({"format": "four_ball", "scoring": "medal"},
         "A side that is short of scores on a hole is no return."),
        ({"format": "four_ball", "scoring": "medal"},
         "Net: strokes are received hole by hole, by stroke index."),
        ({"format": "four_ball", "scoring": "par"},
         "The Playing Handicap is 90% of the Course Handicap, rounded once."),
        ({"format": "best_of", "scoring": "stableford", "best": 2}, "Best of the side: all play "
         "their own ball, and on every hole the best 2 scores count, added."),
        ({"format": "best_of", "scoring": "stableford", "best": 1}, "Best of the side: all play "
         "their own ball, and on every hole the best score counts."),
        ({"format": "best_of", "scoring": "stableford", "best": [1] * 9 + [2] * 9},
         "Best of the side: how many scores are added, hole by hole: "
         "1, 1, 1, 1, 1, 1, 1, 1, 1, 2, 2, 2, 2, 2, 2, 2, 2, 2."),
        ({"format": "best_of", "scoring": "stableford", "best": 2},
         "The Playing Handicap takes the allowance recommended for these sides."),
        ({"format": "scramble", "scoring": "medal"},
         "The side's Playing Handicap adds the shares recommended for this format."),
        ({"format": "greensomes", "scoring": "medal", "allowance": [60, Decimal("37.5")]},
         "The side's Playing Handicap adds 60/37.5% of its members' Course Handicaps, "
         "lowest first, rounded once."),
    ],
)  # fmt: skip
def test_each_setting_has_its_sentence(terms, sentence):
    assert sentence in sentences(**terms)


def test_nine_holes_speak_of_ninths():
    found = sentences(9, format="medal", countback_holes="played")
    assert "Ties are settled by countback on holes 4–9, then 7–9 and 9." in found
    assert "There, each hole takes one ninth of the handicap, fractions kept." in found
    assert "These are counted in the order played: hole 9 means the last hole you played." in found


def test_every_format_has_words_and_a_word_for_what_it_counts():
    for format_ in Format:
        terms: dict[str, object] = {"format": format_.value}
        if format_ not in INDIVIDUAL:
            terms |= {"scoring": "stableford"}
        if format_ is Format.BEST_OF:
            terms |= {"best": 1}
        said = sentences(**terms)
        assert all(sentence.endswith(".") for sentence in said)
        assert len(said) == len(set(said))
    assert [value_word(format_) for format_ in INDIVIDUAL] == [
        "points",
        "points",
        "strokes",
        "holes",
        "strokes",
    ]
