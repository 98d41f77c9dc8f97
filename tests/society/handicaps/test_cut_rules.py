"""A society's cuts: worked days, every set of rules to begin with, and what always holds.

All of it is common practice, no source; the days below are the specification.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.strict_json import Refused, canonical, read_json
from society.handicaps.rules.cuts.presets import PRESETS
from society.handicaps.rules.cuts.proposing import mark_of, propose
from society.handicaps.rules.cuts.reading import cuts_object, read_cuts, text_of
from society.handicaps.rules.cuts.rounding import played_off
from society.handicaps.rules.cuts.steps import (
    later,
    lines_of,
    read_steps,
    steps_of,
    steps_on,
    written_steps,
)
from society.handicaps.rules.cuts.values import (
    CutRules,
    Expiry,
    Lowest,
    Mark,
    MarkOf,
    Placed,
    PointsCut,
    PointsRise,
    Proposed,
    Step,
    Whom,
)
from society.handicaps.rules.cuts.words import sentences

DAY = date(2026, 5, 9)
RULES = {preset.key: preset.rules for preset in PRESETS}


def field_of(*rows: tuple[int, str] | tuple[int, str, bool]) -> list[Placed]:
    """Points and figure of each, best first: a, b, c …; True for a guest."""
    points = [row[0] for row in rows]
    return [
        Placed(
            player=f"p{at:02d}",
            place=1 + sum(other > row[0] for other in points),
            points=row[0],
            figure=Decimal(row[1]),
            guest=len(row) > 2 and bool(row[2]),
        )
        for at, row in enumerate(rows)
    ]


def by_player(found: Sequence[Proposed]) -> dict[str, Proposed]:
    return {one.player: one for one in found}


def moves(rules: CutRules, field: Sequence[Placed]) -> dict[str, str]:
    """Player → change, of those who move."""
    found = propose(rules, field, played=DAY)
    return {one.player: text_of(one.shots) for one in found if one.steps}


# the day of 22 ------------------------------------------------------------------------------


def day_of_22(guest_among_the_lowest: bool = True) -> list[Placed]:
    middle = [(35 - at, "18") for at in range(15)]  # 35 down to 21
    return field_of(
        (41, "16"),
        (38, "9"),
        (36, "28"),
        *middle,
        (20, "17"),
        (19, "28"),  # on the maximum already
        (18, "20", guest_among_the_lowest),
        (17, "22"),
    )


def test_3_2_1_with_a_bonus_and_shots_back() -> None:
    found = by_player(propose(RULES["three-two-one"], day_of_22(), played=DAY))
    assert (found["p00"].old, found["p00"].new) == (Decimal(16), Decimal(12))
    assert found["p00"].because == "first with 41 points (3 off); 40 points or more (1 more off)"
    assert (found["p01"].old, found["p01"].new) == (Decimal(9), Decimal(7))
    assert (found["p02"].old, found["p02"].new) == (Decimal(28), Decimal(27))
    # the lowest three: the last rises, the guest is skipped, who is on the maximum stays
    assert (found["p21"].old, found["p21"].new) == (Decimal(22), Decimal(23))
    assert "p20" not in found
    assert (found["p19"].old, found["p19"].new, found["p19"].steps) == (
        Decimal(28),
        Decimal(28),
        (),
    )
    assert found["p19"].because == (
        "among the lowest of 22 with 19 points (1 back); 28 is the most"
    )
    assert set(found) == {"p00", "p01", "p02", "p19", "p21"}
    assert found["p00"].valid_from == DAY + timedelta(days=1)


def test_the_rise_of_a_guest_passes_on_only_if_the_rules_say_so() -> None:
    passes = read_cuts(cuts_object(RULES["three-two-one"]) | {"pass_on": True})
    found = by_player(propose(passes, day_of_22(), played=DAY))
    assert found["p18"].new == Decimal(18)  # 17 before; the next member above the guest
    assert moves(passes, day_of_22()).keys() == {"p00", "p01", "p02", "p18", "p21"}


@pytest.mark.parametrize(("size", "risen"), [(9, 1), (10, 2), (19, 2), (20, 3)])
def test_how_many_rise_goes_by_the_field(size: int, risen: int) -> None:
    field = field_of(*[(60 - at, "10") for at in range(size)])
    rises = [one for one, change in moves(RULES["three-two-one"], field).items() if change == "1"]
    assert rises == [f"p{at:02d}" for at in range(size - risen, size)]


# the trimmed mean ---------------------------------------------------------------------------


def day_of_500(first: int, others: Sequence[int]) -> list[Placed]:
    """22 scores that sum to 500 without the best and the worst one."""
    known = sorted([first, *others], reverse=True)[1:]
    left = 20 - len(known)
    each, more = divmod(500 - sum(known), left)
    rest = [each + 1] * more + [each] * (left - more)
    worst = min(rest) - 1
    return field_of(*[(points, "18") for points in [first, *others, *rest, worst]])


def test_the_trimmed_mean() -> None:
    rules = RULES["above-the-field"]
    field = day_of_500(37, [35])
    assert mark_of(rules, field) == Fraction(65, 2)  # 500 over 20 is 25.0, times 1.3
    found = by_player(propose(rules, field, played=DAY))
    assert found["p00"].shots == -2  # 4.5 over
    assert found["p00"].because == "37 points, 4.5 over the mark of 32.5"
    assert found["p01"].shots == -1  # 2.5 over
    assert found["p01"].because == "35 points, 2.5 over the mark of 32.5"
    assert set(found) == {"p00", "p01"}


def test_the_winner_is_cut_for_winning_and_nobody_gets_both() -> None:
    rules = RULES["above-the-field"]
    on_34 = day_of_500(34, [])
    assert mark_of(rules, on_34) == Fraction(65, 2)
    won = propose(rules, on_34, played=DAY)
    assert [(one.player, one.shots) for one in won] == [("p00", -1)]  # 1.5 over: for winning
    assert won[0].because == "first with 34 points"
    assert moves(rules, day_of_500(35, [])) == {"p00": "-1"}  # 2.5 over and won: once, not twice


def test_too_few_scores_have_no_mark() -> None:
    rules = RULES["above-the-field"]
    assert mark_of(rules, field_of((40, "18"), (20, "18"))) is None
    assert moves(rules, field_of((40, "18"), (20, "18"))) == {"p00": "-1"}


# cuts that fade -----------------------------------------------------------------------------


def test_cuts_that_fade() -> None:
    rules = RULES["fading"]
    won = propose(rules, [Placed("a", 1, 38, Decimal(18))], played=date(2024, 5, 10))[0]
    second = propose(rules, [Placed("a", 2, 37, Decimal(15))], played=date(2024, 9, 14))[0]

    def running(on: date) -> Decimal:
        return sum((steps_on(one.valid_from, one.steps, on) for one in (won, second)), Decimal(0))

    assert running(date(2024, 5, 10)) == 0
    assert running(date(2024, 10, 1)) == -5
    assert running(date(2025, 6, 1)) == -4
    assert running(date(2025, 10, 1)) == -3
    assert running(date(2026, 10, 1)) == -1
    assert running(date(2027, 6, 1)) == 0
    # each line with its end date
    assert [
        (line.shots, line.since, line.until) for line in lines_of(won.valid_from, won.steps)
    ] == [
        (Decimal(-3), date(2024, 5, 11), date(2025, 5, 11)),
        (Decimal(-2), date(2025, 5, 11), date(2026, 5, 11)),
        (Decimal(-1), date(2026, 5, 11), date(2027, 5, 11)),
    ]
    assert second.steps == (
        Step(Decimal(-2), date(2025, 9, 15)),
        Step(Decimal(-1), date(2026, 9, 15)),
    )


def test_a_month_that_has_no_such_day_ends_on_its_last() -> None:
    assert later(date(2024, 2, 29), 12) == date(2025, 2, 28)
    assert later(date(2025, 12, 31), 2) == date(2026, 2, 28)
    assert later(date(2025, 12, 31), 12) == date(2026, 12, 31)


def test_a_change_may_end_with_the_season() -> None:
    rules = CutRules(places=((Decimal(2),),), expiry=Expiry.SEASON)
    one = Placed("a", 1, 36, Decimal(18))
    found = propose(rules, [one], played=DAY, season_ends=date(2026, 10, 31))[0]
    assert found.steps == (Step(Decimal(-2), date(2026, 11, 1)),)
    late = propose(rules, [one], played=date(2026, 10, 31), season_ends=date(2026, 10, 31))[0]
    assert (late.steps, late.new) == ((), Decimal(18))
    assert late.because.endswith("it ends with the season, which is over")


# the other sets of rules --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("points", "figure", "shots"),
    [
        (41, "20", "-3"),
        (38, "20", "-2"),  # never more than the points over 36
        (36, "20", None),
        (41, "9", "-1"),  # single figures
        (41, "9.9", "-1"),
        (50, "20", "-5"),
    ],
)
def test_never_more_than_the_points_over_36(points: int, figure: str, shots: str | None) -> None:
    rules = RULES["never-past-thirty-six"]
    assert moves(rules, field_of((points, figure), (25, "12"))).get("p00") == shots


def test_under_25_points_one_comes_back() -> None:
    rules = RULES["never-past-thirty-six"]
    assert moves(rules, field_of((36, "9"), (25, "9"), (24, "9"))) == {"p02": "1"}


@pytest.mark.parametrize(
    ("points", "figure", "shots"),
    [(37, "10", "-2"), (37, "9", "-1"), (36, "20", "-1"), (30, "20", "-1"), (29, "20", None)],
)
def test_winner_and_good_scores(points: int, figure: str, shots: str | None) -> None:
    rules = RULES["good-scores"]
    found = moves(rules, field_of((points, figure), (28, "15"), (20, "12")))
    assert found.get("p00") == shots
    assert found["p02"] == "1"  # the last
    assert "p01" not in found


def test_not_the_winner_on_39() -> None:
    field = field_of((42, "15"), (39, "8"), (38, "15"), (20, "12"))
    assert moves(RULES["good-scores"], field) == {"p00": "-2", "p01": "-1", "p03": "1"}


@pytest.mark.parametrize(
    ("points", "figure", "shots"),
    [
        (30, "12", "-0.5"),
        (30, "12.9", "-0.5"),
        (36, "13", "-1"),
        (36, "20", "-1"),
        (36, "21", "-2"),
        (29, "21", None),
    ],
)
def test_half_shots_by_handicap(points: int, figure: str, shots: str | None) -> None:
    field = field_of((points, figure), (20, "18"))
    assert moves(RULES["half-shots"], field) == ({"p00": shots} if shots else {})


def test_two_wins_make_one_shot() -> None:
    rules = RULES["half-shots"]
    first = propose(rules, field_of((36, "12")), played=DAY)[0]
    assert played_off(first.new) == 12  # 11.5 rounds up
    assert first.because.endswith("half a shot rounds up, so 12 is played")
    second = propose(rules, field_of((36, str(first.new))), played=DAY)[0]
    assert (second.new, played_off(second.new)) == (Decimal(11), Decimal(11))


def test_either_side_of_the_mean() -> None:
    # 36, 32, 30 and 22 have a mean of 30; 12 is below 20 and is not in it
    field = field_of((36, "9"), (32, "10"), (30, "19"), (22, "19"), (12, "27.5"))
    rules = RULES["either-side-of-the-mean"]
    assert mark_of(rules, field) == 30
    assert moves(rules, field) == {
        "p00": "-1.2",  # 6 x 0.2
        "p01": "-0.6",  # 2 x 0.3
        "p03": "1.6",  # 8 x 0.2
        "p04": "0.5",  # 18 x 0.2 is 3.6, and 28 is the most
    }


def test_a_change_is_rounded_once_half_up() -> None:
    # 33, 31 and 30: mean 31.33; 33 is 1.67 over, times 0.3 is 0.5; 30 is 1.33 under, 0.4
    field = field_of((33, "12"), (31, "12"), (30, "12"))
    assert moves(RULES["either-side-of-the-mean"], field) == {
        "p00": "-0.5",
        "p01": "0.1",
        "p02": "0.4",
    }


@pytest.mark.parametrize(
    ("points", "shots"),
    [(28, "0.5"), (29, None), (35, None), (36, "-0.5"), (37, "-1"), (38, "-1.5"), (41, "-3")],
)
def test_half_a_shot_a_point(points: int, shots: str | None) -> None:
    found = propose(RULES["half-a-point"], field_of((points, "18")), played=DAY)
    assert [Decimal(one.shots) for one in found] == ([Decimal(shots)] if shots else [])


# what is typed in ---------------------------------------------------------------------------


def test_places_and_points_a_point_and_a_flat_rise_by_band() -> None:
    """0.1, 0.2 or 0.3 a point above 36, the same back for missing it, and more for the winner."""
    bands = (Decimal("0.1"), Decimal("0.2"), Decimal("0.3"))
    rules = CutRules(
        bands=(9, 18),
        places=((Decimal("1.0"), Decimal("1.5"), Decimal("2.0")),),
        points=(PointsCut(Whom.ANYBODY, Decimal(36), bands, each=True, added=True),),
        rises=(PointsRise(Decimal(35), bands),),
    )
    field = field_of((40, "20"), (38, "12"), (36, "12"), (35, "5"))
    assert moves(rules, field) == {"p00": "-3.2", "p01": "-0.4", "p03": "0.1"}


def test_a_line_may_take_so_much_at_most() -> None:
    rules = CutRules(
        points=(
            PointsCut(Whom.ANYBODY, Decimal(36), (Decimal("0.1"),), each=True, most=Decimal("1")),
        )
    )
    assert moves(rules, field_of((48, "20"), (40, "20"))) == {"p00": "-1", "p01": "-0.4"}


def test_places_may_be_counted_among_members() -> None:
    field = field_of((40, "12", True), (38, "14"), (36, "16"))
    rules = CutRules(places=((Decimal(2),), (Decimal(1),)))
    assert moves(rules, field) == {"p01": "-1"}
    among = CutRules(places=rules.places, among_members=True)
    assert moves(among, field) == {"p01": "-2", "p02": "-1"}
    alike = CutRules(places=rules.places, guests=True)
    assert moves(alike, field) == {"p00": "-2", "p01": "-1"}


def test_who_is_level_gets_the_same_cut() -> None:
    rules = CutRules(places=((Decimal(3),), (Decimal(2),), (Decimal(1),)))
    assert moves(rules, field_of((38, "12"), (36, "14"), (36, "16"), (35, "9"))) == {
        "p00": "-3",
        "p01": "-2",
        "p02": "-2",
    }


def test_who_is_level_with_the_last_to_rise_rises_too() -> None:
    rules = CutRules(lowest=Lowest(((None, 2),), Decimal(1)))
    field = field_of((38, "12"), (30, "12"), (30, "12"), (29, "12"))
    assert moves(rules, field) == {"p01": "1", "p02": "1", "p03": "1"}


def test_a_player_may_have_a_lower_maximum() -> None:
    rules = CutRules(lowest=Lowest(((None, 1),), Decimal(2)), maximum=36)
    one = Placed("a", 1, 12, Decimal("27.5"), maximum=28)
    assert propose(rules, [one], played=DAY)[0].new == Decimal(28)
    over = Placed("a", 1, 12, Decimal("30"), maximum=28)
    assert propose(rules, [over], played=DAY)[0].new == Decimal(30)  # it stays, and goes not down


def test_without_points_only_places_count() -> None:
    medal = [Placed("a", 1, None, Decimal(12)), Placed("b", 2, None, Decimal(14))]
    assert moves(RULES["three-two-one"], medal) == {"a": "-3", "b": "-2"}
    assert moves(RULES["half-a-point"], medal) == {}
    assert propose(RULES["three-two-one"], medal, played=DAY)[0].because == "first place"


# kept and read ------------------------------------------------------------------------------


@pytest.mark.parametrize("preset", PRESETS, ids=lambda preset: preset.key)
def test_rules_are_kept_and_read_back(preset: object) -> None:
    rules = getattr(preset, "rules")  # noqa: B009 - a parameter of pytest has no type
    text = canonical(cuts_object(rules))
    again = read_cuts(read_json(text))
    assert again == rules
    assert canonical(cuts_object(again)) == text
    assert sentences(rules)


@pytest.mark.parametrize(
    ("key", "value", "place", "words"),
    [
        ("bands", [9, 9], "cuts.bands", "each band higher"),
        ("bands", [True], "cuts.bands[0]", "whole number"),
        ("places", [["1", "2"]], "cuts.places[0]", "wants 1 sizes"),
        ("places", [["1.0"]], "cuts.places[0][0]", "as a text"),
        ("places", [[1]], "cuts.places[0][0]", "as a text"),
        ("places", [["21"]], "cuts.places[0][0]", "from 0 to 20"),
        ("places", [["0.25"]], "cuts.places[0][0]", "one decimal"),
        ("places", [["-1"]], "cuts.places[0][0]", "as a text"),
        ("places", "3,2,1", "cuts.places", "wants a list"),
        ("floor", 0, "cuts.floor", "from 1"),
        ("expiry", "sometimes", "cuts.expiry", "one of never, season, steps"),
        ("expiry", "steps", "cuts.months", "at least one step"),
        ("months", [12], "cuts.months", "wants no steps"),
        ("most", [None], "cuts.most", "an empty list"),
        ("most", ["1", "1"], "cuts.most", "wants 1 limits"),
        ("lowest", {"counts": [[9, 1]], "shots": "1"}, "cuts.lowest.counts[0][0]", "wants null"),
        ("lowest", {"counts": [], "shots": "1"}, "cuts.lowest.counts", "at least one"),
        ("lowest", {"counts": [[1]], "shots": "1"}, "cuts.lowest.counts[0]", "size of field"),
        ("guests", 1, "cuts.guests", "true or false"),
        ("version", 2, "cuts.version", "from 1 to 1"),
        ("wild", 1, "cuts.wild", "is not a key"),
    ],
)
def test_wrong_rules_are_refused_with_their_place(
    key: str, value: object, place: str, words: str
) -> None:
    with pytest.raises(Refused) as refused:
        read_cuts(cuts_object(CutRules()) | {key: value})
    assert refused.value.place == place
    assert words in refused.value.words


def test_every_key_is_wanted() -> None:
    whole = cuts_object(CutRules())
    for key in whole:
        with pytest.raises(Refused, match=f"cuts.{key}: is missing"):
            read_cuts({k: v for k, v in whole.items() if k != key})


def test_steps_are_kept_and_read_back() -> None:
    steps = (Step(Decimal(-3), date(2025, 5, 10)), Step(Decimal("-0.5"), None))
    text = '[{"shots":"-3.0","until":"2025-05-10"},{"shots":"-0.5","until":null}]'
    assert written_steps(steps) == text
    assert read_steps(text) == steps
    for bad in (
        '[{"shots":"-3","until":null}]',
        '[{"shots":-3.0,"until":null}]',
        '[{"shots":"-3.0","until":null},{"shots":"-1.0","until":null}]',
        '[{"shots":"-3.0","until":"2025-05-10"},{"shots":"-1.0","until":"2025-05-10"}]',
        '[{"shots":"NaN","until":null}]',
        '[{"shots":"-3.0"}]',
    ):
        with pytest.raises(Refused):
            read_steps(bad)


def test_the_words_of_a_set_of_rules() -> None:
    assert sentences(RULES["three-two-one"]) == [
        "First place: 3 shots off.",
        "Second place: 2 shots off.",
        "Third place: 1 shot off.",
        "The winner on 40 points or more: 1 shot more off.",
        "The lowest score in a field of up to 9, the lowest 2 scores in a field of up to 19, "
        "the lowest 3 scores in a larger field: 1 shot back.",
        "Whoever is cut does not rise on the same day.",
        "No handicap rises past 28.",
        "Guests are neither cut nor given shots back.",
        "The rise of one of them goes to nobody.",
        "A change stays until another one is made.",
    ]
    assert sentences(CutRules()) == ["Nothing is cut and nothing is given back."]


# what always holds --------------------------------------------------------------------------

tenths = st.integers(0, 60).map(lambda n: Decimal(n) / 10 if n % 10 else Decimal(n // 10))


@st.composite
def any_rules(draw: st.DrawFn) -> CutRules:
    bands = tuple(sorted(draw(st.sets(st.integers(0, 40), max_size=3))))
    shots = st.tuples(*[tenths] * (len(bands) + 1))
    marks = st.builds(
        Mark,
        of=st.sampled_from(MarkOf),
        points=st.integers(1, 45),
        least=st.integers(0, 25),
        drop=st.integers(0, 2),
        factor=st.sampled_from([Decimal(1), Decimal("1.3")]),
    )
    at = st.integers(0, 45).map(Decimal)
    most = st.none() | tenths
    cuts = st.builds(
        PointsCut,
        whom=st.sampled_from(Whom),
        at=at,
        shots=shots,
        over_mark=st.booleans(),
        each=st.booleans(),
        most=most,
        added=st.booleans(),
    )
    rises = st.builds(
        PointsRise, at=at, shots=shots, under_mark=st.booleans(), each=st.booleans(), most=most
    )
    lowest = st.builds(Lowest, st.just(((9, 1), (None, 2))), tenths)
    expiry = draw(st.sampled_from(Expiry))
    steps = st.lists(st.integers(1, 18), min_size=1, max_size=3).map(tuple)
    limits = draw(st.tuples(*[most] * (len(bands) + 1)))
    return CutRules(
        bands=bands,
        places=tuple(draw(st.lists(shots, max_size=4))),
        mark=draw(marks),
        points=tuple(draw(st.lists(cuts, max_size=3))),
        floor=draw(st.none() | st.integers(1, 36)),
        over=draw(st.none() | st.integers(1, 40)),
        most=() if all(one is None for one in limits) else limits,
        lowest=draw(st.none() | lowest),
        rises=tuple(draw(st.lists(rises, max_size=3))),
        maximum=draw(st.none() | st.integers(0, 54)),
        expiry=expiry,
        months=draw(steps) if expiry is Expiry.STEPS else (),
        fade=draw(tenths),
        halves_up=draw(st.booleans()),
        guests=draw(st.booleans()),
        newcomers=draw(st.booleans()),
        among_members=draw(st.booleans()),
        pass_on=draw(st.booleans()),
    )


@st.composite
def any_field(draw: st.DrawFn) -> list[Placed]:
    rows = draw(
        st.lists(
            st.tuples(
                st.integers(0, 50),
                st.integers(-50, 540).map(lambda n: Decimal(n) / 10),
                st.booleans(),
                st.booleans(),
                st.none() | st.integers(10, 54),
            ),
            min_size=1,
            max_size=24,
        )
    )
    everybody = [row[0] for row in rows]
    return [
        Placed(
            f"p{at:02d}",
            1 + sum(other > points for other in everybody),
            points,
            figure,
            guest=guest,
            newcomer=newcomer,
            maximum=maximum,
        )
        for at, (points, figure, guest, newcomer, maximum) in enumerate(rows)
    ]


@given(any_rules())
def test_any_rules_are_kept_and_read_back(rules: CutRules) -> None:
    assert read_cuts(read_json(canonical(cuts_object(rules)))) == rules
    assert all(sentence.endswith(".") for sentence in sentences(rules))


@given(any_rules(), any_field(), st.randoms(use_true_random=False))
def test_the_order_of_the_players_makes_no_difference(
    rules: CutRules, field: list[Placed], random: object
) -> None:
    mixed = list(field)
    random.shuffle(mixed)  # type: ignore[attr-defined]
    ends = date(2026, 10, 31)
    assert propose(rules, field, played=DAY, season_ends=ends) == propose(
        rules, mixed, played=DAY, season_ends=ends
    )


@given(any_rules(), any_field())
def test_nothing_rises_past_a_maximum_and_every_change_is_explained(
    rules: CutRules, field: list[Placed]
) -> None:
    people = {one.player: one for one in field}
    found = propose(rules, field, played=DAY, season_ends=date(2026, 10, 31))
    assert len({one.player for one in found}) == len(found)
    for one in found:
        person = people[one.player]
        assert one.old == person.figure
        assert one.because
        for highest in (rules.maximum, person.maximum):
            if highest is not None and one.new > one.old:
                assert one.new <= highest
        assert bool(one.steps) == (one.new != one.old)
        assert one.new == one.old + steps_on(one.valid_from, one.steps, one.valid_from)
        if person.guest:
            assert rules.guests
        if person.newcomer:
            assert rules.newcomers


@given(any_rules(), st.integers(1, 60), st.dates(date(2020, 1, 1), date(2030, 12, 31)))
def test_what_runs_jumps_on_no_day_but_an_end_date(
    rules: CutRules, tens: int, starts: date
) -> None:
    steps = steps_of(rules, Decimal(-tens) / 10, starts, later(starts, 5))
    assert read_steps(written_steps(steps)) == steps
    ends = {starts, *[step.until for step in steps if step.until]}
    before = steps_on(starts, steps, starts - timedelta(days=1))
    assert before == 0
    for ahead in range(1700):
        on = starts + timedelta(days=ahead)
        now = steps_on(starts, steps, on)
        assert now == before or on in ends
        assert now <= 0
        if on != starts:
            assert now >= before  # a cut never grows by itself
        before = now


def test_nobody_too_new_to_win_is_cut_for_a_place() -> None:
    """Common practice, no source: the win, and with it the cut, goes to the first who may win."""
    rules = CutRules(places=((Decimal(3),), (Decimal(2),), (Decimal(1),)))
    field = [
        Placed("new", 1, 40, Decimal(20), newcomer=True),
        Placed("old", 2, 38, Decimal(20)),
        Placed("third", 3, 37, Decimal(20)),
    ]
    found = {one.player: one.new for one in propose(rules, field, played=date(2026, 5, 9))}
    assert found == {"old": Decimal(17), "third": Decimal(18)}
    among = propose(
        CutRules(places=rules.places, among_members=True), field, played=date(2026, 5, 9)
    )
    assert {one.player: one.new for one in among} == found
