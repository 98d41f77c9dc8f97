"""The look keeps its promises: readable colours, nothing inline, no outside host."""

import importlib
import pkgutil
import re
from datetime import date, time
from pathlib import Path

import pytest
from django import forms

import scoring
import society

ROOT = Path(__file__).resolve().parents[2]
CSS = (ROOT / "society/web/static/web/look.css").read_text()
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))


def tokens(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))


LIGHT = tokens(CSS[CSS.index(":root") : CSS.index("@media")])
DARK = LIGHT | tokens(CSS[CSS.index("prefers-color-scheme: dark") : CSS.index("2 ── base")])


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_measure_itself_knows_black_on_white() -> None:
    # WCAG 2.2, definition of contrast ratio: it runs from 1 to 21
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#777777") == 1


WORDS_ON = [
    (words, on)
    for words, grounds in {
        "ink": ("ground", "paper", "wash", "act-wash"),
        "graphite": ("ground", "paper", "wash", "act-wash"),
        "act": ("ground", "paper", "act-wash"),
        "on-act": ("act",),
        "gold": ("board",),
        "gold-dim": ("board",),
        "on-board": ("board",),
        "paper": ("ink",),
    }.items()
    for on in grounds
]


@pytest.mark.parametrize("scheme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize(("words", "on"), WORDS_ON)
def test_words_can_be_read(scheme: dict[str, str], words: str, on: str) -> None:
    # WCAG 2.2, success criterion 1.4.3 (level AA): 4.5 to 1
    assert contrast(scheme[words], scheme[on]) >= 4.5


@pytest.mark.parametrize("scheme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("on", ["ground", "paper", "wash", "act-wash"])
def test_the_focus_ring_can_be_seen(scheme: dict[str, str], on: str) -> None:
    # WCAG 2.2, success criterion 1.4.11 (level AA): 3 to 1
    assert contrast(scheme["focus"], scheme[on]) >= 3


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_template_has_nothing_inline_and_no_outside_host(path: Path) -> None:
    source = path.read_text()
    assert not re.search(r"\sstyle\s*=|<style\b", source)
    written = re.sub(r"{%.*?%}", "", source)  # a tag's own arguments are no attributes
    assert not re.search(r"\son[a-z]+\s*=|\shx-on|javascript:", written)
    assert not re.search(r"<script(?![^>]*\ssrc=)", source)
    assert not re.search(r"""(src|href|action|hx-get|hx-post)\s*=\s*["'](https?:)?//""", source)


def test_the_stylesheets_fetch_nothing_but_our_own_drawings() -> None:
    folder = ROOT / "society/web/static/web"
    for sheet in folder.glob("*.css"):
        source = sheet.read_text()
        assert "@import" not in source, sheet.name
        for name in re.findall(r"url\(([^)]*)\)", source):
            assert (folder / name).is_file(), f"{sheet.name} names {name}"


@pytest.mark.parametrize(
    "path", sorted((ROOT / "templates/parts").glob("_*.html")), ids=lambda p: p.name
)
def test_a_shared_part_says_what_it_takes(path: Path) -> None:
    assert path.read_text().lstrip().startswith("{% comment %}")


def form_modules() -> list[str]:
    return [
        found.name
        for package in (society, scoring)
        for found in pkgutil.walk_packages(package.__path__, package.__name__ + ".")
        if ".forms" in found.name
    ]


def own_forms() -> list[type[forms.BaseForm]]:
    for name in form_modules():
        importlib.import_module(name)
    found, waiting = [], list(forms.BaseForm.__subclasses__())
    while waiting:
        form = waiting.pop()
        waiting += form.__subclasses__()
        if form.__module__.startswith(("society.", "scoring.")):
            found.append(form)
    return found


def test_a_date_box_shows_the_day_it_keeps() -> None:
    """A browser leaves a date box empty unless the value is written as in ISO 8601."""
    seen = 0
    for form in own_forms():
        for name, field in form.base_fields.items():
            kind = getattr(field.widget, "input_type", "")
            if kind == "date":
                assert field.widget.format_value(date(2026, 4, 3)) == "2026-04-03", (form, name)
                seen += 1
            elif kind == "time":
                assert field.widget.format_value(time(9, 5)) == "09:05", (form, name)
                seen += 1
    assert seen >= 4
