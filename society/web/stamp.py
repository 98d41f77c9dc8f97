"""Many papers from few: what is alike is laid out once, and what differs is stamped upon it.

A page that is laid out afresh for each player costs its line boxes and table cells again and again.
Here the engine lays out each blank once, and each text that stands on any of them once, in one long
column. Then the pages are put together: the blank is drawn where it belongs, and the texts are
copied to their places with the very glyphs the engine set. So the letters, the kerning and the text
that can be searched are the engine's, and no font is read here.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import pydyf
from django.utils.html import escape

from society.web.code import modules_of
from society.web.writer import writer

POINTS = 72 / 25.4  # in a millimetre
PIXELS = 96 / 25.4
COLUMN = 400  # millimetres: wider than any text that is stamped
LINE = 20  # millimetres a line of the column may take at most


@dataclass(frozen=True, slots=True)
class Mark:
    """A text stamped on a blank.

    `style`: a class of print.css that says font and size. `x`, `y`: millimetres from the left and
    to the baseline from the top. `align`: which part of the text stands at x, 0 its left edge, 0.5
    its middle, 1 its right edge. `width`: if given, a longer text is set smaller so that it fits.
    """

    words: str
    style: str
    x: float
    y: float
    align: float = 0
    width: float | None = None


@dataclass(frozen=True, slots=True)
class Code:
    """The square code that opens an address, drawn `size` millimetres wide."""

    address: str
    x: float
    y: float
    size: float


@dataclass(frozen=True, slots=True)
class Paper:
    """One card, slip or label: the number of its blank from 0, and what is stamped on it."""

    blank: int
    marks: tuple[Mark, ...]
    code: Code | None = None


@dataclass(frozen=True, slots=True)
class Placed:
    """A paper on a sheet: millimetres from the left and from the top to its corner."""

    paper: Paper
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Sheets:
    """What goes to the printer, in millimetres.

    `size`: width and height of each sheet. `cuts`: lines to cut along, as left, top, right, bottom.
    `style`: what print.css cannot know of the blanks, such as the size of a society's labels.
    """

    size: tuple[float, float]
    pages: tuple[tuple[Placed, ...], ...]
    cuts: tuple[tuple[float, float, float, float], ...] = ()
    style: str = ""


@dataclass(frozen=True, slots=True)
class _Set:
    """A text as the engine set it: its operators, its width and its scale, in points."""

    operators: bytes
    width: float


def stamped(html: str, sheets: Sheets) -> bytes:
    """The PDF of `sheets`. `html` extends print/base.html and has one page for each blank.

    The column of texts is added to the page here. Raises NoPaper where Pango is missing.
    """
    texts = _texts(placed.paper for page in sheets.pages for placed in page)
    body, end = html.rsplit("</body>", 1)
    column = f"<style>{sheets.style}</style>{_column(texts)}"
    document = writer(f"{body}{column}</body>{end}").render()
    blanks = len(document.pages) - 1

    def finish(document: Any, pdf: Any) -> None:
        _put_together(pdf, sheets, texts, blanks)

    return bytes(document.write_pdf(finisher=finish))


def _texts(papers: Iterable[Paper]) -> list[tuple[str, str]]:
    """Each text in its style once, those of one style together."""
    found = {(m.style, " ".join(m.words.split())) for paper in papers for m in paper.marks}
    return sorted(text for text in found if text[1])


def _column(texts: list[tuple[str, str]]) -> str:
    """One line for each text, all ending at the right edge, so that the start tells the width."""
    lines: dict[str, list[str]] = {}
    for style, words in texts:
        lines.setdefault(style, []).append(escape(words))
    blocks = "".join(
        f'<pre class="stamp {style}">{chr(10).join(words)}</pre>' for style, words in lines.items()
    )
    size = f"{COLUMN}mm {LINE * (len(texts) + 1)}mm"
    return f"<style>@page stamps {{ size: {size}; margin: 0 }}</style><main>{blocks}</main>"


def _put_together(pdf: Any, sheets: Sheets, texts: list[tuple[str, str]], blanks: int) -> None:
    """Replace the pages that were laid out by the sheets."""
    laid_out = [pdf.objects[number] for number in pdf.pages["Kids"][::3]]
    streams = [_object(pdf, page["Contents"]) for page in laid_out]
    of_texts = dict(zip(texts, _read(streams[-1].stream), strict=True))
    resources = _object(pdf, laid_out[0]["Resources"])
    heights = []
    forms = pydyf.Dictionary()
    for number, (page, stream) in enumerate(zip(laid_out[:blanks], streams, strict=False)):
        heights.append(page["MediaBox"][3])
        stream.extra |= {
            "Type": "/XObject",
            "Subtype": "/Form",
            "BBox": page["MediaBox"],
            "Resources": page["Resources"],
        }
        forms[f"Blank{number}"] = stream.reference
    own = pydyf.Dictionary({**resources, "XObject": forms})
    pdf.add_object(own)
    streams[-1].stream = []
    pdf.pages["Kids"].clear()
    pdf.pages["Count"] = 0
    wide, high = (side * POINTS for side in sheets.size)
    cuts = list(_cut(sheets, high))
    for placed in sheets.pages:
        parts = [part for one in placed for part in _drawn(one, high, heights, of_texts)]
        content = pydyf.Stream([*parts, *cuts], compress=True)
        pdf.add_object(content)
        pdf.add_page(
            pydyf.Dictionary(
                {
                    "Type": "/Page",
                    "Parent": pdf.pages.reference,
                    "MediaBox": pydyf.Array([0, 0, wide, high]),
                    "Contents": content.reference,
                    "Resources": own.reference,
                }
            )
        )


def _object(pdf: Any, reference: bytes) -> Any:
    return pdf.objects[int(reference.split()[0])]


def _read(stream: Sequence[bytes | str]) -> list[_Set]:
    """The texts of the column in their order: what follows each text matrix, up to the next.

    The engine names a font only where it changes, so each text begins with the one in force.
    """
    found: list[tuple[float, list[bytes]]] = []
    font = b""
    for part in stream:
        line = part.encode() if isinstance(part, str) else part
        if line.endswith(b" Tm"):
            found.append((float(line.split()[4]), [font] if font else []))
        elif found and line.endswith((b" Tf", b"TJ", b"Tj", b" Ts")):
            font = line if line.endswith(b" Tf") else font
            found[-1][1].append(line)
    edge = COLUMN * PIXELS
    return [_Set(b"\n".join(lines), edge - x) for x, lines in found]


def _drawn(
    placed: Placed, high: float, heights: list[float], texts: dict[tuple[str, str], _Set]
) -> Iterable[bytes]:
    """The operators of one paper; the origin of a sheet is its lower left corner."""
    left, top = placed.x * POINTS, high - placed.y * POINTS
    paper = placed.paper
    yield b"q 1 0 0 1 %.3f %.3f cm /Blank%d Do Q" % (left, top - heights[paper.blank], paper.blank)
    yield b"0 g BT"
    for mark in paper.marks:
        words = " ".join(mark.words.split())
        if not words:
            continue
        set_ = texts[mark.style, words]
        room = None if mark.width is None else mark.width * PIXELS
        smaller = room / set_.width if room is not None and set_.width > room else 1
        scale = smaller * POINTS / PIXELS
        x = left + mark.x * POINTS - mark.align * set_.width * scale
        yield b"%.4f 0 0 %.4f %.3f %.3f Tm" % (scale, scale, x, top - mark.y * POINTS)
        yield set_.operators
    yield b"ET"
    if paper.code is not None:
        yield from _squares(paper.code, left, top)


def _cut(sheets: Sheets, high: float) -> Iterable[bytes]:
    """Thin dashed lines, no darker than they have to be."""
    yield b"q 0.6 G 0.5 w [2 2] 0 d"
    for left, top, right, bottom in sheets.cuts:
        ends = (left * POINTS, high - top * POINTS, right * POINTS, high - bottom * POINTS)
        yield b"%.3f %.3f m %.3f %.3f l S" % ends
    yield b"Q"


def _squares(code: Code, left: float, top: float) -> Iterable[bytes]:
    """The dark runs of each row as one shape."""
    rows = modules_of(code.address)
    module = code.size * POINTS / len(rows)
    x, y = left + code.x * POINTS, top - code.y * POINTS
    yield b"q %.4f 0 0 %.4f %.3f %.3f cm" % (module, -module, x, y)
    for number, row in enumerate(rows):
        start = 0
        for dark, run in _runs(row):
            if dark:
                yield b"%d %d %d 1 re" % (start, number, run)
            start += run
    yield b"f Q"


def _runs(row: bytes) -> Iterable[tuple[int, int]]:
    start = 0
    for at in range(1, len(row) + 1):
        if at == len(row) or row[at] != row[start]:
            yield row[start], at - start
            start = at


# sheets as JSON, for the process that puts them together -----------------------------------


def sheets_json(sheets: Sheets) -> dict[str, Any]:
    """The sheets as values that JSON can hold."""
    return {
        "size": sheets.size,
        "cuts": sheets.cuts,
        "style": sheets.style,
        "pages": [
            [[one.x, one.y, _paper_json(one.paper)] for one in page] for page in sheets.pages
        ],
    }


def _paper_json(paper: Paper) -> list[Any]:
    code = paper.code
    return [
        paper.blank,
        [[m.words, m.style, m.x, m.y, m.align, m.width] for m in paper.marks],
        code and [code.address, code.x, code.y, code.size],
    ]


def sheets_from(kept: dict[str, Any]) -> Sheets:
    """What `sheets_json` gave."""
    return Sheets(
        size=tuple(kept["size"]),
        pages=tuple(
            tuple(Placed(_paper_from(paper), x, y) for x, y, paper in page)
            for page in kept["pages"]
        ),
        cuts=tuple(tuple(line) for line in kept["cuts"]),
        style=kept["style"],
    )


def _paper_from(kept: list[Any]) -> Paper:
    blank, marks, code = kept
    return Paper(
        blank,
        tuple(Mark(*mark) for mark in marks),
        code and Code(*code),
    )
