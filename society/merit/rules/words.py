"""The season's table in words: what separated two names, and the rules as plain sentences.

>>> gap = Parted(("b",), "better second score", Fraction(33), Fraction(31), ("the best",))
>>> parted_words(gap, {"b": "Ida Clamberfoot"})
'Ahead of Ida Clamberfoot: level on the best, better second score, 33 v 31'
"""

from collections.abc import Mapping, Sequence
from fractions import Fraction

from society.merit.rules.season import Parted, Row, counting
from society.merit.rules.values import (
    EventTies,
    Guests,
    MeritRules,
    PointsFrom,
    SeasonTie,
)

NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve",
)  # fmt: skip

EVENT_TIES = {
    EventTies.DIVIDE: "Players level on the day add the points of their places and divide them.",
    EventTies.HIGHER: "Players level on the day all get the points of the higher place; the next "
    "place is skipped.",
    EventTies.NO_SKIP: "Players level on the day all get the points of the higher place; the next "
    "player gets those of the place after it.",
    EventTies.COUNTBACK: "The day's own countback parts those who are level; who is level after "
    "it adds the points and divides.",
}
GUESTS = {
    Guests.REMOVED: "Guests are taken out before points are given, and members move up.",
    Guests.UNRANKED: "Guests keep the points of the place they made and are shown without a place.",
}
SEASON_TIES = {
    SeasonTie.NEXT_BEST: "the best score that did not count, and so on, as long as all have one",
    SeasonTie.BEST_SCORE: "the best score",
    SeasonTie.BEST_SCORES: "the best score, then the second best, and so on",
    SeasonTie.MOST_WINS: "the most wins",
    SeasonTie.MOST_EVENTS: "the most fixtures played",
    SeasonTie.LAST_EVENT: "the last fixture",
}


def sentences_of(rules: MeritRules, cancelled: int = 0) -> list[str]:
    """The rules of a table as its page says them."""
    said = [_earning(rules)]
    if rules.points is PointsFrom.PLACES:
        said.append(EVENT_TIES[rules.event_ties])
    best = counting(rules, cancelled)
    if best is None:
        said.append("All scores count.")
    else:
        said.append(f"The best {in_words(best)} scores count; the rest are dropped.")
    if rules.best is not None and rules.best_follows:
        said.append("Each fixture that is cancelled lowers that number by one.")
    said.append(GUESTS[rules.guests])
    if rules.minimum:
        said.append(f"A place needs at least {in_words(rules.minimum)} fixtures played.")
    said.append("A card without a place on the day earns nothing and is no fixture played.")
    ties = [SEASON_TIES[tie] for tie in rules.season_ties]
    said.append(
        f"Level totals are parted by {'; then by '.join(ties)}. Then the place is shared."
        if ties
        else "Level totals share the place."
    )
    return said


def _earning(rules: MeritRules) -> str:
    if rules.points is PointsFrom.TOTAL:
        return "The day's Stableford points are the season points; other formats earn none."
    listed = ", ".join(str(points) for points in rules.table)
    later = f"every later place {rules.beyond}" if rules.beyond else "later places nothing"
    return f"Points by place: {listed}; {later}."


def parted_words(parted: Parted, names: Mapping[str, str]) -> str:
    """What separated two names, as it stands under the upper one."""
    level = f"level on {joined(parted.level)}, " if parted.level else ""
    other = "none" if parted.other is None else shown(parted.other)
    below = joined([names[player] for player in parted.below])
    return f"Ahead of {below}: {level}{parted.better}, {shown(parted.own)} v {other}"


def why(row: Row, names: Mapping[str, str]) -> str:
    """The sentence under a row; empty where nothing has to be explained."""
    if row.level_with:
        level = f"Level with {joined([names[player] for player in row.level_with])} on every count"
        return f"{level}. {parted_words(row.parted, names)}" if row.parted else level
    return parted_words(row.parted, names) if row.parted else ""


def shown(points: Fraction) -> str:
    """Points for people: whole, or rounded half up to one decimal.

    >>> [shown(Fraction(n, 6)) for n in (150, 99, 116)]
    ['25', '16.5', '19.3']
    """
    if points.denominator == 1:
        return str(points.numerator)
    tenths = (points * 10 + Fraction(1, 2)) // 1
    whole, tenth = divmod(abs(tenths), 10)
    return f"{'-' if tenths < 0 else ''}{whole}.{tenth}"


def in_words(number: int) -> str:
    """Small numbers in words: "six"; from thirteen on the figure."""
    return NUMBERS[number] if number < len(NUMBERS) else str(number)


def joined(words: Sequence[str]) -> str:
    """Several on one line: "a, b and c"."""
    return f"{', '.join(words[:-1])} and {words[-1]}" if len(words) > 1 else "".join(words)
