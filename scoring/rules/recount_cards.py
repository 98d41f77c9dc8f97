"""The cards of the recount: hole values and totals of players and sides, read a second time.

Rules of Golf 2023 (Rules 3.3, 21 and 23) and the event document, sections 1.2 and 1.4. See
`recount`: nothing here comes from the engine, not even a number.

>>> rows_of({"terms": {"format": "medal"}, "players": {}})
[]
"""

from collections.abc import Mapping, Sequence
from typing import Any

from scoring.rules.recount_handicaps import (
    ONE_BALL,
    OWN_BALL,
    Document,
    by_strokes,
    game_of,
    handicaps,
    hundredths,
    side_handicap,
    strokes_by_hand,
)

Row = dict[str, Any]
Holes = list[int | None]

USUAL_POINTS = {"-3": 8, "-2": 5, "-1": 2, "0": 0, "1": -1, "2": -3, "none": -3}


def rows_of(document: Document) -> list[Row]:
    """One row for each player or side, with a status where there is no place."""
    form = document["terms"]["format"]
    if form in OWN_BALL:
        return [_own_ball(document, key, side) for key, side in document["sides"].items()]
    if form in ONE_BALL:
        return [_one_ball(document, key, side) for key, side in document["sides"].items()]
    return [_alone(document, key) for key in document["players"]]


def _row(document: Document, what: str, key: str, members: Sequence[str]) -> Row:
    players = [document["players"][member] for member in members]
    shared = set(players[0].get("divisions", []))
    for player in players:
        shared &= set(player.get("divisions", []))
    row: Row = {
        what: key,
        "key_of": key,
        "divisions": shared,
        "first_hole": players[0].get("first_hole", 1),
        "status": None,
        "rule": None,
        "course_handicap": None,
        "playing_handicap": None,
        "strokes": None,
    }
    for ruling in _about(document, what, key):
        if ruling["kind"] in ("disqualified", "withdrawn", "no_return"):
            row["status"], row["rule"] = ruling["kind"], ruling.get("rule")
    return row


def _about(document: Document, what: str, key: str) -> list[Mapping[str, Any]]:
    return [ruling for ruling in document.get("rulings", []) if ruling.get(what) == key]


def _gross(document: Document, what: str, key: str) -> Holes:
    gross = [None if score == "-" else score for score in document["cards"][key]]
    for ruling in _about(document, what, key):
        if ruling["kind"] == "penalty" and gross[ruling["hole"] - 1] is not None:
            gross[ruling["hole"] - 1] += ruling["strokes"]
    return gross


def _alone(document: Document, key: str) -> Row:
    row = _row(document, "player", key, [key])
    if row["status"] is None:
        player = document["players"][key]
        tee = document["tees"][player["tee"]]
        course, row["playing_handicap"] = handicaps(document, player, tee)
        row["course_handicap"] = None if course is None else hundredths(course)
        _one_card(document, row, "player", tee)
    return row


def _one_ball(document: Document, key: str, members: Sequence[str]) -> Row:
    row = _row(document, "side", key, members)
    if row["status"] is None:
        players = [document["players"][member] for member in members]
        tee = document["tees"][players[0]["tee"]]
        row["playing_handicap"] = side_handicap(document, players, tee)
        _one_card(document, row, "side", tee)
    return row


def _one_card(document: Document, row: Row, what: str, tee: Mapping[str, Any]) -> None:
    terms = document["terms"]
    if row[what] not in document["cards"]:
        row["status"] = "no_card"
        return
    row["strokes"] = strokes_by_hand(row["playing_handicap"], tee["stroke_index"])
    gross = _gross(document, what, row[what])
    _total(document, row, what, _values(terms, tee, row["strokes"], gross))
    if by_strokes(terms) and row["status"] is None:
        row["total"] -= row["playing_handicap"]


