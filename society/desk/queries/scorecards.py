"""What the scorecards of a fixture say: the blank they share, and what is each player's own."""

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from hashlib import sha256
from typing import cast

from django.urls import reverse

from scoring.rules.handicap import round_half_up
from scoring.rules.values import Format, HandicapKind, MaximumKind, Terms
from society.courses.rules import RatedHoles
from society.desk.queries.draw_words import hole_words
from society.desk.queries.handicaps import figure, heading_of
from society.desk.queries.papers import plays_off_words
from society.entries.bridge.draws import the_draw
from society.entries.bridge.handicaps import HandicapLine, handicap_lines
from society.entries.models import Entry, Start
from society.entries.queries import starts_of
from society.entries.rules.groups import reprints
from society.entries.rules.words import FrozenReason
from society.fixtures.models import Fixture, Round
from society.fixtures.queries import engine_terms, the_competition, the_round
from society.handicaps.rules.figures import written


@dataclass(frozen=True, slots=True)
class HoleOnCard:
    """A hole as printed; what the course does not say is None."""

    number: int
    yards: int | None
    par: int | None
    index: int | None


@dataclass(frozen=True, slots=True)
class Blank:
    """What is alike on the cards of all who play from one tee.

    `value`: the heading of the column between strokes and marker. `totals`: the boxes at the foot.
    `brought`: what the figure is called that the shots come from.
    """

    tee: str
    brought: str
    holes: tuple[HoleOnCard, ...]
    value: str
    notes: tuple[str, ...]
    totals: tuple[str, ...]

    @property
    def nine_holes(self) -> bool:
        """Whether one table of nine holes is enough."""
        return len(self.holes) == 9

    @property
    def nines(self) -> list[tuple[str, tuple[HoleOnCard, ...], str, str]]:
        """Each nine: its word, its holes, and the sums of yards and par."""
        parts = [self.holes[at : at + 9] for at in range(0, len(self.holes), 9)]
        return [
            (
                "Out" if part[0].number == 1 else "In",
                part,
                _sum([hole.yards for hole in part]),
                _sum([hole.par for hole in part]),
            )
            for part in parts
        ]


@dataclass(frozen=True, slots=True)
class CardPaper:
    """One player's card. Empty texts are lines to be written on by hand; a spare has no entry.

    `card_id`: the public id that opens the card's page. `hole`: where play starts, as "10" or "7A";
    empty where all start on one. `shots`: received on each hole of the blank, below zero given
    back; empty on a spare. `said`: what is on the paper, by its name, to be compared with what was
    printed before; players stand in it by the keys of their entries.
    """

    blank: Blank
    entry: Entry | None = None
    name: str = ""
    card_id: str = ""
    time: dt.time | None = None
    group: int | None = None
    hole: str = ""
    index: str = ""
    course: str = ""
    plays_off: str = ""
    marker: str = ""
    marks: str = ""
    digits: str = ""
    shots: tuple[int, ...] = ()
    said: Mapping[str, str] = field(default_factory=dict)

    @property
    def address(self) -> str:
        """Where the card opens on this site; it holds nothing but a public id."""
        return reverse("cards:show", args=[self.card_id])


def scorecards(fixture: Fixture, wanted: Callable[[Entry], bool]) -> list[CardPaper]:
    """The cards of those wanted, by group and place, then by name."""
    lines = handicap_lines(fixture)
    round_ = the_round(fixture)
    starts, draw = starts_of(round_), the_draw(round_)
    terms = engine_terms(the_competition(fixture), round_.holes)
    marks = _marks(starts.values())
    cards = []
    for line in lines:
        start = starts.get(line.entry.pk)
        if not wanted(line.entry):
            continue
        marked = marks.get(line.entry.pk)
        card = CardPaper(
            blank=_blank(line, round_, terms),
            entry=line.entry,
            name=line.entry.player.name,
            card_id=start.public_id if start else "",
            time=start.time if start else None,
            group=start.group if start else None,
            hole=hole_words(draw, start.group) if start and start.group else "",
            index=_index(line),
            course=_course(line),
            plays_off=plays_off_words(line) if terms.net else "",
            marker=start.marker.player.name if start and start.marker else "",
            marks=marked.player.name if marked else "",
            digits=start.digits if start else "",
            shots=line.plays.strokes
            if line.plays and terms.net
            else (0,) * len(round_numbers(round_)),
        )
        cards.append(replace(card, said=_said(card, start, marked)))
    place = {key: (start.group or 999, start.place or 0) for key, start in starts.items()}
    return sorted(
        cards,
        key=lambda card: (*place.get(cast("Entry", card.entry).pk, (999, 0)), card.name.lower()),
    )


