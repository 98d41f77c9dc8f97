"""Text files read whatever wrote them, and other files told by their first bytes.

What a file is called is never looked at. Signatures and encodings are common knowledge of the
trade of computing: the first bytes of PDF stand in ISO 32000-1, 7.5.2, of PNG in W3C PNG 5.2,
of the marks at the beginning of a text in the Unicode Standard, 23.8.
"""

import codecs
import re

from society.web.refusals import BadInput

OLD_TEXT = (
    "The file was not saved as UTF-8. It is read as Windows-1252: look at the names with accents "
    "before you save."
)
_AS_LIST = "Save the list as XLSX or CSV and choose that."
_PDF = (
    "A PDF cannot be read as a list. Ask for XLSX or CSV, or copy it into a spreadsheet and save "
    "that as XLSX or CSV."
)
_PICTURE = (
    "The file is a picture, and writing in a picture is not read. Ask for the list as XLSX or "
    "CSV, or type it into a spreadsheet."
)
_PAGE = (
    "The file is a web page or XML, whatever its name says. Open it in a spreadsheet and save it "
    "as XLSX or CSV."
)
_LETTER = f"The file is a text document, not a list. {_AS_LIST}"
_PACKED = "The file is a packed folder. Unpack it and choose the list inside."
_NO_TEXT = f"The file is no list that can be read: it is neither text nor a workbook. {_AS_LIST}"
_NO_UTF_8 = (
    "The file is no UTF-8 text. In the spreadsheet choose to save as “CSV UTF-8” or XLSX, and "
    "choose that file."
)

_BEGINNINGS = (
    (b"%PDF-", _PDF),
    (b"\x89PNG", _PICTURE),
    (b"\xff\xd8\xff", _PICTURE),
    (b"GIF8", _PICTURE),
    (b"II*\0", _PICTURE),
    (b"MM\0*", _PICTURE),
    (b"{\\rtf", _LETTER),
    (b"\x1f\x8b", _PACKED),
    (b"7z\xbc\xaf", _PACKED),
    (b"Rar!", _PACKED),
)
_MARKED = re.compile(rb"<(\?xml|!doctype|!--|html|head|body|table|div|meta|svg)\b", re.IGNORECASE)
_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),  # before UTF-16, which begins alike
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
# What no text has: control characters, but not tab, line ends and form feed.
CONTROL = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f]")
_LAST_OF_OLD = "\x1a"  # some old programs end a text with it
# The letters of Windows-1252 below A0 are other letters elsewhere (é is 8E or 82), and no guess is
# taken there; signs and quotation marks may stand.
_GUESSED = re.compile("[\u0192\u02c6\u0160\u0152\u017d\u0161\u0153\u017e\u0178\u201a\u201e\u2030]")


class OldText(str):
    """A text in an encoding that had to be guessed: whoever shows it says so."""

    __slots__ = ()


def text_from(data: bytes) -> str:
    """The text of a file: UTF-8, UTF-16 or UTF-32, else Windows-1252 (then an OldText).

    Raises BadInput, with a sentence that says what it is, for a file that is no such text.
    """
    if words := no_text(data):
        raise BadInput(words)
    text = _decoded(data).removeprefix("\ufeff").removesuffix(_LAST_OF_OLD)
    if not text.strip():
        raise BadInput("The file is empty.")
    if text.count("\0") > 1 or "\ufffe" in text:
        raise BadInput(_NO_TEXT)
    return text if _is_utf_8(data) else OldText(text)


def no_text(data: bytes) -> str:
    """What a file is that is no text, by its first bytes, with what to do; empty for none known."""
    begins = data[:1024].removeprefix(codecs.BOM_UTF8).lstrip()
    for mark, words in _BEGINNINGS:
        if begins.startswith(mark):
            return words
    if begins[4:8] == b"ftyp" or (begins.startswith(b"RIFF") and begins[8:12] == b"WEBP"):
        return _PICTURE
    if begins.startswith(b"BM") and b"\0" in begins:
        return _PICTURE
    return _PAGE if _MARKED.match(begins) else ""


def _decoded(data: bytes) -> str:
    encoding = _encoding(data)
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as wrong:
        if encoding != "utf-8":
            raise BadInput("The text in the file is cut off or damaged. Save it again.") from wrong
    if b"\0" in data:
        raise BadInput(_NO_TEXT)
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError as wrong:
        raise BadInput(_NO_UTF_8) from wrong
    if CONTROL.search(text.removesuffix(_LAST_OF_OLD)):
        raise BadInput(_NO_TEXT)
    if _GUESSED.search(text):
        raise BadInput(_NO_UTF_8)
    return text


def _encoding(data: bytes) -> str:
    """By the mark at the beginning; without one UTF-16 by its zeros, every other byte."""
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return encoding
    even, odd = data[:2000:2], data[1:2000:2]
    if len(data) > 2 and odd.count(0) * 2 > len(odd) and not even.count(0):
        return "utf-16-le"
    if len(data) > 2 and even.count(0) * 2 > len(even) and not odd.count(0):
        return "utf-16-be"
    return "utf-8"


def _is_utf_8(data: bytes) -> bool:
    if _encoding(data) != "utf-8":
        return True  # said by its mark or its zeros: nothing had to be guessed
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True
