"""Workbooks out and in: text stays text, figures are figures, and a hostile file is refused."""

import io
import time
import zipfile
from datetime import date, datetime
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from society.web.refusals import BadInput
from society.web.sheets import LARGEST, file_of, read_sheet
from society.web.workbook_in import BadFile, workbook_rows
from society.web.workbook_out import Column, Listing, Shape, csv_text, workbook_bytes

COLUMNS = {"name": ("name",), "handicap": ("handicap",), "day": ("date",)}
SECONDS = 2  # of the processor, whatever else the machine does (OWASP asks for a bound; it is ours)


def new_book():
    from openpyxl import Workbook

    return Workbook()


def listing(*rows: tuple[object, ...]) -> Listing:
    columns = (
        Column("Name"),
        Column("Handicap", Shape.HANDICAP),
        Column("Date", Shape.DAY),
        Column("Id", hidden=True),
    )
    return Listing("Players", columns, rows)


def opened(data: bytes):
    from openpyxl import load_workbook

    return load_workbook(io.BytesIO(data)).active


# out ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["=1+1", "+A1", "-2", "@SUM(A1)", "=cmd|'/c calc'!A1", "12"])
def test_a_name_is_a_text_whatever_it_begins_with(name: str) -> None:
    sheet = opened(workbook_bytes(listing((name, None, None, "x"))))
    assert (sheet["A2"].data_type, sheet["A2"].value) == ("s", name)
    assert sheet["A2"].quotePrefix == (name != "12")


def test_a_plus_handicap_is_a_number_below_zero_in_a_format_that_shows_it() -> None:
    """Format sections: above zero; below; zero (ECMA-376 part 1, 18.8.31)."""
    rows = [("A", Decimal("-1.2"), date(2026, 4, 1), "x"), ("B", Decimal("12.3"), None, "y")]
    sheet = opened(workbook_bytes(listing(*rows)))
    assert [sheet["B2"].value, sheet["B3"].value] == [-1.2, 12.3]
    assert sheet["B2"].data_type == "n"
    assert sheet["B2"].number_format == '0.0;"+"0.0;0.0'
    assert sheet["C2"].value == datetime(2026, 4, 1)
    assert sheet["C2"].is_date
    assert sheet.freeze_panes == "A2"
    assert sheet.column_dimensions["D"].hidden
    assert not sheet.column_dimensions["A"].hidden


def test_the_same_list_as_csv() -> None:
    text = csv_text(listing(("=1+1", Decimal("-1.2"), date(2026, 4, 1), "x")))
    assert text == "Name,Handicap,Date,Id\r\n'=1+1,+1.2,2026-04-01,x\r\n"
    added_up = Listing("R", (Column("Plays off", Shape.WHOLE_HANDICAP, plus=False),), [(-5,)])
    assert csv_text(added_up) == "Plays off\r\n-5\r\n"
    assert opened(workbook_bytes(added_up))["A2"].number_format == '0;"+"0;0'


def test_a_sheet_may_be_called_anything() -> None:
    named = Listing("[2026] a/b: " + "x" * 40, (Column("Name"),), [("a\x07b",)])
    sheet = opened(workbook_bytes(named))
    assert len(sheet.title) == 31
    assert sheet["A2"].value == "a b"


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.text(st.characters(min_codepoint=32, max_codepoint=0x2FF), min_size=1, max_size=20),
            st.integers(-100, 540).map(lambda tenths: Decimal(tenths) / 10),
            st.dates(date(1950, 1, 1), date(2100, 1, 1)),
        ),
        min_size=1,
        max_size=8,
    )
)
def test_what_is_written_reads_back_the_same_from_both(rows) -> None:
    """A plus handicap comes back as people write it, whichever kind of file it went through."""
    wanted = [
        (name, f"+{-figure.normalize():f}" if figure < 0 else f"{figure.normalize():f}",
         day.isoformat())
        for name, figure, day in rows
        if name.strip() and "\x7f" not in name
    ]  # fmt: skip
    if not wanted:
        return
    made = listing(*[(n, f, d, "x") for n, f, d in rows if n.strip() and "\x7f" not in n])
    for source in (csv_text(made), workbook_bytes(made)):
        lines = read_sheet(source, COLUMNS, ["name"], ["handicap"]).lines
        got = [tuple(line.cells[c] for c in COLUMNS) for line in lines]
        assert [(n, f"+{Decimal(h[1:]).normalize():f}" if h[0] == "+" else
                 f"{Decimal(h).normalize():f}", d) for n, h, d in got] == wanted  # fmt: skip


# in -----------------------------------------------------------------------------------------


def book(*rows: tuple[object, ...], formats: dict[str, str] | None = None) -> bytes:
    made = new_book()
    for row in rows:
        made.active.append(row)
    for address, shape in (formats or {}).items():
        made.active[address].number_format = shape
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def read(data: bytes, handicaps: tuple[str, ...] = ("handicap",)) -> list[dict[str, str]]:
    lines = read_sheet(file_of(data), COLUMNS, ["name"], handicaps).lines
    return [dict(line.cells) for line in lines]


