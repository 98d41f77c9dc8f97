"""Every way of refusing a handicap record, and the exact place it names.

Source: event document, section 0 (places, limits) and section 2 (the three forms of a score).
"""

import json
from copy import deepcopy
from decimal import Decimal
from random import Random
from typing import Any

import pytest

from scoring.rules.record.cli import main
from scoring.rules.record.document import read_record
from scoring.rules.strict_json import Refused, write_document
from tests.scoring.rules.documents import INDEX, PAR
from tests.scoring.rules.records import Record, by_hole, gross, ready, record, some_record
from tests.scoring.rules.test_refusals import GONE, spoil

D = Decimal


def good() -> Record:
    """One score of each form, every optional key somewhere."""
    return record(
        gross(95, on="2026-03-07", pcc=0),
        ready("21.4", on="2026-03-14"),
        by_hole([None, "-", *PAR[2:]], on="2026-03-21", pcc=-1),
    )


def refusal(data: bytes, output: str = "json") -> str:
    """The one line a bad document gives; everything else about it is checked here."""
    out, wrong, status = main(data, output)
    assert (out, status) == ("", 2)
    assert wrong.endswith("\n")
    assert len(wrong.splitlines()) == 1
    assert wrong.isascii()
    place, colon, words = wrong.partition(": ")
    assert place
    assert colon
    assert words.strip()
    return wrong


def place_of(document: Any) -> str:
    wrong = refusal(write_document(document).encode())
    with pytest.raises(Refused) as refused:
        read_record(document)
    assert wrong == f"{refused.value.place}: {refused.value.words}\n"
    return refused.value.place


def test_the_good_one_is_good():
    assert main(write_document(good()).encode(), "json")[1:] == ("", 0)


WHOLE = [True, D("4.0"), "4", None, [], {}]
NUMBER = [True, "70.1", None, [], {}, D("70.15"), D("70.10")]
DAYS = ["2026-02-29", "2026-3-7", "1899-12-31", "3000-01-01", "20260307", "2026-03-07T00:00", 7, ""]
CASES: list[tuple[tuple[str | int, ...], object, str]] = [
    (("document",), GONE, "document"),
    (("document",), "golf-event", "document"),
    (("document",), None, "document"),
    (("document",), [], "document"),
    (("version",), GONE, "version"),
    (("version",), 2, "version"),
    (("version",), True, "version"),
    (("version",), D("1.0"), "version"),
    (("scores",), GONE, "scores"),
    (("scores",), {}, "scores"),
    (("scores",), None, "scores"),
    (("rules",), "2024", "rules"),
    (("an odd\nkey",), 1, '"an odd\\nkey"'),
    (("scores", 1), None, "scores[1]"),
    (("scores", 1), [], "scores[1]"),
    (("scores", 3), 21, "scores[3]"),
    # The three forms.
    (("scores", 1), {"played": "2026-03-14"}, "scores[1]"),
    (("scores", 1), {}, "scores[1]"),
    (("scores", 0, "differential"), D("21.4"), "scores[0]"),
    (("scores", 0, "hole_scores"), PAR, "scores[0]"),
    (("scores", 2, "adjusted_gross"), 95, "scores[2]"),
    (("scores", 2, "differential"), D("21.4"), "scores[2]"),
    (("scores", 1, "pcc"), 0, "scores[1].pcc"),
    (("scores", 1, "course_rating"), D("70.1"), "scores[1].course_rating"),
    (("scores", 0, "par"), PAR, "scores[0].par"),
    (("scores", 0, "holes"), 18, "scores[0].holes"),
    (("scores", 0, "Men's"), 18, 'scores[0]."Men\'s"'),
    (("scores", 0, "played"), GONE, "scores[0].played"),
    (("scores", 1, "played"), GONE, "scores[1].played"),
    (("scores", 2, "played"), GONE, "scores[2].played"),
    (("scores", 0, "course_rating"), GONE, "scores[0].course_rating"),
    (("scores", 0, "slope_rating"), GONE, "scores[0].slope_rating"),
    (("scores", 2, "par"), GONE, "scores[2].par"),
    (("scores", 2, "stroke_index"), GONE, "scores[2].stroke_index"),
    (("scores", 2, "course_rating"), GONE, "scores[2].course_rating"),
    (("scores", 2, "slope_rating"), GONE, "scores[2].slope_rating"),
    # Values.
    *((("scores", at, "played"), value, f"scores[{at}].played")
      for at in range(3) for value in DAYS),
    *((("scores", 0, "adjusted_gross"), value, "scores[0].adjusted_gross")
      for value in (*WHOLE, 17, 401, -95)),
    *((("scores", 1, "differential"), value, "scores[1].differential")
      for value in (*NUMBER, D("-50.1"), D("200.1"), 201, -51)),
    *((("scores", at, "course_rating"), value, f"scores[{at}].course_rating")
      for at in (0, 2) for value in (*NUMBER, D("9.9"), D("100.1"), 9, 101)),
    *((("scores", at, "slope_rating"), value, f"scores[{at}].slope_rating")
      for at in (0, 2) for value in (*WHOLE, 54, 156)),
    *((("scores", at, "pcc"), value, f"scores[{at}].pcc")
      for at in (0, 2) for value in (*WHOLE, -2, 4)),
    # Holes.
    *((("scores", 2, key), value, f"scores[2].{key}")
      for key in ("hole_scores", "par", "stroke_index")
      for value in (None, {}, "4", 4, [], PAR[:9], [*PAR, 4])),
    *((("scores", 2, "hole_scores", 3), value, "scores[2].hole_scores[3]")
      for value in (0, 100, -1, True, D("4.0"), "4", "", "X", [], {})),
    *((("scores", 2, "par", 17), value, "scores[2].par[17]") for value in (*WHOLE, 2, 7)),
    *((("scores", 2, "stroke_index", 0), value, "scores[2].stroke_index[0]")
      for value in (*WHOLE, 0, 19)),
    (("scores", 2, "stroke_index", 0), INDEX[1], "scores[2].stroke_index"),
]  # fmt: skip


