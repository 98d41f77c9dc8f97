"""How a figure came about: from the handicap brought to the value of each hole, step by step.

Rules of Handicapping 2024, Rules 6.1 (Course Handicap), 6.2 (Playing Handicap, one rounding),
7.2a (a maximum set by the committee), Appendix C (allowances, plus players) and Appendix E (where
the strokes fall); Rules of Golf 2023, Rules 3.3 and 21 (what a hole is worth). Individual formats.

The published 2020 example of Appendix C, index 8.4, Slope 135, Course Rating 72.3, par 72:

>>> from scoring.rules.terms import read_terms
>>> terms = read_terms({"format": "stableford", "allowance": 95}, 18)
>>> tee = Tee("white", (4,) * 18, tuple(range(1, 19)), Fraction("72.3"), 135, 72)
>>> made = working(terms, tee, Handicap(HandicapKind.INDEX, Fraction("8.4")))
>>> for step in made.steps:
...     print(f"{step.title}: {step.sum} = {step.result}" if step.sum else step.title)
Handicap index
Course handicap: 8.4 × 135 ÷ 113 + (72.3 − 72) = 10.34
Allowance: 95\u00a0% × 10.34 = 9.82
Rounded once
Shots
>>> made.playing, made.holes[9].shots, made.holes[10].shots
(10, 1, 0)
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from scoring.rules.formats.maximum_score import maximum
from scoring.rules.games import GAMES
from scoring.rules.handicap import course_handicap, round_half_up, strokes_received, tenth
from scoring.rules.lines import extra_strokes, penalties, points_off, with_penalties
from scoring.rules.values import (
    STATUS_KINDS,
    Card,
    Event,
    Format,
    Handicap,
    HandicapKind,
    HoleNumber,
    Ruling,
    Tee,
    Terms,
)

MOST_DECIMALS = 6
_PLUS = "A plus handicap is below zero in the sums."
_NAMES = {
    HandicapKind.INDEX: "Handicap index",
    HandicapKind.COURSE: "Course handicap",
    HandicapKind.PLAYING: "Playing handicap",
}
# Only an association issues an index: a figure of these sources is one of the society.
OWN_SOURCES = ("cards", "society", "committee")


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the working.

    `sum`: the arithmetic with the numbers in it, in signs of which + − × ÷ % and brackets alone
    reckon; empty where there is none. `result`: what it gives, as people write it. `words`: why, or
    what it means. `rule`: where it stands, in the Rules of Handicapping 2024 for the handicap and
    in the Rules of Golf 2023 for the card; empty where it stands in neither.
    """

    title: str
    result: str
    sum: str = ""
    words: str = ""
    rule: str = ""


@dataclass(frozen=True, slots=True)
class HoleLine:
    """One hole: where the shots fall, and with a card what the score there was worth and why."""

    hole: int
    par: int
    stroke_index: int
    shots: int
    gross: int | None = None
    net: int | None = None
    value: int | None = None
    words: str = ""


@dataclass(frozen=True, slots=True)
class Working:
    """Everything between what a player brings and what a card is worth.

    `course` and `playing` are the engine's figures (course unrounded, None where none is worked
    out). `total`: None without a card, or where a card has none. `source` and `since`: where the
    handicap comes from and from which day it is valid, as the caller knows it.
    """

    steps: tuple[Step, ...]
    holes: tuple[HoleLine, ...]
    course: Fraction | None
    playing: int
    has_card: bool
    total: int | None
    total_step: Step | None
    value_head: str
    source: str = ""
    since: date | None = None

    @property
    def strip(self) -> tuple[dict[str, int | str | None], ...]:
        """The holes as plain mappings, for the strip of a card."""
        return tuple(
            {
                "hole": line.hole,
                "par": line.par,
                "index": line.stroke_index,
                "shots": line.shots,
                "gross": line.gross,
                "net": line.net,
                "value": line.value,
                "words": line.words,
            }
            for line in self.holes
        )