def test_numbers_days_and_blanks() -> None:
    data = book(
        ("Name", "Handicap", "Date"), ("Ida", -1.2, date(2026, 4, 1)), (), ("Ivo", 12, None)
    )
    assert read(data) == [
        {"name": "Ida", "handicap": "+1.2", "day": "2026-04-01"},
        {"name": "Ivo", "handicap": "12"},
    ]
    assert [line.number for line in read_sheet(data, COLUMNS, []).lines] == [2, 4]


def test_text_is_taken_as_it_is_written() -> None:
    data = book(("Name", "Handicap"), ("Ida", "+1.2"), ("Ivo", "-1.2"))
    assert [line["handicap"] for line in read(data)] == ["+1.2", "-1.2"]


def test_only_in_a_column_of_handicaps_is_a_number_below_zero_a_plus() -> None:
    data = book(("Name", "Handicap"), (-5, -1.2))
    assert read(data, ()) == [{"name": "-5", "handicap": "-1.2"}]


def test_a_figure_that_is_worked_out_keeps_the_digits_that_are_shown() -> None:
    assert read(book(("Name", "Handicap"), ("Ida", 12.1 + 0.2)))[0]["handicap"] == "12.3"


def test_a_number_shown_with_a_plus_is_asked_about() -> None:
    data = book(("Name", "Handicap"), ("Ida", 1.2), formats={"B2": "+0.0;-0.0"})
    with pytest.raises(BadFile, match=r"Cell B2 is the number 1.2 shown with a plus sign"):
        read(data)


def test_a_formula_is_never_worked_out_nor_its_old_answer_taken() -> None:
    data = book(("Name", "Handicap"), ("Ida", "=1+1"))
    with pytest.raises(BadFile, match="Cell B2 holds a formula"):
        read(data)
    with pytest.raises(BadFile, match="Cell A1 holds a formula"):
        read(book(("=A2", "Handicap"), ("Ida", 1)))


def test_a_formula_in_a_column_that_is_left_out_does_no_harm() -> None:
    assert read(book(("Name", "Sum"), ("Ida", "=1+1"))) == [{"name": "Ida"}]


def test_an_error_in_a_cell_is_said_with_its_address() -> None:
    with pytest.raises(BadFile, match="Cell B2 shows an error, #N/A"):
        read(book(("Name", "Handicap"), ("Ida", "#N/A")))


def test_the_first_sheet_that_can_be_seen_is_read() -> None:
    made = new_book()
    made.active.sheet_state = "hidden"
    made.active.append(("Name",))
    made.active.append(("Hidden",))
    other = made.create_sheet()
    other.append(("Name",))
    other.append(("Seen",))
    out = io.BytesIO()
    made.save(out)
    assert read(out.getvalue()) == [{"name": "Seen"}]


def test_as_many_lines_as_in_csv_and_no_more() -> None:
    assert len(read(book(("Name",), *[("Ida",)] * 5000))) == 5000
    with pytest.raises(BadInput, match="below row 5001"):
        read(book(("Name",), *[("Ida",)] * 5001))


# hostile ------------------------------------------------------------------------------------