def spare_cards(fixture: Fixture, wanted: Mapping[str, int]) -> list[CardPaper]:
    """Cards with nobody's name on them: how many of each tee, by the tee's public id."""
    terms = engine_terms(the_competition(fixture), the_round(fixture).holes)
    found = []
    for tee_id, (_, line) in tees_in_use(fixture).items():
        blank = replace(_blank(line, the_round(fixture), terms), notes=_notes(None, terms))
        found += [CardPaper(blank=blank)] * wanted.get(tee_id, 0)
    return found


def tees_in_use(fixture: Fixture) -> dict[str, tuple[str, HandicapLine]]:
    """Public id of each tee that is played → its name and one who plays from it."""
    return {
        line.tee.public_id: (line.tee.name, line)
        for line in handicap_lines(fixture)
        if line.tee is not None and line.card is not None
    }


def _marks(starts: Iterable[Start]) -> dict[int, Entry]:
    """Whose card each marks, by the row of the entry; nobody where somebody marks several."""
    found: dict[int, list[Entry]] = {}
    for start in starts:
        if start.marker_id:
            found.setdefault(start.marker_id, []).append(start.entry)
    return {marker: entries[0] for marker, entries in found.items() if len(entries) == 1}


def _said(card: CardPaper, start: Start | None, marked: Entry | None) -> dict[str, str]:
    """Each fact of a card by its name. Names of people stand as digests bound to this card."""
    holes = ";".join(f"{h.number},{h.yards},{h.par},{h.index}" for h in card.blank.holes)
    own_name = sha256(f"{card.card_id} {card.name}".encode()).hexdigest()
    return {
        "name": own_name[:16],
        "plays off": card.plays_off,
        "course handicap": card.course,
        "index": card.index,
        "tee": card.blank.tee,
        "card of the course": sha256(holes.encode()).hexdigest()[:16],
        "shots": ",".join(map(str, card.shots)),
        "game": f"{card.blank.value}: {', '.join(card.blank.totals)}",
        "time": f"{card.time:%H:%M}" if card.time else "",
        "group": f"{card.group or ''} {card.hole}".strip(),
        "marker": start.marker.key if start and start.marker else "",
        "whose card they mark": marked.key if marked else "",
    }


def chosen_cards(
    fixture: Fixture, *, group: int | None = None, changed: bool = False, change: int | None = None
) -> Callable[[Entry], bool]:
    """Which cards are asked for: all, one group's, or those that no longer fit what was printed.

    `changed`: since the draw was published, a corrected handicap included. `change`: those that
    one change by hand touched.
    """
    round_ = the_round(fixture)
    draw = the_draw(round_)
    if group is not None:
        keys = set(draw.groups[group - 1]) if draw and 1 <= group <= len(draw.groups) else set()
        return lambda entry: entry.key in keys
    if change is not None:
        made = [m for m in draw.changes if m.change.number == change] if draw else []
        keys = set().union(*(reprints(m.before, m.after) for m in made))
        return lambda entry: entry.key in keys
    if changed:
        keys = _corrected(fixture, draw.published_at if draw else None)
        keys |= draw.changed_since if draw else set()
        return lambda entry: entry.key in keys
    return lambda entry: True


def _corrected(fixture: Fixture, since: dt.datetime | None) -> set[str]:
    return {
        line.entry.key
        for line in handicap_lines(fixture)
        if line.frozen is not None
        and line.frozen.number > 1
        and (since is None or line.frozen.at > since)
    }


