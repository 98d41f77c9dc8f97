"""What a player is taken at on a day: the line of the record, the cuts on top, the maximum.

In that order, each kept beside the figure, so that it can be followed by hand. A cut is a row with
steps that end by themselves; a figure that the society or the committee wrote down anew includes
the cuts before it, an association's index knows nothing of them.

>>> rules = HandicapRules(Basis.WITH_CUTS, maximum={"men": 12})
>>> line = Line("l", 1, HandicapKind.INDEX, Decimal("14.2"), Source.ASSOCIATION, date(2026, 5, 3))
>>> cut = Cut("c", date(2026, 5, 10), (CutStep(Decimal(-2), date(2027, 5, 10)),), "Won in May.")
>>> found = used(rules, Whom(1, "men"), [line], [cut], date(2026, 6, 1))
>>> found.value, found.maximum
(Decimal('12'), 12)
>>> print(found.words)
Index 14.2 of the association, from 3 May 2026; 2 shots off: Won in May, until 10 May 2027; \
at most 12 for men: 12.2 becomes 12.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import ROUND_FLOOR, Decimal
from typing import Any

from scoring.rules.strict_json import canonical, read_json
from scoring.rules.values import HandicapKind
from scoring.rules.working import Step
from society.handicaps.rules.cuts.steps import line_on
from society.handicaps.rules.cuts.values import Step as CutStep
from society.handicaps.rules.figures import (
    HIGHEST,
    LOWEST,
    Source,
    called,
    written,
    written_of,
)
from society.handicaps.rules.season import Basis, HandicapRules
from society.web.rules import day_words

_OWN = (Source.SOCIETY, Source.COMMITTEE)
FIRST_FIGURES = (Source.CARDS, Source.COMMITTEE, Source.STATED)


@dataclass(frozen=True, slots=True)
class Whom:
    """For whom a figure is asked: a player, how it enters, and the public id of the entry."""

    player: int
    category: str
    guest: bool = False
    entry: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the record. `id`: public, `row`: inside; `written`: the moment, as text that sorts.

    `causes`: public ids of what led to it. `ended`: from its day there is none of this kind and
    source.
    """

    id: str
    row: int
    kind: HandicapKind
    value: Decimal
    source: Source
    valid_from: date
    written: str = ""
    causes: tuple[str, ...] = ()
    ended: bool = False

    @property
    def in_words(self) -> str:
        """The line with its source and its day: "index 14.2 of the association, from 3 May 2026".

        Only an association issues an index, so every other one is called a society handicap.
        """
        return f"{self.figure}, from {day_words(self.valid_from)}"

    @property
    def figure(self) -> str:
        """The line without its day."""
        value = written_of(self.kind, self.value)
        return f"{called(self.kind, self.source)} {value}{_FROM[self.source]}"


_FROM = {
    Source.ASSOCIATION: " of the association",
    Source.SOCIETY: " written down by the society",
    Source.COMMITTEE: " set by the committee",
    Source.STATED: " as stated",
    Source.CARDS: " worked out from cards",
}


@dataclass(frozen=True, slots=True)
class Cut:
    """A confirmed cut: its steps follow each other from `since` on."""

    id: str
    since: date
    steps: tuple[CutStep, ...]
    because: str
    written: str = ""


@dataclass(frozen=True, slots=True)
class RunningCut:
    """A cut on one day: what comes off (below zero) or on, and when this step of it ends."""

    id: str
    shots: Decimal
    since: date
    until: date | None
    because: str

    @property
    def in_words(self) -> str:
        """How much, why and until when."""
        because = self.because.strip().rstrip(".")
        said = f"{shots_words(self.shots)}: {because}"
        return f"{said}, until {day_words(self.until)}" if self.until else said


