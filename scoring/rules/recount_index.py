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
    history: list[Row] = recount_record(document)["history"]
    return history


def recount_record(document: Mapping[str, Any]) -> dict[str, Any]:
    """The same with what no document holds: nines and what a committee moved.

    A score of nine holes carries `"nine": true`; `moves` are `{"on": day, "shots": number}`, with
    `"anew": true` where the Low Index begins anew. Given back: the history as in the answer, the
    figure after each move, the last figure of each day, and places in `scores` of the nine that
    waits and of those dropped.
    """
    played, waiting, dropped = _in_order(document["scores"])
    steps = [{"day": day, "scores": scores} for day, scores in played]
    steps += [{"day": move["on"], "move": move} for move in document.get("moves", ())]
    past: list[Row] = []
    for step in sorted(steps, key=lambda step: (step["day"], "move" in step)):
        past.append(_move(step, past) if "move" in step else _work_out(step, past))
    return {
        "history": [_as_in_the_answer(row) for row in _rows(past)],
        "moves": [shown(step["index"]) for step in past if "move" in step],
        "figures": {
            step["day"]: shown(step["index"]) for step in past if step["index"] is not None
        },
        "waiting": waiting,
        "dropped": dropped,
    }


def _in_order(scores: Sequence[Mapping[str, Any]]) -> tuple[list[Any], int | None, list[int]]:
    """What makes one row each, by day: one round, or two nines that follow each other."""
    made: list[tuple[str, list[Mapping[str, Any]]]] = []
    waiting, dropped = None, []
    order = sorted(range(len(scores)), key=lambda place: str(scores[place]["played"]))
    for place in [*order, None]:
        twentieth = made[-20][0] if len(made) >= 20 else ""
        nine_comes = place is None or scores[place].get("nine")
        if nine_comes and waiting is not None and scores[waiting]["played"] < twentieth:
            dropped.append(waiting)
            waiting = None
        if place is None:
            break
        day = scores[place]["played"]
        if not nine_comes:
            made.append((day, [scores[place]]))
        elif waiting is None:
            waiting = place
        else:
            made.append((day, [scores[waiting], scores[place]]))
            waiting = None
    return made, waiting, dropped


