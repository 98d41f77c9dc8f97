"""How a change is rounded, and what a handicap with half a shot is played as."""

from decimal import ROUND_FLOOR, Decimal
from fractions import Fraction


def rounded(value: Fraction) -> Decimal:
    """A change to one decimal, half up towards plus infinity, once, at the end.

    >>> rounded(Fraction(-1, 4)), rounded(Fraction(1, 4)), rounded(Fraction(-3))
    (Decimal('-0.2'), Decimal('0.3'), Decimal('-3'))
    """
    tenths = (value * 10 + Fraction(1, 2)).__floor__()
    whole, rest = divmod(tenths, 10)
    return Decimal(tenths) / 10 if rest else Decimal(whole)


def played_off(figure: Decimal) -> Decimal:
    """The whole handicap that a kept one is played as: half a shot rounds up.

    >>> played_off(Decimal("11.5")), played_off(Decimal("-1.5"))
    (Decimal('12'), Decimal('-1'))
    """
    return (figure + Decimal("0.5")).to_integral_value(ROUND_FLOOR)
