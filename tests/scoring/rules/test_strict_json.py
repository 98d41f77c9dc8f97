"""Strict reading and stable writing. Source: event document, section 0; RFC 8259 for JSON."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.cli import main
from scoring.rules.strict_json import (
    DEEPEST,
    Refused,
    canonical,
    inside,
    quoted,
    read_json,
    write_document,
)


def refused(data: bytes | str) -> Refused:
    with pytest.raises(Refused) as caught:
        read_json(data)
    assert caught.value.words.isascii()
    assert len(str(caught.value).splitlines()) == 1
    return caught.value


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b" ",
        b"{",
        b"{]",
        b"[1,]",
        b'{"a":1,}',
        b"{'a':1}",
        b"nul",
        b"01",
        b"1.",
        b".5",
        b"+1",
        b"0x1",
        b"1 2",
        b"{} {}",
        b"// note\n{}",
        b'"one\nline"',
        b'"\\x"',
        b'"\\u12"',
        b'"open',
        b"NaN",
        b"Infinity",
        b"-Infinity",
        b'{"a": [NaN]}',
        b'{"a": -Infinity}',
        b"\xff",
        b'{"a": "\xed\xa0\x80"}',
        b'{"a": "\xc0\x80"}',
        "{}".encode("utf-16"),
        "{}".encode("utf-32"),
        b"\xef\xbb\xbf\xef\xbb\xbf{}",
        b"[" * (DEEPEST + 1) + b"]" * (DEEPEST + 1),
        b"[" * 1_000_000,
        b'{"a":' * 500_000,
        b"5" * 5000,
        b"1e5",
    ],
)
def test_what_is_no_json_object_at_all_is_refused_at_file(data):
    assert refused(data).place == "file"


@pytest.mark.parametrize("data", [b"[]", b"1", b'"x"', b"null", b"true", b"\xef\xbb\xbf[]"])
def test_a_document_that_is_no_object_is_refused_at_file(data):
    out, wrong, status = main(data, "json")
    assert (out, status) == ("", 2)
    assert wrong.startswith("file: ")


@pytest.mark.parametrize(
    ("data", "place"),
    [
        ('{"a": 1, "a": 1}', "a"),
        ('{"a": {"b": 1, "c": 2, "b": 3}}', "a.b"),
        ('{"a": [0, {"b c": 1, "b c": 1}]}', 'a[1]."b c"'),
        ('{"a": {"x": 1, "x": 2}, "a": 1}', "a"),
        ('{"\\u0061": 1, "a": 2}', "a"),
        ('[[{"": 1, "": 2}]]', '[0][0].""'),
        ('{"a": 4e0}', "a"),
        ('{"a": {"b": 1, "c": {}}, "d": [1, []], "e": 4e0}', "e"),
        ('{"a": [1, 4E2]}', "a[1]"),
        ('{"a": 4.0e-1}', "a"),
        ('{"a": -1E+5}', "a"),
        ('{"a": ' + "9" * 5000 + "}", "a"),
        ('{"a": {"b": -' + "9" * 5000 + "}}", "a.b"),
        ('{"a": 0.' + "0" * 5000 + "}", "a"),
        ('{"a": 1e' + "9" * 5000 + "}", "a"),
    ],
)
def test_what_has_a_place_is_refused_there(data, place):
    assert refused(data).place == place


def test_depth_is_counted_outside_strings_only():
    deep = "[" * DEEPEST + '"' + "[" * 500 + '\\"{"' + "]" * DEEPEST
    value = read_json(deep)
    for _ in range(DEEPEST):
        assert isinstance(value, list)
        (value,) = value
    assert value == "[" * 500 + '"{'


def test_numbers_keep_their_digits_and_their_kind():
    value = read_json('[4, 4.0, 4.00, -0, -0.0, 12.30, "4", true, 1234567890123456789012]')
    assert isinstance(value, list)
    kinds = [type(entry) for entry in value]
    assert kinds == [int, Decimal, Decimal, int, Decimal, Decimal, str, bool, int]
    assert [str(entry) for entry in value[:6]] == ["4", "4.0", "4.00", "0", "-0.0", "12.30"]
    assert value[8] == 1234567890123456789012


def test_one_byte_order_mark_is_skipped():
    assert read_json(b'\xef\xbb\xbf{"a": 1}') == read_json('\ufeff{"a": 1}') == {"a": 1}


def test_a_lone_surrogate_is_read_and_left_to_the_reader_of_names():
    assert read_json('{"a": "\\ud800"}') == {"a": "\ud800"}
    assert read_json('{"a": "\\ud83d\\ude00"}') == {"a": "😀"}


@pytest.mark.parametrize(
    ("keys", "place"),
    [
        (("terms", "format"), "terms.format"),
        (("cards", "p1", 3), "cards.p1[3]"),
        (("rulings", 0, "hole"), "rulings[0].hole"),
        (("tees", "Men's red", "par"), 'tees."Men\'s red".par'),
        (("tees", 'a"b\\', "par"), 'tees."a\\"b\\\\".par'),
        (("tees", "Grün"), 'tees."Gr\\u00fcn"'),
        (("tees", "😀"), 'tees."\\ud83d\\ude00"'),
        (("tees", "\ud800"), 'tees."\\ud800"'),
        (("tees", "a.b"), 'tees."a.b"'),
        (("tees", "a_b-C9"), "tees.a_b-C9"),
        (("tees", ""), 'tees.""'),
        (("tees", "a\n"), 'tees."a\\n"'),
    ],
)
def test_how_a_place_is_written(keys, place):
    found = ""
    for key in keys:
        found = inside(found, key)
    assert found == place


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("é\n", '"\\u00e9\\n"'),
        ("x" * 100, '"' + "x" * 60 + '..."'),
        (None, "null"),
        (True, "true"),
        ({}, "an object"),
        ([1], "a list"),
        (Decimal("4.0"), "4.0"),
        (-3, "-3"),
    ],
)
def test_how_a_value_is_quoted_in_a_message(value, words):
    assert quoted(value) == words


def test_hostile_documents_are_refused():
    """Megabytes of each: a reader whose work grew with the square would never come back."""
    hostile = [
        b"[" * 5_000_000,
        b'"' + b'\\"' * 2_000_000,
        b'{"document": ' + b"9" * 5_000_000 + b"}",
        b'{"document": 0.' + b"9" * 5_000_000 + b"}",
        b'{"document": 1e' + b"9" * 5_000_000 + b"}",
        b'{"document": "' + b"x" * 5_000_000 + b'"}',
        b"{" + b",".join(b'"k%d": 1' % n for n in range(200_000)) + b"}",
        b"{" + b",".join([b'"k": 1'] * 200_000) + b"}",
    ]
    for data in hostile:
        assert main(data, "json")[2] == 2


def test_canonical_form():
    value = {"b": [1, Decimal("1.50"), Fraction(2, 3)], "a": {"z": None, "é": True}, "A": "\n€"}
    assert canonical(value) == '{"A":"\\n€","a":{"z":null,"é":true},"b":[1,"1.50","2/3"]}'
    assert canonical(()) == "[]"
    assert canonical(Decimal("1E+2")) == '"100"'


@pytest.mark.parametrize("value", [1.5, [float("nan")], {1: 2}, {"a": {4}}, b"x"])
def test_what_has_no_exact_word_is_not_written(value):
    with pytest.raises(TypeError):
        canonical(value)
    with pytest.raises(TypeError):
        write_document(value)


def test_a_decimal_that_is_no_number_is_not_written():
    with pytest.raises(TypeError):
        write_document(Decimal("NaN"))


def test_a_document_keeps_its_order_and_its_digits():
    text = write_document(
        {"z": 1, "a": {"par": [4, None, "-"]}, "index": Decimal("12.0"), "none": [], "deep": [[1]]}
    )
    assert text == (
        '{\n  "z": 1,\n  "a": {\n    "par": [4, null, "-"]\n  },\n  "index": 12.0,\n'
        '  "none": [],\n  "deep": [\n    [1]\n  ]\n}\n'
    )
    assert write_document({}) == "{}\n"


DECIMALS = st.integers(-(10**12), 10**12).flatmap(
    lambda digits: st.integers(1, 6).map(lambda places: Decimal(digits).scaleb(-places))
)
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**20), 10**20) | DECIMALS | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=20,
)


@given(VALUES)
def test_reading_and_writing_again_gives_the_same_text_and_value(value):
    text = write_document(value)
    assert write_document(read_json(text.encode("utf-8", "surrogatepass").decode())) == text
    assert canonical(read_json(text)) == canonical(value)
