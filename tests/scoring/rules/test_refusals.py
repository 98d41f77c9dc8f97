"""Every way of refusing an event document, and the exact place it names.

Source: event document, section 0 (places, limits) and section 1 (tables of keys).
"""

import json
from collections.abc import Callable
from copy import deepcopy
from decimal import Decimal
from typing import Any

import pytest

from scoring.rules.cli import main
from scoring.rules.event import read_event
from scoring.rules.strict_json import Refused, write_document
from tests.scoring.rules.documents import INDEX, PAR, event, good, off

GONE = ...


def spoil(document: dict[str, Any], path: tuple[str | int, ...], value: object) -> None:
    """Set, add or (GONE) take away one value."""
    target: Any = document
    for step in path[:-1]:
        target = target[step]
    if value is GONE:
        del target[path[-1]]
    elif isinstance(target, list) and path[-1] == len(target):
        target.append(value)
    else:
        target[path[-1]] = value


def place_of(document: dict[str, Any]) -> str:
    """Where the command says the document is wrong; the one line is checked on the way."""
    out, wrong, status = main(write_document(document).encode(), "json")
    assert (out, status) == ("", 2)
    assert wrong.endswith("\n")
    assert wrong.count("\n") == 1
    assert len(wrong.splitlines()) == 1
    with pytest.raises(Refused) as refused:
        read_event(document)
    assert wrong == f"{refused.value.place}: {refused.value.words}\n"
    return refused.value.place