def changed(data: bytes, parts: dict[str, bytes | None], **options: object) -> bytes:
    """A workbook with parts replaced, added, or (None) left out."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as old,
        zipfile.ZipFile(out, "w", options.get("compression", zipfile.ZIP_DEFLATED)) as new,
    ):
        for name in dict.fromkeys([*old.namelist(), *parts]):
            text = parts.get(name, old.read(name) if name in old.namelist() else None)
            if text is not None:
                new.writestr(name, text)
    return out.getvalue()


NS = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
STRINGS = (
    '<Override PartName="/xl/sharedStrings.xml" ContentType="application/vnd.openxmlformats-'
    'officedocument.spreadsheetml.sharedStrings+xml"/></Types>'
)


def strings_of(inside: str) -> bytes:
    return f"<sst {NS}>{inside}</sst>".encode()


def with_strings(data: bytes) -> bytes:
    """The workbook with a table of texts that its cells may name; it is empty still."""
    types = zipfile.ZipFile(io.BytesIO(data)).read("[Content_Types].xml").decode()
    typed = types.replace("</Types>", STRINGS).encode()
    return changed(data, {"[Content_Types].xml": typed, "xl/sharedStrings.xml": strings_of("")})


GOOD = with_strings(book(("Name",), ("Ida",)))
SHEET = "xl/worksheets/sheet1.xml"
LAUGHS = (
    '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "ha">'
    + "".join(
        f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in zip("abcdefgh", "bcdefghi", strict=True)
    )
    + f"]><worksheet {NS}><sheetData><row><c t='inlineStr'><is><t>&i;</t></is></c></row>"
    "</sheetData></worksheet>"
)


def sheet_of(inside: str) -> bytes:
    return f"<worksheet {NS}><sheetData>{inside}</sheetData></worksheet>".encode()


HOSTILE = {
    "cut short": (GOOD[: len(GOOD) // 2], "damaged"),
    "another zip": (changed(GOOD, {"[Content_Types].xml": None}), "no workbook"),
    "a password": (bytes.fromhex("d0cf11e0a1b11ae1") + b"\0" * 512, "password"),
    "macros": (changed(GOOD, {"xl/vbaProject.bin": b"x"}), "macros"),
    "links": (changed(GOOD, {"xl/externalLinks/externalLink1.xml": b"<x/>"}), "other files"),
    "laughs": (changed(GOOD, {SHEET: LAUGHS.encode()}), "document type"),
    "laughs in utf-16": (changed(GOOD, {SHEET: LAUGHS.encode("utf-16")}), "document type"),
    "laughs elsewhere": (changed(GOOD, {"xl/styles.xml": LAUGHS.encode()}), "document type"),
    "outside entity": (
        changed(GOOD, {SHEET: b'<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]><x>&a;</x>'}),
        "document type",
    ),
    "bomb": (changed(GOOD, {"xl/media/x.bin": b"\0" * (21 * 1024 * 1024)}), "larger than 20 MB"),
    "many parts": (changed(GOOD, {f"xl/x{n}.xml": b"<x/>" for n in range(250)}), "too many parts"),
    "odd packing": (changed(GOOD, {}, compression=zipfile.ZIP_BZIP2), "unusual way"),
    "broken xml": (changed(GOOD, {SHEET: b"<worksheet"}), "damaged"),
    "too deep": (changed(GOOD, {SHEET: b"<a>" * 5000 + b"</a>" * 5000}), "larger than any list"),
    "many cells": (
        changed(GOOD, {SHEET: sheet_of("<row>" + "<c/>" * 1_500_000 + "</row>")}),
        "any list",
    ),
    "many rules": (
        changed(
            GOOD,
            {"xl/styles.xml": f"<styleSheet {NS}>{'<x/>' * 900_000}</styleSheet>".encode()},
        ),
        "any list",
    ),
    "a row far below": (
        changed(GOOD, {SHEET: sheet_of('<row r="1048576"><c><v>1</v></c></row>')}),
        "below row 5001",
    ),
    "a row below every sheet": (
        changed(GOOD, {SHEET: sheet_of('<row r="9999999999"><c><v>1</v></c></row>')}),
        "which no sheet has",
    ),
    "a row number of no sheet": (
        changed(GOOD, {SHEET: sheet_of(f'<row r="{"9" * 5000}"><c><v>1</v></c></row>')}),
        "cannot be read",
    ),
    "a cell far right": (
        changed(GOOD, {SHEET: sheet_of('<row r="1"><c r="BI1"><v>1</v></c></row>')}),
        "more than 60 columns",
    ),
    "a long cell": (book(("Name",), ("x" * 5001,)), "A2 is longer"),
    "a book in one cell many times": (
        changed(
            GOOD,
            {
                "xl/sharedStrings.xml": strings_of(f"<si><t>{'x' * 5000}</t></si>" * 2),
                SHEET: sheet_of('<row><c t="s"><v>0</v></c></row>' * 4000),
            },
        ),
        "2 MB of text",
    ),
    "no such string": (
        changed(GOOD, {SHEET: sheet_of('<row><c t="s"><v>9</v></c></row>')}),
        "cannot be read",
    ),
    "a picture": (b"\x89PNG\r\n\x1a\n" + b"\0\xff" * 99, "is a picture"),
    "too large": (b"PK\x03\x04" + b"x" * LARGEST, "2 MB"),
}  # fmt: skip


@pytest.mark.parametrize("case", HOSTILE)
def test_a_hostile_file_is_refused_in_time_with_a_sentence(case: str) -> None:
    data, said = HOSTILE[case]
    began = time.process_time()
    with pytest.raises(BadInput, match=said) as refused:
        read(data)
    assert time.process_time() - began < SECONDS
    assert refused.value.status == 422


def test_the_slowest_files_that_are_taken_stay_within_bounds() -> None:
    """As many cells and different texts as the bounds let through."""
    texts = "".join(f"<si><t>n{n}</t></si>" for n in range(30_000))
    row = "".join(f'<c t="s"><v>{n}</v></c>' for n in range(19))
    data = changed(
        GOOD,
        {"xl/sharedStrings.xml": strings_of(texts), SHEET: sheet_of(f"<row>{row}</row>" * 5000)},
    )
    began = time.process_time()
    assert len(workbook_rows(data)) == 5000
    assert time.process_time() - began < 2 * SECONDS


def test_a_list_with_links_and_pictures_in_it_is_an_ordinary_file() -> None:
    made = new_book()
    made.active.append(("Name",))
    made.active.append(("Ida",))
    made.active["A2"].hyperlink = "mailto:ida@example.org"
    out = io.BytesIO()
    made.save(out)
    assert read(changed(out.getvalue(), {"xl/media/image1.png": b"\x89PNG"})) == [{"name": "Ida"}]
