"""The draw in sentences: how it was made, what was asked and met, what a change would break."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from society.desk.queries.drawing import BACK
from society.entries.bridge.draws import Draw, asks_of, past_of
from society.entries.bridge.handicaps import HandicapLine
from society.entries.models import Entry
from society.entries.rules.asks import Ask, AskKind, is_met
from society.entries.rules.draw import DRAW_VERSION, EVEN, LOOKS_BACK, DrawInputs, DrawMethod
from society.entries.rules.groups import Groups
from society.entries.rules.report import Broken, Meeting, broken_by, repeats, totals
from society.fixtures.models import Fixture
from society.fixtures.queries import the_round
from society.fixtures.rules import StartKind
from society.web.templatetags.look import count_of, in_words

METHODS = {
    DrawMethod.MIXED: "by lot, with people not played with of late",
    DrawMethod.RANDOM: "by lot",
    DrawMethod.BALANCED: "balanced, one of each part of the field in each group",
    DrawMethod.SNAKE: "in equal teams, to and fro through the handicaps",
    DrawMethod.HANDICAP: "by handicap, lowest first",
    DrawMethod.LEADERS: "by the season’s table, the leaders last",
}
_LOTS = (
    "Write the seed, a slash and the key of an entry; take the SHA-256 of that text; do so for "
    "every entry and sort by the result."
)
_FILL = "Fill the groups in that order, the smaller groups first."
_EXCHANGE = (
    "Then exchange two players at a time wherever that costs less, as the program’s own text says "
    "(entries, rules, dealing and search); its chance is the digest of the same seed."
)
_EQUAL = "Equal figures go by the SHA-256 of the seed, a slash and the key of the entry."
_HOW = {
    DrawMethod.MIXED: f"{_LOTS} {_FILL}",
    DrawMethod.RANDOM: f"{_LOTS} {_FILL}",
    DrawMethod.BALANCED: (
        f"Sort by what each plays off and part the field in as many parts as a group has places. "
        f"{_EQUAL} Give each group one of each part, by the same lot."
    ),
    DrawMethod.SNAKE: (
        f"Sort by what each plays off, the lowest first. {_EQUAL} Deal them to the groups from "
        "first to last, then from last to first, and so on."
    ),
    DrawMethod.HANDICAP: f"Sort by what each plays off, the lowest first. {_EQUAL} {_FILL}",
    DrawMethod.LEADERS: (
        f"Sort by the place in the table, the highest number first, whoever has none before all. "
        f"{_EQUAL} {_FILL}"
    ),
}


def how_to_repeat(inputs: DrawInputs) -> str:
    """How anyone can come to the same groups."""
    plain = not inputs.asks and not (inputs.method in LOOKS_BACK and any(inputs.past))
    plain = plain and inputs.method is not DrawMethod.BALANCED
    return _HOW[inputs.method] if plain else f"{_HOW[inputs.method]} {_EXCHANGE}"


# why this draw -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Asked:
    """One thing asked in words; `met` is None where it could be asked of nobody now."""

    words: str
    met: bool | None


@dataclass(frozen=True, slots=True)
class Why:
    """What was asked of a draw and what came of it, as it stands now.

    `meetings`: a sentence about who plays together again. `balance`: about the sums of groups,
    empty where they do not matter.
    """

    asked: tuple[Asked, ...]
    meetings: str
    balance: str
    start: str

    @property
    def met(self) -> int:
        return sum(bool(one.met) for one in self.asked)

    @property
    def counted(self) -> int:
        return sum(one.met is not None for one in self.asked)


def why(draw: Draw, names: Mapping[str, str]) -> Why:
    """The draw explained: names by entry key."""
    inputs = draw.inputs
    return Why(
        asked=tuple(
            Asked(_asked(ask, names), is_met(ask, draw.groups, inputs.opening))
            for ask in sorted(inputs.asks, key=lambda ask: list(AskKind).index(ask.kind))
        ),
        meetings=_met_again(draw, names),
        balance=_balance(draw),
        start=_start(inputs),
    )


def _start(inputs: DrawInputs) -> str:
    return {
        StartKind.ONE_TEE: "",
        StartKind.TWO_TEES: "Groups start by turns from the first tee and the tenth.",
        StartKind.SHOTGUN: "All groups start at once, each from its own hole; of two on one hole "
        "A plays off first.",
        StartKind.ARRANGED: "Start times are by arrangement.",
    }[inputs.opening.kind]


def _asked(ask: Ask, names: Mapping[str, str]) -> str:
    one, other = names.get(ask.one, "somebody"), names.get(ask.other, "somebody")
    return {
        AskKind.FIRST: f"{one} in the first group",
        AskKind.TOGETHER: f"{one} with {other}",
        AskKind.APART: f"{one} not with {other}",
        AskKind.HOST: f"{one} with the host, {other}",
        AskKind.BUGGY: f"{one} and {other} share a buggy",
        AskKind.PARTNER: f"{one} wished to play with {other}",
        AskKind.EARLIER: f"{one} wished to start in the earlier half",
        AskKind.LATER: f"{one} wished to start in the later half",
    }[ask.kind]


def _met_again(draw: Draw, names: Mapping[str, str]) -> str:
    inputs = draw.inputs
    if inputs.method not in LOOKS_BACK:
        return ""
    if not inputs.past:
        return "No earlier draw was looked back over."
    over = (
        f"the last {in_words(len(inputs.past))} draws" if len(inputs.past) > 1 else "the last draw"
    )
    again = repeats(inputs, draw.groups)
    if not again:
        return f"Nobody plays with anybody met in {over}."
    shown = sorted(again, key=lambda pair: (-again[pair], sorted(pair)))
    pairs = "; ".join(" and ".join(sorted(names.get(k, "somebody") for k in p)) for p in shown[:6])
    more = f" and {len(shown) - 6} more" if len(shown) > 6 else ""
    return f"{count_of(len(again), 'pair,pairs')} met in {over} already: {pairs}{more}."


def _balance(draw: Draw) -> str:
    if draw.inputs.method not in EVEN:
        return ""
    groups = [group for group in draw.groups if group]
    sums = [found for found in totals(draw.inputs, groups) if found is not None]
    if len(sums) < 2 or len({len(group) for group in groups}) > 1:
        return "Groups are not all of one size, so it is their averages that were brought together."
    return (
        f"The sums of what the groups play off run from {_figure(min(sums))} to "
        f"{_figure(max(sums))}."
    )


def _figure(value: Decimal) -> str:
    return f"{value:.0f}"


def hole_words(draw: Draw | None, number: int) -> str:
    """The hole a group starts on, as "10" or "7A"; empty where all start on one."""
    if draw is None or not draw.several_holes:
        return ""
    begins = draw.start_of_group(number)
    return f"{begins.hole}{begins.letter}"


# what a change breaks ----------------------------------------------------------------------


def as_of_now(fixture: Fixture, draw: Draw, lines: Mapping[str, HandicapLine]) -> DrawInputs:
    """What a change by hand is judged by: everyone in the groups, as things are today.

    What the draw was asked, what entries ask by now, who met in the fixtures before (whatever the
    method looked at), what each plays off.
    """
    entries = list(
        Entry.objects.filter(fixture=fixture, key__in=sum(draw.groups, ())).select_related("player")
    )
    present = {entry.key for entry in entries}
    figures: dict[str, Decimal | None] = {}
    for key in present:
        line = lines.get(key)
        playing = line.plays.playing if line is not None and line.plays is not None else None
        figures[key] = None if playing is None else Decimal(playing)
    asks: dict[frozenset[str], Ask] = {}
    for ask in (*draw.inputs.asks, *asks_of(fixture)):
        if {ask.one, ask.other} - {""} <= present:
            asks.setdefault(frozenset({ask.one, ask.other or ask.kind.value}), ask)
    return replace(
        draw.inputs,
        version=DRAW_VERSION,
        figures=figures,
        asks=tuple(asks.values()),
        past=past_of(the_round(fixture), entries, back=BACK),
    )


def break_words(
    inputs: DrawInputs, before: Groups, after: Groups, names: Mapping[str, str]
) -> list[str]:
    """What a change breaks, and what it mends, in sentences; names by entry key."""
    broken = broken_by(inputs, before, after)
    said = [_lost(ask, names) for ask in broken.asks]
    said += [_meeting(meeting, len(inputs.past), names) for meeting in broken.meetings]
    said += [f"For the better: {_asked(ask, names)}." for ask in broken.mended]
    if broken.order:
        by = "the table" if inputs.method is DrawMethod.LEADERS else "handicap"
        said.append(f"The groups are no longer in order of {by}.")
    return said


def total_words(broken: Broken) -> str:
    """The new sums of the groups, before and after.

    >>> total_words(Broken((), (), (), ((1, Decimal(67), Decimal(74)),), False))
    'Sums: group 1 from 67 to 74.'
    """
    moved = [
        f"group {number} from {_figure(old)} to {_figure(new)}"
        for number, old, new in broken.totals
        if old is not None and new is not None
    ]
    return f"Sums: {', '.join(moved)}." if moved else ""


def _lost(ask: Ask, names: Mapping[str, str]) -> str:
    one, other = (names.get(key, "somebody") for key in (ask.one, ask.other))
    return {
        AskKind.FIRST: f"{one} would no longer be in the first group.",
        AskKind.TOGETHER: f"{one} and {other} were asked to be together, and would be apart.",
        AskKind.APART: f"{one} and {other} were asked to be kept apart, and would play together.",
        AskKind.HOST: f"{one} is the guest of {other}, and the two would be apart.",
        AskKind.BUGGY: f"{one} would lose the buggy shared with {other}.",
        AskKind.PARTNER: f"{one} wished to play with {other}, and no longer would.",
        AskKind.EARLIER: f"{one} wished to start in the earlier half, and no longer would.",
        AskKind.LATER: f"{one} wished to start in the later half, and no longer would.",
    }[ask.kind]


_TIMES = {2: "second", 3: "third", 4: "fourth", 5: "fifth", 6: "sixth", 7: "seventh", 8: "eighth"}


def _meeting(meeting: Meeting, back: int, names: Mapping[str, str]) -> str:
    one, other = sorted((names.get(meeting.one, "?"), names.get(meeting.other, "?")))
    row = meeting.in_a_row
    if row > 1:
        return f"{one} would play with {other} for the {_TIMES.get(row, f'{row}th')} time in a row."
    return (
        f"{one} would play with {other} again: together in {len(meeting.when)} of the last "
        f"{count_of(back, 'draw,draws')}."
    )
