"""Pictures hold to the policy: shapes and words alone, the height of a bar being its figure."""

import re
from xml.etree import ElementTree

import pytest

from society.web.charts import Mark, bars, line

SVG = "{http://www.w3.org/2000/svg}"


def read(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def test_a_bar_is_as_high_as_its_figure() -> None:
    marks = [Mark("1", 1), Mark("2", 3.0, own=True), Mark("3", None), Mark("4", 2)]
    drawn = read(bars(marks, name="b", title="T", words="W"))
    rects = [found for found in drawn.iter() if found.tag.endswith("rect")]
    heights = [float(rect.get("height", "0")) for rect in rects]
    assert len(rects) == 3
    assert heights[1] / heights[0] == pytest.approx(3)
    assert heights[2] / heights[0] == pytest.approx(2)
    assert [rect.get("class") for rect in rects] == ["bar", "bar bar-own", "bar"]


def test_the_dashed_line_stands_at_its_level() -> None:
    drawn = read(bars([Mark("1", 2), Mark("2", 1)], name="b", title="T", words="W", level=2))
    level = next(found for found in drawn.iter() if found.get("class") == "level")
    rect = next(found for found in drawn.iter() if found.tag.endswith("rect"))
    y = float(re.findall(r"[\d.]+", level.get("d", ""))[1])
    assert y == pytest.approx(float(rect.get("y", "0")), abs=0.1)


def test_a_line_has_a_dot_for_each_figure_and_writes_plus_as_people_do() -> None:
    marks = [Mark("1 Jan", -1.2), Mark("1 Feb", 0.4), Mark("1 Mar", 1.1)]
    svg = line(
        marks, name="l", title="T", words="W", say=lambda v: f"+{-v:g}" if v < 0 else f"{v:g}"
    )
    drawn = read(svg)
    dots = [found for found in drawn.iter() if found.tag.endswith("circle")]
    heights = [float(dot.get("cy", "0")) for dot in dots]
    assert len(dots) == 3
    assert heights == sorted(heights, reverse=True)  # higher figures stand higher
    words = [found.text for found in drawn.iter() if found.tag.endswith("text")]
    assert "+1" in words
    assert "1 Mar" in words


def test_figures_that_never_change_are_drawn_too() -> None:
    svg = line([Mark("a", 12.0), Mark("b", 12.0)], name="l", title="T", words="W")
    assert svg.count("<circle") == 2


def test_only_a_few_of_many_labels_are_written_the_last_one_always() -> None:
    marks = [Mark(f"d{at}", float(at)) for at in range(40)]
    drawn = read(line(marks, name="l", title="T", words="W"))
    written = [f.text for f in drawn.iter() if f.tag.endswith("text") and (f.text or "")[:1] == "d"]
    assert len(written) <= 7
    assert written[-1] == "d39"


@pytest.mark.parametrize("words", ["<script>alert(1)</script>", 'a" onload="x'])
def test_nothing_but_shapes_and_words(words: str) -> None:
    for svg in (
        bars([Mark(words, 1), Mark("2", 2)], name="n", title=words, words=words),
        line([Mark(words, 1), Mark("2", 2)], name="n", title=words, words=words),
    ):
        drawn = read(svg)
        tags = {found.tag.removeprefix(SVG) for found in drawn.iter()}
        assert tags <= {"svg", "title", "desc", "g", "rect", "path", "circle", "text"}
        names = {name for found in drawn.iter() for name in found.attrib}
        assert not {name for name in names if name.startswith("on") or name == "style"}
        assert drawn.get("aria-labelledby") == "n-t n-d"