@dataclass(frozen=True, slots=True)
class Used:
    """What a player is taken at, and how it comes about.

    `exact`: base and cuts before rounding and limits. `other`: of two figures the one that was not
    lower. `maximum`: the highest for this player, whether it bites or not. `touched`: when the
    latest of all that it was worked out from was written, as text that sorts, what ended or was
    taken back too; empty where it was read from what a row kept.
    """

    basis: Basis
    kind: HandicapKind
    value: Decimal
    exact: Decimal
    base: Line
    other: Line | None
    cuts: tuple[RunningCut, ...]
    maximum: int | None
    whom: str
    touched: str = field(default="", compare=False)

    @property
    def limited(self) -> Decimal:
        """The figure within the limits of its kind, a playing handicap rounded; no maximum yet."""
        return _limited(self.exact, self.kind)

    @property
    def capped(self) -> bool:
        """Whether the maximum lowers the figure."""
        return self.maximum is not None and self.limited > self.maximum

    @property
    def changed(self) -> bool:
        """Whether cuts or a limit made another figure of the line of the record."""
        return self.value != self.base.value

    @property
    def plain(self) -> bool:
        """Whether it is one line of the record as it stands."""
        return self.other is None and not self.cuts and not self.changed

    @property
    def called(self) -> str:
        """What the figure is called."""
        return called(self.kind, self.base.source, as_it_stands=not self.changed)

    @property
    def words(self) -> str:
        """The whole way in one sentence."""
        said = "; ".join(self._parts())
        return f"{said[0].upper()}{said[1:]}."

    def _parts(self) -> list[str]:
        parts = [self._base_words()]
        parts += [cut.in_words for cut in self.cuts]
        if self.limited != self.exact:
            parts.append(self._limit_words())
        if self.maximum is not None:
            parts.append(self._maximum_words())
        return parts

    def _base_words(self) -> str:
        if self.other is None:
            return self.base.in_words
        return f"the lower of two: {self.base.in_words}, and not {self.other.in_words}"

    def _limit_words(self) -> str:
        became = written_of(self.kind, self.limited)
        if self.kind is HandicapKind.PLAYING and LOWEST[self.kind] <= self.exact:
            return f"{written(self.exact)} is rounded to {became}, a half upwards"
        return f"{written_of(self.kind, self.exact)} is out of the limits and becomes {became}"

    def _maximum_words(self) -> str:
        said = f"at most {self.maximum} for {self.whom}"
        if not self.capped:
            return said
        return f"{said}: {written_of(self.kind, self.limited)} becomes {written(self.value)}"

    @property
    def steps(self) -> tuple[Step, ...]:
        """The way as lines of a working; empty where the line of the record stands as it is."""
        if self.plain:
            return ()
        found = [
            Step(
                _titled(self.base),
                written_of(self.kind, self.base.value),
                words=_sentence(self._base_words()),
            )
        ]
        figure = self.base.value
        for cut in self.cuts:
            was, figure = figure, figure + cut.shots
            sign = "−" if cut.shots < 0 else "+"
            found.append(
                Step(
                    "Society cut" if cut.shots < 0 else "Shots given back",
                    written_of(self.kind, figure),
                    f"{_signed(was)} {sign} {abs(cut.shots).normalize():f}",
                    _sentence(cut.in_words),
                )
            )
        if self.limited != self.exact:
            words = _sentence(self._limit_words())
            found.append(
                Step("Within its limits", written_of(self.kind, self.limited), words=words)
            )
        if self.maximum is not None:
            words = _sentence(self._maximum_words())
            found.append(
                Step("Maximum of the society", written_of(self.kind, self.value), words=words)
            )
        return tuple(found)


# which line, which cuts ------------------------------------------------------------------------


def used(
    rules: HandicapRules, whom: Whom, lines: Iterable[Line], cuts: Iterable[Cut], on: date
) -> Used | None:
    """What a player is taken at on a day; None if the record has nothing that serves.

    `lines`: the latest of each kind and source on the day (others do no harm), those typed for the
    very entry too. `cuts`: confirmed ones that no other takes the place of.
    """
    known = [line for line in lines if line.valid_from <= on]
    begun = [cut for cut in cuts if cut.since <= on] if rules.takes_cuts else []
    base, other = _base(rules, whom, known)
    if base is None:
        return None
    running = tuple(_running(begun, base, on))
    exact = base.value + sum((cut.shots for cut in running), Decimal(0))
    maximum = rules.highest(whom.category, guest=whom.guest)
    limited = _limited(exact, base.kind)
    value = limited if maximum is None else min(limited, Decimal(maximum))
    of_guest = whom.guest and rules.guest_maximum is not None and maximum == rules.guest_maximum
    return Used(
        basis=rules.basis,
        kind=base.kind,
        value=value,
        exact=exact,
        base=base,
        other=other,
        cuts=running,
        maximum=maximum,
        whom="guests" if of_guest else whom.category,
        touched=_last_written(base, other, known, begun),
    )


