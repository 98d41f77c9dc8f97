"""What a society may set beyond points, best N and ties: weights, bonuses, who is in the table.

Every way here was read in rules of societies; none stands in a rule book (common practice, no
source). Figures beside a test are worked by hand.
"""

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest

from scoring.rules.strict_json import Refused
from society.merit.rules.points import alone, earned_in
from society.merit.rules.reading import rules_as_json, rules_from_json
from society.merit.rules.rows import Row, shown
from society.merit.rules.season import least, standings
from society.merit.rules.values import (
    Decision,
    Event,
    EventTies,
    Facts,
    Finish,
    Guests,
    Majors,
    MeritRules,
    NewMembers,
    Person,
    PointsFrom,
    SeasonTie,
    Unpaid,
)
from society.merit.rules.words import sentences_of, why

USUAL = MeritRules()
TOTALS = MeritRules(points=PointsFrom.TOTAL, season_ties=())
TEN = replace(USUAL, table=(10, 9, 8, 7), beyond=0)
TIED = (("a", 1, 40), ("b", 2, 40), ("c", 3, 38), ("d", 4, 36))


def event(*finishes: tuple[str, int, int], key: str = "e", day: date = date.min) -> Event:
    return Event(key, tuple(Finish(n, True, p, t) for n, p, t in finishes), day=day)


def points(day: Event, rules: MeritRules, facts: Facts = Facts()) -> dict[str, str]:  # noqa: B008 - frozen
    return {player: shown(found.points) for player, found in earned_in(day, rules, facts).items()}


def season(**scores: list[int | None]) -> list[Event]:
    names = list(scores)
    return [
        Event(
            str(number),
            tuple(
                Finish(name, True, 1 + sum(o > s for o in day if o is not None), s)
                for name, s in zip(names, day, strict=True)
                if s is not None
            ),
            day=date(2026, number + 1, 10),
        )
        for number, day in enumerate(zip(*scores.values(), strict=True))
    ]


def order(rows: list[Row]) -> list[tuple[str, int | None]]:
    return [(row.player, row.place) for row in rows]


# ties in one event, by the table 10-9-8-7 with two tied first ----------------------------------


@pytest.mark.parametrize(
    ("ties", "expected"),
    [
        (EventTies.DIVIDE, ["9.5", "9.5", "8", "7"]),
        (EventTies.HIGHER, ["10", "10", "8", "7"]),
        (EventTies.NO_SKIP, ["10", "10", "9", "8"]),
        (EventTies.COUNTBACK, ["10", "9", "8", "7"]),
    ],
)
def test_two_tied_first(ties: EventTies, expected: list[str]) -> None:
    assert list(points(event(*TIED), replace(TEN, event_ties=ties)).values()) == expected


def test_all_tied_for_the_last_paying_place_get_its_points_in_full() -> None:
    day = event(("a", 1, 40), ("b", 2, 38), ("c", 3, 36), ("d", 4, 34), ("e", 4, 34), ("f", 4, 34))
    divided = points(day, TEN)
    assert [divided[name] for name in "def"] == ["2.3", "2.3", "2.3"]  # 7 + 0 + 0 over three
    full = points(day, replace(TEN, last_place_full=True))
    assert [full[name] for name in "def"] == ["7", "7", "7"]
    assert points(event(*TIED), replace(TEN, last_place_full=True))["a"] == "9.5"


# weights, majors, what is on top ---------------------------------------------------------------


def test_a_weight_multiplies_the_points() -> None:
    rules = replace(TEN, weights=(("e", Fraction(3, 2)),))
    assert list(points(event(*TIED), rules).values()) == ["14.3", "14.3", "12", "10.5"]
    assert earned_in(event(*TIED), rules)["a"].points == Fraction(57, 4)  # 9.5 × 1.5, kept exact
    assert points(event(*TIED, key="other"), rules)["a"] == "9.5"


@pytest.mark.parametrize(
    ("way", "expected"),
    [
        (Majors.TIMES, ["20", "18", "16", "14"]),
        (Majors.OWN, ["5", "4", "3", "2"]),
        (Majors.ADDED, ["15", "13", "11", "9"]),
    ],
)
def test_majors(way: Majors, expected: list[str]) -> None:
    rules = replace(
        TEN, majors=("e",), major_way=way, major_table=(5, 4, 3, 2), event_ties=EventTies.COUNTBACK
    )
    assert list(points(event(*TIED), rules).values()) == expected


