"""A society's cut rules in plain words, a sentence for each thing they say.

>>> band_names((9, 18))
['handicap under 10', 'handicap 10 to 18', 'handicap 19 and over']
"""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from society.handicaps.rules.cuts.rounding import rounded
from society.handicaps.rules.cuts.values import (
    CutRules,
    Expiry,
    Mark,
    MarkOf,
    PointsCut,
    PointsRise,
    Shots,
    Whom,
)

_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
_WHOM = {Whom.ANYBODY: "anybody", Whom.WINNER: "the winner", Whom.OTHERS: "anybody but the winner"}


def ordinal(place: int) -> str:
    """A place as a word: "first", and from the ninth on "9th"."""
    if place <= len(_ORDINALS):
        return _ORDINALS[place - 1]
    ending = "th" if 11 <= place % 100 <= 13 else {1: "st", 2: "nd", 3: "rd"}.get(place % 10, "th")
    return f"{place}{ending}"


def figure_words(value: Decimal | Fraction | int) -> str:
    """A number as people write it, with two digits after the point at most.

    >>> figure_words(Fraction(65, 2)), figure_words(Decimal("3.0")), figure_words(Fraction(97, 3))
    ('32.5', '3', '32.33')
    """
    hundredths = (Fraction(value) * 100 + Fraction(1, 2)).__floor__()
    sign, size = ("-" if hundredths < 0 else ""), abs(hundredths)
    whole, rest = divmod(size, 100)
    return f"{sign}{whole}" if not rest else f"{sign}{whole}.{rest:02d}".rstrip("0")


def off_words(size: Fraction) -> str:
    """A cut as a plain size, rounded as the change will be."""
    return figure_words(-rounded(-size))


def points_words(points: int) -> str:
    """A Stableford total in words."""
    return "1 point" if points == 1 else f"{points} points"


def shots_words(shots: Decimal) -> str:
    """So many shots in words: "1 shot", "0.5 shots"."""
    return f"{figure_words(shots)} {'shot' if shots == 1 else 'shots'}"


def band_names(bands: Sequence[int]) -> list[str]:
    """What each band of handicaps is called; one name for all where there are none."""
    if not bands:
        return ["every handicap"]
    lows = [None, *[top + 1 for top in bands]]
    names = []
    for low, top in zip(lows, [*bands, None], strict=True):
        if low is None and top is not None:
            names.append(f"handicap under {top + 1}")
        elif top is None:
            names.append(f"handicap {low} and over")
        else:
            names.append(f"handicap {low} to {top}" if low != top else f"handicap {low}")
    return names


def sentences(rules: CutRules) -> list[str]:
    """The rules in plain words: what cuts, what holds a cut back, what rises, who, and how long."""
    said = [*_cut_sentences(rules), *_limit_sentences(rules), *_rise_sentences(rules)]
    if not said:
        return ["Nothing is cut and nothing is given back."]
    return [*said, *_who_sentences(rules), *_end_sentences(rules)]


def _by_band(
    shots: Shots, bands: Sequence[int], verb: str, *, each: bool = False, more: bool = False
) -> str:
    """The shots, and where they differ which for whom."""
    point = " for each point" if each else ""
    verb = f"more {verb}" if more else verb
    if len(set(shots)) == 1:
        return f"{shots_words(shots[0])} {verb}{point}"
    first, *rest = [
        f"{figure_words(size)} {verb} ({name.removeprefix('handicap ')})"
        for size, name in zip(shots, band_names(bands), strict=True)
    ]
    return f"{', '.join([first.replace('(', '(handicap '), *rest])}{point}"


def _cut_sentences(rules: CutRules) -> list[str]:
    said = [
        f"{ordinal(place).capitalize()} place: {_by_band(shots, rules.bands, 'off')}."
        for place, shots in enumerate(rules.places, 1)
        if any(shots)
    ]
    if rules.mark.of is MarkOf.FIELD and _uses_mark(rules):
        said.append(f"The mark of the day is {_mark_words(rules.mark)}.")
    said += [_points_sentence(line, rules) for line in rules.points]
    if sum(not line.added for line in rules.points) > 1:
        said.append("Where several of these hold, the largest counts, and only that one.")
    return said


def _uses_mark(rules: CutRules) -> bool:
    return any(line.over_mark for line in rules.points) or any(
        line.under_mark for line in rules.rises
    )


def _mark_words(mark: Mark) -> str:
    which = f"all scores of {mark.least} points or more" if mark.least else "all scores"
    if mark.drop:
        which += (
            " without the best and the worst one"
            if mark.drop == 1
            else f" without the best {mark.drop} and the worst {mark.drop}"
        )
    times = "" if mark.factor == 1 else f", times {figure_words(mark.factor)}"
    return f"the mean of {which}{times}"


def _over_words(at: Decimal, mark: Mark) -> str:
    name = "the mark" if mark.of is MarkOf.FIELD else str(mark.points)
    return name if not at else f"{figure_words(at)} over {name}"


