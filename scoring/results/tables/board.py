"""A standing laid out for people: rows, those without a place, divisions, one card in full."""

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Any

from scoring.cards.rules.words import CardState
from scoring.results.queries.standings import Standing, tee_names
from scoring.results.rules import ACCEPTED, RULING_WORDS, STATUS_WORDS, ruling_words
from scoring.rules.lines import extra_strokes
from scoring.rules.playing import NO_CARD
from scoring.rules.values import STROKE_TOTALS, AfterCountback, Category, Format

RANGE = re.compile(r"(?<=\d)-(?=\d)")
_ON_THE_BOARD = 3
LOWER_HANDICAP = AfterCountback.LOWER_HANDICAP.value
PENCIL = {
    CardState.STARTED: "not signed yet",
    CardState.WAITING: "one signature missing",
    CardState.QUERIED: "queried",
}
FORMAT_WORDS = {
    Format.STABLEFORD: "Stableford",
    Format.MODIFIED_STABLEFORD: "Modified Stableford",
    Format.MEDAL: "Medal",
    Format.PAR: "Par",
    Format.MAXIMUM_SCORE: "Maximum score",
}
_TOTAL_HEADS = {Format.PAR: "Holes", Format.MEDAL: "Net", Format.MAXIMUM_SCORE: "Net"}


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a standing, every figure ready to be written.

    `why` stands under the upper row of a tie; `pencil` says what a card still waits for; `tee`
    is empty where all tees have one name; `new` says from when a newcomer may win.
    """

    key: str
    place: int
    joint: bool
    name: str
    mine: bool
    gold: bool
    off: str
    out: str
    home: str
    total: str
    why: str
    pencil: str
    tee: str
    new: str


@dataclass(frozen=True, slots=True)
class NoPlace:
    """One line of those without a place."""

    key: str
    name: str
    mine: bool
    words: str
    has_card: bool


@dataclass(frozen=True, slots=True)
class RulingLine:
    """A ruling as everyone reads it; an order names several keys."""

    keys: tuple[str, ...]
    name: str
    what: str
    rule: str
    reason: str


@dataclass(frozen=True, slots=True)
class Board:
    """A standing, or that of one division, with its heads.

    `over` and `sub` are the lines above and below the title; `columns` how wide the table is.
    `divisions`: (name, size, whether it is the one shown); the whole field has the name "".
    `winner`: who wins where the first place is a newcomer's; else empty.
    """

    rows: tuple[Row, ...]
    no_place: tuple[NoPlace, ...]
    still_out: tuple[NoPlace, ...]
    divisions: tuple[tuple[str, int, bool], ...]
    total_head: str
    halves: tuple[str, str] | None
    rulings: tuple[RulingLine, ...]
    has_field: bool
    over: str
    sub: str
    tees: str
    winner: str

    @property
    def columns(self) -> int:
        """How many columns stand beside the margin."""
        return 6 if self.halves else 4


def board_of(standing: Standing, mine: Collection[str] = (), division: str = "") -> Board:
    """Lay out a standing. `mine`: public ids of the reader's players.

    Raises KeyError for a division nobody carries.
    """
    answer = standing.answer
    lists = answer["divisions"][division] if division else answer
    format_, net = format_of(standing.document)
    own = {key for key, person in standing.people.items() if person.player in mine}
    nobody = [
        NoPlace(
            key=row["player"],
            name=standing.name_of(row["player"]),
            mine=row["player"] in own,
            words=status_words(row),
            has_card=row["player"] in standing.document["cards"],
        )
        for row in lists["unplaced"]
    ]
    tees = tee_names(standing) if several_tees(standing) else {}
    without = {row["player"] for row in lists["unplaced"] if row["status"] == NO_CARD}
    return Board(
        rows=_rows(standing, lists["standings"], own, format_, _told_on_rows(tees)),
        no_place=tuple(row for row in nobody if row.key not in without),
        still_out=tuple(row for row in nobody if row.key in without),
        divisions=_divisions(answer, division),
        total_head=total_head(format_, net),
        halves=("1–9", "10–18") if len(standing.holes) == 18 else None,
        rulings=ruling_lines(standing),
        has_field=bool(standing.document["players"]),
        over=f"{standing.competition.fixture.season}, {standing.round.course}",
        sub=_sub(standing),
        tees=tees_words(standing, tees),
        winner=standing.newcomers.winner(
            [
                (row["place"], _player(standing, row["player"]), standing.name_of(row["player"]))
                for row in lists["standings"]
            ],
            final=standing.is_final,
        ),
    )


def _player(standing: Standing, key: str) -> str:
    return standing.people[key].player if key in standing.people else ""


def several_tees(standing: Standing) -> bool:
    """Whether the field plays from more than one card of the course."""
    return len({player["tee"] for player in standing.document["players"].values()}) > 1


def _told_on_rows(tees: Mapping[str, str]) -> Mapping[str, str]:
    """The tees as rows tell them: not where all have one name and only the category differs."""
    bare = {
        next((n for c in Category if (n := name.removesuffix(f" ({c})")) != name), name)
        for name in tees.values()
    }
    return tees if len(bare) > 1 else {}


def tees_words(standing: Standing, tees: Mapping[str, str]) -> str:
    """What different tees mean for the scores, in a sentence; empty where all play the same.

    Rules of Handicapping 2024, Rule 6.2b.
    """
    event = standing.event
    if not tees or event is None:
        return ""
    pars = {player.tee.key: player.tee.total_par for player in event.players.values()}
    said = [f"{tees.get(key, key)}, par {par}" for key, par in pars.items()]
    played = f"Played from {'; '.join(sorted(said))}."
    if not event.terms.stroke_total:
        return f"{played} Each hole counts against the par of the player’s own tee."
    extra = extra_strokes(event)
    given = [f"{tees.get(key, key)} {strokes}" for key, strokes in extra.items() if strokes]
    if not given:
        return f"{played} No strokes are added for the tee."
    added = ", ".join(sorted(given))
    return (
        f"{played} Strokes added for the higher par, in the playing handicap: {added} (Rule 6.2b)."
    )


def _sub(standing: Standing) -> str:
    """What was played, in half a line: "Stableford, 95 % of course handicap, 26 cards"."""
    terms = standing.document["terms"]
    format_, net = format_of(standing.document)
    words = [FORMAT_WORDS.get(format_, format_.value)]
    if not net:
        words.append("gross")
    elif "allowance" in terms:
        words.append(f"{terms['allowance']}\u00a0% of course handicap")
    if standing.is_final:
        played = len(standing.answer["standings"])
        words.append(f"{played} {'place' if played == 1 else 'places'}")
    return ", ".join(words)


def format_of(document: Mapping[str, Any]) -> tuple[Format, bool]:
    """The format of a document, and whether it is net."""
    terms = document["terms"]
    return Format(terms["format"]), terms.get("basis", "net") == "net"


def total_head(format_: Format, net: bool) -> str:
    """What stands over the totals."""
    if format_ in STROKE_TOTALS and not net:
        return "Gross"
    return _TOTAL_HEADS.get(format_, "Points")


def status_words(row: Mapping[str, Any]) -> str:
    """Why an unplaced row of an answer has no place."""
    words = STATUS_WORDS[row["status"]]
    return f"{words} (Rule {row['rule']})" if row["rule"] else words


def _divisions(answer: Mapping[str, Any], shown: str) -> tuple[tuple[str, int, bool], ...]:
    if not answer["divisions"]:
        return ()
    named = {"": answer, **answer["divisions"]}
    return tuple(
        (name, len(lists["standings"]) + len(lists["unplaced"]), name == shown)
        for name, lists in named.items()
    )


def _rows(
    standing: Standing,
    rows: Sequence[Mapping[str, Any]],
    own: Collection[str],
    format_: Format,
    tees: Mapping[str, str],
) -> tuple[Row, ...]:
    two_halves = len(standing.holes) == 18
    made = []
    # The engine orders a shared place by key; people look for names.
    rows = sorted(rows, key=lambda row: (row["place"], standing.name_of(row["player"])))
    for row, below in zip_longest(rows, rows[1:]):
        key, values = row["player"], row["values"]
        state = standing.state_of(key)
        made.append(
            Row(
                key=key,
                place=row["place"],
                joint=row["tied"],
                name=standing.name_of(key),
                mine=key in own,
                gold=standing.is_final and row["place"] <= _ON_THE_BOARD,
                off=plays_off(row["playing_handicap"]),
                out=str(sum(values[:9])) if two_halves else "",
                home=str(sum(values[9:])) if two_halves else "",
                total=total_words(row["total"], format_),
                why=_why(standing, row, below),
                pencil=PENCIL.get(state, "") if state else "",
                tee=tees.get(standing.document["players"][key]["tee"], ""),
                new=standing.newcomers.words(_player(standing, key)),
            )
        )
    return tuple(made)


def _why(standing: Standing, row: Mapping[str, Any], below: Mapping[str, Any] | None) -> str:
    """What stands under the upper row of a tie.

    The engine's sentence where it says that the row won, shares its place or was ordered; for a
    row in the middle of several that are level, what put it ahead of the next one.
    """
    if row["tied"]:
        return settled_words(row["settled"])
    if below is None or below["total"] != row["total"]:
        return ""
    if row["settled"].startswith(("lost", "placed")):
        name = standing.name_of(below["player"])
        by_handicap = standing.document["terms"].get("after_countback") == LOWER_HANDICAP
        return _ahead(row, below, name, by_handicap) or settled_words(row["settled"])
    return settled_words(row["settled"])


def _ahead(row: Mapping[str, Any], below: Mapping[str, Any], name: str, by_handicap: bool) -> str:
    """On which range a row is ahead of the next, with both figures; empty if on none."""
    level: list[str] = []
    for label, figure in row["trail"].items():
        words, other = label.replace("-", "–"), below["trail"].get(label)
        if other != figure:
            on = f"{'holes' if '-' in label else 'hole'} {words}, {figure} v {other}"
            before = f" (level on {', '.join(level)})" if level else ""
            return "" if other is None else f"Ahead of {name} on {on}{before}"
        level.append(f"{words} at {figure}")
    own, other = row["playing_handicap"], below["playing_handicap"]
    if own == other or not by_handicap:
        return ""
    return f"Ahead of {name} by the lower handicap, {plays_off(own)} v {plays_off(other)}"


def plays_off(playing: int) -> str:
    """A playing handicap as people write it: +2 for a plus player."""
    return f"+{-playing}" if playing < 0 else str(playing)


def total_words(total: int, format_: Format) -> str:
    """A total as people write it: +3 or −2 in par play."""
    if format_ is Format.PAR and total:
        return f"+{total}" if total > 0 else f"−{-total}"
    return str(total)


def settled_words(settled: str) -> str:
    """The engine's sentence as it stands on the board: a capital, and dashes in ranges."""
    return RANGE.sub("–", settled[:1].upper() + settled[1:])


def ruling_lines(standing: Standing) -> tuple[RulingLine, ...]:
    """The rulings that stand, ours included, as everyone reads them."""
    made = []
    for said in standing.document.get("rulings", []):
        keys = tuple(said.get("players", [said.get("player")]))
        names = ", ".join(standing.name_of(key) for key in keys)
        what = _what(said, standing.holes)
        made.append(RulingLine(keys, names, what, said.get("rule", ""), said.get("reason", "")))
    for row in standing.accepted:
        if row.entry is not None:
            key, what = row.entry.key, RULING_WORDS[ACCEPTED]
            made.append(RulingLine((key,), standing.name_of(key), what, row.rule, row.reason))
    return tuple(made)


def _what(said: Mapping[str, Any], holes: Sequence[int]) -> str:
    at = {"hole": holes[said["hole"] - 1]} if "hole" in said else {}
    return ruling_words(said["kind"], {**said, **at})