def test_a_major_where_the_total_is_the_score() -> None:
    day = event(("a", 1, 40), ("b", 2, 38))
    assert points(day, replace(TOTALS, majors=("e",))) == {"a": "80", "b": "76"}
    added = replace(TOTALS, majors=("e",), major_way=Majors.ADDED, major_table=(5, 4))
    assert points(day, added) == {"a": "45", "b": "42"}
    own = replace(added, major_way=Majors.OWN)
    assert points(day, own) == {"a": "5", "b": "4"}


def test_turning_up_and_bonuses_are_on_top_and_not_multiplied() -> None:
    rules = replace(
        TEN,
        weights=(("e", Fraction(2)),),
        turning_up=Fraction(1),
        bonus_from=37,
        bonus_points=Fraction(1),
        bonus_pin=Fraction(1),
        bonus_drive=Fraction(2),
    )
    day = Event(
        "e",
        (
            Finish("a", True, 1, 40, pins=2),
            Finish("b", True, 2, 36, drives=1),
            Finish("c", True, 3, 30),
            Finish("d", True, 4, 20),
            Finish("f", True, 5, 19),
        ),
    )
    # 10 × 2 + 1 + 1 + 2 × 1;  9 × 2 + 1 + 2;  8 × 2 + 1;  7 × 2 + 1;  nothing but turning up
    assert list(points(day, rules).values()) == ["24", "21", "17", "15", "1"]
    assert earned_in(day, rules)["a"].extra == 4
    medal = replace(day, stableford=False)
    assert points(medal, rules)["a"] == "23"  # 40 is no number of points there


def test_what_is_on_top_is_dropped_with_its_score() -> None:
    rules = replace(TOTALS, best=1, turning_up=Fraction(2))
    (row,) = standings(season(a=[30, 35]), rules)
    assert row.total == 37


# guests, new members, unpaid members -------------------------------------------------------------

BEGINS = date(2026, 1, 1)
FIVE_DAYS = season(new=[30] * 5, old=[20] * 5)
DAYS = tuple(day.day for day in FIVE_DAYS)  # the tenth of January to May


def facts(**people: Person) -> Facts:
    return Facts(starts_on=BEGINS, days=DAYS, people=people)


NEW = facts(new=Person(joined_on=date(2026, 3, 1)))


def test_all_alike_a_new_member_stands_as_all_do() -> None:
    rows = standings(FIVE_DAYS, TOTALS, facts=NEW)
    assert order(rows) == [("new", 1), ("old", 2)]


def test_from_joining_only_what_came_after_counts_and_others_move_up() -> None:
    rules = replace(TEN, new_members=NewMembers.FROM_JOINING, season_ties=())
    found = {row.player: row for row in standings(FIVE_DAYS, rules, facts=NEW)}
    assert [c and c.points for c in found["new"].cells] == [None, None, 10, 10, 10]
    assert [c and c.points for c in found["old"].cells] == [10, 10, 9, 9, 9]


def test_pro_rata_the_minimum_falls_with_the_fixtures_left() -> None:
    rules = replace(TOTALS, minimum=4, new_members=NewMembers.PRO_RATA)
    assert least("new", rules, NEW) == 3  # 4 × 3 of 5 = 2.4, rounded up
    assert least("old", rules, NEW) == 4
    days = [*FIVE_DAYS[:4], replace(FIVE_DAYS[4], finishes=FIVE_DAYS[4].finishes[1:])]
    found = {row.player: row for row in standings(days, rules, facts=NEW)}
    assert found["new"].short == 1  # played two of the three
    assert found["new"].place is None


def test_a_first_season_without_a_place() -> None:
    rows = standings(FIVE_DAYS, replace(TOTALS, new_members=NewMembers.UNRANKED), facts=NEW)
    assert [(row.player, row.place, row.unranked) for row in rows] == [
        ("new", None, "new"), ("old", 1, ""),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("joined", "place"),
    [(date(2026, 3, 9), 1), (date(2026, 3, 10), None), (date(2026, 1, 1), 1)],
)
def test_joining_before_the_last_three_fixtures(joined: date, place: int | None) -> None:
    rules = replace(TOTALS, join_before_last=3)  # the tenths of March, April and May
    rows = standings(FIVE_DAYS, rules, facts=facts(new=Person(joined_on=joined)))
    assert rows[0].player == "new"
    assert rows[0].place == place


