"""The way of a figure: what the season's rules gave on each day, with the differentials as dots."""

from collections.abc import Iterable, Sequence
from datetime import date

from scoring.rules.values import HandicapKind
from society.desk.queries.handicaps import figure
from society.desk.queries.pictures import Drawn, handicap_picture
from society.desk.queries.record import SOURCE_WORDS, RecordPage, line_words, signed
from society.fixtures.queries import season_rules_on
from society.handicaps.models import HandicapEntry
from society.handicaps.queries.figures import cuts_of, line_of
from society.handicaps.rules.figures import Source
from society.handicaps.rules.told import Stood, stood
from society.handicaps.rules.used import Cut, Line, Used, Whom, used
from society.web.charts import Picture, Point, over_time
from society.web.templatetags.look import count_of, day_short

FEWEST = 2
# The society's own figures, the first that moved is drawn: how the table calls them.
_OWN = {
    Source.CARDS: "Society handicap, from cards",
    Source.SOCIETY: "Society handicap, written down",
}


def way_of(page: RecordPage) -> Drawn:
    """The figure that the rules of the season read out of the record on each day it changed.

    Cuts and the maximum are in it; without them stands a dashed line. The society's own figure is
    dotted where the season goes by another. Where the rules find nothing, or the record has one
    figure alone, the lines of the record are drawn instead.
    """
    lines = _lines(page)
    found = _found(page, lines)
    record = stood(page.own)
    if not found or found[-1][1].kind is not HandicapKind.INDEX or not record:
        if len(found) < FEWEST:
            return handicap_picture(page.player)
        record = ()
    return Drawn(_picture(page, found, record, _own_way(lines, found)))


def _lines(page: RecordPage) -> list[Line]:
    """The record up to today in the order it was written."""
    rows = HandicapEntry.objects.filter(player=page.player, valid_from__lte=page.on)
    return [line_of(row) for row in rows.order_by("pk")]


def _own_way(lines: Sequence[Line], found: Sequence[tuple[date, Used]]) -> list[Line]:
    """The lines by which the society's own figure moved, where the picture has them not yet.

    That worked out from cards, else that written down; none where it never moved, or where every
    one of them is what the season goes by from its day.
    """
    if found[-1][1].kind is not HandicapKind.INDEX:
        return []
    for source in _OWN:
        by_day = {
            line.valid_from: line
            for line in sorted(lines, key=lambda line: (line.valid_from, line.row))
            if line.kind is HandicapKind.INDEX and line.source is source
        }
        own = list(by_day.values())
        ends = max((at + 1 for at, line in enumerate(own) if line.ended), default=0)
        own = own[ends:]
        own = [each for at, each in enumerate(own) if not at or each.value != own[at - 1].value]
        drawn = {made.base.id for _, made in found}
        if len(own) >= FEWEST and not all(line.id in drawn for line in own):
            return own
    return []


def _found(page: RecordPage, lines: Sequence[Line]) -> list[tuple[date, Used]]:
    """The figure on each day it changed, up to today. Two queries."""
    if page.season is None:
        return []
    player = page.player
    rules = season_rules_on(page.season, page.on)
    cuts = cuts_of([player.pk], page.on).get(player.pk, []) if rules.takes_cuts else []
    whom = Whom(player.pk, player.category, not player.is_member)
    days = sorted({line.valid_from for line in lines} | set(_days_of(cuts, page.on)))
    found: list[tuple[date, Used]] = []
    for day in days:
        made = used(rules, whom, lines, cuts, day)
        if made is not None and (not found or _differs(found[-1][1], made)):
            found.append((day, made))
    return found


def _days_of(cuts: Iterable[Cut], on: date) -> Iterable[date]:
    for cut in cuts:
        yield cut.since
        yield from (step.until for step in cut.steps if step.until and step.until <= on)


def _differs(before: Used, after: Used) -> bool:
    return (before.value, before.base.value, before.kind) != (
        after.value,
        after.base.value,
        after.kind,
    )


def _picture(
    page: RecordPage,
    found: Sequence[tuple[date, Used]],
    record: Sequence[Stood],
    own: Sequence[Line],
) -> Picture:
    kind = found[-1][1].kind
    same = [(day, made) for day, made in found if made.kind is kind]
    with_cuts = any(made.changed for _, made in same)
    values = [
        each for at, each in enumerate(same) if not at or each[1].value != same[at - 1][1].value
    ]
    base = same[-1][1].base
    name = line_words(kind.value, base.source.value).partition(",")[0]
    title = (
        f"{'What is played off' if with_cuts else name}, {count_of(len(values), 'figure,figures')}"
    )
    if record:
        title += f" and {count_of(len(record), 'differential,differentials')}"
    words = _words(values, record, own, with_cuts=with_cuts)
    svg = over_time(
        [Point(day, float(made.value)) for day, made in same],
        beside=[Point(day, float(made.base.value)) for day, made in same] if with_cuts else [],
        apart=[Point(line.valid_from, float(line.value)) for line in own],
        dots=[Point(one.row.played, float(one.now), one.counts) for one in record],
        until=page.on,
        name="way",
        title=title,
        words=words,
        say=_as_handicap,
    )
    return Picture(
        name="way",
        title=title,
        words=words,
        svg=svg,
        head=("From", "What", "Figure"),
        rows=tuple(_rows(same, record, own)),
    )


def _rows(
    found: Sequence[tuple[date, Used]], record: Sequence[Stood], own: Sequence[Line]
) -> Iterable[tuple[str, ...]]:
    lines = [(day, 1, _what(made), figure(made.kind, made.value)) for day, made in found]
    lines += [
        (
            one.row.played,
            0,
            "Differential, counts" if one.counts else "Differential",
            signed(one.now),
        )
        for one in record
    ]
    lines += [(one.valid_from, 2, _OWN[one.source], figure(one.kind, one.value)) for one in own]
    for day, _, what, said in sorted(lines, key=lambda line: line[:2], reverse=True):
        yield day_short(day, "year"), what, said


def _what(made: Used) -> str:
    if not made.changed:
        return "Figure"
    return f"Figure, from {figure(made.base.kind, made.base.value)}"


def _words(
    found: Sequence[tuple[date, Used]],
    record: Sequence[Stood],
    own: Sequence[Line],
    *,
    with_cuts: bool,
) -> str:
    (first, was), (last, now) = found[0], found[-1]
    said = f"{_value(now)} since {day_short(last, 'year')}."
    if len(found) > 1:
        lowest_day, lowest = min(found, key=lambda each: each[1].value)
        said = (
            f"From {_value(was)} on {day_short(first, 'year')} to {_value(now)} on "
            f"{day_short(last, 'year')}; the lowest was {_value(lowest)}, from "
            f"{day_short(lowest_day, 'year')}."
        )
    if with_cuts:
        said += " Dashed: without cuts and the maximum."
    if own:
        said += (
            f" Dotted: the society handicap {SOURCE_WORDS[own[-1].source]}, now "
            f"{figure(own[-1].kind, own[-1].value)}."
        )
    if record:
        said += " A dot is a differential; a filled one counts now."
    return said


def _value(made: Used) -> str:
    return figure(made.kind, made.value)


def _as_handicap(value: float) -> str:
    return f"+{-value:g}" if value < 0 else f"{value:g}"
