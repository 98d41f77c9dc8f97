"""A second, plain reading of the rules, to hold beside the engine's answer.

Rules of Handicapping 2024 (Rules 6.1, 6.2, Appendices C and E), Rules of Golf 2023 (Rules 3.3 and
21), Committee Procedures 5A(6) and the event document, read again from the page and written as a
person with a pencil would do it. Nothing here comes from the engine, not even a number; a
mistake would have to be made twice to go unseen.

>>> recount({"terms": {"format": "medal"}, "tees": {"white": {"par": [4] * 9}}, "players": {}})
{'standings': [], 'unplaced': [], 'divisions': {}}
"""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import groupby
from typing import Any

from scoring.rules.recount_cards import Row, rows_of
from scoring.rules.recount_handicaps import OWN_BALL, by_strokes, half_up, pencil

COMPARED = ("place", "tied", "course_handicap", "playing_handicap", "strokes", "values", "total")
EIGHTEEN = ["10-18", "13-18", "16-18", "18", "4-9", "7-9", "9"]
NINE = ["4-9", "7-9", "9"]


def recount(document: Mapping[str, Any]) -> dict[str, Any]:
    """Standings, unplaced and divisions of a good event document, counted by hand.

    Rows carry place, tied, player, both handicaps, strokes, values, total, trail, and in
    `because` the words the engine's sentence must hold.
    """
    cards = rows_of(document)
    answer = _lists(document, cards)
    players = document["players"].values()
    names = sorted({name for player in players for name in player.get("divisions", [])})
    answer["divisions"] = {
        name: _lists(document, [card for card in cards if name in card["divisions"]])
        for name in names
    }
    return answer


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
    if not by_strokes(terms) or terms["format"] in OWN_BALL or terms.get("basis") == "gross":
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
    sign = 1 if by_strokes(terms) else -1
    for row in placed:
        row["figures"] = [_figure(document, row, label) for label in labels]
        row["key"] = [sign * row["total"], *(sign * figure for figure in row["figures"])]
        row["key"] += [_handicap(row)] if by_handicap else []
    placed.sort(key=lambda row: (row["key"], row["key_of"]))
    _places(document, placed)
    placed.sort(key=lambda row: (row["place"], row["key_of"]))
    _trails(placed, labels)
    return {
        "standings": placed,
        "unplaced": sorted(
            (card for card in cards if card["status"] is not None), key=lambda card: card["key_of"]
        ),
    }


def _handicap(row: Row) -> int:
    return int(row["handicap_sum"] if "handicap_sum" in row else row["playing_handicap"])


def _named(order: Mapping[str, Any]) -> list[str]:
    return list(order["players"] if "players" in order else order["sides"])


def _places(document: Mapping[str, Any], placed: Sequence[Row]) -> None:
    orders = [ruling for ruling in document.get("rulings", []) if ruling["kind"] == "order"]
    place = 1
    for _, group in groupby(placed, key=lambda row: row["key"]):
        level = list(group)
        for row in level:
            row |= {"place": place, "tied": len(level) > 1, "reason": None}
        for order in orders:
            if len(level) > 1 and all(row["key_of"] in _named(order) for row in level):
                level.sort(key=lambda row: _named(order).index(row["key_of"]))
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
            row["because"] = ["handicap", str(_handicap(row))]
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
        mine = [row["key_of"] for row in ours[part]]
        listed = [_whose(row) for row in theirs[part]]
        if mine != listed:
            found.append(f"{where}, {part}: the engine lists {listed}, the recount {mine}")
    engine_rows = {_whose(row): row for row in theirs["standings"]}
    for row in ours["standings"]:
        other = engine_rows.get(row["key_of"])
        if other is not None:
            found += _row_differences(f"{where}, {row['key_of']}", row, other)
    statuses = {_whose(row): row for row in theirs["unplaced"]}
    for row in ours["unplaced"]:
        other = statuses.get(row["key_of"], row)
        found += [
            f"{where}, {row['key_of']}: the engine says {key} {other[key]}, the recount {row[key]}"
            for key in ("status", "rule")
            if other[key] != row[key]
        ]
    return found


def _whose(row: Mapping[str, Any]) -> str:
    return str(row["player"] if "player" in row else row["side"])


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