def _last_written(
    base: Line, other: Line | None, lines: Sequence[Line], cuts: Sequence[Cut]
) -> str:
    """When the record last went on in what a figure goes by.

    A cut that was ended is a row in place of the earlier one, and a figure that was ended a line of
    its own: neither is in the figure, and both may have made it what it is.
    """
    found = [base.written, *(cut.written for cut in cuts)]
    found += [other.written] if other is not None else []
    found += [line.written for line in lines if line.ended and line.kind is base.kind]
    return max(found)


def days_too_old(rules: HandicapRules, found: Used | None, on: date) -> int | None:
    """How many days old a figure is on a day, where that is more than the rules allow; else None.

    >>> line = Line("l", 1, HandicapKind.INDEX, Decimal(9), Source.ASSOCIATION, date(2026, 3, 1))
    >>> rules = HandicapRules(stale_days=30)
    >>> found = used(rules, Whom(1, "men"), [line], [], date(2026, 4, 1))
    >>> days_too_old(rules, found, date(2026, 3, 31)), days_too_old(rules, found, date(2026, 4, 1))
    (None, 31)
    """
    if found is None or rules.stale_days is None:
        return None
    days = (on - found.base.valid_from).days
    return days if days > rules.stale_days else None


def _base(
    rules: HandicapRules, whom: Whom, lines: Sequence[Line]
) -> tuple[Line | None, Line | None]:
    """The line a figure starts from, and the other of two where the lower counts."""
    latest = _latest(lines)
    if rules.asked is HandicapKind.INDEX and whom.entry:
        # Typed for this very entry: what plays where no rating converts an index.
        typed = [
            line
            for line in lines
            if line.kind is HandicapKind.COURSE and whom.entry in line.causes and not line.ended
        ]
        typed = [line for line in typed if line.valid_from == max(t.valid_from for t in typed)]
        if typed:
            return max(typed, key=lambda line: line.row), None
    base, other = _by_basis(rules, latest)
    if base is None:
        base = _instead(rules, whom, latest)
    return base, other


def _by_basis(
    rules: HandicapRules, latest: Mapping[tuple[HandicapKind, Source], Line]
) -> tuple[Line | None, Line | None]:
    index = HandicapKind.INDEX
    issued = latest.get((index, Source.ASSOCIATION))
    own = latest.get((index, Source.CARDS)) or _newest(latest, index, _OWN)
    if rules.basis is Basis.LOWER:
        if issued is None or own is None:
            return issued or own, None
        return (issued, own) if issued.value <= own.value else (own, issued)
    if rules.basis is Basis.CARDS:
        return own, None
    if rules.basis in (Basis.ASSOCIATION, Basis.WITH_CUTS):
        return issued, None
    if rules.asked_source:
        return latest.get((rules.asked, Source(rules.asked_source))), None
    # A figure worked out from cards is taken only where the rules ask for it.
    written_down = [source for source in Source if source is not Source.CARDS]
    return _newest(latest, rules.asked, written_down), None


def _instead(
    rules: HandicapRules, whom: Whom, latest: Mapping[tuple[HandicapKind, Source], Line]
) -> Line | None:
    """For whoever lacks what is asked for: typed for this very entry, or as a guest states it."""
    committee = latest.get((rules.asked, Source.COMMITTEE))
    if committee is not None and whom.entry and whom.entry in committee.causes:
        return committee
    stated = latest.get((rules.asked, Source.STATED))
    if stated is not None and (whom.guest or (whom.entry and whom.entry in stated.causes)):
        return stated
    return _first_figure(latest) if rules.takes_first else None


def _first_figure(latest: Mapping[tuple[HandicapKind, Source], Line]) -> Line | None:
    """What whoever has no index yet begins with; a figure typed for one entry is of that one."""
    index = HandicapKind.INDEX
    found = [latest[index, source] for source in FIRST_FIGURES if (index, source) in latest]
    found = [line for line in found if line.source is Source.CARDS or not line.causes]
    return max(found, key=lambda line: (line.valid_from, line.row)) if found else None


def _latest(lines: Sequence[Line]) -> dict[tuple[HandicapKind, Source], Line]:
    """The latest line of each kind and source, without those that ended."""
    found: dict[tuple[HandicapKind, Source], Line] = {}
    for line in sorted(lines, key=lambda line: (line.valid_from, line.row)):
        found[line.kind, line.source] = line
    return {place: line for place, line in found.items() if not line.ended}