def working_in(
    event: Event,
    key: str,
    *,
    numbers: Sequence[int] | None = None,
    source: str = "",
    since: date | None = None,
    before: Sequence[Step] = (),
) -> Working:
    """The working of one player of an event, with the card and the rulings if there are any.

    `numbers`: the holes in play as the card of the course numbers them, else 1 and upwards.
    """
    player = event.players[key]
    return working(
        event.terms,
        player.tee,
        player.handicap,
        extra=extra_strokes(event)[player.tee.key],
        card=event.cards.get(key),
        rulings=[ruling for ruling in event.rulings if ruling.player == key],
        numbers=numbers,
        source=source,
        since=since,
        before=before,
    )


def working(
    terms: Terms,
    tee: Tee,
    brought: Handicap | None,
    *,
    extra: int = 0,
    card: Card | None = None,
    rulings: Sequence[Ruling] = (),
    numbers: Sequence[int] | None = None,
    source: str = "",
    since: date | None = None,
    before: Sequence[Step] = (),
) -> Working:
    """The steps from `brought` to what a player plays off, and with a card to its total.

    `tee`: the holes in play alone. `extra`: strokes of Rule 6.2b for this tee, worked out over the
    whole field. `before`: how `brought` itself came about, where it is not one line of a record;
    `source` and `since` are in it then. A figure that is not an association's, or not as it was
    issued, is not called an index. Raises ValueError where an index is brought to a tee
    without ratings.
    """
    led = list(before) if terms.net and brought is not None else []
    called = _called(brought, source, led=bool(led))
    steps = [*led, *_handicap_steps(terms, tee, brought, extra, called)]
    course, playing = _figures(terms, tee, brought, extra)
    shots = strokes_received(playing, tee.stroke_index)
    steps.append(_shots_step(terms, tee, playing))
    numbers = numbers or range(1, len(tee.par) + 1)
    lines = _holes(terms, tee, shots, card, rulings, numbers)
    total, total_step = None, None
    if card is not None:
        total, total_step = _total(terms, lines, playing, rulings)
    return Working(
        steps=tuple(steps),
        holes=lines,
        course=course,
        playing=playing,
        has_card=card is not None,
        total=total,
        total_step=total_step,
        value_head=_VALUE_HEADS[terms.scoring],
        source="" if led else source,
        since=None if led else since,
    )


# from the handicap to what a player plays off -------------------------------------------------


def _figures(
    terms: Terms, tee: Tee, brought: Handicap | None, extra: int
) -> tuple[Fraction | None, int]:
    """Course handicap (unrounded) and playing handicap, by the steps that are written out."""
    if brought is None or not terms.net:
        return None, 0
    course = _course(tee, brought)
    after = brought.value if course is None else course * terms.allowance / 100
    rounded = round_half_up(after)
    most = terms.maximum_playing_handicap
    return course, (rounded if most is None else min(rounded, most)) + extra


def _course(tee: Tee, brought: Handicap) -> Fraction | None:
    if brought.kind is HandicapKind.PLAYING:
        return None
    if brought.kind is HandicapKind.COURSE:
        return brought.value
    if tee.course_rating is None or tee.slope_rating is None:
        raise ValueError(f"the tee {tee.key} has no ratings")
    return course_handicap(
        index=brought.value,
        slope=tee.slope_rating,
        rating=tee.course_rating,
        par=tee.total_par,
        holes=len(tee.par),
    )


def _handicap_steps(
    terms: Terms, tee: Tee, brought: Handicap | None, extra: int, called: str
) -> Iterator[Step]:
    if not terms.net:
        yield Step("Gross", "0", words="No handicap strokes count in this competition.")
        return
    if brought is None:
        yield Step("No handicap", "0", words="None was brought, so no shots are received.")
        return
    yield _brought_step(brought, called)
    course = _course(tee, brought)
    if brought.kind is HandicapKind.INDEX and course is not None:
        yield from _conversion(tee, brought.value, course)
    after = brought.value
    if course is not None:
        after = course * terms.allowance / 100
        yield Step(
            "Allowance",
            handicap_words(after),
            f"{plain(terms.allowance)}\u00a0% × {_bracketed(course)}",
            "The share of the course handicap that this competition gives.",
            "Rule 6.2a, Appendix C",
        )
    yield _rounding(after, round_half_up(after))
    yield from _after_rounding(terms, tee, round_half_up(after), extra)


