"""What people send about a card: boxes, one line, JSON. Shape only; nothing is saved here."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from uuid import UUID, uuid4

from django.http import QueryDict

from scoring.cards.bridge import CardReading
from scoring.cards.rules.strokes import Read, read_boxes, read_line, read_values
from scoring.cards.rules.table import CardTable, Hole, gross
from scoring.cards.rules.words import Record
from scoring.rules.strict_json import Refused, read_json
from society.web.refusals import BadInput

LARGEST_BODY = 64 * 1024
_JSON_KEYS = {"record", "uuid", "parent", "strokes", "right", "claimed_at"}


def read_uuid(text: object, what: str = "uuid") -> UUID:
    """A UUID as everybody writes it; BadInput for anything else."""
    if isinstance(text, str) and len(text) == 36:
        try:
            return UUID(text)
        except ValueError:
            pass
    raise BadInput(f"The {what} of this sending cannot be read. Load the card again.")


def maybe_uuid(text: object, what: str = "parent") -> UUID | None:
    """A UUID, or None for nothing."""
    return None if text in (None, "") else read_uuid(text, what)


@dataclass(frozen=True, slots=True)
class Row:
    """One hole of the form: what is shown in the box, beside it and under it."""

    hole: Hole
    text: str
    none: bool
    value: int | None
    shown: bool
    wrong: str
    ask: int | None
    right: bool

    @property
    def worth(self) -> str:
        """The table of score → value, for the page's script."""
        return json.dumps(self.hole.worth, separators=(",", ":"))


class CardForm:
    """The whole card, a box for each hole. `data` is what was sent, None when it is opened."""

    def __init__(
        self,
        table: CardTable,
        reading: CardReading,
        record: Record,
        data: QueryDict | None = None,
    ) -> None:
        self.table, self.record = table, record
        last = reading.records.get(record)
        self.before = last.strokes if last else None
        self.data = data
        self.refusal = ""
        self.numbers = table.numbers
        if data is None:
            self.uuid, self.parent = str(uuid4()), str(last.uuid) if last else ""
            self.texts = ["" if one is None else str(one) for one in self.before or self._blank()]
            self.none = self._none_before()
            self.right: frozenset[int] = frozenset()
            self.read = Read(())
        else:
            self._bind(data)

    def _blank(self) -> Sequence[int | None]:
        return (None,) * len(self.numbers)

    def _none_before(self) -> frozenset[int]:
        if self.before is None:
            return frozenset()
        pairs = zip(self.numbers, self.before, strict=True)
        return frozenset(hole for hole, one in pairs if one is None)

    def _bind(self, data: QueryDict) -> None:
        self.uuid, self.parent = data.get("uuid", ""), data.get("parent", "")
        self.texts = [data.get(f"h{hole}", "")[:40] for hole in self.numbers]
        self.none = frozenset(hole for hole in self.numbers if data.get(f"n{hole}"))
        self.right = ticked(data)
        self._latest_wins()
        self.read = read_boxes(self.texts, self.numbers, none=self.none, right=self.right)

    def _latest_wins(self) -> None:
        """A box and its tick that contradict each other: the one changed since saving is meant."""
        if self.before is None:
            return
        for at, (hole, old) in enumerate(zip(self.numbers, self.before, strict=True)):
            if hole not in self.none or not self.texts[at].strip():
                continue
            if old is None:
                self.none -= {hole}
            elif self.texts[at].strip() == str(old):
                self.texts[at] = ""

    @property
    def is_bound(self) -> bool:
        """Whether something was sent."""
        return self.data is not None

    @property
    def problems(self) -> list[dict[str, str]]:
        """What the error summary lists, each with the place to jump to."""
        if not self.is_bound:
            return []
        found = [(hole, words, f"#h{hole}" if hole else "") for hole, words in self.read.problems]
        for hole, score in self.read.asks:
            words = f"{score} on hole {hole}: tick that it is right, or change it."
            found.append((hole, words, f"#right-{hole}"))
        return [
            {"words": words, **({"href": href} if href else {})} for _, words, href in sorted(found)
        ]

    @property
    def rows(self) -> list[Row]:
        """The holes in order."""
        wrong = dict(self.read.problems)
        asks = dict(self.read.asks)
        strokes = self._strokes_shown()
        values = self.table.values(strokes)
        return [
            Row(
                hole=hole,
                text=text,
                none=hole.number in self.none,
                value=value,
                shown=one is not None or hole.number in self.none,
                wrong=wrong.get(hole.number, ""),
                ask=asks.get(hole.number),
                right=hole.number in self.right,
            )
            for hole, text, one, value in zip(
                self.table.holes, self.texts, strokes, values, strict=True
            )
        ]

    def _strokes_shown(self) -> Sequence[int | None]:
        if not self.is_bound:
            return self.before or self._blank()
        if self.read.strokes:
            return self.read.strokes
        found = [read_boxes([text], [1], right=frozenset({1})) for text in self.texts]
        return [one.strokes[0] if one.strokes else None for one in found]

    @property
    def nines(self) -> list[dict[str, Any]]:
        """The rows in nines, each with its sums, as the table shows them."""
        rows, strokes = self.rows, self._strokes_shown()
        halves = []
        for name, part in (("Out", slice(0, 9)), ("In", slice(9, 18))):
            if rows[part]:
                halves.append(
                    {
                        "name": name if len(rows) > 9 else "Sum",
                        "rows": rows[part],
                        "par": sum(row.hole.par for row in rows[part]),
                        "gross": gross(strokes[part]),
                        "value": _sum(row.value for row in rows[part] if row.shown),
                    }
                )
        return halves

    @property
    def gross(self) -> int:
        """The strokes written so far."""
        return gross(self._strokes_shown())

    @property
    def total(self) -> int:
        """The running total over the holes that have a value so far."""
        return self.table.begins_at + _sum(row.value for row in self.rows if row.shown)

    @property
    def written(self) -> int:
        """How many holes have a figure or the tick for no score."""
        return sum(row.shown for row in self.rows)