RED = {"par": PAR, "stroke_index": INDEX}
WHOLE = [True, Decimal("4.0"), "4", None, [], {}]
CASES: list[tuple[tuple[str | int, ...], object, str]] = [
    # The outer keys: missing, unknown, wrong.
    (("document",), GONE, "document"),
    (("document",), "golf-day", "document"),
    (("document",), None, "document"),
    (("version",), GONE, "version"),
    (("version",), 2, "version"),
    (("version",), 0, "version"),
    (("version",), True, "version"),
    (("version",), Decimal("1.0"), "version"),
    (("version",), "1", "version"),
    (("event",), GONE, "event"),
    (("event",), [], "event"),
    (("terms",), GONE, "terms"),
    (("terms",), "stableford", "terms"),
    (("tees",), GONE, "tees"),
    (("tees",), [], "tees"),
    (("tees",), {}, "tees"),
    (("players",), GONE, "players"),
    (("players",), {}, "players"),
    (("players",), None, "players"),
    (("cards",), GONE, "cards"),
    (("cards",), [], "cards"),
    (("rulings",), {}, "rulings"),
    (("rulings",), None, "rulings"),
    (("sides",), {"s1": ["p1", "p2"]}, "sides"),
    (("extra",), 1, "extra"),
    (("an odd key\n",), 1, '"an odd key\\n"'),
    (("é",), 1, '"\\u00e9"'),
    (("",), 1, '""'),
    # About the event.
    (("event", "name"), GONE, "event.name"),
    (("event", "date"), GONE, "event.date"),
    (("event", "place"), "x", "event.place"),
    (("event", "name"), "", "event.name"),
    (("event", "name"), "n" * 201, "event.name"),
    (("event", "name"), "two\nlines", "event.name"),
    (("event", "name"), "del\x7f", "event.name"),
    (("event", "name"), "next line\x85", "event.name"),
    (("event", "name"), 4, "event.name"),
    *(
        (("event", "date"), day, "event.date")
        for day in (
            "2026-02-29",
            "1899-12-31",
            "3000-01-01",
            "2026-4-18",
            "20260418",
            "2026-W16-6",
            "2026-04-18T00:00",
            "2026-04-18 ",
            "2026-04-18\n",
            "２０２６-04-18",
            "",
            20260418,
            None,
        )
    ),
    # Terms.
    (("terms", "format"), GONE, "terms.format"),
    (("terms", "format"), "matchplay", "terms.format"),
    (("terms", "format"), "Stableford", "terms.format"),
    (("terms", "format"), "STABLEFORD", "terms.format"),
    (("terms", "format"), None, "terms.format"),
    (("terms", "format"), {}, "terms.format"),
    (("terms", "scoring"), "stableford", "terms.scoring"),
    (("terms", "best"), 1, "terms.best"),
    (("terms", "colour"), "red", "terms.colour"),
    (("terms", "basis"), "nett", "terms.basis"),
    (("terms", "basis"), 1, "terms.basis"),
    *(
        (("terms", "allowance"), bad, "terms.allowance")
        for bad in (-1, 101, Decimal("100.1"), Decimal("95.1234567"), "95", True, None, [50, 50])
    ),
    *(
        (("terms", "maximum_playing_handicap"), bad, "terms.maximum_playing_handicap")
        for bad in (-1, 101, Decimal("28.0"), "28", True, None)
    ),
    (
        ("terms", "maximum_hole_score"),
        {"kind": "net_double_bogey"},
        "terms.maximum_hole_score",
    ),
    (("terms", "points"), {"0": 1, "none": 0}, "terms.points"),
    (("terms", "countback"), "10-18", "terms.countback"),
    (("terms", "countback"), None, "terms.countback"),
    *(
        (("terms", "countback"), ["1-18", bad], "terms.countback[1]")
        for bad in (
            "18-10",
            "9-9",
            "0",
            "0-3",
            "19",
            "10-19",
            "01",
            "1-09",
            "1 - 9",
            "1-",
            "-9",
            "",
            "a",
            "1-9-18",
            "１",
            "9\n",
            "100",
            9,
            None,
            ["9"],
        )
    ),
    (("terms", "countback"), ["9", "10-18", "9"], "terms.countback[2]"),
    (("terms", "countback_holes"), "order", "terms.countback_holes"),
    (("terms", "handicap_share"), "half", "terms.handicap_share"),
    (("terms", "handicap_share"), None, "terms.handicap_share"),
    (("terms", "after_countback"), "lots", "terms.after_countback"),
    *((("terms", "different_par"), bad, "terms.different_par") for bad in (1, 0, "true", None)),
    (("terms", "reference_par"), 70, "terms.reference_par"),  # stableford: no effect
    # Tees.
    (("tees", "white"), [], "tees.white"),
    (("tees", "white", "par"), GONE, "tees.white.par"),
    (("tees", "white", "stroke_index"), GONE, "tees.white.stroke_index"),
    (("tees", "white", "length"), 6000, "tees.white.length"),
    (("tees", "white", "par"), None, "tees.white.par"),
    (("tees", "white", "par"), {}, "tees.white.par"),
    (("tees", "white", "par"), PAR[:17], "tees.white.par"),
    (("tees", "white", "par"), [*PAR, 4], "tees.white.par"),
    (("tees", "white", "par"), PAR[:9], "tees.white.par"),
    (("tees", "white", "par"), [], "tees.white.par"),
    (("tees", "white", "par", 3), 2, "tees.white.par[3]"),
    (("tees", "white", "par", 0), 7, "tees.white.par[0]"),
    *((("tees", "white", "par", 17), bad, "tees.white.par[17]") for bad in WHOLE),
    (("tees", "white", "stroke_index"), INDEX[:9], "tees.white.stroke_index"),
    (("tees", "white", "stroke_index", 0), 3, "tees.white.stroke_index"),
    (("tees", "white", "stroke_index", 0), 0, "tees.white.stroke_index[0]"),
    (("tees", "white", "stroke_index", 5), 19, "tees.white.stroke_index[5]"),
    *((("tees", "white", "stroke_index", 1), bad, "tees.white.stroke_index[1]") for bad in WHOLE),
    *(
        (("tees", "white", "course_rating"), bad, "tees.white.course_rating")
        for bad in (9, Decimal("9.9"), Decimal("100.1"), 101, Decimal("70.15"), "70.1", True, None)
    ),
    *(
        (("tees", "white", "slope_rating"), bad, "tees.white.slope_rating")
        for bad in (54, 156, Decimal("120.0"), "120", True, None)
    ),
    (("tees", "white", "course_rating"), GONE, "tees.white.course_rating"),
    (("tees", "white", "slope_rating"), GONE, "tees.white.slope_rating"),
    (("tees", ""), RED, 'tees.""'),
    (("tees", "r" * 201), RED, "tees." + "r" * 201),
    (("tees", "a\tb"), RED, 'tees."a\\tb"'),
    (("tees", "Men's red"), {**RED, "par": PAR[:4]}, 'tees."Men\'s red".par'),
    (("tees", "männer"), {"par": PAR}, 'tees."m\\u00e4nner".stroke_index'),
    # Players.
    (("players", "p1"), "A. Player", "players.p1"),
    (("players", "p1", "name"), GONE, "players.p1.name"),
    (("players", "p1", "tee"), GONE, "players.p1.tee"),
    (("players", "p1", "age"), 60, "players.p1.age"),
    (("players", "p1", "name"), "", "players.p1.name"),
    (("players", "p1", "name"), "x" * 201, "players.p1.name"),
    (("players", "p1", "tee"), "blue", "players.p1.tee"),
    (("players", "p1", "tee"), ["white"], "players.p1.tee"),
    (("players", "p1", "tee"), None, "players.p1.tee"),
    (("players", "p1", "handicap_index"), GONE, "players.p1"),
    (("players", "p1", "course_handicap"), 12, "players.p1"),
    (("players", "p2", "handicap_index"), 12, "players.p2"),
    *(
        (("players", "p1", "handicap_index"), bad, "players.p1.handicap_index")
        for bad in (
            Decimal("-10.1"),
            Decimal("54.1"),
            -11,
            55,
            Decimal("12.34"),
            Decimal("12.30"),
            "12.3",
            True,
            None,
        )
    ),
    *(
        (("players", "p2", "playing_handicap"), bad, "players.p2.playing_handicap")
        for bad in (-21, 101, Decimal("10.0"), "10", False, None)
    ),
    (("players", "p1", "first_hole"), 0, "players.p1.first_hole"),
    (("players", "p1", "first_hole"), 19, "players.p1.first_hole"),
    *((("players", "p1", "first_hole"), bad, "players.p1.first_hole") for bad in WHOLE),
    (("players", "p1", "divisions"), "Seniors", "players.p1.divisions"),
    (("players", "p1", "divisions"), None, "players.p1.divisions"),
    (("players", "p1", "divisions"), ["A", "B", "A"], "players.p1.divisions[2]"),
    (("players", "p1", "divisions"), ["A", ""], "players.p1.divisions[1]"),
    (("players", "p1", "divisions"), ["A", 4], "players.p1.divisions[1]"),
    (("players", "p1", "divisions"), ["x" * 201], "players.p1.divisions[0]"),
    (("players", "p1", "divisions"), list("ABCDEFGHI"), "players.p1.divisions"),
    (("players", "a b"), off(4, name="x", tee="white"), 'players."a b"'),
    (("players", "é"), off(4, name="x", tee="white"), 'players."\\u00e9"'),
    (("players", "p\n"), off(4, name="x", tee="white"), 'players."p\\n"'),
    (("players", ""), off(4, name="x", tee="white"), 'players.""'),
    (("players", "k" * 41), off(4, name="x", tee="white"), "players." + "k" * 41),
    # Cards.
    (("cards", "p9"), PAR, "cards.p9"),
    (("cards", "a b"), PAR, 'cards."a b"'),
    (("cards", "p1"), None, "cards.p1"),
    (("cards", "p1"), "PAR", "cards.p1"),
    (("cards", "p1"), PAR[:17], "cards.p1"),
    (("cards", "p1"), PAR[:9], "cards.p1"),
    (("cards", "p1"), [], "cards.p1"),
    *(
        (("cards", "p1", 3), bad, "cards.p1[3]")
        for bad in (0, 100, -1, True, False, Decimal("4.0"), "4", "", "--", "x", [], {})
    ),
    # Rulings.
    (("rulings", 0), None, "rulings[0]"),
    (("rulings", 0, "kind"), GONE, "rulings[0].kind"),
    (("rulings", 0, "kind"), "praise", "rulings[0].kind"),
    (("rulings", 0, "kind"), None, "rulings[0].kind"),
    (("rulings", 0, "player"), GONE, "rulings[0].player"),
    (("rulings", 0, "hole"), GONE, "rulings[0].hole"),
    (("rulings", 0, "strokes"), GONE, "rulings[0].strokes"),
    (("rulings", 0, "points"), 2, "rulings[0].points"),
    (("rulings", 0, "side"), "s1", "rulings[0].side"),
    (("rulings", 0, "player"), "p9", "rulings[0].player"),
    (("rulings", 0, "player"), None, "rulings[0].player"),
    (("rulings", 0, "hole"), 0, "rulings[0].hole"),
    (("rulings", 0, "hole"), 19, "rulings[0].hole"),
    *((("rulings", 0, "hole"), bad, "rulings[0].hole") for bad in WHOLE),
    (("rulings", 0, "strokes"), 0, "rulings[0].strokes"),
    (("rulings", 0, "strokes"), 21, "rulings[0].strokes"),
    *((("rulings", 0, "strokes"), bad, "rulings[0].strokes") for bad in WHOLE),
    (("rulings", 0, "rule"), "", "rulings[0].rule"),
    (("rulings", 0, "rule"), None, "rulings[0].rule"),
    (("rulings", 0, "reason"), "r" * 201, "rulings[0].reason"),
    (("rulings", 0, "reason"), "a\x00", "rulings[0].reason"),
    (("rulings", 1, "reason"), GONE, "rulings[1].reason"),
    (("rulings", 1, "players"), GONE, "rulings[1].players"),
    (("rulings", 1, "player"), "p1", "rulings[1].player"),
    (("rulings", 1, "sides"), ["s1", "s2"], "rulings[1].sides"),
    (("rulings", 1, "players"), "p2", "rulings[1].players"),
    (("rulings", 1, "players"), [], "rulings[1].players"),
    (("rulings", 1, "players"), ["p2"], "rulings[1].players"),
    (("rulings", 1, "players"), ["p2", "p9"], "rulings[1].players[1]"),
    (("rulings", 1, "players"), ["p2", 3], "rulings[1].players[1]"),
    (("rulings", 1, "players"), ["p2", "p3", "p2"], "rulings[1].players[2]"),
    (("rulings", 1, "players"), ["p1", "p2"], "rulings[1].players"),
    (("rulings", 1, "players"), ["p1", "p2", "p3"], "rulings[1].players"),
    *(
        (("rulings", 2), {"kind": "points_off", "player": "p1", **bad}, place)
        for bad, place in (
            ({}, "rulings[2].points"),
            ({"points": 0}, "rulings[2].points"),
            ({"points": 21}, "rulings[2].points"),
            ({"points": True}, "rulings[2].points"),
            ({"points": 2, "strokes": 2}, "rulings[2].strokes"),
            ({"points": 2, "hole": 2}, "rulings[2].hole"),
        )
    ),
    (("rulings", 2), {"kind": "withdrawn"}, "rulings[2].player"),
    (("rulings", 2), {"kind": "withdrawn", "player": "p1", "hole": 3}, "rulings[2].hole"),
    (
        ("rulings", 2),
        {"kind": "order", "players": ["p2", "p3"], "reason": "again"},
        "rulings[2].players",
    ),
    # A penalty after the order breaks the tie, so the order names no group any more.
    (
        ("rulings", 2),
        {"kind": "penalty", "player": "p2", "hole": 1, "strokes": 1},
        "rulings[1].players",
    ),
    (("rulings", 2), {"kind": "withdrawn", "player": "p3"}, "rulings[1].players"),
]


