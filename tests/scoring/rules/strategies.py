"""Any good event document, small and with many ties, for hypothesis to draw."""

from decimal import Decimal
from typing import Any

from hypothesis import strategies as st

from scoring.rules.values import INDIVIDUAL, ONE_BALL, OWN_BALL, Format

Draw = st.DrawFn
STATUSES = ["disqualified", "withdrawn", "no_return"]
SIZES = {Format.BEST_OF: (2, 4), Format.AGGREGATE: (2, 3), Format.SCRAMBLE: (2, 4)}


def tenths(low: int, high: int) -> st.SearchStrategy[Decimal]:
    return st.integers(low, high).map(lambda value: Decimal(value).scaleb(-1))


@st.composite
def marks(draw: Draw, holes: int) -> dict[str, Any]:
    """A tee with ratings that suit its par."""
    par = draw(st.lists(st.integers(3, 5), min_size=holes, max_size=holes))
    return {
        "par": par,
        "stroke_index": draw(st.permutations(range(1, 19)))[:holes],
        "course_rating": Decimal(sum(par)) + draw(tenths(-30, 30)),
        "slope_rating": draw(st.integers(55, 155)),
    }


@st.composite
def ranges(draw: Draw, holes: int) -> list[str]:
    found = []
    for first, more in draw(
        st.lists(st.tuples(st.integers(1, holes), st.integers(0, holes)), max_size=4)
    ):
        last = min(first + more, holes)
        found.append(f"{first}-{last}" if first < last else str(first))
    return list(dict.fromkeys(found))


@st.composite
def some_terms(draw: Draw, holes: int, format_: Format, scoring: Format) -> dict[str, Any]:
    terms: dict[str, Any] = {"format": format_.value}
    if format_ not in INDIVIDUAL:
        terms["scoring"] = scoring.value
    maybe: dict[str, st.SearchStrategy[Any]] = {
        "basis": st.sampled_from(["net", "gross"]),
        "maximum_playing_handicap": st.integers(0, 40),
        "countback": ranges(holes),
        "countback_holes": st.sampled_from(["card", "played"]),
        "handicap_share": st.sampled_from(["exact", "rounded", "by_stroke_index"]),
        "after_countback": st.sampled_from(["share", "lower_handicap"]),
        "different_par": st.booleans(),
    }
    if format_ not in ONE_BALL:
        maybe["allowance"] = st.sampled_from([0, 50, 85, 100, Decimal("87.5")])
    if scoring is Format.MAXIMUM_SCORE:
        maybe["maximum_hole_score"] = st.sampled_from(
            [
                {"kind": "net_double_bogey"},
                {"kind": "over_par", "strokes": 2},
                {"kind": "fixed", "strokes": 6},
                {"kind": "times_par", "times": 2},
            ]
        )
    if scoring is Format.MODIFIED_STABLEFORD:
        maybe["points"] = st.just({"-1": 3, "0": 1, "1": 0, "none": -2})
    for key, values in maybe.items():
        if draw(st.booleans()):
            terms[key] = draw(values)
    if terms.get("basis") == "gross":
        terms.pop("after_countback", None)
    return terms


@st.composite
def a_player(draw: Draw, number: int, tees: list[str], holes: int, form: Format) -> dict[str, Any]:
    alike = "course_handicap" if form in ONE_BALL else "playing_handicap"
    kind = draw(st.sampled_from([alike, alike, alike, "course_handicap", "handicap_index"]))
    value = {
        "course_handicap": st.just(8) | tenths(-30, 400),
        "handicap_index": tenths(-50, 540),
        "playing_handicap": st.sampled_from([8, 8, 8, 7, 9]) | st.integers(-4, 40),
    }[kind]
    player = {
        "name": f"Player {number}",
        "tee": draw(st.sampled_from([tees[0], *tees])),
        kind: draw(value),
    }
    if draw(st.booleans()):
        player["divisions"] = draw(st.lists(st.sampled_from("ABC"), max_size=2, unique=True))
    if draw(st.booleans()):
        player["first_hole"] = draw(st.integers(1, holes))
    return player


