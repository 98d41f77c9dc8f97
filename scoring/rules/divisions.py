"""Divisions of a field by handicap: bands with typed bounds, or equal parts of whoever plays.

No rule book sets divisions; the committee does, in the terms (Committee Procedures 5A). That a
field is cut by typed bands or afresh each day into parts of equal size is common practice, no
source. The rule for players on one figure is ours and stands in words on the page.

>>> scheme = Scheme(DivideBy.BROUGHT, ("Division 1", "Division 2"), (Fraction(12),))
>>> scheme.division_of(Fraction(12)), scheme.division_of(Fraction(121, 10))
('Division 1', 'Division 2')
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from scoring.rules.strict_json import canonical, read_json


class DivideBy(StrEnum):
    """Which figure decides: the handicap brought, or the playing handicap it gives."""

    BROUGHT = "brought"
    PLAYING = "playing"


@dataclass(frozen=True, slots=True)
class Scheme:
    """How a field is divided. `tops`: the highest figure of each division but the last.

    `equal`: the tops are cut so that the divisions have equal numbers; none until it was cut.
    `categories`: everybody also stands in a division of the own category.
    """

    by: DivideBy
    names: tuple[str, ...]
    tops: tuple[Fraction, ...] = ()
    equal: bool = False
    categories: bool = False

    def division_of(self, figure: Fraction) -> str:
        """The division of a figure; empty where there are none, or none cut yet."""
        if not self.names or len(self.tops) != len(self.names) - 1:
            return ""
        reached = [name for name, top in zip(self.names, self.tops, strict=False) if figure <= top]
        return reached[0] if reached else self.names[-1]

    def cut(self, figures: Iterable[Fraction]) -> "Scheme":
        """Equal parts cut for these figures; bands as they are.

        The lower divisions have one more where it does not come out even. Whoever has the same
        figure as the last player of a division is in it too.
        """
        ordered, parts = sorted(figures), len(self.names)
        if not self.equal or not ordered or not parts:
            return self
        size, more = divmod(len(ordered), parts)
        ends = [size * n + min(n, more) for n in range(1, parts)]
        return replace(self, tops=tuple(ordered[max(end, 1) - 1] for end in ends))

    def uncut(self) -> "Scheme":
        """Equal parts before anybody's figure is known."""
        return replace(self, tops=()) if self.equal else self

    @property
    def faults(self) -> list[str]:
        """What cannot be: sentences, none if all is well."""
        found = []
        if len(set(self.names)) < len(self.names):
            found.append("Two divisions have the same name.")
        if any(not name.strip() or len(name) > 40 for name in self.names):
            found.append("Each division has a name of at most 40 characters.")
        if len(self.names) > 6:
            found.append("At most six divisions.")
        if not self.names and not self.categories:
            found.append("Say at least one division.")
        if not self.equal and self.names and len(self.tops) != len(self.names) - 1:
            found.append("Each division but the last has a highest handicap.")
        if any(low >= high for low, high in zip(self.tops, self.tops[1:], strict=False)) and (
            not self.equal
        ):
            found.append("Each division begins above the one before it.")
        return found


def scheme_text(scheme: Scheme) -> str:
    """Canonical JSON of a scheme."""
    return canonical(
        {
            "by": scheme.by.value,
            "categories": scheme.categories,
            "equal": scheme.equal,
            "names": list(scheme.names),
            "tops": [figure_words(top) for top in scheme.tops],
        }
    )


def scheme_of(text: str) -> Scheme:
    """The scheme that a text says. Raises Refused, KeyError or TypeError if it is none."""
    said = read_json(text)
    if not isinstance(said, dict):
        raise TypeError("a scheme is an object")
    return Scheme(
        by=DivideBy(said["by"]),
        names=tuple(said["names"]),
        tops=tuple(Fraction(top) for top in said["tops"]),
        equal=said["equal"],
        categories=said["categories"],
    )


def figure_words(figure: Fraction) -> str:
    """A figure of at most one decimal, a plus handicap below zero: "12", "-1.2".

    >>> figure_words(Fraction(-12, 10)), figure_words(Fraction(12))
    ('-1.2', '12')
    """
    tenths = round(figure * 10)
    whole, rest = divmod(abs(tenths), 10)
    return f"{'-' if tenths < 0 else ''}{whole}" + (f".{rest}" if rest else "")


def scheme_sentences(scheme: Scheme) -> list[str]:
    """How the field is divided, for everyone to read."""
    what = "playing handicap" if scheme.by is DivideBy.PLAYING else "handicap"
    said = []
    if scheme.equal:
        said.append(
            f"The field is cut into {len(scheme.names)} divisions of equal numbers by {what} when "
            "handicaps are taken. Players on one figure stay together, in the lower division; "
            "whoever comes later goes by the figures cut then."
        )
    if scheme.names and len(scheme.tops) == len(scheme.names) - 1:
        said += _bands(scheme, what)
    if scheme.categories:
        said.append("Each category has a standing of its own as well.")
    return said


def _bands(scheme: Scheme, what: str) -> list[str]:
    shown = [figure_words(top) for top in scheme.tops]
    shown = [f"+{top[1:]}" if top.startswith("-") else top for top in shown]
    said = []
    for at, name in enumerate(scheme.names):
        if at == 0:
            words = f"{what} up to {shown[0]}" if shown else "everybody"
        elif at == len(shown):
            words = f"above {shown[-1]}"
        else:
            words = f"above {shown[at - 1]}, up to {shown[at]}"
        said.append(f"{name}: {words}.")
    return said
