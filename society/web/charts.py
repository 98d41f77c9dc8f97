"""Pictures of figures: drawn by pygal, then written anew as shapes and words alone.

What is left has no script and no style, is drawn with attributes and in the colour of the page's
own text, so that the strictest policy holds and it is right by day and by night. Every picture has
a title and a sentence for those who do not see it; the figures stand in a table beside it.
"""

import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from xml.etree import ElementTree

from django.utils.safestring import SafeString, mark_safe

WIDTH, HEIGHT = 420, 250
MOST_LABELS = 6
MOST_DAYS = 5


@dataclass(frozen=True, slots=True)
class Mark:
    """One bar or dot. `value` None: nothing there. `own`: the reader's, drawn darker."""

    label: str
    value: float | None  # of a drawing alone: nobody is ranked by it
    own: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture ready for a page: the drawing, what it shows, and the figures as a table.

    `name`: unique on the page. `words`: the picture in a sentence or two. `head` and `rows`: the
    table, the first column its row heads.
    """

    name: str
    title: str
    words: str
    svg: SafeString
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def bars(
    marks: Sequence[Mark],
    *,
    name: str,
    title: str,
    words: str,
    top: float | None = None,
    level: float | None = None,
) -> SafeString:
    """Bars from zero. `top`: where the scale ends at least. `level`: a dashed line to compare."""
    found = [mark.value for mark in marks if mark.value is not None]
    highest = max([*found, top or 0, level or 0, 1])
    chart = pygal_library().Bar(range=(0, highest), **_plainly())
    chart.x_labels = [mark.label for mark in marks]
    chart.y_labels = _whole_steps(highest)
    chart.add("", [mark.value for mark in marks])
    drawn = [mark for mark in marks if mark.value is not None]

    def shapes(into: ElementTree.Element, series: Any) -> None:
        for mark, rect in zip(drawn, every(series, "rect"), strict=True):
            given = {"class": "bar bar-own" if mark.own else "bar", "fill": "currentColor"}
            ElementTree.SubElement(into, "rect", given | _kept(rect, "x", "y", "width", "height"))

    return _written(chart, name, title, words, shapes, None if level is None else (level, highest))


def line(
    marks: Sequence[Mark],
    *,
    name: str,
    title: str,
    words: str,
    say: Callable[[float], str] = "{:g}".format,
) -> SafeString:
    """A line with a dot for each figure. `say`: how a figure is written on the scale."""
    values = [mark.value for mark in marks if mark.value is not None]
    low, high = min(values), max(values)
    if low == high:
        low, high = low - 1, high + 1
    chart = pygal_library().Line(range=(low, high), dots_size=4, **_plainly())
    every_nth = -(-len(marks) // MOST_LABELS)
    chart.x_labels = [
        mark.label if (len(marks) - 1 - at) % every_nth == 0 else ""
        for at, mark in enumerate(marks)
    ]
    chart.y_labels = [{"value": at, "label": say(at)} for at in _few_steps(low, high)]
    chart.add("", [mark.value for mark in marks])

    def shapes(into: ElementTree.Element, series: Any) -> None:
        for path in every(series, "path"):
            given = {"class": "line", "fill": "none", "stroke": "currentColor"}
            ElementTree.SubElement(into, "path", given | _kept(path, "d"))
        for dot in every(series, "circle"):
            given = {"class": "dot", "r": "4", "fill": "currentColor"}
            ElementTree.SubElement(into, "circle", given | _kept(dot, "cx", "cy"))

    return _written(chart, name, title, words, shapes, None)


@dataclass(frozen=True, slots=True)
class Point:
    """A figure on a day. `own`: of a dot, filled rather than a ring."""

    day: date
    value: float  # of a drawing alone
    own: bool = False


def over_time(
    steps: Sequence[Point],
    *,
    until: date,
    dots: Sequence[Point] = (),
    beside: Sequence[Point] = (),
    apart: Sequence[Point] = (),
    name: str,
    title: str,
    words: str,
    say: Callable[[float], str] = "{:g}".format,
) -> SafeString:
    """A figure that holds from its day until the next, by the calendar; up to `until`.

    `dots`: single figures among them. `beside`: a second such line, dashed; `apart`: one of
    another kind, dotted.
    """
    found = [*steps, *dots, *beside, *apart]
    low, high = min(at.value for at in found), max(at.value for at in found)
    if low == high:
        low, high = low - 1, high + 1
    chart = pygal_library().XY(range=(low, high), dots_size=4, **_plainly())
    first, last = min(at.day for at in found), max(until, *(at.day for at in found))
    chart.x_labels = [
        {"value": day.toordinal(), "label": f"{day:%b} {day:%y}"} for day in _few_days(first, last)
    ]
    chart.y_labels = [{"value": at, "label": say(at)} for at in _few_steps(low, high)]
    among = [[(at.day.toordinal(), at.value) for at in dots if at.own is own] for own in _OWN]
    chart.add("", _stepped(apart, until))
    chart.add("", _stepped(beside, until))
    chart.add("", _stepped(steps, until))
    for single in among:
        chart.add("", single, stroke=False)
    return _written(chart, name, title, words, _over_time_shapes, None)


_OWN = (False, True)
_LINES = ("apart", "level", "line")
_OVER_TIME = ("apart", "level", "line", "ring", "dot")  # the series, in the order they are added


def _over_time_shapes(into: ElementTree.Element, series: Any) -> None:
    kind = _OVER_TIME[_number_of(series)]
    if kind in _LINES:
        for path in every(series, "path"):
            given = {"class": kind, "fill": "none", "stroke": "currentColor"}
            ElementTree.SubElement(into, "path", given | _kept(path, "d"))
        return
    fill = "currentColor" if kind == "dot" else "none"
    for dot in every(series, "circle"):
        given = {"class": kind, "r": "4", "fill": fill, "stroke": "currentColor"}
        ElementTree.SubElement(into, "circle", given | _kept(dot, "cx", "cy"))


def _stepped(points: Sequence[Point], until: date) -> list[tuple[int, float]]:
    """Each figure from its day to the day of the next."""
    drawn: list[tuple[int, float]] = []
    for at in points:
        if drawn:
            drawn.append((at.day.toordinal(), drawn[-1][1]))
        drawn.append((at.day.toordinal(), at.value))
    return [*drawn, (max(until.toordinal(), drawn[-1][0]), drawn[-1][1])] if drawn else []


def _few_days(first: date, last: date) -> list[date]:
    """First days of months, at most five, spread over the time drawn."""
    months = range(first.year * 12 + first.month, last.year * 12 + last.month)
    every_nth = max(1, -(-len(months) // MOST_DAYS))
    found = [date(at // 12, at % 12 + 1, 1) for at in months]
    return found[every_nth - 1 :: every_nth] or [first]


def _number_of(series: Any) -> int:
    """Which series, counted from nought in the order added."""
    return next(int(one[6:]) for one in classes(series) if one.startswith("serie-"))


def pygal_library() -> Any:
    """The library, without the import hook it brings for plug-ins of its own.

    Python 3.11 warns of that hook at every later import of a module that is missing.
    """
    import pygal

    sys.meta_path[:] = [f for f in sys.meta_path if not type(f).__module__.startswith("pygal")]
    return pygal


def every(element: Any, tag: str) -> Iterator[Any]:
    """All elements of a tag under one, itself included."""
    return (found for found in element.iter() if found.tag == tag)


def classes(element: Any) -> list[str]:
    """The classes of an element as pygal drew it."""
    return (element.get("class") or "").split()


def text(into: ElementTree.Element, given: dict[str, str], words: str) -> None:
    """Words in a drawing, in the colour of the page's text."""
    plain = {"fill": "currentColor", "stroke": "none"}
    ElementTree.SubElement(into, "text", plain | given).text = words


