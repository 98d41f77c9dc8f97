"""Laws of the handicap index, and each published way in which they end.

A better score never raises an index by itself. It can come out higher only through these effects:

1. A reduction lost (Rules of Handicapping 2024, Rule 5.9): a better score lowers the index in
   force, so a later low score is no longer 7.0 (or 10.0) better than it, and the reduction of the
   latest 20 that it would have caused is not made, or a smaller one.

One more score, however good, can let the index rise only through these:

2. The table (Rule 5.2a): with one more score another number of differentials counts, or the
   adjustment of -2.0 or -1.0 ends.
3. The latest 20 (Rule 5.2b): one that counted is no longer among them, and any reduction on it
   goes with it.
4. The window of the Low Index (Rules 5.7 and 5.8): the year moves on past the lowest index, so the
   caps hold back less.

Each is shown below by an example.
"""

from copy import deepcopy
from datetime import date, timedelta
from decimal import Decimal
from random import Random
from typing import Any

import pytest

from scoring.rules.record.answer import answer_text
from scoring.rules.record.cli import main
from scoring.rules.strict_json import read_json, write_document
from tests.scoring.rules.records import DAY, Record, days, ready, record, some_record, worked

D = Decimal
Rows = list[dict[str, Any]]
SEEDS = range(400)


def figure(value: str | None) -> Decimal | None:
    return None if value is None else D(value)


def risen(before: Rows, after: Rows) -> list[int]:
    """Rows whose index is higher after than before."""
    return [
        at
        for at, (one, other) in enumerate(zip(before, after, strict=True))
        if one["index"] is not None and D(other["index"]) > D(one["index"])
    ]


def by_day(document: Record) -> Record:
    ordered = deepcopy(document)
    ordered["scores"].sort(key=lambda score: score["played"])
    return ordered


def improved(document: Record, at: int, by: int) -> Record:
    """The same record, one score better: a lower differential, fewer strokes."""
    other = deepcopy(document)
    score = other["scores"][at]
    if "differential" in score:
        score["differential"] = max(D(-50), score["differential"] - by)
    elif "adjusted_gross" in score:
        score["adjusted_gross"] = max(18, score["adjusted_gross"] - by)
    else:
        for hole, taken in enumerate(score["hole_scores"]):
            if isinstance(taken, int) and taken > 1:
                score["hole_scores"][hole] = max(1, taken - by)
                break
    return other


def lost_a_reduction(before: Rows, after: Rows, upto: int) -> bool:
    """Effect 1: somewhere up to this row the better record has a smaller reduction."""
    return any(D(after[at]["exceptional"]) > D(before[at]["exceptional"]) for at in range(upto + 1))


def test_a_better_score_raises_the_index_only_where_a_reduction_is_lost():
    compared = excused = 0
    for seed in SEEDS:
        chance = Random(seed)
        document = by_day(some_record(chance, most=40))
        if not document["scores"]:
            continue
        at = chance.randrange(len(document["scores"]))
        before = worked(document)
        after = worked(improved(document, at, chance.choice([1, 2, 5, 12])))
        for row in risen(before, after):
            assert row >= at
            assert lost_a_reduction(before, after, row), (seed, row)
            excused += 1
        compared += len(before)
    assert compared > 3000
    assert 0 < excused < compared / 10


def test_without_exceptional_scores_a_better_score_never_raises_the_index():
    """Level play within six strokes never makes one, and then there is no exception at all."""
    for seed in SEEDS:
        chance = Random(seed)
        scores = days(*[D(chance.randint(200, 230)) / 10 for _ in range(45)], step=12)
        at = chance.randrange(45)
        before = worked(record(*scores))
        after = worked(improved(record(*scores), at, 1))
        assert {row["exceptional"] for row in before + after} == {"0.0"}
        assert risen(before, after) == []


def effects(before: dict[str, Any], after: dict[str, Any], scores: int) -> list[str]:
    """Which of effects 2 to 4 are at work between two rows that follow each other."""
    found = []
    if scores < 20 and (len(before["counted"]), before["adjustment"]) != (
        len(after["counted"]),
        after["adjustment"],
    ):
        found.append("table")
    if scores >= 20 and scores - 20 in before["counted"]:
        found.append("latest twenty")
    low = (figure(before["low_index"]), figure(after["low_index"]))
    if before["cap"] != "none" and None not in low and low[1] > low[0]:
        found.append("window")
    return found


def test_one_more_score_raises_the_index_only_by_the_table_the_twenty_or_the_window():
    raised = {"table": 0, "latest twenty": 0, "window": 0}
    for seed in SEEDS:
        rows = worked(some_record(Random(seed)))
        for scores, (before, after) in enumerate(zip(rows, rows[1:], strict=False), start=1):
            if before["index"] is None or D(after["index"]) <= D(before["index"]):
                continue
            found = effects(before, after, scores)
            assert found, (seed, scores)
            for effect in found:
                raised[effect] += 1
    assert min(raised.values()) > 0, raised


