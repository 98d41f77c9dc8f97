"""CSV in and out."""

from decimal import Decimal

import pytest

from society.web.refusals import BadInput
from society.web.rules import SheetLine
from society.web.sheets import LARGEST, pack, read_sheet, text_of, unpack
from society.web.workbook_out import Column, Listing, Shape, csv_text

COLUMNS = {"name": ("name", "player"), "number": ("number", "no."), "club": ("home club", "club")}


def read(text: str) -> list[tuple[int, dict[str, str]]]:
    return [(line.number, dict(line.cells)) for line in read_sheet(text, COLUMNS, ["name"]).lines]


def test_columns_stand_in_any_order_and_under_any_of_their_names() -> None:
    assert read("No.,Player\n7,Ida\n") == [(2, {"number": "7", "name": "Ida"})]
    assert read("NAME,home_club\nIda,Fen\n") == [(2, {"name": "Ida", "club": "Fen"})]


@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("comma", [",", ";"])
def test_comma_or_semicolon_with_or_without_a_mark(mark: str, end: str, comma: str) -> None:
    text = mark + end.join((f"name{comma}number", f"Ida{comma}7", "", f"Ivo{comma}8", ""))
    assert [cells for _, cells in read(text_of(text.encode()))] == [
        {"name": "Ida", "number": "7"},
        {"name": "Ivo", "number": "8"},
    ]


def test_line_numbers_are_those_of_the_file() -> None:
    assert [n for n, _ in read('name,club\n\n"Ida\nLow",Fen\nIvo,\n')] == [3, 5]


def test_unknown_columns_are_named() -> None:
    sheet = read_sheet("name,shoe size,\nIda,5,\n", COLUMNS, ["name"])
    assert sheet.left_out == ("shoe size",)


def test_a_comma_inside_quotation_marks() -> None:
    assert read('name,club\n"Low, Ida",""\n') == [(2, {"name": "Low, Ida"})]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "empty"),
        ("\n\n", "empty"),
        ("name\n", "no lines below"),
        ("number,club\n7,Fen\n", "“name” is not among them"),
        ("name,player\nIda,Ida\n", "Two columns are headed “name”"),
        ('name\n"Ida\n', "quotation mark"),
        ('name\n"I"da\n', "quotation mark"),
        ("name,number\nLow, Ida,7\n", "Line 2 has more cells"),
        ("name\n" + "Ida\n" * 5001, "5001 lines"),
        ("name\n" + "x" * 140_000, "Line 2 cannot be read"),
    ],
)
def test_what_cannot_be_read_is_refused_with_a_sentence(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        read(text)


def test_five_thousand_lines_are_taken() -> None:
    assert len(read("name\n" + "Ida\n" * 5000)) == 5000


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "empty"),
        (b" \n", "empty"),
        ("Zoé".encode("mac-roman"), "UTF-8"),
        (b"x" * (LARGEST + 1), "2 MB"),
    ],
)
def test_a_file_that_is_no_text(data: bytes, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        text_of(data)


def test_what_is_written_reads_back() -> None:
    columns = (Column("Name"), Column("Number", Shape.HANDICAP), Column("Club"))
    rows = [
        ("=1+1", Decimal("-1.2"), "a, b"),
        ("'t Veer", Decimal(3), 'say "x"'),
        ("@x", None, "'=y"),
    ]
    text = csv_text(Listing("Players", columns, rows))
    assert "'=1+1,+1.2," in text
    read_back = [[c.get("name"), c.get("number", ""), c.get("club")] for _, c in read(text)]
    assert read_back == [
        ["=1+1", "+1.2", "a, b"],
        ["'t Veer", "3", 'say "x"'],
        ["@x", "", "'=y"],
    ]


def test_lines_go_through_a_hidden_field() -> None:
    lines = (SheetLine(2, {"name": 'Zoë "Z" <b>'}), SheetLine(9, {"number": "7"}))
    assert unpack(pack(lines), COLUMNS) == lines
    assert unpack('[[2, {"name": "Ida", "evil": "x"}]]', COLUMNS)[0].cells == {"name": "Ida"}


@pytest.mark.parametrize(
    "text",
    ["", "{}", "[]", "[1]", "[[1]]", '[["x", {}]]', "[[1, 2]]", r'[[2, {"name": "\ud800"}]]']
    + ["[" * 100_000, "[[1e400, {}]]", "[[Infinity, {}]]", f"[[{'9' * 5000}, {{}}]]"],
)
def test_a_hidden_field_that_was_cut_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="did not arrive whole"):
        unpack(text, COLUMNS)
