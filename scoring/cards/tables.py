"""Cards in and out: one line for each card of the field, and the figures over them."""

from collections import Counter
from dataclasses import dataclass

from scoring.cards.bridge import CardReading
from scoring.cards.queries import cards_of, step_of, tables_of
from scoring.cards.rules.table import CardTable
from scoring.cards.rules.words import Capacity, CardState, Record
from society.entries.rules.words import IN
from society.fixtures.models import Round

STATES = {
    CardState.OUT: ("pencil", "Missing"),
    CardState.STARTED: ("pencil", "Written, not signed"),
    CardState.WAITING: ("pencil", "One signature missing"),
    CardState.RETURNED: ("ink", "Returned"),
    CardState.CHECKED: ("ink", "Checked"),
    CardState.QUERIED: ("act", "Queried"),
}


@dataclass(frozen=True, slots=True)
class Line:
    """One card of the field."""

    reading: CardReading
    table: CardTable | None
    has_namesake: bool = False

    @property
    def public_id(self) -> str:
        return self.reading.public_id

    @property
    def player(self) -> str:
        return self.reading.start.entry.player.name

    @property
    def called(self) -> str:
        """The player's name, and what tells namesakes of the field apart: what they play off."""
        if not self.has_namesake or self.table is None:
            return self.player
        playing = self.table.playing
        return f"{self.player}, plays off {f'+{-playing}' if playing < 0 else playing}"

    @property
    def marker(self) -> str:
        signed = self.reading.sign_of(Capacity.MARKER)
        if signed is not None and signed.name:
            return signed.name
        marker = self.reading.start.marker
        return marker.player.name if marker else ""

    @property
    def is_in(self) -> bool:
        """Whether the card is returned."""
        return self.reading.state in (CardState.RETURNED, CardState.CHECKED)

    @property
    def is_typed(self) -> bool:
        """Whether a committee record is there."""
        return Record.COMMITTEE in self.reading.records

    @property
    def kind(self) -> str:
        """The material of the state: pencil, ink or act."""
        return STATES[self.reading.state][0]

    @property
    def state_words(self) -> str:
        return STATES[self.reading.state][1]

    @property
    def said(self) -> str:
        """The total in words, empty while nothing is written."""
        if self.table is None or self.reading.strokes is None:
            return ""
        return self.table.said(self.reading.strokes)

    @property
    def total(self) -> int | None:
        """The total as a figure."""
        if self.table is None or self.reading.strokes is None:
            return None
        return self.table.total(self.reading.strokes)

    @property
    def wants(self) -> str:
        """What an officer has to do about it, empty for nothing."""
        reading = self.reading
        if reading.held:
            return "Figures are kept beside this card: take them or leave them out."
        if reading.differences:
            holes = [str(hole) for hole, _, _ in reading.differences]
            where = f"hole {holes[0]}" if len(holes) == 1 else f"holes {', '.join(holes)}"
            return f"Player and marker differ on {where}."
        if reading.question is not None and reading.question.is_open:
            return f"Asked: {reading.question.words}"
        if reading.typed_by_player:
            return "Typed by its player; somebody else should confirm it."
        if reading.one_account:
            return "Both signatures were given from one account."
        return ""


@dataclass(frozen=True, slots=True)
class Group:
    """The lines of one group; number None for those without one."""

    number: int | None
    time: object
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Board:
    """All lines in the order of the draw."""

    lines: tuple[Line, ...]

    def count(self, *states: CardState) -> int:
        """How many cards are in one of the states."""
        return sum(line.reading.state in states for line in self.lines)

    @property
    def came_in(self) -> int:
        return sum(line.is_in for line in self.lines)

    @property
    def missing(self) -> int:
        return self.count(CardState.OUT)

    @property
    def queried(self) -> int:
        return self.count(CardState.QUERIED)

    @property
    def waiting(self) -> int:
        """Written, but not certified by both."""
        return self.count(CardState.STARTED, CardState.WAITING)

    @property
    def held(self) -> int:
        return sum(len(line.reading.held) for line in self.lines)

    @property
    def wanting(self) -> list[Line]:
        """The lines an officer has to do something about."""
        return [line for line in self.lines if line.wants]

    @property
    def groups(self) -> list[Group]:
        """The lines by group, those without one last."""
        found: dict[int | None, list[Line]] = {}
        for line in self.lines:
            found.setdefault(line.reading.start.group, []).append(line)
        return [
            Group(number, lines[0].reading.start.time, tuple(lines))
            for number, lines in found.items()
        ]

    @property
    def groups_out(self) -> int:
        """Groups of which no card is written at all."""
        return sum(
            all(line.reading.state is CardState.OUT for line in group.lines)
            for group in self.groups
        )

    def line(self, public_id: str) -> Line | None:
        """The line of a card."""
        return next((line for line in self.lines if line.public_id == public_id), None)

    def next_after(self, public_id: str) -> str:
        """The next card still to be typed after this one, round and round; empty if none."""
        ids = [line.public_id for line in self.lines]
        at = ids.index(public_id) + 1 if public_id in ids else 0
        for line in (*self.lines[at:], *self.lines[:at]):
            if line.reading.state is CardState.OUT:
                return line.public_id
        return ""


def in_and_out(round_: Round) -> Board:
    """How all cards of a round stand, in a constant number of queries.

    Those who withdrew or did not turn up are left out.
    """
    readings, tables = cards_of(round_), tables_of(round_)
    present = {key: one for key, one in readings.items() if step_of(one.start) in IN}
    names = Counter(one.start.entry.player.name.casefold() for one in present.values())
    return Board(
        tuple(
            Line(one, tables.get(key), names[one.start.entry.player.name.casefold()] > 1)
            for key, one in present.items()
        )
    )