def test_new_members_begin_on_minus_ten() -> None:
    found = {
        row.player: row
        for row in standings(FIVE_DAYS, replace(TOTALS, new_start=Fraction(-10)), facts=NEW)
    }
    assert (found["new"].total, found["new"].start) == (140, -10)
    assert (found["old"].total, found["old"].start) == (100, 0)


@pytest.mark.parametrize(
    ("unpaid", "new", "old"),
    [
        (Unpaid.COUNT, [10] * 5, [9] * 5),
        (Unpaid.LEFT_OUT, None, [10] * 5),
        (Unpaid.UNRANKED, [10] * 5, [9] * 5),
        (Unpaid.FROM_PAYMENT, None, [10] * 5),
    ],
)
def test_a_subscription_that_is_open(unpaid: Unpaid, new: list[int] | None, old: list[int]) -> None:
    known = facts(old=Person(paid_on=date.min))
    rows = standings(FIVE_DAYS, replace(TEN, unpaid=unpaid), facts=known)
    found = {row.player: [c and c.points for c in row.cells] for row in rows}
    assert found.get("new") == new
    assert found["old"] == old
    if unpaid is Unpaid.UNRANKED:
        assert [(row.player, row.place, row.unranked) for row in rows] == [
            ("new", None, "unpaid"), ("old", 1, ""),
        ]  # fmt: skip


def test_from_payment_counts_from_that_day_on() -> None:
    known = facts(new=Person(paid_on=date(2026, 3, 10)), old=Person(paid_on=date.min))
    rows = standings(FIVE_DAYS, replace(TEN, unpaid=Unpaid.FROM_PAYMENT), facts=known)
    found = {row.player: [c and c.points for c in row.cells] for row in rows}
    assert found["new"] == [None, None, 10, 10, 10]
    assert found["old"] == [10, 10, 9, 9, 9]


def test_payment_says_nothing_of_guests() -> None:
    day = Event("e", (Finish("guest", False, 1, 40), Finish("a", True, 2, 30)))
    rules = replace(TEN, unpaid=Unpaid.LEFT_OUT, guests=Guests.UNRANKED)
    rows = standings([day], rules, facts=facts(a=Person(paid_on=BEGINS)))
    assert [(row.player, row.place) for row in rows] == [("guest", None), ("a", 1)]


def test_a_table_of_one_division() -> None:
    day = Event(
        "e",
        (
            Finish("a", True, 1, 40, divisions=("Low",)),
            Finish("b", True, 2, 38, divisions=("High",)),
            Finish("c", True, 3, 36, divisions=("High", "Seniors")),
        ),
    )
    assert points(day, replace(TEN, division="High")) == {"b": "10", "c": "9"}
    assert points(day, replace(TEN, division="Seniors")) == {"c": "10"}


# season ties ------------------------------------------------------------------------------------


def parted(days: list[Event], *ties: SeasonTie, best: int | None = None) -> tuple[str, str]:
    rows = standings(days, replace(TOTALS, season_ties=ties, best=best))
    upper = next(row for row in rows if row.parted)
    return upper.player, why(upper, {row.player: row.player.upper() for row in rows})


def test_most_attendances() -> None:
    days = season(a=[30, 30, 6], b=[33, 33, None])
    assert parted(days, SeasonTie.MOST_EVENTS) == ("a", "Ahead of B: more fixtures played, 3 v 2")


def test_most_finishes_in_the_first_three_then_most_wins_then_most_seconds() -> None:
    ties = (SeasonTie.TOP_THREE, SeasonTie.MOST_WINS, SeasonTie.MOST_SECONDS)
    # x and y have the same total; places by hand: x 1 4, y 2 2 (of four)
    days = season(x=[40, 30], y=[35, 35], p=[34, 37], q=[33, 32])
    player, words = parted(days, *ties)
    assert player == "y"
    assert words == "Ahead of X: more finishes in the first three, 2 v 1"
    # x 1 3, y 2 2: level on the first three, x has the win
    days = season(x=[40, 30], y=[35, 35], p=[20, 36], q=[19, 20])
    player, words = parted(days, *ties)
    assert player == "x"
    assert words == "Ahead of Y: level on finishes in the first three, more wins, 1 v 0"
    # neither won: x 2 3, y 3 3 and total by another path
    days = season(x=[35, 30], y=[33, 32], p=[40, 40], q=[20, 36], r=[10, 35])
    assert parted(days, SeasonTie.MOST_SECONDS) == ("x", "Ahead of Y: more second places, 1 v 0")


