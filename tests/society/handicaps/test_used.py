"""What a player is taken at on a day: line, cuts, maximum, and the words that explain it."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.values import HandicapKind
from society.handicaps.rules.cuts.steps import read_steps
from society.handicaps.rules.cuts.values import Step as CutStep
from society.handicaps.rules.figures import Source
from society.handicaps.rules.season import Basis, HandicapRules
from society.handicaps.rules.used import (
    Cut,
    Line,
    Whom,
    made_of,
    read_made,
    used,
)

INDEX, COURSE, PLAYING = HandicapKind.INDEX, HandicapKind.COURSE, HandicapKind.PLAYING
MAN, GUEST = Whom(1, "men"), Whom(1, "men", guest=True)
DAY = date(2026, 6, 1)


def line(value, source="association", *, kind=INDEX, since=date(2026, 5, 3), **more):
    row = more.pop("row", 1)
    return Line(f"l{row}", row, kind, Decimal(value), Source(source), since, **more)


def cut(shots, *, since=date(2026, 5, 10), until=date(2027, 5, 10), because="Won.", **more):
    steps = (CutStep(Decimal(shots), until),)
    return Cut(more.pop("id", f"c{shots}"), since, steps, because, **more)


def value(basis, lines, running=(), whom=MAN, on=DAY, **rules):
    found = used(HandicapRules(basis=basis, **rules), whom, lines, running, on)
    return None if found is None else str(found.value)


ALL = [
    line("14.2", "association", row=1),
    line("12.8", "cards", row=2),
    line("16.0", "society", row=3, since=date(2026, 5, 20)),
    line("15.0", "committee", row=4, since=date(2026, 5, 19)),
    line("11", "society", kind=PLAYING, row=5),
]


@pytest.mark.parametrize(
    ("basis", "found"),
    [
        (Basis.WRITTEN, "16.0"),  # the latest of any that was written down, not the cards'
        (Basis.ASSOCIATION, "14.2"),
        (Basis.CARDS, "12.8"),
        (Basis.LOWER, "12.8"),
        (Basis.WITH_CUTS, "14.2"),
        (Basis.FIXED, "11"),
    ],
)
def test_each_basis_takes_its_own_line(basis, found):
    assert value(basis, ALL) == found


def test_the_lower_of_two_names_both_and_an_equal_one_is_the_associations():
    found = used(HandicapRules(Basis.LOWER), MAN, ALL[:2], [], DAY)
    assert found.words == (
        "The lower of two: society handicap 12.8 worked out from cards, from 3 May 2026, and not "
        "index 14.2 of the association, from 3 May 2026."
    )
    assert [(s.title, s.result) for s in found.steps] == [("Society handicap", "12.8")]
    level = used(HandicapRules(Basis.LOWER), MAN, [ALL[0], line("14.2", "cards")], [], DAY)
    assert level.base.source is Source.ASSOCIATION
    alone = used(HandicapRules(Basis.LOWER), MAN, ALL[:1], [], DAY)
    assert (alone.other, alone.plain, alone.steps) == (None, True, ())


def test_without_a_figure_from_cards_the_societys_own_line_is_taken():
    assert value(Basis.CARDS, ALL[2:]) == "16.0"
    assert value(Basis.LOWER, [ALL[0], ALL[2]]) == "14.2"
    assert value(Basis.CARDS, ALL[:1]) is None


def test_a_guest_without_what_is_asked_for_plays_off_the_figure_stated():
    stated = line("24.0", "stated")
    for basis in (Basis.ASSOCIATION, Basis.CARDS, Basis.LOWER, Basis.WITH_CUTS):
        assert value(basis, [stated], whom=GUEST) == "24.0"
    assert value(Basis.WRITTEN, [stated], source="society", whom=GUEST) == "24.0"


@pytest.mark.parametrize("basis", [Basis.ASSOCIATION, Basis.WITH_CUTS, Basis.CARDS, Basis.LOWER])
def test_whoever_has_no_index_yet_plays_off_a_first_figure(basis):
    # Three cards, by the committee, or as stated (common practice, no source: PRACTICE 2.4).
    for source in ("cards", "committee", "stated"):
        first = line("21.3", source, row=2)
        assert value(basis, [first]) == "21.3", source
        ended = line("21.3", source, row=2, ended=True)
        assert value(basis, [ended]) is None
    if basis in (Basis.ASSOCIATION, Basis.WITH_CUTS):
        # what the society wrote down is no first figure, and an index stands above one
        assert value(basis, [line("21.3", "society", row=2)]) is None
        assert value(basis, [ALL[0], line("9.0", "committee", row=9)]) == "14.2"
    of_fixture = line("21.3", "stated", causes=("e1",))
    assert value(basis, [of_fixture], whom=Whom(1, "men", entry="e2")) is None
    assert value(Basis.WRITTEN, [line("21.3", "stated")], source="association") is None


def test_what_was_typed_for_one_entry_counts_for_that_one_alone():
    typed = line("18.0", "committee", causes=("e1",), since=DAY)
    mine, other = Whom(1, "men", entry="e1"), Whom(1, "men", entry="e2")
    assert value(Basis.ASSOCIATION, [typed], whom=mine) == "18.0"
    assert value(Basis.ASSOCIATION, [typed], whom=other) is None
    course = line("20", "committee", kind=COURSE, causes=("e1",), since=DAY)
    assert value(Basis.ASSOCIATION, [ALL[0], course], whom=mine) == "20"
    assert value(Basis.ASSOCIATION, [ALL[0], course], whom=other) == "14.2"


def test_a_figure_that_ended_is_none_and_hides_no_other_source():
    ended = line("12.8", "cards", row=9, since=date(2026, 5, 25), ended=True)
    assert value(Basis.CARDS, [*ALL[:2], ended]) is None
    assert value(Basis.LOWER, [*ALL[:2], ended]) == "14.2"
    later = line("13.0", "cards", row=10, since=date(2026, 5, 26))
    assert value(Basis.CARDS, [ended, later]) == "13.0"


def test_a_line_of_a_later_day_waits_for_it():
    later = line("9.0", since=date(2026, 6, 2), row=7)
    assert value(Basis.ASSOCIATION, [ALL[0], later]) == "14.2"
    assert value(Basis.ASSOCIATION, [ALL[0], later], on=date(2026, 6, 2)) == "9.0"


def test_cuts_lie_on_top_where_the_basis_takes_them():
    cuts = [cut("-2"), cut("-0.5")]
    assert value(Basis.WITH_CUTS, ALL, cuts) == "11.7"
    assert value(Basis.ASSOCIATION, ALL, cuts, cuts={}) == "14.2"
    assert value(Basis.LOWER, ALL, cuts) == "12.8"  # the season has no rule for cuts
    assert value(Basis.LOWER, ALL, cuts, cuts={}) == "10.3"
    # Half shots round up, so two wins make one shot (PRACTICE 2.3, rule 5).
    assert value(Basis.FIXED, ALL, [cut("-0.5")], cuts={}) == "11"
    assert value(Basis.FIXED, ALL, [cut("-0.5"), cut("-0.5", id="d")], cuts={}) == "10"


def test_fading_cuts_add_up_day_by_day():
    # PRACTICE section 12, story 10 (rule 3 of 2.3): won on 10 May 2024 (−3, −2, −1, a year each),
    # second on 14 September 2024 (−2, −1).
    won = Cut(
        "w",
        date(2024, 5, 10),
        read_steps(
            '[{"shots":"-3.0","until":"2025-05-10"},{"shots":"-2.0","until":"2026-05-10"},'
            '{"shots":"-1.0","until":"2027-05-10"}]'
        ),
        "Won.",
    )
    second = Cut(
        "s",
        date(2024, 9, 14),
        read_steps('[{"shots":"-2.0","until":"2025-09-14"},{"shots":"-1.0","until":"2026-09-14"}]'),
        "Second.",
    )
    base = line("20.0", since=date(2024, 1, 1))
    told = {
        date(2024, 5, 9): "20.0",
        date(2024, 10, 1): "15.0",
        date(2025, 6, 1): "16.0",
        date(2025, 10, 1): "17.0",
        date(2026, 10, 1): "19.0",
        date(2027, 6, 1): "20.0",
    }
    for on, figure in told.items():
        assert value(Basis.WITH_CUTS, [base], [won, second], on=on) == figure, on


def test_a_figure_written_anew_by_the_society_includes_the_cuts_before_it():
    before = cut("-2", written="2026-05-10T20:00")
    anew = line("13", "society", kind=PLAYING, since=date(2026, 5, 20), written="2026-05-19T09:00")
    assert value(Basis.FIXED, [anew], [before], cuts={}) == "13"
    later = cut("-1", since=date(2026, 5, 25), written="2026-05-25T20:00")
    assert value(Basis.FIXED, [anew], [before, later], cuts={}) == "12"
    # Written after it, though valid from an earlier day: it lies on top.
    late = cut("-1", since=date(2026, 5, 18), written="2026-05-21T20:00")
    assert value(Basis.FIXED, [anew], [late], cuts={}) == "12"
    # An association's index knows nothing of our cuts.
    index = line("13.0", since=date(2026, 5, 20), written="2026-05-19T09:00")
    assert value(Basis.WITH_CUTS, [index], [before]) == "11.0"


def test_the_maximum_caps_what_is_taken_after_the_cuts():
    rules = HandicapRules(Basis.WITH_CUTS, maximum={"men": 28}, guest_maximum=24)
    found = used(rules, MAN, [line("31.2")], [cut("-2")], DAY)
    assert (found.exact, found.value, found.capped) == (Decimal("29.2"), Decimal(28), True)
    assert found.words == (
        "Index 31.2 of the association, from 3 May 2026; 2 shots off: Won, until 10 May 2027; "
        "at most 28 for men: 29.2 becomes 28."
    )
    assert [(s.title, s.result, s.sum) for s in found.steps] == [
        ("Index", "31.2", ""),
        ("Society cut", "29.2", "31.2 − 2"),
        ("Maximum of the society", "28.0", ""),
    ]
    guest = used(rules, GUEST, [line("30.0", "stated")], [], DAY)
    assert (guest.value, guest.whom) == (Decimal(24), "guests")
    woman = used(rules, Whom(1, "women"), [line("31.2")], [], DAY)
    assert (woman.value, woman.maximum) == (Decimal("31.2"), None)


def test_a_figure_never_leaves_the_limits_of_its_kind():
    # 54.0 is the highest index (Rules of Handicapping 2024, Rule 5.3).
    found = used(HandicapRules(Basis.WITH_CUTS), MAN, [line("53.8")], [cut("1")], DAY)
    assert (found.value, found.exact) == (Decimal(54), Decimal("54.8"))
    assert "54.8 is out of the limits and becomes 54.0" in found.words
    assert value(Basis.WITH_CUTS, [line("-9.5")], [cut("-1")]) == "-10"


def test_how_it_came_about_is_kept_and_read_again():
    rules = HandicapRules(Basis.LOWER, maximum={"men": 10}, cuts={})
    found = used(rules, MAN, ALL, [cut("-0.5", until=None)], DAY)
    kept = read_made(made_of(found))
    assert kept.words == found.words
    assert kept.steps == found.steps
    assert made_of(kept) == made_of(found)
    assert read_made("") is None


tenths = st.integers(min_value=-50, max_value=540).map(lambda n: Decimal(n) / 10)


@given(tenths, st.lists(st.integers(-50, 30).map(lambda n: Decimal(n) / 10), max_size=4))
def test_the_steps_end_at_the_figure(figure, shots):
    cuts = [cut(str(s), id=f"c{at}") for at, s in enumerate(shots)]
    rules = HandicapRules(Basis.WITH_CUTS, maximum={"men": 28})
    found = used(rules, MAN, [line(str(figure))], cuts, DAY)
    assert found.value <= 28
    assert found.exact == figure + sum(shots)
    if found.steps:
        last = found.steps[-1].result
        assert Decimal(last.replace("+", "-")) == found.value
