"""Laws that hold for every event, whatever the terms.

Sources: Rules of Handicapping 2024, Appendices C and E (strokes); Rules of Golf 2023, Rules 3.3
and 21 (better is better); event document, sections 1.3 and 1.5 (order of input, trail).
"""

from copy import deepcopy
from fractions import Fraction
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.rules.engine import answer_text, score
from scoring.rules.event import read_event
from scoring.rules.handicap import strokes_received
from scoring.rules.hole_table import pick_up, value_table
from scoring.rules.recount import differences
from scoring.rules.strict_json import canonical, read_json, write_document
from scoring.rules.values import INDIVIDUAL
from scoring.rules.words import terms_sentences
from tests.scoring.rules.strategies import documents

FEWEST_WIN = ("medal", "maximum_score")


def answer(document: dict[str, Any]) -> dict[str, Any]:
    return score(read_event(document))


def key_of(row: dict[str, Any]) -> str:
    return str(row["player"] if "player" in row else row["side"])


def fewest_win(document: dict[str, Any]) -> bool:
    terms = document["terms"]
    return terms.get("scoring", terms["format"]) in FEWEST_WIN


@given(
    st.integers(-60, 120),
    st.permutations(range(1, 19)) | st.permutations(range(1, 19)).map(lambda all_: all_[:9]),
)
def test_shots_given_sum_to_the_handicap_and_fall_on_the_hardest_holes(playing, index):
    strokes = strokes_received(playing, index)
    assert sum(strokes) == playing
    hardest_first = [strokes[index.index(rank)] for rank in sorted(index)]
    assert hardest_first == sorted(hardest_first, reverse=True)
    assert hardest_first[0] - hardest_first[-1] <= 1


@given(documents(), st.randoms(use_true_random=False))
def test_the_order_of_players_cards_and_rulings_never_matters(document, chance):
    other = deepcopy(document)
    for part in ("tees", "players", "cards", "sides"):
        if part in other:
            entries = list(other[part].items())
            chance.shuffle(entries)
            other[part] = dict(entries)
    chance.shuffle(other["rulings"])
    for player in other["players"].values():
        chance.shuffle(player.get("divisions", []))
    assert answer(other) == answer(document)
    assert write_document(answer(other)) == write_document(answer(document))


@given(documents(INDIVIDUAL), st.data())
def test_one_stroke_fewer_never_ranks_lower(document, data):
    """One more point, one hole more won, one stroke less: the place never gets worse."""
    before = {row["player"]: row["place"] for row in answer(document)["standings"]}
    key = data.draw(st.sampled_from(sorted(document["players"])))
    card = document["cards"].get(key, [])
    holes = [at for at, gross in enumerate(card) if isinstance(gross, int) and gross > 1]
    if key not in before or not holes:
        return
    card[data.draw(st.sampled_from(holes))] -= 1
    after = {row["player"]: row["place"] for row in answer(document)["standings"]}
    assert after[key] <= before[key]


def amount(text: str) -> Fraction:
    whole, _, part = text.partition(" ")
    if not part:
        return Fraction(text)
    sign = -1 if whole.startswith("-") else 1
    return Fraction(whole) + sign * Fraction(part)


@given(documents())
def test_the_trail_explains_every_order(document):
    """Of two rows in a row: the better total, or else the better figure on the first range
    where they differ, or else every range was level."""
    found = answer(document)
    sign = -1 if fewest_win(document) else 1
    ranges = None
    for standings in (found, *found["divisions"].values()):
        rows = standings["standings"]
        for ahead, behind in zip(rows, rows[1:], strict=False):
            if ahead["total"] != behind["total"]:
                assert sign * ahead["total"] > sign * behind["total"]
                continue
            assert ahead["settled"]
            assert behind["settled"]
            differ = [
                (amount(figure), amount(behind["trail"][label]))
                for label, figure in ahead["trail"].items()
                if label in behind["trail"] and behind["trail"][label] != figure
            ]
            if differ:
                assert sign * differ[0][0] > sign * differ[0][1]
                assert ahead["place"] < behind["place"]
                continue
            assert ahead["trail"] == behind["trail"]
            ranges = ranges or list(ahead["trail"])
            assert list(ahead["trail"]) == ranges
            if ahead["place"] == behind["place"]:
                assert ahead["tied"]
                assert behind["tied"]
            else:
                assert document["terms"]["after_countback"] == "lower_handicap"
                assert "handicap" in ahead["settled"]
                assert "handicap" in behind["settled"]


@given(documents())
def test_places_count_those_who_are_ahead(document):
    found = answer(document)
    for standings in (found, *found["divisions"].values()):
        rows = standings["standings"]
        places = [row["place"] for row in rows]
        assert places == [1 + sum(other < place for other in places) for place in places]
        assert [row["tied"] for row in rows] == [places.count(place) > 1 for place in places]
        assert rows == sorted(rows, key=lambda row: (row["place"], key_of(row)))


@given(documents())
def test_everybody_is_placed_or_has_a_status_and_divisions_keep_the_order(document):
    found = answer(document)
    everybody = {key_of(row) for row in (*found["standings"], *found["unplaced"])}
    assert everybody == set(document.get("sides", document["players"]))
    overall = [key_of(row) for row in found["standings"]]
    for lists in found["divisions"].values():
        inside = [key_of(row) for row in lists["standings"]]
        assert inside == [key for key in overall if key in inside]


@settings(max_examples=300)
@given(documents(), st.randoms(use_true_random=False))
def test_the_recount_agrees_with_and_without_an_order(document, chance):
    found = answer(document)
    assert differences(document, found) == []
    tied = [row for row in found["standings"] if row["tied"]]
    if tied:
        group = [key_of(row) for row in tied if row["place"] == tied[0]["place"]]
        chance.shuffle(group)
        named = "sides" if "sides" in document else "players"
        order = {"kind": "order", named: group, "reason": "drawn by lot"}
        document["rulings"].insert(0, order)
        ordered = answer(document)
        assert differences(document, ordered) == []
        first = tied[0]["place"]
        by_place = {row["place"]: row for row in ordered["standings"] if not row["tied"]}
        assert [key_of(by_place[first + ahead]) for ahead in range(len(group))] == group
        assert by_place[first]["settled"] == "drawn by lot"


@given(documents())
def test_a_document_written_and_read_again_scores_the_same(document):
    text = write_document(document)
    assert write_document(read_json(text)) == text
    again: Any = read_json(text)
    assert canonical(answer(again)) == canonical(answer(document))
    assert answer_text(answer(document)).endswith("\n")


@given(documents(), st.integers(3, 6), st.integers(-3, 4))
def test_the_table_of_a_hole_is_what_the_engine_counts(document, par, strokes):
    terms = read_event(document).terms
    assert terms_sentences(terms)
    table = value_table(terms, par=par, strokes=strokes, top=20)
    first = pick_up(terms, par, strokes)
    nothing = table["-"]
    if nothing is None:
        assert first is None
    elif first is not None and first <= 20:
        sign = -1 if fewest_win(document) else 1
        beyond = [table[str(gross)] for gross in range(first, 21)]
        assert all(worth is not None and sign * worth <= sign * nothing for worth in beyond)