def test_most_wins_then_seconds_and_so_on() -> None:
    # a: places 1 3, b: places 1 2 (won on the other day), by hand
    days = season(a=[40, 30], b=[34, 36], c=[35, 35])
    assert [cell.place for row in standings(days, TOTALS) for cell in row.cells if cell] == [
        1, 3, 3, 1, 2, 2,
    ]  # fmt: skip
    player, words = parted(days, SeasonTie.BEST_PLACES)
    assert player == "a"  # one win and one third each: level; both are ahead of c with two seconds
    assert words.startswith("Level with B on every count. Ahead of C: more wins, 1 v 0")


def test_most_of_the_highest_points_then_of_the_next() -> None:
    rules = replace(TEN, season_ties=(SeasonTie.HIGH_POINTS,), event_ties=EventTies.COUNTBACK)
    days = [
        event(("a", 1, 40), ("b", 2, 39), ("c", 3, 38)),
        event(("b", 2, 39), ("c", 1, 40), ("a", 3, 38)),
    ]  # a 10 + 8, b 9 + 9, c 8 + 10
    rows = standings(days, rules)
    assert [row.total for row in rows] == [18, 18, 18]
    assert order(rows) == [("a", 1), ("c", 1), ("b", 3)]
    assert why(rows[1], {"a": "A", "b": "B"}) == (
        "Level with A on every count. Ahead of B: more scores of 10, 1 v 0"
    )


def test_the_last_three_scores_that_count_then_two_then_one() -> None:
    days = season(a=[30, 20, 31, 32], b=[32, 21, 30, 30])
    player, words = parted(days, SeasonTie.LAST_SCORES)
    assert (player, words) == (
        "a", "Ahead of B: better on the last three scores that count, 83 v 81",
    )  # fmt: skip
    # level on the last three (63), the last two decide
    days = season(a=[30, 31, 16, 16], b=[30, 30, 20, 13])
    assert parted(days, SeasonTie.LAST_SCORES) == (
        "b",
        "Ahead of A: level on the last three scores that count, better on the last two scores "
        "that count, 33 v 32",
    )
    # dropped scores do not: with the best two of three only 36 and 30 are looked at
    days = season(a=[36, 30, 1], b=[30, 2, 36])
    assert parted(days, SeasonTie.LAST_SCORES, best=2)[0] == "b"


def test_the_last_fixture_but_one_then_the_last_then_the_committee() -> None:
    days = season(a=[30, 33, 30], b=[31, 32, 30])
    ties = (SeasonTie.LAST_BUT_ONE, SeasonTie.LAST_EVENT, SeasonTie.COMMITTEE)
    assert parted(days, *ties) == ("a", "Ahead of B: better in the last fixture but one, 33 v 32")
    days = season(a=[30, 33, 30], b=[30, 33, 30])
    rules = replace(TOTALS, season_ties=ties)
    assert order(standings(days, rules)) == [("a", 1), ("b", 1)]
    decided = Facts(decisions=(Decision(SeasonTie.COMMITTEE, ("b", "a")),))
    rows = standings(days, rules, facts=decided)
    assert order(rows) == [("b", 1), ("a", 2)]
    assert why(rows[0], {"a": "Ada"}) == "Ahead of Ada: by decision of the committee"


def test_lots_hold_for_just_the_group_they_were_drawn_for() -> None:
    rules = replace(TOTALS, season_ties=(SeasonTie.LOTS,))
    drawn = Facts(decisions=(Decision(SeasonTie.LOTS, ("b", "a")),))
    rows = standings(season(a=[30], b=[30]), rules, facts=drawn)
    assert order(rows) == [("b", 1), ("a", 2)]
    assert why(rows[0], {"a": "Ada"}) == "Ahead of Ada: by lot"
    three = standings(season(a=[30], b=[30], c=[30]), rules, facts=drawn)
    assert {row.place for row in three} == {1}
    again = Facts(decisions=(*drawn.decisions, Decision(SeasonTie.LOTS, ("a", "b"))))
    assert order(standings(season(a=[30], b=[30]), rules, facts=again))[0] == ("a", 1)