def _sum(values: Any) -> int:
    return sum(value for value in values if value is not None)


def ticked(data: QueryDict) -> frozenset[int]:
    """The holes whose high score is confirmed."""
    return frozenset(int(text) for text in data.getlist("right") if text in _HOLES)


_HOLES = frozenset(str(hole) for hole in range(1, 19))


@dataclass(frozen=True, slots=True)
class Sent:
    """Figures sent as JSON, read without guessing."""

    record: Record
    uuid: UUID
    parent: UUID | None
    read: Read
    claimed_at: datetime | None


def read_sent(body: bytes, holes: Sequence[int]) -> Sent:
    """The JSON a phone sends. Raises BadInput; bad figures are in `read.problems`."""
    if len(body) > LARGEST_BODY:
        raise BadInput("That is more than a card. Nothing was kept.")
    try:
        found = read_json(body)
    except Refused as refused:
        raise BadInput(f"The card cannot be read: {refused}.") from refused
    except RecursionError:
        raise BadInput("The card cannot be read.") from None
    if not isinstance(found, dict):
        raise BadInput("The card cannot be read: it is no object.")
    if unknown := sorted(set(found) - _JSON_KEYS):
        raise BadInput(f"The card cannot be read: {unknown[0][:40]!r} is no part of it.")
    return Sent(
        record=_record(found.get("record", Record.PLAYER)),
        uuid=read_uuid(found.get("uuid")),
        parent=maybe_uuid(found.get("parent")),
        read=read_values(found.get("strokes"), holes, right=_right(found.get("right", []))),
        claimed_at=_moment(found.get("claimed_at")),
    )


def _record(text: object) -> Record:
    if text in (Record.PLAYER, Record.MARKER):
        return Record(str(text))
    raise BadInput("The card cannot be read: whose figures are they, player or marker?")


def _right(value: object) -> frozenset[int]:
    if isinstance(value, list) and all(type(hole) is int and 1 <= hole <= 18 for hole in value):
        return frozenset(value)
    raise BadInput("The card cannot be read: the confirmed holes are a list of numbers.")


def _moment(text: object) -> datetime | None:
    """The phone's own time, kept as a claim; it must carry its zone."""
    if text is None:
        return None
    try:
        moment = datetime.fromisoformat(text) if isinstance(text, str) else None
        if moment is not None and moment.utcoffset() is not None:
            moment.astimezone(UTC)
            return moment
    except (ValueError, OverflowError):
        pass
    raise BadInput("The card cannot be read: the time of writing is no time with its zone.")


def chosen_figures(
    data: QueryDict, reading: CardReading, record: Record
) -> tuple[list[int | None], list[int | None]]:
    """The figures of a record as they are, and with the choices for the holes that differ.

    For each such hole `data` says "player" or "marker". Raises BadInput for a hole without one.
    The committee starts from the player's figures.
    """
    versions = {one: reading.records[one].strokes for one in (Record.PLAYER, Record.MARKER)}
    base = list(versions.get(record, versions[Record.PLAYER]))
    chosen = list(base)
    for hole, _, _ in reading.differences:
        choice = data.get(f"h{hole}", "")
        if choice not in versions:
            raise BadInput(f"Choose the right figure for hole {hole}.", field=f"h{hole}")
        at = reading.holes.index(hole)
        chosen[at] = versions[Record(choice)][at]
    return base, chosen


class TypeForm:
    """A paper card from the keyboard: whose, in one line or box by box, and the tick."""

    def __init__(self, numbers: tuple[int, ...], data: Mapping[str, str] | None = None) -> None:
        self.numbers = numbers
        sent = data or {}
        self.is_bound = data is not None
        self.card = sent.get("card", "")
        self.uuid, self.parent = sent.get("uuid", "") or str(uuid4()), sent.get("parent", "")
        self.opened = sent.get("opened", "")
        self.line = sent.get("line", "")[:400]
        self.texts = [sent.get(f"h{hole}", "")[:40] for hole in numbers]
        self.seen, self.sticky = bool(sent.get("seen")), bool(sent.get("sticky"))
        self.words, self.witness = sent.get("words", "")[:500], sent.get("witness", "")[:200]
        self.right = ticked(data) if isinstance(data, QueryDict) else frozenset()
        self.refusal = ""
        self.read = self._read() if self.is_bound else Read(())

    def _read(self) -> Read:
        boxes = any(text.strip() for text in self.texts)
        if self.line.strip() and boxes:
            words = "Write the card in one line or in the boxes, not in both."
            return Read((), ((0, words),))
        if boxes:
            return read_boxes(self.texts, self.numbers, right=self.right)
        return read_line(self.line, self.numbers, right=self.right)

    @property
    def boxes(self) -> list[dict[str, object]]:
        """The boxes in order, each with what is wrong in it."""
        wrong = dict(self.read.problems)
        in_boxes = not self.line.strip()
        return [
            {"hole": hole, "text": text, "wrong": wrong.get(hole, "") if in_boxes else ""}
            for hole, text in zip(self.numbers, self.texts, strict=True)
        ]

    @property
    def right_kept(self) -> list[int]:
        """High scores confirmed before, carried along while something else is wrong."""
        return sorted(self.right - {hole for hole, _ in self.read.asks})

    @property
    def by_boxes(self) -> bool:
        """Whether the boxes are in use."""
        return any(text.strip() for text in self.texts)