@pytest.mark.parametrize(("path", "value", "place"), CASES)
def test_the_place_of_a_refusal(path, value, place):
    document = good()
    spoil(document, path, deepcopy(value) if value is not GONE else GONE)
    assert place_of(document) == place


@pytest.mark.parametrize("document", [[], None, 7, "record", D("1.5"), True])
def test_what_is_no_object_is_refused_at_file(document):
    assert refusal(json.dumps(document, default=float).encode()).startswith("file: ")
    with pytest.raises(Refused, match=r"\Afile: "):
        read_record(document)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        (b"", "file"),
        (b"{", "file"),
        (b"\xff", "file"),
        (b"nonsense", "file"),
        (b"[" * 100_000, "file"),
        (b'{"document": NaN}', "file"),
        (b'{"document": Infinity}', "file"),
        (b'{"document": "handicap-record", "version": 1, "scores": -Infinity}', "file"),
        (b'{"document": "handicap-record", "version": 1, "scores": []} {}', "file"),
        (b"{'document': 1}", "file"),
        (b'{"a": ' * 100_000, "file"),
        (b"\xef\xbb\xbf", "file"),
        (b"\xef\xbb\xbf\xef\xbb\xbf{}", "file"),
        (b'{"document": "handicap-record", "version": 01, "scores": []}', "file"),
        (b'{"document": "handicap-record", "version": 1, "scores": [], "\\ud800": 1}', '"\\ud800"'),
        (b'{"version": 1, "version": 1}', "version"),
        (b'{"document": "handicap-record", "version": 1e0, "scores": []}', "version"),
        (
            b'{"document": "handicap-record", "version": 1, "scores": [{"played": "2026-01-01",'
            b' "differential": 2.14e1}]}',
            "scores[0].differential",
        ),
        (
            b'{"document": "handicap-record", "version": 1, "scores": [{"played": "2026-01-01",'
            b' "differential": 1, "differential": 1}]}',
            "scores[0].differential",
        ),
        (
            b'{"document": "handicap-record", "version": 1, "scores": [{"played": "2026-01-01",'
            b' "differential": ' + b"9" * 5000 + b"}]}",
            "scores[0].differential",
        ),
    ],
)
@pytest.mark.parametrize("output", ["json", "text"])
def test_text_that_is_no_record(text, place, output):
    assert refusal(text, output).startswith(f"{place}: ")


