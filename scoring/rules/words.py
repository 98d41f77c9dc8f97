"""The terms of a competition in plain sentences, made from the data they were set with.

Event document, section 1, table of keys. What a member reads is what the engine does.

>>> from scoring.rules.terms import read_terms
>>> for sentence in terms_sentences(read_terms({"format": "stableford", "basis": "gross"}, 18)):
...     print(sentence)
Stableford: points on each hole, and the most points win.
Gross: nobody receives handicap strokes.
A hole without a score earns no points; the rest of the card counts.
Ties are settled by countback on holes 10–18, then 13–18, 16–18, 18, 4–9, 7–9 and 9.
Whoever is still level shares the place.
"""

from collections.abc import Sequence
from fractions import Fraction

from scoring.rules.games import GAMES
from scoring.rules.values import (
    ONE_BALL,
    OWN_BALL,
    AfterCountback,
    CountbackHoles,
    Format,
    HoleMaximum,
    HoleRange,
    MaximumKind,
    PointsTable,
    Share,
    Terms,
)

FORMAT_SENTENCES = {
    Format.STABLEFORD: "Stableford: points on each hole, and the most points win.",
    Format.MODIFIED_STABLEFORD: (
        "Modified Stableford: points on each hole by a table of our own, and the most points win."
    ),
    Format.MEDAL: "Medal: every stroke counts, and the fewest win.",
    Format.PAR: "Par: each hole is won, halved or lost against par, and the most holes up win.",
    Format.MAXIMUM_SCORE: (
        "Maximum score: every stroke counts up to a maximum on each hole, and the fewest win."
    ),
}


SIDE_SENTENCES = {
    Format.FOUR_BALL: "Four-ball: both play their own ball, and the better score of a hole counts.",
    Format.AGGREGATE: "Aggregate: all play their own ball, and all scores of a side are added.",
    Format.FOURSOMES: "Foursomes: partners play one ball in turn, and drive in turn.",
    Format.GREENSOMES: (
        "Greensomes: both drive, one of the two balls is chosen and played in turn."
    ),
    Format.CHAPMAN: (
        "Chapman: both drive, each plays the other's ball, then one is chosen and played in turn."
    ),
    Format.SCRAMBLE: "Scramble: all play each stroke from where the chosen ball lies.",
}


def value_word(format_: Format) -> str:
    """What an individual format counts: points, strokes or holes. For sides: that of `scoring`."""
    return GAMES[format_].WORD


def terms_sentences(terms: Terms, *, holes: int = 18) -> list[str]:
    """The terms as sentences for members, in the order they matter on the day."""
    return [
        *_sides(terms),
        FORMAT_SENTENCES[terms.scoring],
        *_handicap(terms),
        *_different_par(terms),
        *_values(terms),
        *_countback(terms, holes),
        _still_level(terms),
    ]


def _sides(terms: Terms) -> list[str]:
    if terms.format is not Format.BEST_OF or terms.best is None:
        return [SIDE_SENTENCES[terms.format]] if terms.format in SIDE_SENTENCES else []
    if not terms.one_best:
        return [
            f"Best of the side: how many scores are added, hole by hole: {_listed(terms.best)}."
        ]
    best = terms.best[0]
    what = "best score counts" if best == 1 else f"best {best} scores count, added"
    return [f"Best of the side: all play their own ball, and on every hole the {what}."]


def _listed(numbers: Sequence[int]) -> str:
    return ", ".join(str(number) for number in numbers)


def _handicap(terms: Terms) -> list[str]:
    if not terms.net:
        return ["Gross: nobody receives handicap strokes."]
    where = (
        "the Playing Handicap comes off the total"
        if terms.off_the_total
        else "strokes are received hole by hole, by stroke index"
    )
    sentences = [f"Net: {where}.", _allowance(terms)]
    if terms.maximum_playing_handicap is not None:
        sentences.append(f"Nobody plays off more than {terms.maximum_playing_handicap}.")
    return sentences


def _allowance(terms: Terms) -> str:
    if terms.allowance_open:
        return "The Playing Handicap takes the allowance recommended for these sides."
    if terms.format not in ONE_BALL:
        percent = f"{_number(terms.allowance)}% of the Course Handicap"
        return f"The Playing Handicap is {percent}, rounded once."
    if terms.shares is None:
        return "The side's Playing Handicap adds the shares recommended for this format."
    shares = "/".join(_number(share) for share in terms.shares)
    return (
        f"The side's Playing Handicap adds {shares}% of its members' Course Handicaps, "
        "lowest first, rounded once."
    )


