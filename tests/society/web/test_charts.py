"""Pictures hold to the policy: shapes and words alone, the height of a bar being its figure."""

import re
from datetime import date
from xml.etree import ElementTree

import pytest

from society.web.charts import Mark, Point, bars, line, over_time

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


class TestOverTime:
    STEPS = (Point(date(2026, 1, 5), 14.0), Point(date(2026, 3, 9), 12.5))

    def drawn(self, **more: object) -> str:
        return over_time(
            self.STEPS,
            until=date(2026, 6, 1),
            name="way",
            title="Way <1>",
            words="from here to there",
            **more,  # type: ignore[arg-type]
        )

    def test_a_figure_holds_until_the_next(self) -> None:
        """Level, straight down on the day, level again: two corners between three edges."""
        (path,) = re.findall(r'class="line"[^>]* d="([^"]+)"', self.drawn())
        found = [tuple(map(float, pair)) for pair in re.findall(r"(-?[\d.]+)[ ,](-?[\d.]+)", path)]
        assert len(found) == 4
        (a, top), (b, same), (c, low), (d, end) = found
        assert (same, end) == (top, low)
        assert b == c
        assert a < b < d
        assert low > top  # downwards on the page is a lower figure

    def test_dots_are_rings_unless_they_are_ones_own(self) -> None:
        dots = [Point(date(2026, 2, 1), 20.0), Point(date(2026, 2, 8), 11.0, own=True)]
        drawn = self.drawn(dots=dots)
        assert drawn.count('class="ring"') == 1
        assert drawn.count('class="dot"') == 1
        assert 'class="ring" r="4" fill="none"' in drawn

    def test_a_second_line_is_dashed_and_nothing_is_dashed_without_one(self) -> None:
        assert self.drawn(beside=self.STEPS).count('class="level"') == 1
        assert 'class="level"' not in self.drawn()

    def test_a_line_of_another_kind_is_dotted_and_on_the_scale(self) -> None:
        drawn = self.drawn(apart=[Point(date(2025, 12, 1), 30.0)])
        assert drawn.count('class="apart"') == 1
        assert drawn.count('class="line"') == 1
        assert ">30<" in drawn
        assert 'class="apart"' not in self.drawn(beside=self.STEPS)

    def test_the_strictest_policy_holds(self) -> None:
        drawn = self.drawn(dots=[Point(date(2026, 2, 1), 20.0)])
        assert "style" not in drawn
        assert "<script" not in drawn
        assert "Way &lt;1&gt;" in drawn

    def test_one_day_alone_and_many_years(self) -> None:
        alone = over_time(
            [Point(date(2026, 1, 5), 14.0)],
            until=date(2026, 1, 5),
            name="a",
            title="a",
            words="a",
        )
        assert "Jan 26" in alone
        years = over_time(
            [Point(date(2016, 1, 5), 14.0), Point(date(2025, 1, 5), 15.0)],
            until=date(2026, 1, 5),
            name="a",
            title="a",
            words="a",
        )
        assert 3 <= len(re.findall(r">[A-Z][a-z]{2} \d\d<", years)) <= 5