def _called(brought: Handicap | None, source: str, *, led: bool) -> str:
    """The name of the figure brought: by its kind, an index only as an association issued it."""
    if brought is None:
        return ""
    if brought.kind is HandicapKind.INDEX and led:
        return "The figure taken"
    if brought.kind is HandicapKind.INDEX and source in OWN_SOURCES:
        return "Society handicap"
    return _NAMES[brought.kind]


def _brought_step(brought: Handicap, called: str) -> Step:
    as_it_stands = {
        HandicapKind.INDEX: "",
        HandicapKind.COURSE: "Taken as it stands: no rating or slope is used.",
        HandicapKind.PLAYING: "Taken as it stands: no conversion and no allowance.",
    }[brought.kind]
    words = " ".join(part for part in (as_it_stands, _PLUS if brought.value < 0 else "") if part)
    return Step(called, handicap_words(brought.value, brought.kind), words=words)


def _conversion(tee: Tee, index: Fraction, course: Fraction) -> Iterator[Step]:
    used = index
    if len(tee.par) == 9:  # the course handicap of nine holes goes by half the index
        used = Fraction(tenth(index / 2))
        yield Step(
            "Half the index",
            handicap_words(used, HandicapKind.INDEX),
            f"{_signed(index)} ÷ 2",
            "For nine holes, rounded to a tenth; slope, rating and par are those of the nine.",
            "Rule 6.1b",
        )
    if tee.course_rating is None:
        return
    yield Step(
        "Course handicap",
        handicap_words(course),
        f"{_signed(used)} × {tee.slope_rating} ÷ 113 + "
        f"({plain(tee.course_rating)} − {tee.total_par})",
        f"Index × slope ÷ 113 + (course rating − par). {_goes_on(course)}",
        f"Rule 6.1{'a' if len(tee.par) == 18 else 'b'}",
    )


def _goes_on(course: Fraction) -> str:
    exact = Fraction(shown(course)) == course
    return "It is not rounded yet." if exact else "It goes on with all its decimals."


def _rounding(after: Fraction, rounded: int) -> Step:
    words = "There is nothing to round."
    if after != rounded:
        words = f"{handicap_words(after)} to the nearest whole number, a half upwards."
    return Step(
        "Rounded once",
        handicap_words(Fraction(rounded)),
        words=words,
        rule="Rule 6.2a",
    )


def _after_rounding(terms: Terms, tee: Tee, rounded: int, extra: int) -> Iterator[Step]:
    most = terms.maximum_playing_handicap
    limited = rounded if most is None else min(rounded, most)
    if most is not None:
        kept = "stays as it is" if limited == rounded else f"becomes {limited}"
        yield Step(
            "Maximum",
            handicap_words(Fraction(limited)),
            words=f"Nobody plays off more than {most}: {handicap_words(Fraction(rounded))} {kept}.",
            rule="Rule 7.2a",
        )
    if extra:
        reference = tee.total_par - extra
        yield Step(
            "Tee of another par",
            handicap_words(Fraction(limited + extra)),
            f"{_signed(Fraction(limited))} + ({tee.total_par} − {reference})",
            f"Par {tee.total_par} here, and everyone’s strokes are reckoned from par {reference}.",
            "Rule 6.2b",
        )


# from what a player plays off to the holes ----------------------------------------------------


def _shots_step(terms: Terms, tee: Tee, playing: int) -> Step:
    words = shots_words(playing, tee.stroke_index)
    if terms.off_the_total and playing:
        words += " The whole of it comes off the total."
    return Step("Shots", handicap_words(Fraction(playing)), "", words, _SHOTS_RULE)


_SHOTS_RULE = "Appendix E; plus players: Appendix C"