# The effects, one example each.


def test_effect_1_a_reduction_lost():
    """18.0 and a 10.9 is 7.1 better: 10.9 - 1 - 1 = 8.9. With 19.8 for one of the 20.0: 17.8, and
    the 10.9 is 6.9 better: 10.9 - 1 = 9.9."""
    plain = worked(record(*days(20, 20, 20, D("10.9"))))
    better = worked(record(*days(20, 20, D("19.8"), D("10.9"))))
    assert [plain[3]["exceptional"], better[3]["exceptional"]] == ["-1.0", "0.0"]
    assert [plain[3]["index"], better[3]["index"]] == ["8.9", "9.9"]


def test_effect_2_the_table():
    """Level play: -2.0 ends with the fourth score, -1.0 with the fifth; the third best of nine."""
    rows = worked(record(*days(*[20] * 5)))
    assert [row["index"] for row in rows[2:]] == ["18.0", "19.0", "20.0"]
    rows = worked(record(*days(*[20] * 6, 15, 15, 19)))
    assert [row["index"] for row in rows[7:]] == ["15.0", "16.3"]  # (15 + 15 + 19) / 3


def test_effect_3_a_score_that_counted_leaves_the_latest_twenty():
    """A 15.0 of long ago goes as a 19.0 comes, better than all the others."""
    rows = worked(record(*days(15, *[20] * 19, 19, step=30)))
    assert [row["index"] for row in rows[19:]] == ["19.4", "19.9"]


def test_effect_4_the_window_of_the_low_index_moves_on():
    """Capped above a low of 8.0; the same score a year later, and nothing holds it back."""
    level = days(*[10] * 20)
    later = [ready(14, on=DAY + timedelta(days=200 + at)) for at in range(20)]
    year = [ready(14, on=date(2026, 8, 30)), ready(14, on=date(2026, 8, 31))]
    rows = worked(record(*level, *later, *year))
    assert [(row["low_index"], row["cap"], row["index"]) for row in rows[39:]] == [
        ("8.0", "soft", "12.5"),
        ("8.0", "soft", "12.5"),
        ("12.5", "none", "14.0"),
    ]


# Other laws.


@pytest.mark.parametrize("hundred", range(3))
def test_the_order_of_scores_of_different_days_in_the_document_does_not_matter(hundred):
    for seed in range(100 * hundred, 100 * hundred + 100):
        chance = Random(seed)
        document = some_record(chance)
        of_day: dict[str, list[dict[str, Any]]] = {}
        for score in document["scores"]:
            of_day.setdefault(score["played"], []).append(score)
        left = [list(scores) for scores in of_day.values()]
        mixed = []
        while left:
            scores = chance.choice(left)
            mixed.append(scores.pop(0))
            left = [each for each in left if each]
        assert sorted(map(str, mixed)) == sorted(map(str, document["scores"]))
        assert worked(record(*mixed)) == worked(document)


def test_a_longer_record_begins_with_the_history_of_the_shorter_one():
    for seed in SEEDS[:150]:
        document = by_day(some_record(Random(seed)))
        rows = worked(document)
        for upto in (0, len(rows) // 2, len(rows) - 1):
            if upto >= 0:
                assert worked(record(*document["scores"][:upto])) == rows[:upto]


def test_what_every_row_holds():
    for seed in SEEDS:
        for at, row in enumerate(worked(some_record(Random(seed)))):
            counted = row["counted"]
            assert counted == sorted(set(counted))
            assert all(max(0, at - 19) <= position <= at for position in counted)
            assert (row["index"] is None) == (at < 2) == (row["average"] is None)
            assert (row["index"] is None) == (row["adjustment"] is None) == (not counted)
            if row["index"] is not None:
                assert D(row["index"]) <= 54
            if row["low_index"] is None:
                assert row["cap"] == "none"
            elif row["index"] is not None:
                assert D(row["index"]) <= D(row["low_index"]) + 5
                assert D(row["index"]) <= max(D(row["average"]), D(row["low_index"]) + 3)
            tenths = [value for value in row.values() if isinstance(value, str) and "." in value]
            assert all(value == f"{D(value):.1f}" for value in tenths)
            assert "-0.0" not in tenths


def test_both_forms_of_the_answer_say_the_same():
    for seed in SEEDS[:100]:
        data = write_document(some_record(Random(seed))).encode()
        out, _, _ = main(data, "json")
        assert answer_text(read_json(out)) == main(data, "text")[0]
