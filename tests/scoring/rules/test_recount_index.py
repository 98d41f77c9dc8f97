"""The second reading of a handicap: it agrees everywhere, and notices each step that breaks.

Source of the expected figures: the handicap record document, read again by `recount_index`.
"""

from collections import deque
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from random import Random
from typing import Any

import pytest

from scoring.rules.parameters import TableRow
from scoring.rules.record import differentials, history, index
from scoring.rules.record.answer import answer, one_decimal
from scoring.rules.recount_index import index_differences, recount_index, recount_record
from tests.scoring.rules.documents import PAR
from tests.scoring.rules.records import (
    Record,
    by_hole,
    days,
    gross,
    ready,
    record,
    some_kept_record,
    some_record,
    worked,
    worked_out,
)
from tests.scoring.rules.test_recount import Breaking, half_down, replaced

D = Decimal
LATER = "2025-02-01"


def found_by_recount(document: Record) -> list[str]:
    return index_differences(document, {"history": worked(document)})


def settled() -> list[dict[str, Any]]:
    """Twenty scores of 10.0; the low is 8.0."""
    return days(*[10] * 20)


def set_to(owner: object, name: str, value: Any) -> Breaking:
    return replaced(owner, name, lambda _: value)


def forgetful(right: Callable[..., Any]) -> Callable[..., Any]:
    """A row whose reduction is in its own figures, but not in those of later rows."""

    def wrong(made: Any, standing: Any, low: Any, latest: deque[Decimal], position: int) -> Any:
        row = right(made, standing, low, deque(latest, latest.maxlen), position)
        latest.append(row.differential)
        return row

    return wrong


