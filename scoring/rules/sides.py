"""Reading sides, and what the terms of a side format need to know of them.

Event document, section 1, table of keys, and section 1.1; recommended allowances: Rules of
Handicapping, Appendix C (a best-of has one only for sides of four and one number of balls).

>>> MEMBERS[Format.SCRAMBLE]
(2, 4)
"""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from scoring.rules import parameters
from scoring.rules.checks import entries, items, key_of, known
from scoring.rules.strict_json import Refused, inside, quoted
from scoring.rules.values import Format, Player, Side, Terms

MEMBERS = {
    Format.FOUR_BALL: (2, 2),
    Format.BEST_OF: (2, 8),
    Format.AGGREGATE: (2, 8),
    Format.FOURSOMES: (2, 2),
    Format.GREENSOMES: (2, 2),
    Format.CHAPMAN: (2, 2),
    Format.SCRAMBLE: (2, 4),
}
SIDE_WITH_ALLOWANCE = 4


def read_sides(value: object, players: Mapping[str, Player], format_: Format) -> dict[str, Side]:
    """The sides of a document: every player in exactly one, each of a size the format allows."""
    least, most = MEMBERS[format_]
    sides: dict[str, Side] = {}
    named: set[str] = set()
    for key, listed in entries(value, "sides").items():
        place = inside("sides", key)
        key_of(key, place)
        members = []
        for at, entry in enumerate(items(listed, place)):
            player = known(entry, inside(place, at), players, "player")
            if player in named:
                raise Refused(inside(place, at), f"{quoted(player)} stands in a side already")
            named.add(player)
            members.append(players[player])
        if not least <= len(members) <= most:
            raise Refused(place, f"wants {_size(least, most)} players, has {len(members)}")
        sides[key] = Side(key, tuple(members))
    for key in players:
        if key not in named:
            raise Refused(inside("players", key), "is in no side")
    if format_ is Format.AGGREGATE:
        _refuse_mixed_sizes(sides)
    return sides


def _size(least: int, most: int) -> str:
    return str(least) if least == most else f"{least} to {most}"


def _refuse_mixed_sizes(sides: Mapping[str, Side]) -> None:
    size = len(next(iter(sides.values())).members)
    for key, side in sides.items():
        if len(side.members) != size:
            raise Refused(inside("sides", key), "an aggregate wants all sides of one size")


def fit_to_sides(terms: Terms, sides: Mapping[str, Side]) -> Terms:
    """The terms with the allowance that depends on the sides; refused where they do not fit."""
    sizes = {len(side.members) for side in sides.values()}
    if terms.shares is not None and sizes != {len(terms.shares)}:
        raise Refused("terms.allowance", "wants one share for each member of every side")
    if terms.format is not Format.BEST_OF or terms.best is None:
        return terms
    for at, best in enumerate(terms.best):
        if best > min(sizes):
            place = "terms.best" if terms.one_best else inside("terms.best", at)
            raise Refused(place, f"the smallest side has {min(sizes)} players")
    if not terms.allowance_open:
        return terms
    if terms.one_best and sizes == {SIDE_WITH_ALLOWANCE}:
        allowance = parameters.best_of_allowance(terms.scoring, terms.best[0])
        return replace(terms, allowance=Fraction(allowance), allowance_open=False)
    if terms.net:
        raise Refused("terms.allowance", "is missing; these sides have no recommended one")
    return terms