def _points_sentence(line: PointsCut, rules: CutRules) -> str:
    whom = _WHOM[line.whom]
    if line.over_mark:
        asked = f"above {_over_words(line.at, rules.mark)}" if line.each else _reached(line, rules)
    else:
        at = figure_words(line.at)
        asked = f"above {at} points" if line.each else f"on {at} points or more"
    most = f", {shots_words(line.most)} at most" if line.most is not None else ""
    instead = "" if line.added or not rules.places else "; not both this and the cut for the place"
    more = line.added and bool(rules.places)
    shots = _by_band(line.shots, rules.bands, "off", each=line.each, more=more)
    return f"{whom.capitalize()} {asked}: {shots}{most}{instead}."


def _reached(line: PointsCut, rules: CutRules) -> str:
    if not line.at:
        return f"above {_over_words(line.at, rules.mark)}"
    points = "point" if line.at == 1 else "points"
    name = "the mark" if rules.mark.of is MarkOf.FIELD else str(rules.mark.points)
    return f"{figure_words(line.at)} {points} or more over {name}"


def _limit_sentences(rules: CutRules) -> list[str]:
    said = []
    if rules.floor is not None:
        said.append(f"Nobody under {rules.floor} points is cut.")
    if rules.over is not None:
        said.append(f"No cut is more than the points over {rules.over}.")
    for most, name in zip(rules.most, band_names(rules.bands), strict=False):
        if most is not None:
            said.append(f"{name.capitalize()}: no cut is more than {shots_words(most)}.")
    return said


def _rise_sentences(rules: CutRules) -> list[str]:
    said = []
    low = rules.lowest
    if low is not None:
        said.append(f"{_lowest_words(low.counts)}: {shots_words(low.shots)} back.")
    said += [_rise_sentence(line, rules) for line in rules.rises]
    if not said:
        return []
    if len(said) > 1:
        said.append("Where several of these hold, the largest counts, and only that one.")
    said.append("Whoever is cut does not rise on the same day.")
    if rules.maximum is not None:
        said.append(f"No handicap rises past {rules.maximum}.")
    return said


def _lowest_words(counts: Sequence[tuple[int | None, int]]) -> str:
    parts = []
    for up_to, count in counts:
        who = "the lowest score" if count == 1 else f"the lowest {count} scores"
        if up_to is None:
            parts.append(f"{who} in a larger field" if len(counts) > 1 else who)
        else:
            parts.append(f"{who} in a field of up to {up_to}")
    words = ", ".join(parts)
    return words[0].upper() + words[1:]


def _rise_sentence(line: PointsRise, rules: CutRules) -> str:
    if line.under_mark:
        name = "the mark" if rules.mark.of is MarkOf.FIELD else str(rules.mark.points)
        far = f"{figure_words(line.at)} or more " if line.at and not line.each else ""
        from_ = f"{figure_words(line.at)} under " if line.at and line.each else ""
        asked = f"{far}below {from_}{name}"
    else:
        at = figure_words(line.at)
        asked = f"below {at} points" if line.each else f"on {at} points or fewer"
    most = f", {shots_words(line.most)} at most" if line.most is not None else ""
    shots = _by_band(line.shots, rules.bands, "back", each=line.each)
    return f"Anybody {asked}: {shots}{most}."


def _who_sentences(rules: CutRules) -> list[str]:
    said = []
    skipped = [
        name
        for name, changed in (("guests", rules.guests), ("newcomers", rules.newcomers))
        if not changed
    ]
    if not skipped:
        return ["Members and guests alike."]
    said.append(f"{' and '.join(skipped).capitalize()} are neither cut nor given shots back.")
    if rules.among_members and rules.places:
        said.append("Places are counted without them.")
    if rules.lowest is not None:
        said.append(
            "The rise of one of them goes to the next lowest."
            if rules.pass_on
            else "The rise of one of them goes to nobody."
        )
    return said


def _end_sentences(rules: CutRules) -> list[str]:
    said = []
    if rules.expiry is Expiry.NEVER:
        said.append("A change stays until another one is made.")
    elif rules.expiry is Expiry.SEASON:
        said.append("A change ends with the season.")
    else:
        said.append(_steps_sentence(rules))
        said.append("Changes add up and run side by side.")
    if rules.halves_up:
        said.append("The handicap that is played is whole: half a shot rounds up.")
    return said


def _steps_sentence(rules: CutRules) -> str:
    months = rules.months
    lengths = [f"{length} {'month' if length == 1 else 'months'}" for length in months]
    if len(months) == 1:
        return f"A change ends after {lengths[0]}."
    if len(set(months)) == 1:
        return (
            f"A change grows smaller by {shots_words(rules.fade)} after every {lengths[0]} and is "
            f"gone after {len(months)} such steps at the latest."
        )
    return (
        f"A change runs in steps of {', then '.join(lengths)}, each smaller than the one before "
        f"by {shots_words(rules.fade)}."
    )