def _number(value: Fraction) -> str:
    """A number of at most six decimals without needless noughts."""
    millionths = int(value * 1_000_000)
    whole, rest = divmod(millionths, 1_000_000)
    return f"{whole}.{rest:06d}".rstrip("0").rstrip(".")


def _different_par(terms: Terms) -> list[str]:
    if not terms.net or not terms.stroke_total:
        return []
    if not terms.different_par:
        return ["Nobody receives extra strokes for playing from tees of a higher par."]
    lowest = (
        "the lowest par of any tee in play"
        if terms.reference_par is None
        else f"par {terms.reference_par}"
    )
    extra = f"From tees of a higher par, the difference from {lowest} is added to the handicap"
    if terms.maximum_playing_handicap is not None:
        extra += ", also above the maximum"
    return [f"{extra} (Rule 6.2b)."]


def _values(terms: Terms) -> list[str]:
    if terms.points is not None:
        return [f"Points for the {_kind(terms)}: {_table(terms.points)}."]
    if terms.maximum_hole_score is not None:
        maximum = _maximum(terms.maximum_hole_score, terms.net)
        return [f"The maximum on a hole is {maximum}; a hole without a score counts it."]
    if terms.scoring is Format.MEDAL and terms.format in OWN_BALL:
        return ["A side that is short of scores on a hole is no return."]
    if terms.scoring is Format.MEDAL:
        return ["Every hole must be holed out: a card with a hole without a score is no return."]
    if terms.scoring is Format.PAR:
        return ["A hole without a score is lost; the rest of the card counts."]
    return ["A hole without a score earns no points; the rest of the card counts."]


def _kind(terms: Terms) -> str:
    return "net score" if terms.net else "gross score"


def _table(table: PointsTable) -> str:
    words = []
    last = len(table.points) - 1
    for position, points in enumerate(table.points):
        step = _step(table.low + position)
        if last == 0:
            step = "any score"
        elif position == 0:
            step += " or better"
        elif position == last:
            step += " or worse"
        words.append(f"{step} {_signed(points)}")
    return f"{', '.join(words)}, no score {_signed(table.none)}"


def _step(step: int) -> str:
    if step == 0:
        return "par"
    return f"{-step} under" if step < 0 else f"{step} over"


def _signed(points: int) -> str:
    return f"−{-points}" if points < 0 else str(points)


def _maximum(rule: HoleMaximum, net: bool) -> str:
    if rule.kind is MaximumKind.NET_DOUBLE_BOGEY:
        return "net double bogey (par + 2 + strokes received there)" if net else "par + 2"
    if rule.kind is MaximumKind.OVER_PAR:
        return f"par + {rule.number}"
    if rule.kind is MaximumKind.FIXED:
        return str(rule.number)
    return f"{rule.number} times par"


def _countback(terms: Terms, holes: int) -> list[str]:
    if not terms.countback:
        return ["There is no countback."]
    sentences = [f"Ties are settled by countback on {_ranges(terms.countback)}."]
    if terms.countback_holes is CountbackHoles.PLAYED:
        sentences.append(
            f"These are counted in the order played: hole {holes} means the last hole you played."
        )
    if terms.off_the_total:
        sentences.append(_share(terms.handicap_share, holes))
    return sentences


def _ranges(ranges: Sequence[HoleRange]) -> str:
    words = [entry.label.replace("-", "–") for entry in ranges]
    first = f"{'holes' if ranges[0].holes > 1 else 'hole'} {words[0]}"
    if len(words) == 1:
        return first
    *middle, last = words[1:]
    return f"{first}, then {', '.join(middle)} and {last}" if middle else f"{first}, then {last}"


def _share(share: Share, holes: int) -> str:
    if share is Share.BY_STROKE_INDEX:
        return "There, each player's strokes come off where they fall by stroke index."
    each = f"each hole takes one {'eighteenth' if holes == 18 else 'ninth'} of the handicap"
    if share is Share.ROUNDED:
        return f"There, {each}, and the share of a range is rounded (a half goes up)."
    return f"There, {each}, fractions kept."


def _still_level(terms: Terms) -> str:
    if terms.after_countback is AfterCountback.LOWER_HANDICAP:
        return "Still level: the lower Playing Handicap is ahead; level on that too, they share."
    return "Whoever is still level shares the place."