def test_a_lot_says_nothing_where_the_rules_know_none() -> None:
    drawn = Facts(decisions=(Decision(SeasonTie.LOTS, ("b", "a")),))
    assert {row.place for row in standings(season(a=[30], b=[30]), TOTALS, facts=drawn)} == {1}


# keeping rules ----------------------------------------------------------------------------------

FULL = MeritRules(
    last_place_full=True,
    weights=(("k1", Fraction(3, 2)),),
    majors=("k2",),
    major_way=Majors.ADDED,
    major_weight=Fraction(5, 4),
    major_table=(5, 4, 3, 2, 1),
    left_out=("k3",),
    turning_up=Fraction(1, 2),
    bonus_from=37,
    bonus_points=Fraction(1),
    bonus_pin=Fraction(1),
    bonus_drive=Fraction(2),
    new_members=NewMembers.PRO_RATA,
    join_before_last=6,
    new_start=Fraction(-10),
    unpaid=Unpaid.LEFT_OUT,
    division="Seniors",
    best=6,
    best_follows=True,
    minimum=4,
    season_ties=tuple(SeasonTie)[:6],
)
FIRST = (
    '{"best":6,"best_follows":false,"beyond":1,"event_ties":"divide","guests":"removed",'
    '"minimum":3,"points":"places","season_ties":["most wins"],"table":[25,18],"version":1}'
)


def test_every_rule_is_kept_and_read_back() -> None:
    assert rules_from_json(rules_as_json(FULL)) == FULL


def test_rules_kept_before_there_were_more_are_read_for_good() -> None:
    found = rules_from_json(FIRST)
    assert found == MeritRules(
        table=(25, 18), best=6, minimum=3, season_ties=(SeasonTie.MOST_WINS,)
    )


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ('"k1":"3/2"', '"k1":"0"', "rules.weights.k1"),
        ('"k1":"3/2"', '"k1":"6/4"', "rules.weights.k1"),
        ('"major_table":[5,4,3,2,1]', '"major_table":[]', "rules.major_table"),
        ('"turning_up":"1/2"', '"turning_up":0.5', "rules.turning_up"),
        ('"turning_up":"1/2"', '"turning_up":"-1"', "rules.turning_up"),
        ('"unpaid":"left out"', '"unpaid":"jailed"', "rules.unpaid"),
        ('"division":"Seniors",', "", "rules.division"),
    ],
)
def test_what_cannot_be_read_is_refused_at_its_place(old: str, new: str, place: str) -> None:
    text = rules_as_json(FULL)
    assert old in text
    with pytest.raises(Refused) as refused:
        rules_from_json(text.replace(old, new, 1))
    assert refused.value.place == place


def test_all_of_it_in_plain_sentences() -> None:
    said = " ".join(
        sentences_of(FULL, 0, {"k1": "Autumn Cup", "k2": "Captain's Day", "k3": "Away"})
    )
    for words in (
        "Only who played in the division Seniors",
        "Times 1.5: Autumn Cup.",
        "Majors: Captain's Day; 5, 4, 3, 2, 1 by place are added to their points.",
        "Not counted here: Away.",
        "0.5 points for every card with a place, on top.",
        "1 point more for a day of 37 Stableford points or better.",
        "1 point more for each nearest the pin.",
        "2 points more for each longest drive.",
        "never multiplied",
        "needs only the share of the minimum that was left to play",
        "later than before the last six fixtures has no place",
        "New members begin on −10 points.",
        "taken out before points are given, until it is paid or excused",
    ):
        assert words in said
    assert "subscription" not in " ".join(sentences_of(USUAL))


def test_alone_is_what_a_finish_shared_with_nobody_earns() -> None:
    assert alone("e", TEN, place=2) == earned_in(event(*TIED[2:], ("z", 5, 1)), TEN)["d"]
    rules = replace(TOTALS, weights=(("e", Fraction(2)),), bonus_from=36, bonus_points=Fraction(1))
    day = event(("a", 1, 36))
    assert alone("e", rules, total=36).points == earned_in(day, rules)["a"].points == 73