@pytest.mark.parametrize(("path", "value", "place"), CASES)
def test_one_wrong_value_is_refused_at_its_place(path, value, place):
    document = good()
    spoil(document, path, deepcopy(value))
    assert place_of(document) == place


def test_the_document_they_spoil_is_good():
    out, wrong, status = main(write_document(good()).encode(), "json")
    assert (wrong, status) == ("", 0)
    assert json.loads(out)["document"] == "golf-standings"


def medal(**terms: object) -> dict[str, Any]:
    document = good(format="medal", **terms)
    document["tees"]["red"] = {"par": [5, *PAR[1:]], "stroke_index": INDEX}
    return document


def gross(**terms: object) -> dict[str, Any]:
    document = good(basis="gross", **terms)
    document["rulings"] = []
    return document


def status_twice() -> dict[str, Any]:
    document = good()
    document["rulings"] = [
        {"kind": "withdrawn", "player": "p1"},
        {"kind": "disqualified", "player": "p2"},
        {"kind": "no_return", "player": "p1"},
    ]
    return document


def maximum(rule: object) -> dict[str, Any]:
    return good(format="maximum_score", maximum_hole_score=rule)


def modified(points: object) -> dict[str, Any]:
    return good(format="modified_stableford", points=points)


def with_points_off(format_: str) -> dict[str, Any]:
    return good(format=format_) | {"rulings": [{"kind": "points_off", "player": "p1", "points": 2}]}


