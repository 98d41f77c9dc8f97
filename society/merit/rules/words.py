"""The season's table in words: what separated two names, and the rules as plain sentences.

>>> gap = Parted(("b",), "better second score", Fraction(33), Fraction(31), ("the best",))
>>> parted_words(gap, {"b": "Ida Clamberfoot"})
'Ahead of Ida Clamberfoot: level on the best, better second score, 33 v 31'
"""

from collections.abc import Mapping, Sequence
from fractions import Fraction

from society.merit.rules.rows import Parted, Row, shown
from society.merit.rules.season import counting
from society.merit.rules.values import (
    EventTies,
    Guests,
    Majors,
    MeritRules,
    NewMembers,
    PointsFrom,
    SeasonTie,
    Unpaid,
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
NEW_MEMBERS = {
    NewMembers.ALIKE: "Who joins during the season stands in the table as all do.",
    NewMembers.FROM_JOINING: "Who joins during the season counts from the day of joining.",
    NewMembers.PRO_RATA: "Who joins during the season counts from the day of joining, and needs "
    "only the share of the minimum that was left to play, rounded up.",
    NewMembers.UNRANKED: "Who joins during the season is shown without a place until the next.",
}
UNPAID = {
    Unpaid.COUNT: "A subscription that is not paid changes nothing here.",
    Unpaid.UNRANKED: "Who has not paid the season's subscription keeps what was made and has no "
    "place until it is paid or excused.",
    Unpaid.FROM_PAYMENT: "A member counts from the day the season's subscription is paid; who is "
    "excused counts from the first day.",
    Unpaid.LEFT_OUT: "Who has not paid the season's subscription is taken out before points are "
    "given, until it is paid or excused.",
}
MAJORS = {
    Majors.TIMES: "their points are multiplied",
    Majors.OWN: "they have points by place of their own",
    Majors.ADDED: "points by place of their own are added to the usual ones",
}
SEASON_TIES = {
    SeasonTie.NEXT_BEST: "the best score that did not count, and so on, as long as all have one",
    SeasonTie.BEST_SCORE: "the best score",
    SeasonTie.BEST_SCORES: "the best score, then the second best, and so on",
    SeasonTie.HIGH_POINTS: "the most scores of the highest points, then of the next, and so on",
    SeasonTie.MOST_WINS: "the most wins",
    SeasonTie.MOST_SECONDS: "the most second places",
    SeasonTie.TOP_THREE: "the most finishes in the first three",
    SeasonTie.BEST_PLACES: "the most wins, then the most second places, and so on",
    SeasonTie.MOST_EVENTS: "the most fixtures played",
    SeasonTie.LAST_SCORES: "the last three scores that count, then the last two, then the last one",
    SeasonTie.LAST_BUT_ONE: "the last fixture but one",
    SeasonTie.LAST_EVENT: "the last fixture",
    SeasonTie.COMMITTEE: "decision of the committee",
    SeasonTie.LOTS: "lot",
}
UNRANKED = {
    "guest": "guest",
    "new": "new this season",
    "late": "joined too late for a place",
    "unpaid": "no place for now",
}


def sentences_of(
    rules: MeritRules, cancelled: int = 0, names: Mapping[str, str] | None = None
) -> list[str]:
    """The rules of a table as its page says them; `names` of competitions by public id."""
    named = names or {}
    said = [_division(rules), _earning(rules)]
    if rules.points is PointsFrom.PLACES or rules.major_table:
        said.append(EVENT_TIES[rules.event_ties])
        if rules.last_place_full:
            said.append("Who ties for the last place that earns gets its points in full.")
    said += [*_weights(rules, named), *_extras(rules)]
    best = counting(rules, cancelled)
    if best is None:
        said.append("All scores count.")
    else:
        said.append(f"The best {in_words(best)} scores count; the rest are dropped.")
    if rules.best is not None:
        said.append(
            "Each fixture that is cancelled lowers that number by one."
            if rules.best_follows
            else "A fixture that is cancelled does not change that number."
        )
    said.append(GUESTS[rules.guests])
    said += _people(rules)
    if rules.minimum:
        said.append(f"A place needs at least {in_words(rules.minimum)} fixtures played.")
    said.append("A card without a place on the day earns nothing and is no fixture played.")
    ties = [SEASON_TIES[tie] for tie in rules.season_ties]
    said.append(
        f"Level totals are parted by {'; then by '.join(ties)}. Then the place is shared."
        if ties
        else "Level totals share the place."
    )
    return [sentence for sentence in said if sentence]


def _division(rules: MeritRules) -> str:
    if not rules.division:
        return ""
    return (
        f"Only who played in the division {rules.division} on the day: the others are taken out "
        "before points are given."
    )


def _earning(rules: MeritRules) -> str:
    if rules.points is PointsFrom.TOTAL:
        return "The day's Stableford points are the season points; other formats earn none."
    later = f"every later place {rules.beyond}" if rules.beyond else "later places nothing"
    return f"Points by place: {_listed(rules.table)}; {later}."


def _listed(table: Sequence[int]) -> str:
    return ", ".join(str(points) for points in table)


def _weights(rules: MeritRules, names: Mapping[str, str]) -> list[str]:
    said = []
    by_weight: dict[Fraction, list[str]] = {}
    for key, weight in rules.weights:
        by_weight.setdefault(weight, []).append(names.get(key, "a fixture"))
    for weight, found in by_weight.items():
        said.append(f"Times {multiplier(weight)}: {joined(found)}.")
    if rules.majors:
        majors = joined([names.get(key, "a fixture") for key in rules.majors])
        ways = {
            Majors.TIMES: f"their points count times {multiplier(rules.major_weight)}",
            Majors.OWN: f"their points by place are {_listed(rules.major_table)}",
            Majors.ADDED: f"{_listed(rules.major_table)} by place are added to their points",
        }
        said.append(f"Majors: {majors}; {ways[rules.major_way]}.")
    if rules.left_out:
        said.append(
            f"Not counted here: {joined([names.get(key, 'a fixture') for key in rules.left_out])}."
        )
    return said


def _extras(rules: MeritRules) -> list[str]:
    said = []
    if rules.turning_up:
        said.append(f"{count_of(rules.turning_up)} for every card with a place, on top.")
    if rules.bonus_from is not None and rules.bonus_points:
        said.append(
            f"{count_of(rules.bonus_points)} more for a day of {rules.bonus_from} Stableford "
            "points or better."
        )
    if rules.bonus_pin:
        said.append(f"{count_of(rules.bonus_pin)} more for each nearest the pin.")
    if rules.bonus_drive:
        said.append(f"{count_of(rules.bonus_drive)} more for each longest drive.")
    if said and (rules.weights or rules.majors):
        said.append("What is on top is never multiplied.")
    return said


def _people(rules: MeritRules) -> list[str]:
    said = []
    if rules.new_members is not NewMembers.ALIKE:
        said.append(NEW_MEMBERS[rules.new_members])
    if rules.join_before_last:
        number = in_words(rules.join_before_last)
        said.append(f"Who joins later than before the last {number} fixtures has no place.")
    if rules.new_start:
        said.append(f"New members begin on {minus(rules.new_start)}.")
    if rules.unpaid is not Unpaid.COUNT:
        said.append(UNPAID[rules.unpaid])
    return said


def multiplier(weight: Fraction) -> str:
    """A weight as people write it, exact.

    >>> multiplier(Fraction(3, 2)), multiplier(Fraction(2)), multiplier(Fraction(5, 4))
    ('1.5', '2', '1.25')
    """
    whole, rest = divmod(weight * 100, 100)
    cents = f"{rest.numerator:02d}".rstrip("0")
    return f"{whole}.{cents}" if cents else str(whole)


def count_of(points: Fraction) -> str:
    """Points with their word.

    >>> count_of(Fraction(1)), count_of(Fraction(5, 2))
    ('1 point', '2.5 points')
    """
    return f"{multiplier(points)} {'point' if points == 1 else 'points'}"


def minus(points: Fraction) -> str:
    """Points with a sign of their own: "−10 points"."""
    return f"−{count_of(-points)}" if points < 0 else count_of(points)


def given_words(points: Fraction) -> str:
    """Points by hand with their sign, as they stand beside a name: "+2", "−1.5"; "" for none."""
    if not points:
        return ""
    return f"−{shown(-points)}" if points < 0 else f"+{shown(points)}"


def parted_words(parted: Parted, names: Mapping[str, str]) -> str:
    """What separated two names, as it stands under the upper one."""
    before = [words for words in parted.level if words]
    level = f"level on {joined(before)}, " if before else ""
    if parted.decided:
        return f"Ahead of {joined([names[player] for player in parted.below])}: {parted.better}"
    other = "none" if parted.other is None else shown(parted.other)
    below = joined([names[player] for player in parted.below])
    return f"Ahead of {below}: {level}{parted.better}, {shown(parted.own)} v {other}"


def why(row: Row, names: Mapping[str, str]) -> str:
    """The sentence under a row; empty where nothing has to be explained."""
    if row.level_with:
        level = f"Level with {joined([names[player] for player in row.level_with])} on every count"
        return f"{level}. {parted_words(row.parted, names)}" if row.parted else level
    return parted_words(row.parted, names) if row.parted else ""


def in_words(number: int) -> str:
    """Small numbers in words: "six"; from thirteen on the figure."""
    return NUMBERS[number] if number < len(NUMBERS) else str(number)


def joined(words: Sequence[str]) -> str:
    """Several on one line: "a, b and c"."""
    return f"{', '.join(words[:-1])} and {words[-1]}" if len(words) > 1 else "".join(words)