@st.composite
def a_card(draw: Draw, par: list[int]) -> list[Any]:
    """Level par with a stroke moved from one hole to another, so that many totals are level."""
    card: list[Any] = list(par)
    hole = st.integers(0, len(par) - 1)
    for better, worse in draw(st.lists(st.tuples(hole, hole), max_size=3)):
        card[better] = max(1, card[better] - 1)
        card[worse] += 1
    if not draw(st.integers(0, 3)):
        card[draw(hole)] += draw(st.sampled_from([1, 2, 7]))
    if not draw(st.integers(0, 7)):
        card[draw(hole)] = draw(st.sampled_from([None, "-"]))
    return card


@st.composite
def documents(draw: Draw, forms: tuple[Format, ...] = tuple(Format)) -> dict[str, Any]:
    """A good event document without an `order` ruling."""
    holes = draw(st.sampled_from([18, 18, 9]))
    form = draw(st.sampled_from(forms))
    scoring = form if form in INDIVIDUAL else draw(st.sampled_from(INDIVIDUAL))
    tees = {name: draw(marks(holes)) for name in draw(st.sampled_from([["w"], ["w", "Men's red"]]))}
    terms = draw(some_terms(holes, form, scoring))
    size = 1 if form in INDIVIDUAL else draw(st.integers(*SIZES.get(form, (2, 2))))
    keys = [f"p{number}" for number in range(size * draw(st.integers(2, 7 if size == 1 else 4)))]
    players = {
        key: draw(a_player(number, list(tees), holes, form)) for number, key in enumerate(keys)
    }
    document: dict[str, Any] = {
        "document": "golf-event",
        "version": 1,
        "event": {"name": "Any", "date": "2026-04-18"},
        "terms": terms,
        "tees": tees,
        "players": players,
        "cards": {},
    }
    if size > 1:
        document["sides"] = {f"s{at}": keys[at : at + size] for at in range(0, len(keys), size)}
    if form is Format.BEST_OF:
        terms["best"] = draw(
            st.integers(1, size) | st.lists(st.integers(1, size), min_size=holes, max_size=holes)
        )
        if size != 4 or isinstance(terms["best"], list):
            terms.setdefault("allowance", 90)
    carded = list(document["sides"]) if form in ONE_BALL else keys
    for key in carded:
        if draw(st.integers(0, 9)):
            document["cards"][key] = draw(a_card(tees["w"]["par"]))
    document["rulings"] = draw(some_rulings(document, form, scoring, holes))
    return document


@st.composite
def some_rulings(
    draw: Draw, document: dict[str, Any], form: Format, scoring: Format, holes: int
) -> list[dict[str, Any]]:
    rulings: list[dict[str, Any]] = []
    whom = "player" if form in INDIVIDUAL else "side"
    competitors = list(document["sides"] if whom == "side" else document["players"])
    for key in competitors:
        if not draw(st.integers(0, 11)):
            kind = draw(st.sampled_from(STATUSES))
            rulings.append({"kind": kind, whom: key, "rule": "3.3"})
        if scoring not in (Format.MEDAL, Format.MAXIMUM_SCORE) and not draw(st.integers(0, 7)):
            rulings.append({"kind": "points_off", whom: key, "points": draw(st.integers(1, 2))})
    penalised = list(document["players"]) if form in OWN_BALL else competitors
    named = "player" if form in OWN_BALL else whom
    for key in penalised:
        if not draw(st.integers(0, 7)):
            hole = draw(st.integers(1, holes))
            rulings.append({"kind": "penalty", named: key, "hole": hole, "strokes": 2})
        if form in OWN_BALL and not draw(st.integers(0, 11)):
            rulings.append({"kind": "disqualified", "player": key, "rule": key})
    return rulings
