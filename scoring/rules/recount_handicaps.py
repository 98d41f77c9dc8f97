"""The handicaps of the recount: Course and Playing Handicap and strokes, read a second time.

Rules of Handicapping 2024 (Rules 6.1, 6.2, Appendices C and E) and the event document, section
1.1. See `recount`: nothing here comes from the engine, not even a number.

>>> [half_up(Fraction(n, 4)) for n in (10, -6, -5)]
[3, -1, -1]
>>> [pencil(Fraction(n, 6)) for n in (213, -8, 12)]
['35.5', '-1 1/3', '2']
>>> strokes_by_hand(-2, [1, 2, 3, 4, 5, 6, 7, 8, 9])
[0, 0, 0, 0, 0, 0, 0, -1, -1]
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

Document = Mapping[str, Any]

OWN_BALL = ("four_ball", "best_of", "aggregate")
ONE_BALL = ("foursomes", "greensomes", "chapman", "scramble")


def half_up(number: Fraction) -> int:
    """To the nearest whole number, a half upwards. Rules of Handicapping, Rule 5.1c."""
    return (number + Fraction(1, 2)) // 1


def pencil(number: Fraction | int) -> str:
    """A figure as it is written on the board."""
    number = Fraction(number)
    if number.denominator == 1:
        return str(number.numerator)
    sign = "-" if number < 0 else ""
    size = abs(number)
    full = size // 1
    rest = size - full
    if rest == Fraction(1, 2):
        return f"{sign}{full}.5"
    return f"{sign}{full} {rest}" if full else f"{sign}{rest}"


def hundredths(number: Fraction) -> str:
    """A Course Handicap with its two decimals."""
    return str(Decimal(half_up(number * 100)) / 100 + Decimal("0.00"))


def game_of(terms: Mapping[str, Any]) -> str:
    """How a hole is scored."""
    return str(terms.get("scoring", terms["format"]))


def by_strokes(terms: Mapping[str, Any]) -> bool:
    """Whether the fewest strokes win."""
    return game_of(terms) in ("medal", "maximum_score")


def handicaps(
    document: Document, player: Mapping[str, Any], tee: Mapping[str, Any]
) -> tuple[Fraction | None, int]:
    """Course Handicap (unrounded) and Playing Handicap of a player. Rules 6.1 and 6.2."""
    terms = document["terms"]
    if terms.get("basis") == "gross":
        return None, 0
    course: Fraction | None = None
    if "playing_handicap" in player:
        playing = int(player["playing_handicap"])
    else:
        course = _course(document, player, tee)
        allowance = terms["allowance"] if "allowance" in terms else _usual(document)
        playing = half_up(course * Fraction(allowance) / 100)
    return course, _limited(document, playing, tee)


def _limited(document: Document, playing: int, tee: Mapping[str, Any]) -> int:
    terms = document["terms"]
    if "maximum_playing_handicap" in terms:
        playing = min(playing, terms["maximum_playing_handicap"])
    if by_strokes(terms) and terms.get("different_par", True):
        in_use = {somebody["tee"] for somebody in document["players"].values()}
        if terms["format"] in ONE_BALL:
            first = [members[0] for members in document["sides"].values()]
            in_use = {document["players"][member]["tee"] for member in first}
        lowest = min(sum(document["tees"][name]["par"]) for name in in_use)
        playing += sum(tee["par"]) - terms.get("reference_par", lowest)
    return playing


def _course(document: Document, player: Mapping[str, Any], played: Mapping[str, Any]) -> Fraction:
    """Rule 6.1, with the ratings of the player's own tee and the par of the tee played."""
    if "course_handicap" in player:
        return Fraction(player["course_handicap"])
    own = document["tees"][player["tee"]]
    index = Fraction(player["handicap_index"])
    if len(own["par"]) == 9:
        index = Fraction(half_up(index / 2 * 10), 10)
    course = index * Fraction(own["slope_rating"]) / 113
    return Fraction(course + Fraction(own["course_rating"]) - sum(played["par"]))


def _usual(document: Document) -> int:
    """The allowance of Appendix C where the terms leave it out."""
    terms = document["terms"]
    par_play = game_of(terms) == "par"
    if terms["format"] == "four_ball":
        return 90 if par_play else 85
    if terms["format"] == "aggregate":
        return 100
    if terms["format"] == "best_of":
        table = [75, 80, 90, 100] if par_play else [75, 85, 100, 100]
        return table[int(terms["best"]) - 1]
    return 95


def side_handicap(
    document: Document, players: Sequence[Mapping[str, Any]], tee: Mapping[str, Any]
) -> int:
    """The Playing Handicap of a side that plays one ball. Appendix C."""
    terms = document["terms"]
    if terms.get("basis") == "gross":
        return 0
    usual = {
        "foursomes": [50, 50],
        "greensomes": [60, 40],
        "chapman": [60, 40],
        "scramble": [[35, 15], [30, 20, 10], [25, 20, 15, 10]][len(players) - 2],
    }[terms["format"]]
    lowest_first = sorted(_course(document, player, tee) for player in players)
    shares = [Fraction(share) / 100 for share in terms.get("allowance", usual)]
    added = sum(course * share for course, share in zip(lowest_first, shares, strict=True))
    return _limited(document, half_up(Fraction(added)), tee)


def strokes_by_hand(playing: int, indexes: Sequence[int]) -> list[int]:
    """One at a time to the hardest hole left, round and round; a plus player from the easiest."""
    hardest_first = sorted(range(len(indexes)), key=lambda hole: indexes[hole])
    order = hardest_first if playing > 0 else hardest_first[::-1]
    strokes = [0] * len(indexes)
    for shot in range(abs(playing)):
        strokes[order[shot % len(order)]] += 1 if playing > 0 else -1
    return strokes
