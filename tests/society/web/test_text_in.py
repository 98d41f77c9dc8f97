"""Files told by their first bytes, and texts in whatever encoding they were saved.

Sources of the first bytes: ISO 32000-1, 7.5.2 (PDF); W3C PNG, 5.2; ITU-T T.81, B.1.1.3 (JPEG);
GIF89a, 17; TIFF 6.0, section 2; RFC 9649 (WebP); ISO/IEC 14496-12, 4.3 (the photos of phones);
RFC 1952 (gzip); MS-CFB 2.2 and MS-OFFCRYPTO 2.3 (old workbooks, passwords); ISO/IEC 26300-3
(OpenDocument). Encodings: the Unicode Standard, 23.8, and the WHATWG Encoding Standard's
windows-1252. Mac and DOS letters: the tables of Python's own codecs.
"""

import io
import zipfile

import pytest

from society.web.refusals import BadInput
from society.web.sheets import Sheet, file_of, pack, read_sheet, unpack
from society.web.text_in import OLD_TEXT
from tests.factories.lists import book

COLUMNS = {"name": ("name",), "handicap": ("handicap",)}
LIST = "name;handicap\r\nZoë Low;12,3\r\nIvo “Fen” Ås – Marsh;+1,2\r\n"
OLD = bytes.fromhex("d0cf11e0a1b11ae1") + b"\0" * 504


def zipped(*names: str) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for name in names:
            packed.writestr(name, "name,handicap\nIda,12\n")
    return out.getvalue()


def read(data: bytes) -> Sheet:
    return read_sheet(file_of(data), COLUMNS, ())


# The same files, sent to every page that reads lists, in test_lists_refused.py.
NO_LISTS = {
    "a PDF": (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n", "A PDF cannot be read"),
    "a PDF in plain letters": (
        b"%PDF-1.4\n1 0 obj\n<<>>\nendobj\ntrailer\n",
        "A PDF cannot be read",
    ),
    "a PNG": (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "is a picture"),
    "a JPEG": (b"\xff\xd8\xff\xe0\0\x10JFIF", "is a picture"),
    "a GIF": (b"GIF89a\1\0\1\0;", "is a picture"),
    "a TIFF": (b"II*\0\x08\0\0\0", "is a picture"),
    "a bitmap": (b"BM\x46\0\0\0\0\0\0\0", "is a picture"),
    "a WebP": (b"RIFF\x24\0\0\0WEBPVP8 ", "is a picture"),
    "a photo of a phone": (b"\0\0\0\x18ftypheic\0\0\0\0", "is a picture"),
    "a web page called a list": (b"\n<HTML><table><tr><td>name", "web page or XML"),
    "XML": (b'\xef\xbb\xbf<?xml version="1.0"?><Workbook/>', "web page or XML"),
    "a letter": (b"{\\rtf1\\ansi name\\par}", "text document"),
    "a new letter": (zipped("[Content_Types].xml", "word/document.xml"), "text document"),
    "an old letter": (OLD + "WordDocument\0".encode("utf-16-le"), "text document"),
    "gzip": (b"\x1f\x8b\x08\0\0\0", "packed folder"),
    "a packed list": (zipped("list.csv"), "packed folder"),
    "OpenDocument": (zipped("mimetype", "content.xml"), "OpenDocument. Save it as XLSX"),
    "an old workbook": (OLD + "Workbook\0".encode("utf-16-le"), "old format (XLS)"),
    "an older workbook": (OLD + "Book\0".encode("utf-16-le"), "old format (XLS)"),
    "a workbook with a password": (
        OLD + "EncryptionInfo\0EncryptedPackage\0".encode("utf-16-le"),
        "has a password. Take the password off",
    ),
    "nobody knows": (OLD, "an old workbook, or one with a password"),
    "a broken workbook": (book(("name", "handicap"), ("Ida", 12))[:900], "damaged"),
    "the beginning of a workbook": (b"PK\x03\x04", "damaged"),
    "no bytes": (b"", "The file is empty."),
    "nothing but line ends": (b"\r\n\r\n \r\n", "The file is empty."),
    "UTF-16 with nothing in it": ("\ufeff\r\n".encode("utf-16-le"), "The file is empty."),
    "an empty workbook": (book(), "The first sheet of the workbook is empty."),
    "headings alone": (b"name,handicap\n", "headings and no lines below them. Put a line"),
    "a sheet with headings alone": (book(("name", "handicap")), "headings and no lines"),
    "some other bytes": (b"\x09\x08\x10\0\0\x06\x05\0" * 20, "neither text nor a workbook"),
    "bytes of all kinds": (bytes(range(256)), "neither text nor a workbook"),
    "UTF-16 cut off": (LIST.encode("utf-16")[:-1], "cut off or damaged"),
    "another letter of a Mac": ("name\nJosé\n".encode("mac-roman"), "“CSV UTF-8”"),
    "a letter of DOS": ("name\nJosé\n".encode("cp850"), "“CSV UTF-8”"),
    "a byte of no letter": (b"name\nZo\x81\n", "“CSV UTF-8”"),
    "a control character": (b"name,handicap\nIda,12\nI\x07vo,8\n", "Line 3 holds a sign that no"),
    "one zero": (b"name,handicap\nI\0da,12\n", "Line 2 holds a sign that no text has"),
}


@pytest.mark.parametrize("case", NO_LISTS)
def test_what_is_no_list_is_named_with_what_to_do(case: str) -> None:
    data, said = NO_LISTS[case]
    with pytest.raises(BadInput) as refused:
        read(data)
    assert said in refused.value.words
    assert refused.value.status == 422


@pytest.mark.parametrize(
    "encoding",
    ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32"],
)
def test_a_text_that_says_what_it_is(encoding: str) -> None:
    sheet = read(LIST.encode(encoding))
    assert [dict(line.cells) for line in sheet.lines] == [
        {"name": "Zoë Low", "handicap": "12,3"},
        {"name": "Ivo “Fen” Ås – Marsh", "handicap": "+1,2"},
    ]
    assert sheet.note == ""


def test_utf_16_with_its_mark_the_other_way_round() -> None:
    assert read(("\ufeff" + LIST).encode("utf-16-be")).lines == read(LIST.encode()).lines


def test_windows_1252_is_read_and_said_to_be_guessed() -> None:
    sheet = read(LIST.encode("cp1252"))
    assert sheet.lines == read(LIST.encode()).lines
    assert sheet.note == OLD_TEXT


def test_the_line_that_names_the_separator_is_no_heading() -> None:
    sheet = read(b"sep=;\r\nname;handicap\r\nLow, Ida;12,3\r\n")
    assert [(line.number, dict(line.cells)) for line in sheet.lines] == [
        (3, {"name": "Low, Ida", "handicap": "12,3"})
    ]
    assert sheet.left_out == ()


def test_the_sign_that_ended_old_texts_is_passed_over() -> None:
    assert read(b"name,handicap\nIda,12\n\x1a").lines == read(b"name,handicap\nIda,12\n").lines


def test_a_control_character_in_a_hidden_field_is_refused() -> None:
    lines = read(LIST.encode()).lines
    assert unpack(pack(lines), COLUMNS) == lines
    with pytest.raises(BadInput, match="did not arrive whole"):
        unpack(r'[[2, {"name": "I\u0000da"}]]', COLUMNS)