def test_a_mark_at_the_start_is_skipped():
    data = b"\xef\xbb\xbf" + write_document(good()).encode()
    assert main(data, "json")[1:] == ("", 0)


LIMITS: list[tuple[tuple[str | int, ...], list[object]]] = [
    (("scores", 0, "adjusted_gross"), [18, 400]),
    (("scores", 0, "course_rating"), [10, D("10.0"), 100, D("100.0")]),
    (("scores", 0, "slope_rating"), [55, 155]),
    (("scores", 0, "pcc"), [-1, 0, 1, 2, 3, GONE]),
    (("scores", 2, "pcc"), [-1, 3, GONE]),
    (("scores", 1, "differential"), [-50, D("-50.0"), 200, D("200.0"), D("-0.0")]),
    (("scores", 2, "hole_scores", 0), [1, 99, None, "-"]),
    (("scores", 2, "par", 0), [3, 6]),
    (("scores", 0, "played"), ["1900-01-01", "2999-12-31", "2024-02-29"]),
]


@pytest.mark.parametrize(
    ("path", "value"), [(path, value) for path, values in LIMITS for value in values]
)
def test_both_ends_of_a_limit_are_allowed(path, value):
    document = good()
    spoil(document, path, value)
    out, wrong, status = main(write_document(document).encode(), "json")
    assert (wrong, status) == ("", 0)
    assert len(json.loads(out)["history"]) == 3


def test_the_first_day_of_all_has_a_window_too():
    """The window of the Low Index opens in 1899 then, and nobody minds."""
    scores = [ready(10, on="1900-01-01") for _ in range(20)]
    out, wrong, status = main(
        write_document(record(*scores, ready(10, on="1900-01-02"))).encode(), "json"
    )
    assert (wrong, status) == ("", 0)
    assert json.loads(out)["history"][-1]["low_index"] == "10.0"


ODD = [None, True, 0, -1, 10**30, D("1.55"), "", "-", "\ud800", "\x00\n", [], {}, [[]], {"": 1}]


def spots(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Where something can be put in the place of something else."""
    if isinstance(value, dict):
        inner = value.items()
    elif isinstance(value, list):
        inner = enumerate(value)
    else:
        return [path]
    return [path, *(spot for key, entry in inner for spot in spots(entry, (*path, key)))]


def spoilt(chance: Random) -> bytes:
    """A record with one to three things wrong, most of the time; sometimes not even JSON."""
    document = some_record(chance, most=8)
    for _ in range(chance.randint(1, 3)):
        path = chance.choice(spots(document)[1:])
        if chance.random() < 0.2:
            path = (*path[:-1], chance.choice(["played", "pcc", "par", "more\n", "\ud800"]))
        value = GONE if chance.random() < 0.2 else chance.choice(ODD)
        try:
            spoil(document, path, value)
        except (KeyError, TypeError, IndexError):
            document["spoilt"] = 1
    data = json.dumps(document, default=float).encode()
    if chance.random() < 0.3:
        at = chance.randrange(len(data))
        data = data[:at] + chance.choice([b"", b"\xff", b'"', b"}", b"e9", b"["]) + data[at + 1 :]
    return data


@pytest.mark.parametrize("hundred", range(5))
def test_random_bad_records_give_one_line_and_never_a_traceback(hundred):
    refused = 0
    for seed in range(100 * hundred, 100 * hundred + 100):
        data = spoilt(Random(seed))
        for output in ("json", "text"):
            if main(data, output)[2] == 2:
                refusal(data, output)
                refused += 1
            else:  # the change was a good one by chance
                assert main(data, output)[1:] == ("", 0)
    assert refused > 150