STEPS: dict[str, tuple[Breaking, Callable[[], Record]]] = {
    "a differential is cut instead of rounded": (
        replaced(history, "tenth", lambda right: lambda value: right(value - Fraction(1, 20))),
        lambda: record(gross(95, pcc=-1)),
    ),
    "a half of a tenth goes down": (
        replaced(history, "tenth", lambda _: lambda value: Decimal(half_down(value * 10)) / 10),
        lambda: record(gross(95, course_rating=90, slope_rating=100)),
    ),
    "the day's conditions are forgotten": (
        replaced(differentials, "score_differential", lambda right: lambda gross, ratings: right(
            gross + ratings.pcc, ratings)),
        lambda: record(gross(95, pcc=2)),
    ),
    "net double bogey is one too many": (
        set_to(differentials, "_OVER_PAR", 3),
        lambda: record(*days(20, 20, 20), by_hole([99] * 18, on=LATER)),
    ),
    "par and five is no limit": (
        set_to(differentials, "_MOST_OVER_PAR", 6),
        lambda: record(by_hole([99] * 18)),
    ),
    "a hole without a score counts par": (
        replaced(differentials, "adjusted_gross", lambda right: lambda score, standing: right(
            score, standing) - 5 * score.scores.count(None)),
        lambda: record(by_hole([None, *PAR[1:]])),
    ),
    "the Course Handicap is cut instead of rounded": (
        replaced(differentials, "round_half_up", lambda _: lambda value: value // 1),
        lambda: record(*days(*[D("20.3")] * 3), by_hole([99] * 18, on=LATER)),
    ),
    "strokes begin at the easiest hole": (
        replaced(differentials, "strokes_received", lambda right: lambda playing, order: right(
            playing, [19 - one for one in order])),
        lambda: record(*days(12, 12, 12), by_hole([7, *PAR[1:]], on=LATER)),
    ),
    "the lowest two count where the table says one": (
        replaced(index, "reckon", lambda right: lambda latest, first: right(
            latest, first=first, table={3: TableRow(2, D("-2.0"))})),
        lambda: record(*days(20, 25, 30)),
    ),
    "the adjustment of a short record is forgotten": (
        replaced(index, "index_of", lambda right: lambda reckoned, **more: (
            reckoned.average, right(reckoned, **more)[1])),
        lambda: record(*days(20, 25, 30)),
    ),
    "of equal ones the earlier counts": (
        replaced(index, "reckon", lambda right: lambda latest, **more: right(
            [D(each) + at * D("0.0001") for at, each in enumerate(latest)], **more)),
        lambda: record(*days(20, 20, 20)),
    ),
    "a score older than twenty counts": (
        set_to(history, "LATEST", 25),
        lambda: record(*days(1, *[20] * 20)),
    ),
    "exceptional is tested on the rounded differential": (
        replaced(index, "exceptional_reduction", lambda right: lambda standing, exact: right(
            standing, Fraction(index.tenth(exact)))),
        lambda: record(*days(*[D("17.7")] * 3),
                       gross(92, on=LATER, course_rating=D("81.5"), slope_rating=136)),
    ),
    "seven strokes better is not enough": (
        set_to(index, "REDUCTIONS", ((D("10.1"), D("-2.0")), (D("7.1"), D("-1.0")))),
        lambda: record(*days(20, 20, 20), ready(11, on=LATER)),
    ),
    "ten strokes better take off one": (
        set_to(index, "REDUCTIONS", ((D("7.0"), D("-1.0")),)),
        lambda: record(*days(20, 20, 20), ready(8, on=LATER)),
    ),
    "a reduction does not last": (
        replaced(history, "_row", forgetful),
        lambda: record(*days(20, 20, 20, 8, 20)),
    ),
    "the low window is a day short": (
        set_to(index, "_DAYS", 364),
        lambda: record(*settled(), ready(10, on="2026-01-03"), ready(10, on="2026-01-04")),
    ),
    "the low window is a day long": (
        set_to(index, "_DAYS", 366),
        lambda: record(*settled(), ready(10, on="2026-01-04"), ready(10, on="2026-01-05")),
    ),
    "the low is the latest index, not the lowest": (
        replaced(index, "low_index", lambda _: lambda standing, _: standing[-1][1]),
        lambda: record(*settled(), ready(10, on=LATER)),
    ),
    "a score is judged by an index of the same day": (
        set_to(history, "groupby", lambda scores, key: [(key(score), [score]) for score in scores]),
        lambda: record(*[ready(20)] * 3, ready(8)),
    ),
    "the soft cap takes all": (
        set_to(index, "_PART", D("0.0")),
        lambda: record(*settled(), *[ready(12, on=LATER)] * 20),
    ),
    "the soft cap begins too early": (
        set_to(index, "_SOFT", D("2.0")),
        lambda: record(*settled(), *[ready(11, on=LATER)] * 20),
    ),
    "there is no hard cap": (
        set_to(index, "_HARD", D("50.0")),
        lambda: record(*settled(), *[ready(17, on=LATER)] * 20),
    ),
    "54.0 is no limit": (
        set_to(index, "_HIGHEST", D("99.0")),
        lambda: record(*days(60, 60, 60)),
    ),
    "a plus is shown without its sign": (
        replaced(history, "tenth", lambda right: lambda value: abs(right(value))),
        lambda: record(ready(-4)),
    ),
}  # fmt: skip


@pytest.mark.parametrize("step", sorted(STEPS))
def test_a_broken_step_of_the_engine_is_noticed(step, monkeypatch):
    breaks, make = STEPS[step]
    document = make()
    assert found_by_recount(document) == []
    breaks(monkeypatch)
    found = found_by_recount(document)
    assert found
    assert all(isinstance(sentence, str) and sentence for sentence in found)


def nine(half: int, on: str) -> dict[str, Any]:
    """Nine holes of a ready differential."""
    return {**ready(half, on=on), "nine": True}


def nine_rated(pcc: int, on: str) -> dict[str, Any]:
    return {**gross(45, on=on, course_rating=35, slope_rating=113, pcc=pcc), "nine": True}


def moved(scores: list[dict[str, Any]], *moves: dict[str, Any]) -> Record:
    return {**record(*scores), "moves": list(moves)}


def committee(shots: str, on: str = LATER, **more: bool) -> dict[str, Any]:
    return {"on": on, "shots": D(shots), **more}


KEPT_STEPS: dict[str, tuple[Breaking, Callable[[], Record]]] = {
    "nine holes have all of the day's conditions": (
        set_to(differentials, "_PART_OF_PCC", 1),
        lambda: record(nine_rated(1, "2025-03-01"), nine_rated(0, LATER)),
    ),
    "a nine waits for ever": (
        replaced(differentials, "still_waiting", lambda _: lambda *_: True),
        lambda: record(*days(*[10] * 21, step=2), nine(5, "2025-01-02"), nine(5, "2026-03-01")),
    ),
    "a nine waits for one score only": (
        set_to(differentials, "_LATEST", 1),
        lambda: record(*days(10), nine(5, "2024-12-31"), nine(5, LATER)),
    ),
    "a move reaches one score only": (
        replaced(index, "committee_adjustment", lambda right: lambda latest, by: (
            *tuple(latest)[:-1], right(latest, by)[-1])),
        lambda: moved(days(20, 20, 20, 21), committee("1.0")),
    ),
    "a small adjustment is doubled": (
        replaced(index, "committee_adjustment", lambda right: lambda latest, by: right(
            latest, by * 2)),
        lambda: moved(days(20, 20, 20), committee("-1.0")),
    ),
    "the low never begins anew": (
        replaced(index, "moved_index", lambda right: lambda reckoned, **more: right(
            reckoned, **{**more, "resets_low": False})),
        lambda: moved(settled(), committee("4.0", anew=True)),
    ),
    "a committee raises as far as it likes": (
        set_to(index, "_RISE", D("40.0")),
        lambda: moved(settled(), committee("9.0", anew=True)),
    ),
    "what a committee does comes before the scores of the day": (
        replaced(history, "groupby", lambda right: lambda entries, key: [
            (on, sorted(of_day, key=lambda entry: hasattr(entry[2], "played")))
            for on, of_day in right(entries, key)]),
        lambda: moved([*days(20, 20), ready(20, on=LATER)], committee("2.0")),
    ),
}  # fmt: skip


@pytest.mark.parametrize("step", sorted(KEPT_STEPS))
def test_a_broken_step_with_nines_or_moves_is_noticed(step, monkeypatch):
    breaks, make = KEPT_STEPS[step]
    kept = make()
    assert found_in(kept) == recount_record(kept)
    breaks(monkeypatch)
    assert found_in(kept) != recount_record(kept)


def test_at_least_ten_steps_are_broken_in_turn():
    assert len(STEPS) >= 10


@pytest.mark.parametrize("hundred", range(5))
def test_it_agrees_on_random_records(hundred):
    for seed in range(100 * hundred, 100 * hundred + 100):
        assert found_by_recount(some_record(Random(seed))) == [], seed


def found_in(kept: Record) -> dict[str, Any]:
    """The engine's reading of a record with nines and moves, in the words of the recount."""
    found = worked_out(kept)
    return {
        "history": answer(found.rows)["history"],
        "moves": [None if move.index is None else one_decimal(move.index) for move in found.moves],
        "figures": {str(on): one_decimal(value) for on, value in found.figures},
        "waiting": found.waiting,
        "dropped": list(found.lapsed),
    }


@pytest.mark.parametrize("hundred", range(8))
def test_it_agrees_on_random_records_with_nines_and_moves(hundred):
    for seed in range(100 * hundred, 100 * hundred + 100):
        kept = some_kept_record(Random(seed))
        assert found_in(kept) == recount_record(kept), seed


def test_the_random_records_with_nines_and_moves_reach_every_corner():
    found = [worked_out(some_kept_record(Random(seed))) for seed in range(800)]
    moves = [move for each in found for move in each.moves]
    assert {move.cap.value for move in moves} == {"none", "soft", "hard"}
    assert {move.index is None for move in moves} == {True, False}
    assert {move.resets_low for move in moves if move.low is not None} == {True, False}
    assert any(move.first for move in moves)
    assert sum(each.waiting is not None for each in found) > 50
    assert sum(bool(each.lapsed) for each in found) > 5
    assert sum(len(row.made_of) == 2 for each in found for row in each.rows) > 500
    assert any(len(row.made_of) == 2 and row.exceptional for each in found for row in each.rows)


def test_the_random_records_reach_every_corner():
    """Each outcome of a step comes up somewhere, or the agreement above would mean little."""
    rows = [row for seed in range(300) for row in worked(some_record(Random(seed)))]
    assert len(rows) > 1000
    assert {row["cap"] for row in rows} == {"none", "soft", "hard"}
    assert {row["exceptional"] for row in rows} == {"0.0", "-1.0", "-2.0"}
    assert {row["adjustment"] for row in rows} == {None, "0.0", "-1.0", "-2.0"}
    assert {len(row["counted"]) for row in rows} == set(range(9))
    assert "54.0" in {row["index"] for row in rows}
    assert None in {row["adjusted_gross"] for row in rows}
    assert any(str(row["index"]).startswith("-") for row in rows)
    assert any(row["low_index"] and row["cap"] == "none" for row in rows)
    figures = [value for row in rows for value in row.values() if isinstance(value, str)]
    assert "-0.0" not in figures


def test_an_answer_that_was_changed_afterwards_is_noticed():
    document = record(*days(20, 20, 20, 8))
    assert found_by_recount(document) == []
    for at, row in enumerate(worked(document)):
        for key in row:
            rows = worked(document)
            rows[at][key] = "changed"
            found = index_differences(document, {"history": rows})
            assert len(found) == 1
            assert f"row {at}: the engine has {key} changed, the recount " in found[0]
            del rows[at][key]
            assert len(index_differences(document, {"history": rows})) == 1
    short = {"history": worked(document)[:-1]}
    assert index_differences(document, short) == ["the engine has 3 rows, the recount 4"]


def test_it_gives_rows_of_its_own():
    rows = recount_index(record(*days(20, 20, 20, 8)))
    assert rows[-1] == {
        "played": "2025-01-04",
        "adjusted_gross": None,
        "differential": "8.0",
        "exceptional": "-2.0",
        "index": "5.0",
        "counted": [3],
        "average": "6.0",
        "adjustment": "-1.0",
        "low_index": None,
        "cap": "none",
    }
    assert answer(())["history"] == recount_index(record())
