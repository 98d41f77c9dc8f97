"""Which handicap the players of a season play off: rules as data, read, written and put in words.

Common practice (no source): societies play off an index, off a figure of their own, off the lower
of the two, or off an index with cuts of their own on top; a maximum by category is usual. Guests
and newcomers have rules of their own. A figure worked out here is a "society handicap"; only an
authorised association issues an index.

>>> rules = read_rules('{"basis":"lower","maximum":{"men":28}}')
>>> brief(rules)
'Played off: the lower of the association’s index and the society handicap; at most 28 for men.'
>>> read_rules(written_rules(rules)) == rules
True
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, TypeVar

from scoring.rules.strict_json import Refused, canonical, read_json
from scoring.rules.values import Category, HandicapKind
from society.handicaps.rules.cuts import words
from society.handicaps.rules.cuts.reading import cuts_object, read_cuts
from society.handicaps.rules.figures import KIND_NAMES, Source

USUAL_STALE_DAYS = 30
LEAST_MAXIMUM, MOST_MAXIMUM = 1, 54  # 54.0 is the highest index (Rules of Handicapping 2024, 5.3)
MOST_STALE_DAYS = 1000
MOST_NEWCOMER_EVENTS = 20


class Basis(StrEnum):
    """Where the figure of a player comes from."""

    WRITTEN = "written"
    ASSOCIATION = "association"
    CARDS = "cards"
    LOWER = "lower"
    WITH_CUTS = "with cuts"
    FIXED = "fixed"


BASIS_NAMES = {
    Basis.WRITTEN: "A figure written down",
    Basis.ASSOCIATION: "The association’s index",
    Basis.CARDS: "The society handicap, worked out from cards",
    Basis.LOWER: "The lower of the two",
    Basis.WITH_CUTS: "The association’s index with society cuts on top",
    Basis.FIXED: "A fixed playing handicap",
}
BASIS_SENTENCES = {
    Basis.WRITTEN: "The latest line of the record, of the kind and from the source chosen below.",
    Basis.ASSOCIATION: "As the association issues it, typed in or imported with its date. "
    "No cut of the society touches it.",
    Basis.CARDS: "Worked out here from the cards of the record. Whoever has none yet plays off "
    "what the society or the committee wrote down; a guest, off the figure stated.",
    Basis.LOWER: "The association’s index or the society handicap worked out from cards, "
    "whichever is lower on the day; whoever has only one plays off that.",
    Basis.WITH_CUTS: "The index stays as issued, and the cuts running on the day are taken off it.",
    Basis.FIXED: "A whole number for everyone, changed only by a confirmed cut or by an officer.",
}
_LINES = {
    Basis.ASSOCIATION: "the association’s index",
    Basis.CARDS: "the society handicap, worked out from cards",
    Basis.LOWER: "the lower of the association’s index and the society handicap",
    Basis.WITH_CUTS: "the association’s index, with the society’s cuts on top",
    Basis.FIXED: "a fixed playing handicap",
}


@dataclass(frozen=True, slots=True)
class HandicapRules:
    """Which handicap is used. `kind` and `source` matter for WRITTEN alone; source "" is any.

    `maximum`: the highest figure by category; a category that is not named has none.
    `stale_days`: how old a figure may be before it is listed; None: never listed.
    `newcomer_events`: in so many first events a newcomer cannot win. `cuts`: how the society cuts.
    """

    basis: Basis = Basis.WRITTEN
    kind: HandicapKind = HandicapKind.INDEX
    source: str = ""
    maximum: Mapping[str, int] = field(default_factory=dict)
    guest_maximum: int | None = None
    stale_days: int | None = USUAL_STALE_DAYS
    newcomer_events: int = 0
    cuts: Any = None

    @property
    def asked(self) -> HandicapKind:
        """The kind of figure the basis takes from the record."""
        if self.basis is Basis.WRITTEN:
            return self.kind
        return HandicapKind.PLAYING if self.basis is Basis.FIXED else HandicapKind.INDEX

    @property
    def asked_source(self) -> str:
        """The source whose lines are asked for first; "" where any will do."""
        return {
            Basis.WRITTEN: self.source,
            Basis.FIXED: "",
            Basis.CARDS: Source.CARDS.value,
        }.get(self.basis, Source.ASSOCIATION.value)

    @property
    def takes_first(self) -> bool:
        """Whether whoever has no index yet plays off a first figure of the record instead.

        Three cards, the committee's figure, or as stated: common practice, no source.
        """
        return self.basis not in (Basis.WRITTEN, Basis.FIXED)

    @property
    def takes_cuts(self) -> bool:
        """Whether cuts that run on the day lie on top of the figure."""
        if self.basis is Basis.ASSOCIATION:
            return False
        return self.basis is Basis.WITH_CUTS or self.cuts is not None

    def highest(self, category: str, *, guest: bool) -> int | None:
        """The maximum for one player; for a guest the lower of the two that are set."""
        own = self.maximum.get(category)
        if not guest or self.guest_maximum is None:
            return own
        return self.guest_maximum if own is None else min(own, self.guest_maximum)


_KEYS = {
    "basis",
    "kind",
    "source",
    "maximum",
    "guest_maximum",
    "stale_days",
    "newcomer_events",
    "cuts",
}


def read_rules(text: str) -> HandicapRules:
    """The rules as they are kept. What is left out stands as in `HandicapRules()`.

    Raises ValueError with a sentence for anything that is not known or out of its limits.
    """
    try:
        found = read_json(text)
    except Refused as refused:
        raise ValueError(f"The rules cannot be read: {refused.words}.") from refused
    if not isinstance(found, dict):
        raise ValueError("The rules are an object.")
    if unknown := sorted(set(found) - _KEYS):
        raise ValueError(f"Nothing is known of “{unknown[0]}” in the rules of handicaps.")
    usual = HandicapRules()
    return HandicapRules(
        basis=_one_of(Basis, found.get("basis", usual.basis.value), "Choose what is played off."),
        kind=_one_of(HandicapKind, found.get("kind", usual.kind.value), "Choose the kind."),
        source=_source(found.get("source", "")),
        maximum=_maximum(found.get("maximum", {})),
        guest_maximum=_number(found.get("guest_maximum"), "A maximum", LEAST_MAXIMUM, MOST_MAXIMUM),
        stale_days=_number(
            found.get("stale_days", usual.stale_days), "The days", 1, MOST_STALE_DAYS
        ),
        newcomer_events=_number(
            found.get("newcomer_events", 0), "The events of a newcomer", 0, MOST_NEWCOMER_EVENTS
        )
        or 0,
        cuts=_cuts(found.get("cuts")),
    )


def written_rules(rules: HandicapRules) -> str:
    """Canonical JSON of the rules, every value named."""
    return canonical(
        {
            "basis": rules.basis.value,
            "kind": rules.kind.value,
            "source": rules.source,
            "maximum": dict(rules.maximum),
            "guest_maximum": rules.guest_maximum,
            "stale_days": rules.stale_days,
            "newcomer_events": rules.newcomer_events,
            "cuts": rules.cuts,
        }
    )


_Word = TypeVar("_Word", bound=StrEnum)


def _one_of(known: type[_Word], text: object, sentence: str) -> _Word:
    try:
        return known(str(text))
    except ValueError as wrong:
        raise ValueError(sentence) from wrong


def _source(text: object) -> str:
    if text not in ("", *(source.value for source in Source)):
        raise ValueError("Choose where figures come from.")
    return str(text)


def _number(value: object, what: str, least: int, most: int) -> int | None:
    if value is None:
        return None
    if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= most:
        raise ValueError(f"{what}: a whole number from {least} to {most}, or nothing.")
    return value


def _maximum(value: object) -> dict[str, int]:
    known = [category.value for category in Category]
    if not isinstance(value, dict) or any(category not in known for category in value):
        raise ValueError("A maximum goes by category.")
    read = {
        category: _number(most, "A maximum", LEAST_MAXIMUM, MOST_MAXIMUM)
        for category, most in value.items()
    }
    return {category: most for category, most in read.items() if most is not None}


def _cuts(value: object) -> object:
    """The object of the cut rules as it is kept, once it has been read."""
    if value is None:
        return None
    try:
        return cuts_object(read_cuts(value))
    except Refused as refused:
        raise ValueError(f"The cut rules at {refused.place}: {refused.words}.") from refused


def source_to_type(rules: HandicapRules | None) -> Source:
    """Where a typed figure comes from unless somebody says otherwise: what the season asks for.

    Figures from cards are worked out and not typed, and some seasons take any source: the society.

    >>> source_to_type(HandicapRules(Basis.LOWER)), source_to_type(HandicapRules(Basis.CARDS))
    (<Source.ASSOCIATION: 'association'>, <Source.SOCIETY: 'society'>)
    """
    asked = rules.asked_source if rules else ""
    return Source.SOCIETY if asked in ("", Source.CARDS.value) else Source(asked)


# in words ------------------------------------------------------------------------------------


def brief(rules: HandicapRules) -> str:
    """What is played off, in one sentence for every page where handicaps are shown."""
    parts = [_played_off(rules)]
    if rules.takes_cuts and rules.basis is not Basis.WITH_CUTS:
        parts[0] += ", with the society’s cuts on top"
    if limits := _limits(rules):
        parts.append(f"at most {limits}")
    return f"Played off: {'; '.join(parts)}."


def sentences(rules: HandicapRules) -> list[str]:
    """The rules in plain words, a sentence each, what is played off first."""
    return [brief(rules), *_more(rules)]


def _more(rules: HandicapRules) -> Iterator[str]:
    if rules.basis is Basis.CARDS:
        yield (
            "Whoever has no society handicap from cards yet plays off what the society or the "
            "committee wrote down; a guest, off the figure stated."
        )
    if rules.basis is Basis.LOWER:
        yield "Whoever has only one of the two plays off that."
    if rules.basis in (Basis.ASSOCIATION, Basis.WITH_CUTS):
        yield (
            "Whoever has no index yet plays off the first figure on the record: worked out from "
            "cards, set by the committee, or as stated."
        )
    if rules.basis is Basis.FIXED:
        yield "It changes only by a confirmed cut or by an officer."
    if rules.basis is Basis.ASSOCIATION:
        yield "No cut of the society touches it."
    if rules.stale_days is not None:
        yield (
            f"A figure older than {rules.stale_days} day{'s' * (rules.stale_days != 1)} is listed "
            "before handicaps are taken."
        )
    yield from _of_newcomers(rules)
    if rules.cuts is not None and rules.takes_cuts:
        yield from words.sentences(read_cuts(rules.cuts))


def _of_newcomers(rules: HandicapRules) -> Iterator[str]:
    if rules.newcomer_events:
        count = rules.newcomer_events
        first = "event" if count == 1 else f"{count} events"
        yield f"A newcomer cannot win in the first {first}."
        if rules.takes_cuts and rules.cuts is not None:
            yield "Until then a newcomer is not cut for a place; places count without them."


def _played_off(rules: HandicapRules) -> str:
    if rules.basis is not Basis.WRITTEN:
        return _LINES[rules.basis]
    name = "handicap index" if rules.kind is HandicapKind.INDEX else KIND_NAMES[rules.kind]
    return {
        "": f"the latest {name} of the record",
        Source.ASSOCIATION.value: f"the association’s {name.removeprefix('handicap ')}",
        Source.SOCIETY.value: f"the {name} written down by the society",
        Source.COMMITTEE.value: f"the {name} set by the committee",
        Source.STATED.value: f"the {name} as each player states it",
        Source.CARDS.value: "the society handicap, worked out from cards",
    }[rules.source]


def _limits(rules: HandicapRules) -> str:
    listed = [
        f"{rules.maximum[category.value]} for {category.value}"
        for category in Category
        if category.value in rules.maximum
    ]
    if rules.guest_maximum is not None:
        listed.append(f"{rules.guest_maximum} for guests")
    return " and ".join(listed) if len(listed) < 3 else f"{', '.join(listed[:-1])} and {listed[-1]}"
