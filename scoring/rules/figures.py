"""How figures are written in an answer: never a binary float, never a minus zero.

Event document, section 1.5.

>>> [figure(Fraction(n, 6)) for n in (114, 213, -3, 232, -4, -8)]
['19', '35.5', '-0.5', '38 2/3', '-2/3', '-1 1/3']
>>> [two_decimals(Fraction(text)) for text in ("12.159", "-0.38", "18", "-0.001")]
['12.16', '-0.38', '18.00', '0.00']
"""

from fractions import Fraction

from scoring.rules.handicap import round_half_up


def figure(value: Fraction | int) -> str:
    """A whole number, a half as .5, any other fraction in lowest terms."""
    if isinstance(value, int):
        return str(value)
    whole, part = divmod(abs(value.numerator), value.denominator)
    sign = "-" if value < 0 else ""
    if not part:
        return f"{sign}{whole}"
    if value.denominator == 2:
        return f"{sign}{whole}.5"
    return (
        f"{sign}{whole} {part}/{value.denominator}"
        if whole
        else f"{sign}{part}/{value.denominator}"
    )


def two_decimals(value: Fraction) -> str:
    """Rounded to two decimals, a half towards plus infinity, always two."""
    hundredths = round_half_up(value * 100)
    whole, rest = divmod(abs(hundredths), 100)
    return f"{'-' if hundredths < 0 else ''}{whole}.{rest:02d}"