def _newest(
    latest: Mapping[tuple[HandicapKind, Source], Line],
    kind: HandicapKind,
    sources: Sequence[Source],
) -> Line | None:
    found = [latest[kind, source] for source in sources if (kind, source) in latest]
    return max(found, key=lambda line: (line.valid_from, line.row)) if found else None


def _running(cuts: Iterable[Cut], base: Line, on: date) -> Iterable[RunningCut]:
    for cut in sorted(cuts, key=lambda cut: (cut.since, cut.written, cut.id)):
        if _included(cut, base):
            continue
        runs = line_on(cut.since, cut.steps, on)
        if runs is not None and runs.shots:
            yield RunningCut(cut.id, runs.shots, cut.since, runs.until, cut.because)


def _included(cut: Cut, base: Line) -> bool:
    """Whether a figure written down by the society or the committee includes a cut already."""
    before = cut.since <= base.valid_from and cut.written < base.written
    return before and base.source in _OWN


def _limited(exact: Decimal, kind: HandicapKind) -> Decimal:
    value = exact
    if kind is HandicapKind.PLAYING:
        value = (exact + Decimal("0.5")).to_integral_value(ROUND_FLOOR)
    return min(max(value, LOWEST[kind]), HIGHEST[kind])


# kept as text ----------------------------------------------------------------------------------


def made_of(used: Used) -> str:
    """Canonical JSON of how a figure came about, for the row that freezes it."""
    return canonical(
        {
            "basis": used.basis.value,
            "base": _line_object(used.base),
            "other": None if used.other is None else _line_object(used.other),
            "cuts": [
                {
                    "id": cut.id,
                    "shots": cut.shots,
                    "since": cut.since.isoformat(),
                    "until": cut.until.isoformat() if cut.until else None,
                    "because": cut.because,
                }
                for cut in used.cuts
            ],
            "exact": used.exact,
            "maximum": used.maximum,
            "whom": used.whom,
            "kind": used.kind.value,
            "value": used.value,
        }
    )


def read_made(text: str) -> Used | None:
    """How a frozen figure came about, as `made_of` kept it; None where nothing was kept."""
    if not text:
        return None
    kept: Any = read_json(text)
    return Used(
        basis=Basis(kept["basis"]),
        kind=HandicapKind(kept["kind"]),
        value=Decimal(kept["value"]),
        exact=Decimal(kept["exact"]),
        base=_read_line(kept["base"]),
        other=None if kept["other"] is None else _read_line(kept["other"]),
        cuts=tuple(
            RunningCut(
                id=cut["id"],
                shots=Decimal(cut["shots"]),
                since=date.fromisoformat(cut["since"]),
                until=date.fromisoformat(cut["until"]) if cut["until"] else None,
                because=cut["because"],
            )
            for cut in kept["cuts"]
        ),
        maximum=kept["maximum"],
        whom=kept["whom"],
    )


def _line_object(line: Line) -> dict[str, object]:
    return {
        "id": line.id,
        "kind": line.kind.value,
        "value": line.value,
        "source": line.source.value,
        "from": line.valid_from.isoformat(),
    }


def _read_line(kept: Any) -> Line:
    return Line(
        id=kept["id"],
        row=0,
        kind=HandicapKind(kept["kind"]),
        value=Decimal(kept["value"]),
        source=Source(kept["source"]),
        valid_from=date.fromisoformat(kept["from"]),
    )


# words -----------------------------------------------------------------------------------------


def shots_words(shots: Decimal) -> str:
    """How much comes off or on.

    >>> shots_words(Decimal("-2.0")), shots_words(Decimal("-1")), shots_words(Decimal("0.5"))
    ('2 shots off', '1 shot off', '0.5 shots on')
    """
    count = written(abs(shots))
    return f"{count} shot{'' if count == '1' else 's'} {'off' if shots < 0 else 'on'}"


def _titled(line: Line) -> str:
    name = called(line.kind, line.source)
    return f"{name[0].upper()}{name[1:]}"


def _signed(value: Decimal) -> str:
    text = f"{abs(value).normalize():f}"
    return f"(−{text})" if value < 0 else text


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."