def shots_words(playing: int, stroke_index: Sequence[int]) -> str:
    """Where the shots fall, in a sentence.

    >>> shots_words(20, range(1, 19))
    'One shot on every hole, a second on stroke index 1 and 2.'
    >>> shots_words(-2, range(1, 19))
    'Gives one shot back on stroke index 17 and 18.'
    """
    if playing == 0:
        return "No shots are received."
    ranked = sorted(stroke_index)
    everywhere, further = divmod(abs(playing), len(ranked))
    gives = playing < 0
    where = ranked[len(ranked) - further :] if gives else ranked[:further]
    back = " back" if gives else ""
    said = []
    if everywhere:
        count = _SMALL.get(everywhere, str(everywhere))
        said.append(f"{count} shot{'s' if everywhere > 1 else ''}{back} on every hole")
    if further:
        which = f"one shot{back}" if not everywhere else _ORDINALS.get(everywhere, "one more")
        said.append(f"{which} on stroke index {_listed(where)}")
    sentence = ", ".join(said) + "."
    return f"Gives {sentence}" if gives else sentence[0].upper() + sentence[1:]


_SMALL = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}
_ORDINALS = {1: "a second", 2: "a third", 3: "a fourth", 4: "a fifth", 5: "a sixth"}


def _listed(indexes: Sequence[int]) -> str:
    words = [str(index) for index in indexes]
    if len(words) > 2 and indexes[-1] - indexes[0] == len(words) - 1:
        return f"{words[0]} to {words[-1]}"
    if len(words) < 3:
        return " and ".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def _holes(
    terms: Terms,
    tee: Tee,
    shots: Sequence[int],
    card: Card | None,
    rulings: Sequence[Ruling],
    numbers: Sequence[int],
) -> tuple[HoleLine, ...]:
    added = penalties(rulings)
    ruled = with_penalties(card, added) if card is not None else (None,) * len(tee.par)
    lines = []
    for at, (number, par, index, received, gross) in enumerate(
        zip(numbers, tee.par, tee.stroke_index, shots, ruled, strict=True), start=1
    ):
        if card is None:
            lines.append(HoleLine(number, par, index, received))
            continue
        value = GAMES[terms.scoring].value(terms, par, received, gross)
        words = hole_words(terms, par, received, gross)
        more = _penalty_words(added, at, gross)
        net = None if gross is None else gross - received
        lines.append(HoleLine(number, par, index, received, gross, net, value, words + more))
    return tuple(lines)


def _penalty_words(added: Mapping[HoleNumber, int], hole: int, gross: int | None) -> str:
    strokes = added.get(HoleNumber(hole), 0)
    if not strokes or gross is None:
        return ""
    return f" ({gross - strokes} written, {strokes} penalty)"


def hole_words(terms: Terms, par: int, shots: int, gross: int | None) -> str:
    """What a score on a hole is worth, and why, in half a sentence.

    >>> from scoring.rules.terms import read_terms
    >>> hole_words(read_terms({"format": "stableford"}, 18), 4, 1, 6)
    '6 − 1 = net 5, one over par 4: 1 point'
    """
    value = GAMES[terms.scoring].value(terms, par, shots, gross)
    if terms.scoring is Format.MEDAL:
        return "no score: no return" if gross is None else f"{gross} counts"
    if terms.scoring is Format.MAXIMUM_SCORE:
        most = maximum(terms, par, shots)
        if gross is None:
            return f"no score: the maximum here, {most}, counts"
        return f"{gross} counts" if gross <= most else f"{gross} is over the maximum here: {most}"
    worth = _worth(terms.scoring, value)
    if gross is None:
        return f"no score: {worth}"
    return f"{_net_words(gross, shots)}, {_against_par(gross - shots - par, par)}: {worth}"


def _net_words(gross: int, shots: int) -> str:
    if not shots:
        return str(gross)
    sign = "−" if shots > 0 else "+"
    return f"{gross} {sign} {abs(shots)} = net {_signed(Fraction(gross - shots))}"


def _against_par(step: int, par: int) -> str:
    if step == 0:
        return f"level with par {par}"
    return f"{_SMALL.get(abs(step), abs(step))} {'over' if step > 0 else 'under'} par {par}"


def _worth(format_: Format, value: int | None) -> str:
    if format_ is Format.PAR:
        return {1: "hole won", 0: "hole halved"}.get(value or 0, "hole lost")
    points = value or 0
    return f"{_signed(Fraction(points))} {'point' if abs(points) == 1 else 'points'}"


# from the holes to the total ------------------------------------------------------------------

