"""Places after each fixture: a drawing for those who like one, and the same as a table.

The drawing is made by pygal and then stripped of its script and style: all that is left is
drawn with attributes and in the colour of the page's own text, so that the strictest policy holds,
and so that it is right by day and by night.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Any
from xml.etree import ElementTree

from django.utils.safestring import SafeString, mark_safe

from society.merit.queries import MeritStanding
from society.web.charts import classes, every, pygal_library, text

MOST_FIXTURES = 9
FIRST = 4
LAST_PLACE = 10  # whoever is lower is drawn on the line below it
KINDS = "abcd"
WIDTH, HEIGHT = 420, 330


@dataclass(frozen=True, slots=True)
class Runner:
    """One line of the chart: places after each fixture shown, None before the first score."""

    player: str
    name: str
    kind: str
    mine: bool
    places: tuple[int | None, ...]


@dataclass(frozen=True, slots=True)
class Places:
    """The first four and the reader. `numbers`: which fixtures of the season, `days` theirs."""

    numbers: tuple[int, ...]
    days: tuple[date, ...]
    runners: tuple[Runner, ...]

    @property
    def words(self) -> str:
        """The chart told in a sentence a player."""
        return " ".join(
            f"{runner.name}: {', '.join('–' if p is None else str(p) for p in runner.places)}."
            for runner in self.runners
        )


def places_of(standing: MeritStanding, mine: Collection[str]) -> Places | None:
    """Places after each of the latest fixtures; None before two are in or while nobody has one."""
    if standing.played < 2:
        return None
    places = standing.places()
    first = max(0, standing.played - MOST_FIXTURES)
    own = [row.player for row in standing.rows if row.player in mine and row.place][:1]
    others = [row.player for row in standing.rows if row.place and row.player not in own][:FIRST]
    kinds = dict(zip(others, KINDS, strict=False)) | dict.fromkeys(own, "me")
    if not kinds:
        return None
    in_order = [row.player for row in standing.rows if row.player in kinds]
    played = [f for f in standing.results.fixtures if f.event is not None]
    return Places(
        numbers=tuple(range(first + 1, standing.played + 1)),
        days=tuple(fixture.day for fixture in played[first:]),
        runners=tuple(
            Runner(
                player=player,
                name=standing.name_of(player),
                kind=kinds[player],
                mine=player in own,
                places=places[player][first:],
            )
            for player in in_order
        ),
    )


def drawing(places: Places) -> SafeString:
    """The chart as SVG to stand in a page: no script, no style, nothing from elsewhere."""
    pygal = pygal_library()
    # Places count downwards: a line is drawn at minus the place, and labelled with the place.
    chart = pygal.Line(
        width=WIDTH,
        height=HEIGHT,
        explicit_size=False,
        show_legend=False,
        margin=4,
        margin_right=96,
        dots_size=4,
        js=[],
        no_prefix=True,
        disable_xml_declaration=True,
        range=(-LAST_PLACE - 1, -1),
    )
    chart.x_labels = [str(number) for number in places.numbers]
    chart.y_labels = [
        {"value": -place, "label": str(place) if place <= LAST_PLACE else f"{place}+"}
        for place in range(1, LAST_PLACE + 2)
    ]
    for runner in places.runners:
        drawn = [None if p is None else -min(p, LAST_PLACE + 1) for p in runner.places]
        chart.add(runner.name, drawn)
    return mark_safe(_plain(chart.render_tree(), places))  # noqa: S308 - names are escaped below


def _plain(drawn: Any, places: Places) -> str:
    """What pygal drew as lines, dots and figures alone, with the names at the ends of the lines.

    Written anew and not cleaned, so that nothing can slip through.
    """
    svg = ElementTree.Element(
        "svg",
        {
            "class": "race",
            "viewBox": f"0 0 {WIDTH} {HEIGHT}",
            "fill": "none",
            "stroke": "currentColor",
            "role": "img",
            "aria-labelledby": "race-t race-d",
        },
    )
    ElementTree.SubElement(svg, "title", {"id": "race-t"}).text = "Place after each fixture"
    ElementTree.SubElement(svg, "desc", {"id": "race-d"}).text = places.words
    plots = [group for group in every(drawn, "g") if "plot" in classes(group)]
    for plot in plots[:2]:  # lines and axes, then dots; what follows is for pointing at
        group = ElementTree.SubElement(svg, "g", {"transform": plot.get("transform")})
        for axis in plot:
            if "axis" in classes(axis):
                _axis(group, axis)
            elif "series" in classes(axis):
                _series(group, axis, places.runners[_number(axis)])
    return ElementTree.tostring(svg, encoding="unicode")


def _axis(into: ElementTree.Element, axis: Any) -> None:
    across = "y" in classes(axis)  # a line for each place
    for found in every(axis, "path") if across else ():
        ElementTree.SubElement(into, "path", {"class": "grid", "d": found.get("d")})
    for found in every(axis, "text"):
        given = {"x": found.get("x"), "y": found.get("y"), "text-anchor": "end"}
        if not across:
            given["text-anchor"] = "middle"
        text(into, {"class": "axis"} | given, found.text or "")


def _series(into: ElementTree.Element, series: Any, runner: Runner) -> None:
    for found in every(series, "path"):
        given = {"class": f"line line-{runner.kind}", "d": found.get("d")}
        ElementTree.SubElement(into, "path", given)
    dots = list(every(series, "circle"))
    for found in dots:
        given = {"class": f"dot dot-{runner.kind}", "r": "5" if runner.mine else "4"}
        ElementTree.SubElement(into, "circle", given | {k: found.get(k) for k in ("cx", "cy")})
    if dots:
        x, y = (
            float(dots[-1].get(k)) for k in ("cx", "cy")
        )  # of a drawing, nobody is ranked by it
        name = "You" if runner.mine else runner.name.split(" ")[0]
        given = {"class": f"end end-{runner.kind}", "x": f"{x + 9:.1f}", "y": f"{y + 5:.1f}"}
        text(into, given, name)


def _number(series: Any) -> int:
    return next(int(c.removeprefix("serie-")) for c in classes(series) if c.startswith("serie-"))