def index_without_rating(**more: object) -> dict[str, Any]:
    return event({"handicap_index": 12}, **more)  # type: ignore[arg-type]


def course(value: object) -> dict[str, Any]:
    return event({"course_handicap": value}, cards=[PAR])


def nine(**changes: object) -> dict[str, Any]:
    return event(off(4), cards=[PAR[:9]], holes=9, **changes)  # type: ignore[arg-type]


def nine_index(index: list[int]) -> dict[str, Any]:
    return nine(tees={"white": {"par": PAR[:9], "stroke_index": index}})


WHOLE_DOCUMENTS: list[tuple[str, Callable[[], dict[str, Any]], str]] = [
    ("reference par above a tee in use", lambda: medal(reference_par=74), "terms.reference_par"),
    ("reference par below 27", lambda: medal(reference_par=26), "terms.reference_par"),
    ("reference par above 108", lambda: medal(reference_par=109), "terms.reference_par"),
    ("reference par no whole number", lambda: medal(reference_par="70"), "terms.reference_par"),
    (
        "reference par where different par is off",
        lambda: medal(reference_par=70, different_par=False),
        "terms.reference_par",
    ),
    (
        "reference par in par play",
        lambda: good(format="par", reference_par=70),
        "terms.reference_par",
    ),
    ("reference par of nine holes", lambda: nine(format="medal", reference_par=55),
     "terms.reference_par"),
    (
        "lower handicap in a scratch event",
        lambda: gross(after_countback="lower_handicap"),
        "terms.after_countback",
    ),
    ("two handicaps in a scratch event", lambda: spoiled(gross(), ("players", "p1",
     "playing_handicap"), 4), "players.p1"),
    (
        "index without ratings in a scratch event",
        lambda: index_without_rating(basis="gross"),
        "tees.white.course_rating",
    ),
    ("index without ratings", index_without_rating, "tees.white.course_rating"),
    ("a second status", status_twice, "rulings[2].kind"),
    ("points off a medal", lambda: with_points_off("medal"), "rulings[0].kind"),
    ("points off maximum score", lambda: with_points_off("maximum_score"), "rulings[0].kind"),
    ("a points table in par play", lambda: good(format="par", points={"0": 1, "none": 0}),
     "terms.points"),
    ("a maximum in a medal", lambda: medal(maximum_hole_score={"kind": "fixed", "strokes": 8}),
     "terms.maximum_hole_score"),
    ("maximum no object", lambda: maximum(8), "terms.maximum_hole_score"),
    ("maximum without kind", lambda: maximum({"strokes": 8}), "terms.maximum_hole_score.kind"),
    ("maximum of no kind", lambda: maximum({"kind": "ten"}), "terms.maximum_hole_score.kind"),
    (
        "net double bogey with strokes",
        lambda: maximum({"kind": "net_double_bogey", "strokes": 2}),
        "terms.maximum_hole_score.strokes",
    ),
    ("over par without strokes", lambda: maximum({"kind": "over_par"}),
     "terms.maximum_hole_score.strokes"),
    ("over par with times", lambda: maximum({"kind": "over_par", "strokes": 5, "times": 2}),
     "terms.maximum_hole_score.times"),
    *(
        (f"{kind} {value}", lambda kind=kind, key=key, value=value: maximum(
            {"kind": kind, key: value}), f"terms.maximum_hole_score.{key}")
        for kind, key, values in (
            ("over_par", "strokes", (-1, 21, True, Decimal("5.0"), "5", None)),
            ("fixed", "strokes", (0, 100, True, Decimal("5.0"), "5", None)),
            ("times_par", "times", (0, 10, True, Decimal("2.0"), "2", None)),
        )
        for value in values
    ),
    ("points no object", lambda: modified([1, 2]), "terms.points"),
    ("points without none", lambda: modified({"0": 1}), "terms.points.none"),
    ("points with none alone", lambda: modified({"none": 0}), "terms.points"),
    ("points with a gap", lambda: modified({"0": 1, "2": 0, "none": 0}), "terms.points"),
    *(
        (f"points at {key!r}", lambda key=key: modified({"0": 1, key: 1, "none": 0}),
         f"terms.points.{key}")
        for key in ("10", "-10", "01", "-0", "None")
    ),
    ("points at +1", lambda: modified({"0": 1, "+1": 1, "none": 0}), 'terms.points."+1"'),
    *(
        (f"points worth {value!r}", lambda value=value: modified({"-1": value, "0": 1, "none": 0}),
         "terms.points.-1")
        for value in (-100, 100, True, Decimal("1.0"), "1", None)
    ),
    ("none worth too much", lambda: modified({"0": 1, "none": 100}), "terms.points.none"),
    *(
        (f"course handicap {value!r}", lambda value=value: course(value),
         "players.p1.course_handicap")
        for value in (-21, 101, Decimal("100.000001"), Decimal("1.1234567"), "12", True, None)
    ),
    ("a nine with an index twice", lambda: nine_index([1, 3, 5, 7, 9, 11, 13, 15, 1]),
     "tees.white.stroke_index"),
    ("a nine with an index of 19", lambda: nine_index([1, 3, 5, 7, 9, 11, 13, 15, 19]),
     "tees.white.stroke_index[8]"),
    ("a nine with a range beyond it", lambda: nine(countback=["7-10"]), "terms.countback[0]"),
    ("a nine begun on the tenth", lambda: event(off(4, first_hole=10), cards=[PAR[:9]], holes=9),
     "players.p1.first_hole"),
    ("a penalty on the tenth of nine", lambda: nine(rulings=[
        {"kind": "penalty", "player": "p1", "hole": 10, "strokes": 1}]), "rulings[0].hole"),
    ("a card of 18 in a nine", lambda: spoiled(nine(), ("cards", "p1"), PAR), "cards.p1"),
    ("a par of nine among eighteens", lambda: spoiled(event(off(4), cards=[PAR]),
     ("tees", "white", "par"), PAR[:9]), "tees.white.par"),
    ("an order across two places", lambda: two_ties(["p1", "p2", "p3", "p4"]),
     "rulings[0].players"),
    ("an order of half a group", lambda: three_level(["p1", "p2"]), "rulings[0].players"),
    ("an order with someone who is out", lambda: spoiled(three_level(["p1", "p2", "p3"]),
     ("rulings", 1), {"kind": "withdrawn", "player": "p3"}), "rulings[0].players"),
]  # fmt: skip


