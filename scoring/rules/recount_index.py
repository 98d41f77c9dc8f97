"""A second, plain reading of the handicap record, to hold beside the engine's history.

Rules of Handicapping 2024 (Rules 3.1, 5.1 to 5.4, 5.7 to 5.9, 6.1, Appendix E) and the handicap
record document, read again from the page. Figures are whole tenths, every row is worked out
from the whole record before it, and nothing here comes from the engine, not even a number.

>>> record = {"scores": [{"played": f"2026-03-0{day}", "differential": 15 + day}
...                      for day in (1, 2, 3)]}
>>> [row["index"] for row in recount_index(record)]
[None, None, '14.0']
>>> [shown(tenths) for tenths in (0, -4, 540, -105)]
['0.0', '-0.4', '54.0', '-10.5']
"""

from collections.abc import Mapping, Sequence
from datetime import date
from fractions import Fraction
from typing import Any

Row = dict[str, Any]

# How many count, by the number of scores from none to twenty.
COUNTING = (0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 4, 5, 5, 6, 6, 7, 8)
ADDED = {3: -20, 4: -10, 6: -10}


def nearest(number: Fraction) -> int:
    """To the nearest whole number, a half upwards. Rule 5.1c."""
    return (number + Fraction(1, 2)) // 1


def shown(tenths: int | None) -> str | None:
    """Tenths as a text with one decimal."""
    if tenths is None:
        return None
    return f"{'-' if tenths < 0 else ''}{abs(tenths) // 10}.{abs(tenths) % 10}"


def recount_index(document: Mapping[str, Any]) -> list[Row]:
    """The history of a good handicap record, worked out by hand: rows as in the answer."""
    scores = sorted(document["scores"], key=lambda score: str(score["played"]))
    made: list[Row] = []
    for score in scores:
        made.append(_work_out(score, made))
    return [
        {
            "played": row["played"],
            "adjusted_gross": row["gross"],
            "differential": shown(row["differential"]),
            "exceptional": shown(row["reduction"]),
            "index": shown(row["index"]),
            "counted": row["counted"],
            "average": shown(row["average"]),
            "adjustment": shown(row["added"]),
            "low_index": shown(row["low"]),
            "cap": row["cap"],
        }
        for row in made
    ]


def _work_out(score: Mapping[str, Any], before: Sequence[Row]) -> Row:
    """One more row: what this score made of the record before it."""
    earlier = [row for row in before if row["played"] < score["played"]]
    in_force = earlier[-1]["index"] if earlier else None
    gross = _gross(score, in_force)
    exact = _ten_times(score, gross)
    row: Row = {
        "played": score["played"],
        "gross": gross,
        "differential": nearest(exact),
        "reduction": 0,
        "low": _low(earlier) if len(earlier) >= 20 else None,
        "index": None,
        "counted": [],
        "average": None,
        "added": None,
        "cap": "none",
    }
    if in_force is not None and in_force - exact >= 70:
        row["reduction"] = -20 if in_force - exact >= 100 else -10
    record = [*before, row]
    if len(record) >= 3:
        _settle(row, record)
    return row


def _gross(score: Mapping[str, Any], in_force: int | None) -> int | None:
    """Rule 3.1: each hole at most net double bogey, never more than five over par."""
    if "differential" in score:
        return None
    if "adjusted_gross" in score:
        return int(score["adjusted_gross"])
    par = score["par"]
    strokes = [3] * 18
    if in_force is not None:
        course = Fraction(in_force, 10) * score["slope_rating"] / 113
        course += Fraction(score["course_rating"]) - sum(par)
        strokes = _fall(nearest(course), score["stroke_index"])
    total = 0
    for hole, taken in enumerate(score["hole_scores"]):
        most = par[hole] + 2 + min(strokes[hole], 3)
        total += most if taken in (None, "-") else min(taken, most)
    return total


def _fall(handicap: int, indexes: Sequence[int]) -> list[int]:
    """One stroke at a time to the hardest hole left; a plus player gives from the easiest."""
    strokes = [0] * 18
    for shot in range(abs(handicap)):
        turn = shot % 18 + 1 if handicap > 0 else 18 - shot % 18
        strokes[indexes.index(turn)] += 1 if handicap > 0 else -1
    return strokes


def _ten_times(score: Mapping[str, Any], gross: int | None) -> Fraction:
    """Rule 5.1a: the differential before it is rounded, in tenths."""
    if gross is None:
        return Fraction(score["differential"]) * 10
    over = gross - Fraction(score["course_rating"]) - int(score.get("pcc", 0))
    return over * 1130 / int(score["slope_rating"])


def _standing(record: Sequence[Row], at: int) -> int:
    """Rule 5.9: a differential with all that scores up to 19 later have taken off it."""
    later = record[at : at + 20]
    return int(record[at]["differential"] + sum(row["reduction"] for row in later))


def _settle(row: Row, record: Sequence[Row]) -> None:
    """Rules 5.2, 5.3 and 5.8: the table, the caps, and never above 54.0."""
    number = min(len(record), 20)
    first = len(record) - number
    figures = {at: _standing(record, at) for at in range(first, len(record))}
    latest_first = list(figures)[::-1]  # sorting keeps what is equal in its order
    lowest = sorted(latest_first, key=lambda at: figures[at])[: COUNTING[number]]
    average = nearest(Fraction(sum(figures[at] for at in lowest), len(lowest)))
    row |= {"counted": sorted(lowest), "average": average, "added": ADDED.get(number, 0)}
    index = average + row["added"]
    low = row["low"]
    if low is not None and average > low + 30:
        half_way = low + 30 + Fraction(average - low - 30, 2)
        row["cap"] = "soft" if half_way <= low + 50 else "hard"
        index = nearest(min(half_way, Fraction(low + 50)))
    row["index"] = min(index, 540)


def _low(earlier: Sequence[Row]) -> int:
    """Rule 5.7: the lowest index of a year, of those that were in force after their day."""
    closing = {row["played"]: row["index"] for row in earlier}
    last = date.fromisoformat(earlier[-1]["played"])
    return min(
        int(index)
        for played, index in closing.items()
        if index is not None and (last - date.fromisoformat(played)).days <= 365
    )


def index_differences(document: Mapping[str, Any], answer: Mapping[str, Any]) -> list[str]:
    """Where the engine's history and the recount do not agree, a sentence each; empty if nowhere.

    >>> index_differences({"scores": []}, {"history": [{}]})
    ['the engine has 1 rows, the recount 0']
    """
    mine, theirs = recount_index(document), answer["history"]
    if len(mine) != len(theirs):
        return [f"the engine has {len(theirs)} rows, the recount {len(mine)}"]
    return [
        f"row {at}: the engine has {key} {theirs[at].get(key)}, the recount {row[key]}"
        for at, row in enumerate(mine)
        for key in row
        if key not in theirs[at] or theirs[at][key] != row[key]
    ]