def _as_in_the_answer(row: Row) -> Row:
    return {
        "played": row["day"],
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


def _rows(past: Sequence[Row]) -> list[Row]:
    """The scores among all that happened."""
    return [step for step in past if "move" not in step]


def _in_force(past: Sequence[Row], day: str) -> int | None:
    """Rule 5.4: what the last thing of an earlier day left."""
    earlier = [step["index"] for step in past if step["day"] < day]
    return earlier[-1] if earlier else None


def _step(step: Row, past: Sequence[Row]) -> Row:
    return {
        **step,
        "low": _low(past, step["day"]),
        "index": None,
        "counted": [],
        "average": None,
        "added": None,
        "cap": "none",
    }


def _work_out(step: Row, past: Sequence[Row]) -> Row:
    """One more row: what this score made of the record before it."""
    in_force = _in_force(past, step["day"])
    grosses = [_gross(score, _in_force(past, score["played"])) for score in step["scores"]]
    exact = sum(
        (_ten_times(score, gross) for score, gross in zip(step["scores"], grosses, strict=True)),
        start=Fraction(0),
    )
    row = _step(step, past)
    row["gross"] = None if None in grosses else sum(grosses)
    row["differential"] = nearest(exact)
    row["reduction"] = 0
    if in_force is not None and in_force - exact >= 70:
        row["reduction"] = -20 if in_force - exact >= 100 else -10
    _settle(row, [*past, row])
    return row


def _move(step: Row, past: Sequence[Row]) -> Row:
    """Rule 7.1a: the committee moves the latest twenty, and the figure is worked out again."""
    row = _step(step, past)
    row["shots"] = int(Fraction(step["move"]["shots"]) * 10)
    row["anew"] = bool(step["move"].get("anew"))
    row["after"] = len(_rows(past))
    _settle(row, [*past, row])
    return row


def _gross(score: Mapping[str, Any], in_force: int | None) -> int | None:
    """Rule 3.1: each hole at most net double bogey, never more than five over par.

    Over nine holes by half the index, to a tenth (Rule 6.1b).
    """
    if "differential" in score:
        return None
    if "adjusted_gross" in score:
        return int(score["adjusted_gross"])
    par = score["par"]
    strokes = [3] * len(par)
    if in_force is not None:
        whole = in_force if len(par) == 18 else nearest(Fraction(in_force, 2))
        course = Fraction(whole, 10) * score["slope_rating"] / 113
        course += Fraction(score["course_rating"]) - sum(par)
        strokes = _fall(nearest(course), score["stroke_index"])
    total = 0
    for hole, taken in enumerate(score["hole_scores"]):
        most = par[hole] + 2 + min(strokes[hole], 3)
        total += most if taken in (None, "-") else min(taken, most)
    return total


def _fall(handicap: int, indexes: Sequence[int]) -> list[int]:
    """One stroke at a time to the hardest hole left; a plus player gives from the easiest."""
    holes = len(indexes)
    hardest_first = sorted(range(holes), key=lambda hole: indexes[hole])
    strokes = [0] * holes
    for shot in range(abs(handicap)):
        turn = shot % holes if handicap > 0 else -1 - shot % holes
        strokes[hardest_first[turn]] += 1 if handicap > 0 else -1
    return strokes


def _ten_times(score: Mapping[str, Any], gross: int | None) -> Fraction:
    """Rules 5.1a and 5.1b: the differential before it is rounded, in tenths.

    Nine holes have half of the day's conditions.
    """
    if gross is None:
        return Fraction(score["differential"]) * 10
    conditions = Fraction(int(score.get("pcc", 0)), 2 if score.get("nine") else 1)
    over = gross - Fraction(score["course_rating"]) - conditions
    return over * 1130 / int(score["slope_rating"])


def _standing(past: Sequence[Row], at: int) -> int:
    """A differential with all that was taken off it, or put on it, while it was of the latest 20.

    Rule 5.9: what scores up to 19 later took off; Rule 7.1a: what a committee moved.
    """
    record = _rows(past)
    later = record[at : at + 20]
    moved = [step["shots"] for step in past if "move" in step and at < step["after"] <= at + 20]
    return int(record[at]["differential"] + sum(row["reduction"] for row in later) + sum(moved))


def _settle(row: Row, past: Sequence[Row]) -> None:
    """Rules 5.2, 5.3 and 5.8: the table, the caps, and never above 54.0.

    Where the low begins anew no cap holds, but a committee goes no further than 5.0 above the low
    (Rule 7.1a). With fewer than three scores there is no figure.
    """
    scores = len(_rows(past))
    if scores < 3:
        return
    number = min(scores, 20)
    figures = {at: _standing(past, at) for at in range(scores - number, scores)}
    latest_first = list(figures)[::-1]  # sorting keeps what is equal in its order
    lowest = sorted(latest_first, key=lambda at: figures[at])[: COUNTING[number]]
    average = nearest(Fraction(sum(figures[at] for at in lowest), len(lowest)))
    row |= {"counted": sorted(lowest), "average": average, "added": ADDED.get(number, 0)}
    index = average + row["added"]
    low = row["low"]
    if row.get("anew"):
        index = index if low is None else min(index, low + 50)
    elif low is not None and average > low + 30:
        half_way = low + 30 + Fraction(average - low - 30, 2)
        row["cap"] = "soft" if half_way <= low + 50 else "hard"
        index = nearest(min(half_way, Fraction(low + 50)))
    row["index"] = min(index, 540)


def _low(past: Sequence[Row], day: str) -> int | None:
    """Rule 5.7: the lowest index of a year, of those that were in force after their day.

    Only with twenty scores on earlier days, and not from before the low began anew.
    """
    earlier = [step for step in past if step["day"] < day]
    rows = _rows(earlier)
    if len(rows) < 20:
        return None
    last = date.fromisoformat(rows[-1]["day"])
    began = [step["day"] for step in earlier if step.get("anew")]
    closing = {step["day"]: step["index"] for step in earlier}
    return min(
        int(index)
        for on, index in closing.items()
        if index is not None
        and (not began or on >= began[-1])
        and (last - date.fromisoformat(on)).days <= 365
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
