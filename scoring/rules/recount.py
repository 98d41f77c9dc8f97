"""A second, plain reading of the rules, to hold beside the engine's answer.

Rules of Handicapping 2024 (Rules 6.1, 6.2, Appendices C and E), Rules of Golf 2023 (Rules 3.3 and
21), Committee Procedures 5A(6) and the event document, read again from the page and written as a
person with a pencil would do it. Nothing here comes from the engine, not even a number; a
mistake would have to be made twice to go unseen.

>>> [half_up(Fraction(n, 4)) for n in (10, -6, -5)]
[3, -1, -1]
>>> [pencil(Fraction(n, 6)) for n in (213, -8, 12)]
['35.5', '-1 1/3', '2']
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from itertools import groupby
from typing import Any

Row = dict[str, Any]

COMPARED = ("place", "tied", "course_handicap", "playing_handicap", "strokes", "values", "total")
EIGHTEEN = ["10-18", "13-18", "16-18", "18", "4-9", "7-9", "9"]
NINE = ["4-9", "7-9", "9"]
USUAL_POINTS = {"-3": 8, "-2": 5, "-1": 2, "0": 0, "1": -1, "2": -3, "none": -3}


def half_up(number: Fraction) -> int:
    """To the nearest whole number, a half upwards. Rules of Handicapping, Rule 5.1c."""
    return (number + Fraction(1, 2)) // 1


def pencil(number: Fraction | int) -> str:
    """A figure as it is written on the board."""
    number = Fraction(number)
    if number.denominator == 1:
        return str(number.numerator)
    sign = "-" if number < 0 else ""
    size = abs(number)
    full = size // 1
    rest = size - full
    if rest == Fraction(1, 2):
        return f"{sign}{full}.5"
    return f"{sign}{full} {rest}" if full else f"{sign}{rest}"


def hundredths(number: Fraction) -> str:
    """A Course Handicap with its two decimals."""
    return str(Decimal(half_up(number * 100)) / 100 + Decimal("0.00"))


def recount(document: Mapping[str, Any]) -> dict[str, Any]:
    """Standings, unplaced and divisions of a good event document, counted by hand.

    Rows carry place, tied, player, both handicaps, strokes, values, total, trail, and in
    `because` the words the engine's sentence must hold.
    """
    cards = [_play(document, key) for key in document["players"]]
    answer = _lists(document, cards)
    names = sorted({name for card in cards for name in card["divisions"]})
    answer["divisions"] = {
        name: _lists(document, [card for card in cards if name in card["divisions"]])
        for name in names
    }
    return answer


def _play(document: Mapping[str, Any], key: str) -> Row:
    terms = document["terms"]
    player = document["players"][key]
    tee = document["tees"][player["tee"]]
    rulings = [ruling for ruling in document.get("rulings", []) if ruling.get("player") == key]
    row: Row = {
        "player": key,
        "divisions": player.get("divisions", []),
        "first_hole": player.get("first_hole", 1),
        "status": None,
        "rule": None,
    }
    for ruling in rulings:
        if ruling["kind"] in ("disqualified", "withdrawn", "no_return"):
            row["status"], row["rule"] = ruling["kind"], ruling.get("rule")
            return row
    if key not in document["cards"]:
        row["status"] = "no_card"
        return row
    gross = [None if score == "-" else score for score in document["cards"][key]]
    for ruling in rulings:
        if ruling["kind"] == "penalty" and gross[ruling["hole"] - 1] is not None:
            gross[ruling["hole"] - 1] += ruling["strokes"]
    course, playing = _handicaps(document, player, tee)
    strokes = _strokes(playing, tee["stroke_index"])
    values = [
        _value(terms, par, received, score)
        for par, received, score in zip(tee["par"], strokes, gross, strict=True)
    ]
    if None in values:
        row["status"] = "no_return"
        return row
    total = sum(value for value in values if value is not None)
    if terms["format"] in ("medal", "maximum_score"):
        total -= playing
    else:
        total -= sum(ruling["points"] for ruling in rulings if ruling["kind"] == "points_off")
    row |= {
        "course_handicap": None if course is None else hundredths(course),
        "playing_handicap": playing,
        "strokes": strokes,
        "values": values,
        "total": total,
    }
    return row


def _handicaps(
    document: Mapping[str, Any], player: Mapping[str, Any], tee: Mapping[str, Any]
) -> tuple[Fraction | None, int]:
    terms = document["terms"]
    if terms.get("basis") == "gross":
        return None, 0
    course: Fraction | None = None
    if "playing_handicap" in player:
        playing = int(player["playing_handicap"])
    else:
        if "course_handicap" in player:
            course = Fraction(player["course_handicap"])
        else:
            index = Fraction(player["handicap_index"])
            if len(tee["par"]) == 9:
                index = Fraction(half_up(index / 2 * 10), 10)
            course = index * Fraction(tee["slope_rating"]) / 113
            course += Fraction(tee["course_rating"]) - sum(tee["par"])
        playing = half_up(course * Fraction(terms.get("allowance", 95)) / 100)
    if "maximum_playing_handicap" in terms:
        playing = min(playing, terms["maximum_playing_handicap"])
    if terms["format"] in ("medal", "maximum_score") and terms.get("different_par", True):
        in_use = {somebody["tee"] for somebody in document["players"].values()}
        lowest = min(sum(document["tees"][name]["par"]) for name in in_use)
        playing += sum(tee["par"]) - terms.get("reference_par", lowest)
    return course, playing


def _strokes(playing: int, indexes: Sequence[int]) -> list[int]:
    """One at a time to the hardest hole left, round and round; a plus player from the easiest."""
    hardest_first = sorted(range(len(indexes)), key=lambda hole: indexes[hole])
    order = hardest_first if playing > 0 else hardest_first[::-1]
    strokes = [0] * len(indexes)
    for shot in range(abs(playing)):
        strokes[order[shot % len(order)]] += 1 if playing > 0 else -1
    return strokes


def _value(terms: Mapping[str, Any], par: int, strokes: int, gross: int | None) -> int | None:
    game = terms["format"]
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


def _figure(document: Mapping[str, Any], row: Row, label: str) -> Fraction | int:
    """What a row has on a range of holes. Event document, section 1.3."""
    terms = document["terms"]
    ends = label.split("-")
    first, last = int(ends[0]), int(ends[-1])
    holes = len(row["values"])
    counted = range(first - 1, last)
    if terms.get("countback_holes") == "played":
        counted = range(first - 2 + row["first_hole"], last - 1 + row["first_hole"])
    total = sum([int(row["values"][hole % holes]) for hole in counted])
    if terms["format"] not in ("medal", "maximum_score") or terms.get("basis") == "gross":
        return total
    share = terms.get("handicap_share", "exact")
    if share == "by_stroke_index":
        return total - sum([int(row["strokes"][hole % holes]) for hole in counted])
    part = Fraction(row["playing_handicap"] * len(counted), holes)
    return total - (half_up(part) if share == "rounded" else part)


def _lists(document: Mapping[str, Any], cards: Sequence[Row]) -> dict[str, Any]:
    terms = document["terms"]
    placed = [dict(card) for card in cards if card["status"] is None]
    usual = EIGHTEEN if len(next(iter(document["tees"].values()))["par"]) == 18 else NINE
    labels = terms.get("countback", usual)
    by_handicap = terms.get("after_countback") == "lower_handicap"
    sign = 1 if terms["format"] in ("medal", "maximum_score") else -1
    for row in placed:
        row["figures"] = [_figure(document, row, label) for label in labels]
        row["key"] = [sign * row["total"], *(sign * figure for figure in row["figures"])]
        row["key"] += [row["playing_handicap"]] if by_handicap else []
    placed.sort(key=lambda row: (row["key"], row["player"]))
    _places(document, placed)
    placed.sort(key=lambda row: (row["place"], row["player"]))
    _trails(placed, labels)
    return {
        "standings": placed,
        "unplaced": [
            {"player": card["player"], "status": card["status"], "rule": card["rule"]}
            for card in sorted(cards, key=lambda card: str(card["player"]))
            if card["status"] is not None
        ],
    }


def _places(document: Mapping[str, Any], placed: Sequence[Row]) -> None:
    orders = [ruling for ruling in document.get("rulings", []) if ruling["kind"] == "order"]
    place = 1
    for _, group in groupby(placed, key=lambda row: row["key"]):
        level = list(group)
        for row in level:
            row |= {"place": place, "tied": len(level) > 1, "reason": None}
        for order in orders:
            if len(level) > 1 and all(row["player"] in order["players"] for row in level):
                level.sort(key=lambda row: order["players"].index(row["player"]))
                for ahead, row in enumerate(level):
                    row |= {"place": place + ahead, "tied": False, "reason": order["reason"]}
        place += len(level)


def _trails(placed: Sequence[Row], labels: Sequence[str]) -> None:
    for row in placed:
        row["trail"] = {}
        row["because"] = []
        rivals = [other for other in placed if other["total"] == row["total"] and other is not row]
        beaten = bool(rivals)
        for at, label in enumerate(labels):
            if rivals:
                row["trail"][label] = pencil(row["figures"][at])
                rivals = [other for other in rivals if other["figures"][at] == row["figures"][at]]
                row["because"] = [label, row["trail"][label]]
        if row["reason"] is not None:
            row["because"] = [row["reason"]]
        elif rivals and not row["tied"]:
            row["because"] = ["handicap", str(row["playing_handicap"])]
        elif beaten and not row["because"]:
            row["because"] = ["shared"]


def differences(document: Mapping[str, Any], answer: Mapping[str, Any]) -> list[str]:
    """Where the engine's answer and the recount do not agree, a sentence each; empty if nowhere.

    Names are not looked at, so a sealed answer may carry keys in their place.
    """
    ours = recount(document)
    found = _compare("overall", ours, answer)
    divisions = answer.get("divisions", {})
    if list(divisions) != list(ours["divisions"]):
        found.append(
            f"divisions: the engine has {list(divisions)}, the recount {list(ours['divisions'])}"
        )
    for name, lists in ours["divisions"].items():
        if name in divisions:
            found += _compare(name, lists, divisions[name])
    return found


def _compare(where: str, ours: Mapping[str, Any], theirs: Mapping[str, Any]) -> list[str]:
    found = []
    for part in ("standings", "unplaced"):
        mine = [row["player"] for row in ours[part]]
        listed = [row["player"] for row in theirs[part]]
        if mine != listed:
            found.append(f"{where}, {part}: the engine lists {listed}, the recount {mine}")
    engine_rows = {row["player"]: row for row in theirs["standings"]}
    for row in ours["standings"]:
        other = engine_rows.get(row["player"])
        if other is not None:
            found += _row_differences(f"{where}, {row['player']}", row, other)
    statuses = {row["player"]: row for row in theirs["unplaced"]}
    for row in ours["unplaced"]:
        other = statuses.get(row["player"], row)
        found += [
            f"{where}, {row['player']}: the engine says {key} {other[key]}, the recount {row[key]}"
            for key in ("status", "rule")
            if other[key] != row[key]
        ]
    return found


def _row_differences(where: str, row: Row, other: Mapping[str, Any]) -> list[str]:
    found = [
        f"{where}: the engine has {key} {other[key]}, the recount {row[key]}"
        for key in COMPARED
        if other[key] != row[key]
    ]
    if list(other["trail"].items()) != list(row["trail"].items()):
        found.append(f"{where}: the engine's trail is {other['trail']}, the recount {row['trail']}")
    said = other["settled"]
    if bool(said) != bool(row["because"]) or not all(word in said for word in row["because"]):
        found.append(f"{where}: the sentence {said!r} does not hold {row['because']}")
    return found