def _index(line: HandicapLine) -> str:
    """The index brought; another kind of figure stands on the card already."""
    is_index = line.kind is HandicapKind.INDEX and not _none_needed(line) and not line.lacks
    return figure(line.kind, line.value) if is_index else ""


def _none_needed(line: HandicapLine) -> bool:
    return line.frozen is not None and line.frozen.reason_class == FrozenReason.NONE_NEEDED.value


def _course(line: HandicapLine) -> str:
    """The course handicap as a whole number, for the player to know; the engine keeps it exact."""
    if line.plays is None or line.plays.course is None:
        return ""
    return written(Decimal(round_half_up(line.plays.course)))


_VALUES = {
    Format.STABLEFORD: "Points",
    Format.MODIFIED_STABLEFORD: "Points",
    Format.MEDAL: "Net",
    Format.PAR: "+ 0 –",
    Format.MAXIMUM_SCORE: "Counts",
}
_TOTALS = {
    Format.STABLEFORD: ("Points",),
    Format.MODIFIED_STABLEFORD: ("Points",),
    Format.MEDAL: ("Gross", "Net"),
    Format.PAR: ("Holes up",),
    Format.MAXIMUM_SCORE: ("Gross", "Net"),
}
_GROSS_TOTALS = _TOTALS | {Format.MEDAL: ("Gross",), Format.MAXIMUM_SCORE: ("Gross",)}


def _blank(line: HandicapLine, round_: Round, terms: Terms) -> Blank:
    numbers = round_numbers(round_)
    nothing: list[None] = [None] * len(numbers)
    card = line.card or {}
    pars, indexes, yards = (
        list(cast("list[int | None]", card.get(name) or nothing))
        for name in ("par", "stroke_index", "yards")
    )
    return Blank(
        tee=line.tee.name if line.tee else "",
        brought=heading_of(line),
        holes=tuple(map(HoleOnCard, numbers, yards, pars, indexes)),
        value=_VALUES[terms.scoring],
        notes=_notes(line, terms),
        totals=_TOTALS[terms.scoring] if terms.net else _GROSS_TOTALS[terms.scoring],
    )


def round_numbers(round_: Round) -> list[int]:
    """The numbers of the holes in play."""
    return list(RatedHoles(round_.holes).numbers)


def dots_of(shots: int) -> str:
    """A dot for each shot received, a ring for each given back; above three the figure and one."""
    sign = "●" if shots > 0 else "○"
    return sign * abs(shots) if abs(shots) < 4 else f"{abs(shots)}{sign}"


def _sum(figures: list[int | None]) -> str:
    return "" if None in figures else f"{sum(f for f in figures if f is not None):,}"


def _notes(line: HandicapLine | None, terms: Terms) -> tuple[str, ...]:
    said = []
    if not terms.net:
        said.append("Gross: no shots are received.")
    elif line is not None and line.plays is not None and line.plays.playing < 0:
        said.append("Rings are shots you give back.")
    else:
        said.append("Dots are shots received.")
    said += _GAME_NOTES.get(terms.scoring, ())
    if terms.scoring is Format.MAXIMUM_SCORE and terms.maximum_hole_score is not None:
        said.append(_maximum(terms.maximum_hole_score.kind, terms.maximum_hole_score.number))
    return tuple(said)


_GAME_NOTES = {
    Format.STABLEFORD: ("Two points: par plus dots.", "No score: write a dash."),
    Format.MODIFIED_STABLEFORD: ("Points by the table of the day.", "No score: write a dash."),
    Format.MEDAL: ("Every hole wants a score.", "Net total: gross less what you play off."),
    Format.PAR: ("Par plus dots is a half: 0.", "Better +, worse or no score –."),
}


def _maximum(kind: MaximumKind, number: int) -> str:
    return {
        MaximumKind.NET_DOUBLE_BOGEY: "Most on a hole: par, two and dots.",
        MaximumKind.OVER_PAR: f"Most on a hole: {number} over par.",
        MaximumKind.FIXED: f"Most on a hole: {number}.",
        MaximumKind.TIMES_PAR: f"Most on a hole: {number} times par.",
    }[kind]