def _plainly() -> dict[str, Any]:
    return {
        "width": WIDTH,
        "height": HEIGHT,
        "explicit_size": False,
        "show_legend": False,
        "margin": 6,
        "margin_right": 26,
        "truncate_label": -1,
        "js": [],
        "no_prefix": True,
        "disable_xml_declaration": True,
    }


def _whole_steps(highest: float) -> list[int]:
    """Nought and a few whole numbers up to the highest bar."""
    step = max(1, round(highest / 5))
    return list(range(0, int(highest) + 1, step))


def _few_steps(low: float, high: float) -> list[float]:
    """At most six round figures between the lowest and the highest."""
    step = next(s for s in (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100) if (high - low) / s <= 5)
    first = -(-low // step)
    return [round((first + at) * step, 1) for at in range(int((high - first * step) // step) + 1)]


def _written(
    chart: Any,
    name: str,
    title: str,
    words: str,
    shapes: Callable[[ElementTree.Element, Any], None],
    level: tuple[float, float] | None,
) -> SafeString:
    svg = ElementTree.Element(
        "svg",
        {
            "class": "chart",
            "viewBox": f"0 0 {WIDTH} {HEIGHT}",
            "fill": "none",
            "stroke": "none",
            "role": "img",
            "aria-labelledby": f"{name}-t {name}-d",
        },
    )
    ElementTree.SubElement(svg, "title", {"id": f"{name}-t"}).text = title
    ElementTree.SubElement(svg, "desc", {"id": f"{name}-d"}).text = words
    drawn = chart.render_tree()
    plots = [group for group in every(drawn, "g") if "plot" in classes(group)]
    for plot in plots[:2]:  # scale and lines, then dots; what follows is for pointing at
        group = ElementTree.SubElement(svg, "g", {"transform": plot.get("transform")})
        for part in plot:
            if "axis" in classes(part):
                _axis(group, part)
            elif "series" in classes(part) and len(part):
                shapes(group, part)
        if level is not None and plot is plots[0]:
            _level(group, plot, *level)
    said = ElementTree.tostring(svg, encoding="unicode")
    return mark_safe(said)  # noqa: S308 - written as nodes above, which are escaped


def _axis(into: ElementTree.Element, axis: Any) -> None:
    across = "y" in classes(axis)
    if across:
        for found in every(axis, "path"):
            given = {"class": "grid", "stroke": "currentColor"}
            ElementTree.SubElement(into, "path", given | _kept(found, "d"))
    for found in every(axis, "text"):
        if not found.text:
            continue
        anchor = "end" if across else "middle"
        text(
            into,
            {"class": "axis", "text-anchor": anchor} | _kept(found, "x", "y"),
            found.text,
        )


def _level(into: ElementTree.Element, plot: Any, level: float, highest: float) -> None:
    """A dashed line across: found between the lines of nought and of the highest whole step."""
    marks = {}
    for guide in every(plot, "g"):
        if "guides" in classes(guide):
            words = [found.text for found in every(guide, "text")]
            paths = [found.get("d") for found in every(guide, "path")]
            if words and words[0] and paths and " h" in paths[0]:
                marks[float(words[0])] = paths[0].split()
    low, high = min(marks), max(marks)
    bottom, above = (float(marks[at][1]) for at in (low, high))
    y = bottom + (above - bottom) * (level - low) / (high - low)
    given = {"class": "level", "stroke": "currentColor", "d": f"M0 {y:.2f} {marks[low][2]}"}
    ElementTree.SubElement(into, "path", given)


def _kept(element: Any, *names: str) -> dict[str, str]:
    return {name: element.get(name) for name in names if element.get(name) is not None}