_VALUE_HEADS = {
    Format.STABLEFORD: "Points",
    Format.MODIFIED_STABLEFORD: "Points",
    Format.PAR: "Holes",
    Format.MEDAL: "Gross",
    Format.MAXIMUM_SCORE: "Counts",
}


def _total(
    terms: Terms, lines: Sequence[HoleLine], playing: int, rulings: Sequence[Ruling]
) -> tuple[int | None, Step]:
    """The total and the step that says it; None where the card has none."""
    for ruling in rulings:
        if ruling.kind in STATUS_KINDS:
            words = f"The committee ruled: {ruling.kind.value.replace('_', ' ')}."
            return None, Step("No total", "–", words=words)
    empty = [line.hole for line in lines if line.value is None]
    if empty:
        where = f"{'hole' if len(empty) == 1 else 'holes'} {_listed(empty)}"
        words = f"No score on {where}: no return."
        return None, Step("No total", "–", words=words, rule=_TOTAL_RULES[terms.scoring])
    return _added(terms, [line.value or 0 for line in lines], playing, points_off(rulings))


def _added(terms: Terms, values: Sequence[int], playing: int, off: int) -> tuple[int, Step]:
    total = sum(values) - off - (playing if terms.off_the_total else 0)
    parts = [_signed(Fraction(sum(values)))]
    words = f"{_VALUE_HEADS[terms.scoring]} of all holes, added"
    if off:
        parts.append(f"− {off}")
        words += f"; {off} off by a ruling"
    if terms.off_the_total and playing:
        parts.append(f"{'−' if playing > 0 else '+'} {abs(playing)}")
        words += "; the playing handicap comes off" if playing > 0 else "; plus is added"
    return total, Step(
        "Net" if terms.off_the_total else "Total",
        GAMES[terms.scoring].describe(total),
        " ".join(parts) if len(parts) > 1 else "",
        f"{words}.",
        _TOTAL_RULES[terms.scoring],
    )


_TOTAL_RULES = {
    Format.STABLEFORD: "Rule 21.1",
    Format.MODIFIED_STABLEFORD: "Rule 21.1",
    Format.PAR: "Rule 21.3",
    Format.MEDAL: "Rule 3.3",
    Format.MAXIMUM_SCORE: "Rule 21.2",
}


# how figures are written ----------------------------------------------------------------------


def shown(value: Fraction) -> str:
    """A figure to two decimals, more where fewer would round another way; a minus as "-".

    >>> shown(Fraction("10.335")), shown(Fraction("12.4999")), shown(Fraction(14))
    ('10.34', '12.4999', '14')
    """
    for places in range(2, MOST_DECIMALS + 1):
        said = _to_places(value, places)
        if round_half_up(Fraction(said)) == round_half_up(value):
            break
    return said.rstrip("0").rstrip(".") if "." in said else said


def _to_places(value: Fraction, places: int) -> str:
    scaled = round_half_up(value * 10**places)
    whole, rest = divmod(abs(scaled), 10**places)
    return f"{'-' if scaled < 0 else ''}{whole}.{rest:0{places}d}"


def plain(value: Fraction) -> str:
    """A number of at most six decimals without idle noughts, never below zero.

    >>> plain(Fraction("72.30"))
    '72.3'
    """
    return _to_places(abs(value), MOST_DECIMALS).rstrip("0").rstrip(".")


def _signed(value: Fraction) -> str:
    """A number in a sum, with a true minus sign."""
    return f"−{plain(value)}" if value < 0 else plain(value)


def _bracketed(value: Fraction) -> str:
    said = shown(value)
    return f"(−{said[1:]})" if said.startswith("-") else said


def handicap_words(value: Fraction, kind: HandicapKind | None = None) -> str:
    """A handicap as people write it: +1.2 for a plus player, an index always with its tenth.

    >>> handicap_words(Fraction(-6, 5)), handicap_words(Fraction(12), HandicapKind.INDEX)
    ('+1.2', '12.0')
    """
    said = shown(value)
    if kind is HandicapKind.INDEX and "." not in said:
        said += ".0"
    return f"+{said[1:]}" if said.startswith("-") else said
