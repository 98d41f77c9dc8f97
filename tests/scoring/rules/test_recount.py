"""The recount: it imports nothing of the engine, and notices each step of the engine that breaks.

Source of the expected figures: the event document and RULES, read again by `recount` itself.
"""

import ast
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

import scoring.rules
from scoring.rules import engine, handicap, playing, ties
from scoring.rules.event import read_event
from scoring.rules.formats import maximum_score, modified_stableford, par, stableford
from scoring.rules.recount import differences, recount
from scoring.rules.values import Share
from tests.scoring.rules.documents import PAR, event, good, off
from tests.scoring.rules.test_engine import changed, tees
from tests.scoring.rules.test_sides import course, one, own

Breaking = Callable[[pytest.MonkeyPatch], None]


def replaced(owner: object, name: str, change: Callable[[Any], Any]) -> Breaking:
    """Put something wrong in the place of one step; `change` is given the right one."""

    def apply(monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(owner, name, change(getattr(owner, name)))

    return apply


def rated(document: dict[str, Any]) -> dict[str, Any]:
    holes = len(document["tees"]["white"]["par"])
    rating = Decimal("70.1") if holes == 18 else Decimal("35.1")
    document["tees"]["white"] |= {"course_rating": rating, "slope_rating": 131}
    return document


def level(**terms: object) -> dict[str, Any]:
    """Two cards level on the total, parted only late."""
    twin = changed(PAR, h1=PAR[0] + 1, h2=PAR[1] - 1)
    return event(off(11, first_hole=5), off(11), cards=[PAR, twin], **terms)


def dense(rank: Callable[..., Any]) -> Callable[..., Any]:
    """Places 1, 2, 2, 3."""

    def wrong(*args: Any) -> list[Any]:
        rows = rank(*args)
        order = sorted({row.place for row in rows})
        return [replace(row, place=order.index(row.place) + 1) for row in rows]

    return wrong


def half_down(value: Fraction) -> int:
    return -((-value + Fraction(1, 2)) // 1)


NO_SCORE = changed(PAR, h4=None)
STEPS: dict[str, tuple[Breaking, Callable[[], dict[str, Any]]]] = {
    "a half is rounded down": (
        replaced(handicap, "round_half_up", lambda _: half_down),
        lambda: event({"course_handicap": 10}, cards=[PAR]),
    ),
    "the Course Handicap forgets Course Rating less par": (
        replaced(handicap, "course_handicap", lambda right: lambda **given: right(
            **{**given, "rating": given["par"]})),
        lambda: rated(event({"handicap_index": 12}, cards=[PAR])),
    ),
    "half an index over nine holes is not rounded": (
        replaced(handicap, "tenth", lambda _: lambda value: value),
        lambda: rated(event({"handicap_index": Decimal("14.5")}, cards=[PAR[:9]], holes=9)),
    ),
    "the maximum is forgotten": (
        replaced(handicap, "playing_handicap", lambda right: lambda value, **given: right(
            value, **{**given, "maximum": None})),
        lambda: event(off(30), cards=[PAR], maximum_playing_handicap=18),
    ),
    "strokes begin at the easiest hole": (
        replaced(handicap, "strokes_received", lambda right: lambda playing, index: right(
            playing, [19 - one for one in index])),
        lambda: event(off(7), cards=[PAR]),
    ),
    "different par adds nothing": (
        replaced(playing, "extra_strokes", lambda right: lambda event: dict.fromkeys(
            right(event), 0)),
        lambda: event(off(4, tee="red"), off(4), cards=[PAR, PAR], format="medal",
                      tees=tees(white=0, red=2)),
    ),
    "Stableford goes below nothing": (
        replaced(stableford, "value", lambda _: lambda terms, par, strokes, gross: (
            0 if gross is None else 2 + par - gross + strokes)),
        lambda: event(off(0), cards=[changed(PAR, h3=9)]),
    ),
    "the points table ends too early": (
        replaced(modified_stableford, "value", lambda right: lambda terms, par, strokes, gross:
            right(terms, par, strokes, None if gross is None else max(gross, par - 2))),
        lambda: event(off(0), cards=[changed(PAR, h4=2)], format="modified_stableford"),
    ),
    "a level hole is lost in par play": (
        replaced(par, "value", lambda right: lambda terms, par, strokes, gross: right(
            terms, par, strokes, None if gross == par + strokes else gross)),
        lambda: event(off(0), cards=[PAR], format="par"),
    ),
    "the maximum of a hole is a stroke too high": (
        replaced(maximum_score, "maximum", lambda right: lambda *given: right(*given) + 1),
        lambda: event(off(4), cards=[NO_SCORE], format="maximum_score"),
    ),
    "penalty strokes are forgotten": (
        replaced(playing, "penalties", lambda _: lambda rulings: {}),
        lambda: event(off(4), cards=[PAR], rulings=[
            {"kind": "penalty", "player": "p1", "hole": 2, "strokes": 2}]),
    ),
    "points off are forgotten": (
        replaced(playing, "points_off", lambda _: lambda rulings: 0),
        lambda: event(off(4), cards=[PAR], rulings=[
            {"kind": "points_off", "player": "p1", "points": 2}]),
    ),
    "a status ruling is forgotten": (
        replaced(playing, "STATUS_KINDS", lambda _: ()),
        lambda: event(off(4), cards=[PAR], rulings=[{"kind": "withdrawn", "player": "p1"}]),
    ),
    "a share is always rounded": (
        replaced(ties, "share_of", lambda right: lambda playing, part, holes, _: right(
            playing, part, holes, Share.ROUNDED)),
        lambda: level(format="medal"),
    ),
    "a range looks at the card whatever the terms say": (
        replaced(ties, "holes_of", lambda right: lambda entry, _, holes, counted: right(
            entry, 1, holes, counted)),
        lambda: level(countback_holes="played"),
    ),
    "a range has a hole too few": (
        replaced(ties, "holes_of", lambda right: lambda *given: right(*given)[:-1]),
        level,
    ),
    "the higher handicap is put first": (
        replaced(ties, "_playing_handicap", lambda right: lambda line: -right(line)),
        lambda: event(off(1), off(0), cards=[changed(PAR, h5=5), PAR],
                      after_countback="lower_handicap", countback=["18"]),
    ),
    "the place after a shared one follows at once": (
        replaced(engine, "rank", dense),
        lambda: event(off(0), off(0), off(0), cards=[PAR, PAR, changed(PAR, h1=7)]),
    ),
    "the worst wins": (
        replaced(engine, "rank", lambda right: lambda lines, steps, more, orders: right(
            lines, steps, not more, orders)),
        lambda: event(off(0), off(0), cards=[PAR, changed(PAR, h1=7)]),
    ),
    "an order is forgotten": (
        replaced(engine, "rank", lambda right: lambda lines, steps, more, orders: right(
            lines, steps, more, ())),
        good,
    ),
    "a figure loses its fraction": (
        replaced(engine, "figure", lambda _: lambda value: str(int(value))),
        lambda: level(format="medal"),
    ),
    "the sentence is forgotten": (
        replaced(engine, "settled", lambda _: lambda row, **_more: ""),
        level,
    ),
    "the Course Handicap is shown cut": (
        replaced(engine, "two_decimals", lambda right: lambda value: right(
            value - Fraction(1, 200))),
        lambda: event({"course_handicap": Decimal("10.526")}, cards=[PAR]),
    ),
    "a side counts its worse ball": (
        replaced(playing, "best_of", lambda right: lambda values, count, more_is_better: right(
            values, count, more_is_better=not more_is_better)),
        lambda: own(off(0), off(0), cards=[changed(PAR, h1=3), PAR]),
    ),
    "a side's shares are taken from the highest": (
        replaced(handicap, "side_playing_handicap", lambda right: lambda courses, shares, **more:
            right(courses, shares=shares[::-1], **more)),
        lambda: one(course(30), course(5), cards=[PAR], format="greensomes"),
    ),
}  # fmt: skip


def found_by_recount(document: dict[str, Any]) -> list[str]:
    return differences(document, engine.score(read_event(document)))


@pytest.mark.parametrize("step", sorted(STEPS))
def test_a_broken_step_of_the_engine_is_noticed(step, monkeypatch):
    breaks, make = STEPS[step]
    document = make()
    assert found_by_recount(document) == []
    breaks(monkeypatch)
    found = found_by_recount(document)
    assert found
    assert all(isinstance(sentence, str) and sentence for sentence in found)


def test_at_least_ten_steps_are_broken_in_turn():
    assert len(STEPS) >= 10


OUT = [{"kind": "disqualified", "player": key, "rule": key} for key in ("p2", "p1")]
FOURS = [course(number) for number in (3, 9, 14, 21, 27, 30, 33, 36)]


@pytest.mark.parametrize(
    "make",
    [
        lambda: own(*FOURS, size=4, cards=[PAR] * 8, format="best_of", best=2, allowance=None),
        lambda: own(*FOURS, size=4, cards=[PAR] * 8, format="best_of", best=3, allowance=None,
                    scoring="par"),
        lambda: own(*FOURS, size=4, cards=[PAR] * 8, format="aggregate", scoring="medal"),
        lambda: own(*FOURS, cards=[PAR] * 8, scoring="par"),
        lambda: one(*FOURS, cards=[PAR] * 4, format="foursomes", scoring="medal",
                    handicap_share="by_stroke_index"),
        lambda: one(*FOURS, cards=[PAR] * 4, format="chapman"),
        lambda: one(*FOURS, size=4, cards=[PAR] * 2, format="scramble", scoring="medal"),
        lambda: own(*FOURS[:4], cards=[PAR] * 4, rulings=OUT),
        lambda: own(*FOURS[:4], cards=[PAR] * 3, rulings=OUT[:1]),
        lambda: own(*FOURS[:6], cards=[PAR] * 2, scoring="medal"),
        lambda: event(off(7), off(7), cards=[PAR, PAR], format="medal",
                      handicap_share="by_stroke_index"),
        lambda: one(*FOURS[:6], size=3, cards=[PAR] * 2, format="scramble", basis="gross"),
    ],
)  # fmt: skip
def test_it_agrees_on_what_it_had_to_read_for_itself(make):
    document = make()
    if document["terms"].get("allowance", 0) is None:
        del document["terms"]["allowance"]
    assert found_by_recount(document) == []


def test_an_answer_that_was_changed_afterwards_is_noticed():
    document = good()
    document["players"]["p4"] = {"name": "Out", "tee": "white", "playing_handicap": 4}
    right = engine.score(read_event(document))
    assert differences(document, right) == []

    def changed_answer(change: Callable[[Any], object]) -> list[str]:
        answer = engine.score(read_event(document))
        change(answer)
        return differences(document, answer)

    assert changed_answer(lambda answer: answer["standings"].pop())
    assert changed_answer(lambda answer: answer["standings"].reverse())
    assert changed_answer(lambda answer: answer["unplaced"].clear())
    assert changed_answer(lambda answer: answer["unplaced"][0].update(status="withdrawn"))
    assert changed_answer(lambda answer: answer["unplaced"][0].update(rule="1.1"))
    assert changed_answer(lambda answer: answer["divisions"].clear())
    assert changed_answer(lambda answer: answer["divisions"].update(More={}))
    assert changed_answer(lambda answer: answer["divisions"]["Seniors"]["standings"].clear())
    assert changed_answer(lambda answer: answer["standings"][1].update(place=1))
    assert changed_answer(lambda answer: answer["standings"][1].update(tied=True))
    assert changed_answer(lambda answer: answer["standings"][1].update(settled="won"))
    assert changed_answer(lambda answer: answer["standings"][0].update(settled="won"))
    assert changed_answer(lambda answer: answer["standings"][1]["trail"].popitem())
    # Names do not matter: a sealed answer carries keys in their place.
    assert changed_answer(lambda answer: [row.update(name=row["player"]) for row in
                                          answer["standings"]]) == []  # fmt: skip


def test_the_sentences_say_who_and_what():
    document = event(off(4), cards=[PAR])
    answer = engine.score(read_event(document))
    answer["standings"][0]["total"] = 1
    assert differences(document, answer) == ["overall, p1: the engine has total 1, the recount 40"]


def test_the_recount_gives_rows_of_its_own():
    found = recount(good())
    first = found["standings"][0]
    assert (first["place"], first["tied"], first["player"]) == (1, False, "p3")
    assert (first["playing_handicap"], first["total"], len(first["trail"])) == (10, 46, 7)
    assert list(found["divisions"]) == ["Seniors"]


def test_it_imports_nothing_of_the_engine():
    """Only the standard library, the values, and its own four files."""
    folder = Path(scoring.rules.__path__[0])
    mine = {f"scoring.rules.{path.stem}" for path in folder.glob("recount*.py")}
    assert len(mine) == 4
    for path in folder.glob("recount*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            for name in names:
                if name.startswith(("scoring", "society")):
                    assert name in {*mine, "scoring.rules.values"}, (path.name, name)