def _total(document: Document, row: Row, what: str, values: Holes) -> None:
    if None in values:
        row["status"] = "no_return"
        return
    row["values"] = values
    row["total"] = sum(value for value in values if value is not None)
    for ruling in _about(document, what, row[what]):
        if ruling["kind"] == "points_off":
            row["total"] -= ruling["points"]


def _own_ball(document: Document, key: str, members: Sequence[str]) -> Row:
    terms = document["terms"]
    row = _row(document, "side", key, members)
    if row["status"] is not None:
        return row
    out = [_thrown_out(document, member) for member in members]
    if all(out):
        row["status"], row["rule"] = "disqualified", out[0][0].get("rule")
        return row
    if all(member not in document["cards"] for member in members):
        row["status"] = "no_card"
        return row
    columns = []
    row["handicap_sum"] = 0
    for member, gone in zip(members, out, strict=True):
        playing, values = _member(document, member, bool(gone))
        row["handicap_sum"] += playing
        columns.append(values)
    _total(document, row, "side", _side_values(terms, columns))
    return row


def _member(document: Document, member: str, gone: bool) -> tuple[int, Holes]:
    terms = document["terms"]
    player = document["players"][member]
    tee = document["tees"][player["tee"]]
    playing = handicaps(document, player, tee)[1]
    strokes = strokes_by_hand(playing, tee["stroke_index"])
    if gone or member not in document["cards"]:
        gross: Holes = [None for _ in strokes]
    else:
        gross = _gross(document, "player", member)
    values = _values(terms, tee, strokes, gross)
    if by_strokes(terms):
        for hole, value in enumerate(values):
            values[hole] = None if value is None else value - strokes[hole]
    return playing, values


def _side_values(terms: Mapping[str, Any], columns: Sequence[Holes]) -> Holes:
    fixed = {"four_ball": 1, "aggregate": len(columns)}
    wanted = fixed[terms["format"]] if terms["format"] in fixed else terms["best"]
    holes: Holes = []
    for hole in range(len(columns[0])):
        count = int(wanted[hole] if isinstance(wanted, list) else wanted)
        found = [value for column in columns if (value := column[hole]) is not None]
        best = sorted(found) if by_strokes(terms) else sorted(found)[::-1]
        holes.append(None if len(best) < count else sum(best[:count]))
    return holes


def _thrown_out(document: Document, player: str) -> list[Mapping[str, Any]]:
    about = _about(document, "player", player)
    return [ruling for ruling in about if ruling["kind"] == "disqualified"]


def _values(
    terms: Mapping[str, Any], tee: Mapping[str, Any], strokes: Sequence[int], gross: Holes
) -> Holes:
    return [
        _value(terms, par, received, score)
        for par, received, score in zip(tee["par"], strokes, gross, strict=True)
    ]


def _value(terms: Mapping[str, Any], par: int, strokes: int, gross: int | None) -> int | None:
    game = game_of(terms)
    if game == "medal":
        return gross
    if game == "maximum_score":
        most = _most(terms.get("maximum_hole_score", {"kind": "net_double_bogey"}), par, strokes)
        return most if gross is None else min(gross, most)
    if game == "modified_stableford":
        return _by_table(terms.get("points", USUAL_POINTS), par, strokes, gross)
    if gross is None:
        return -1 if game == "par" else 0
    under = par - (gross - strokes)
    if game == "par":
        return (under > 0) - (under < 0)
    return max(0, 2 + under)


def _most(rule: Mapping[str, Any], par: int, strokes: int) -> int:
    most: dict[str, int] = {
        "net_double_bogey": par + 2 + strokes,
        "over_par": par + rule.get("strokes", 0),
        "fixed": rule.get("strokes", 0),
        "times_par": par * rule.get("times", 0),
    }
    return most[rule["kind"]]


def _by_table(points: Mapping[str, int], par: int, strokes: int, gross: int | None) -> int:
    if gross is None:
        return points["none"]
    steps = [int(step) for step in points if step != "none"]
    over = gross - strokes - par
    return points[str(max(min(steps), min(max(steps), over)))]