def spoiled(document: dict[str, Any], path: tuple[str | int, ...], value: object) -> dict[str, Any]:
    spoil(document, path, value)
    return document


def three_level(order: list[str]) -> dict[str, Any]:
    ruling = {"kind": "order", "players": order, "reason": "by lot"}
    return event(off(4), off(4), off(4), cards=[PAR, PAR, PAR], rulings=[ruling])


def two_ties(order: list[str]) -> dict[str, Any]:
    ruling = {"kind": "order", "players": order, "reason": "by lot"}
    worse = [6, *PAR[1:]]
    return event(*[off(4)] * 4, cards=[PAR, PAR, worse, worse], rulings=[ruling])


@pytest.mark.parametrize(
    ("make", "place"),
    [pytest.param(make, place, id=name) for name, make, place in WHOLE_DOCUMENTS],
)
def test_what_does_not_fit_together_is_refused_at_its_place(make, place):
    assert place_of(make()) == place


LIMITS: list[tuple[str, Callable[[], dict[str, Any]]]] = [
    ("names of 200 characters", lambda: spoiled(good(), ("event", "name"), "é" * 200)),
    ("first and last year", lambda: spoiled(good(), ("event", "date"), "1900-01-01")),
    ("last day", lambda: spoiled(good(), ("event", "date"), "2999-12-31")),
    ("leap day", lambda: spoiled(good(), ("event", "date"), "2028-02-29")),
    ("eight divisions", lambda: spoiled(good(), ("players", "p1", "divisions"), list("ABCDEFGH"))),
    ("allowance 0", lambda: good(allowance=0)),
    ("allowance 100.0", lambda: good(allowance=Decimal("100.000000"))),
    ("maximum 0", lambda: good(maximum_playing_handicap=0)),
    ("maximum 100", lambda: good(maximum_playing_handicap=100)),
    ("index 54.0", lambda: spoiled(good(), ("players", "p1", "handicap_index"), Decimal("54.0"))),
    ("index -10.0", lambda: spoiled(good(), ("players", "p1", "handicap_index"), Decimal("-10.0"))),
    ("index -0.0", lambda: spoiled(good(), ("players", "p1", "handicap_index"), Decimal("-0.0"))),
    ("whole index", lambda: spoiled(good(), ("players", "p1", "handicap_index"), 12)),
    ("rating 10", lambda: spoiled(good(), ("tees", "white", "course_rating"), 10)),
    ("rating 100.0", lambda: spoiled(good(), ("tees", "white", "course_rating"), Decimal("100.0"))),
    ("slope 55", lambda: spoiled(good(), ("tees", "white", "slope_rating"), 55)),
    ("slope 155", lambda: spoiled(good(), ("tees", "white", "slope_rating"), 155)),
    ("course handicap -20", lambda: course(-20)),
    ("course handicap 100", lambda: course(Decimal("100.000000"))),
    ("playing handicap -20", lambda: event(off(-20), cards=[PAR])),
    ("playing handicap 100", lambda: event(off(100), cards=[PAR])),
    ("scores 1 and 99", lambda: event(off(4), cards=[[1, 99] * 9])),
    ("par 3 to 6", lambda: event(off(4), tees={"white": {"par": [3, 6] * 9,
     "stroke_index": INDEX}})),
    ("no cards", lambda: spoiled(good(), ("cards",), {}) | {"rulings": []}),
    ("no rulings", lambda: without(good(), "rulings")),
    ("points both ends", lambda: unruled(modified({"-9": 99, "none": -99} | {
        str(step): -99 for step in range(-8, 10)}))),
    ("one step of points", lambda: unruled(modified({"4": 0, "none": 0}))),
    ("over par 0", lambda: maximum({"kind": "over_par", "strokes": 0})),
    ("over par 20", lambda: maximum({"kind": "over_par", "strokes": 20})),
    ("fixed 1", lambda: maximum({"kind": "fixed", "strokes": 1})),
    ("fixed 99", lambda: maximum({"kind": "fixed", "strokes": 99})),
    ("times 9", lambda: maximum({"kind": "times_par", "times": 9})),
    ("reference par as low as 27", lambda: medal(reference_par=27)),
    ("reference par of the lowest tee", lambda: medal(reference_par=72)),
    ("reference par for gross", lambda: event({}, cards=[PAR], format="medal", basis="gross",
     reference_par=70)),
    ("reference par 54 over nine", lambda: event(off(4), holes=9, format="medal",
     reference_par=54, tees={"white": {"par": [6] * 9, "stroke_index": INDEX[:9]}},
     cards=[[6] * 9])),
    ("penalties 1 and 20", lambda: event(off(4), cards=[PAR], rulings=[
        {"kind": "penalty", "player": "p1", "hole": hole, "strokes": strokes}
        for hole, strokes in ((1, 1), (18, 20))])),
    ("player key of 40", lambda: spoiled(good(), ("players", "k-_" + "9" * 37),
     off(4, name="x", tee="white"))),
    ("tee key of 200", lambda: spoiled(good(), ("tees", "Ü" * 200), RED)),
    ("no handicap for gross", lambda: event({}, cards=[PAR], basis="gross")),
    ("ratings without an index", lambda: event(off(4), cards=[PAR], tees={
        "white": {**RED, "slope_rating": 120}})),
    ("no countback", lambda: good(countback=[])),
    ("an order across the whole of a group", lambda: three_level(["p3", "p1", "p2"])),
    ("two orders of two groups", lambda: two_orders()),
]  # fmt: skip


def without(document: dict[str, Any], key: str) -> dict[str, Any]:
    del document[key]
    return document


def unruled(document: dict[str, Any]) -> dict[str, Any]:
    return document | {"rulings": []}


def two_orders() -> dict[str, Any]:
    document = two_ties(["p2", "p1"])
    document["rulings"].append({"kind": "order", "players": ["p4", "p3"], "reason": "by lot"})
    return document


@pytest.mark.parametrize("make", [pytest.param(make, id=name) for name, make in LIMITS])
def test_both_ends_of_every_limit_are_allowed(make):
    document = make()
    _, wrong, status = main(write_document(document).encode(), "json")
    assert (wrong, status) == ("", 0)
