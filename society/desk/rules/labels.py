"""How self-adhesive labels lie on a sheet of A4, in millimetres.

>>> sheet = LabelSheet()
>>> sheet.on_a_sheet, sheet.corner(0), sheet.corner(3)
(14, (Decimal('4.6'), Decimal('15.1')), (Decimal('106.2'), Decimal('53.2')))
>>> LabelSheet.read(sheet.text()) == sheet
True
"""

from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Any

from scoring.rules.strict_json import canonical, read_json

A4 = (Decimal(210), Decimal(297))
LEAST = (Decimal(45), Decimal(20))  # width and height of a label that a name still fits on


class WrongSheet(ValueError):  # noqa: N818 - a sentence for the screen, not a fault
    """The labels do not lie on an A4 sheet; `field` is what to change."""

    def __init__(self, words: str, field: str) -> None:
        super().__init__(words)
        self.words = words
        self.field = field


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """The labels of a sheet, at first two by seven.

    `left`, `top`: from the edges of the paper to the first label. `across`, `down`: from the left
    edge of one label to that of the next, and from top to top.
    """

    columns: int = 2
    rows: int = 7
    wide: Decimal = Decimal("99.1")
    high: Decimal = Decimal("38.1")
    left: Decimal = Decimal("4.6")
    top: Decimal = Decimal("15.1")
    across: Decimal = Decimal("101.6")
    down: Decimal = Decimal("38.1")

    def checked(self) -> "LabelSheet":
        """The same. Raises WrongSheet where labels overlap, leave the paper or are too small."""
        for name, least in (("wide", LEAST[0]), ("high", LEAST[1])):
            if getattr(self, name) < least:
                raise WrongSheet(f"At least {least} mm, or nothing can be read.", name)
        if self.columns > 1 and self.across < self.wide:
            raise WrongSheet("The labels would overlap: at least as much as one is wide.", "across")
        if self.rows > 1 and self.down < self.high:
            raise WrongSheet("The labels would overlap: at least as much as one is high.", "down")
        if self.left + (self.columns - 1) * self.across + self.wide > A4[0]:
            raise WrongSheet("The last column would leave the paper, which is 210 mm wide.", "left")
        if self.top + (self.rows - 1) * self.down + self.high > A4[1]:
            raise WrongSheet("The last row would leave the paper, which is 297 mm high.", "top")
        return self

    @property
    def on_a_sheet(self) -> int:
        """How many labels a sheet has."""
        return self.columns * self.rows

    def corner(self, place: int) -> tuple[Decimal, Decimal]:
        """Left and top of a label, counted from 0 along the rows."""
        row, column = divmod(place, self.columns)
        return self.left + column * self.across, self.top + row * self.down

    def text(self) -> str:
        """Canonical JSON, millimetres as texts."""
        return canonical(
            {
                name: value if isinstance(value, int) else f"{value:f}"  # 100, never 1E+2
                for name, value in asdict(self).items()
            }
        )

    @staticmethod
    def read(text: str) -> "LabelSheet":
        """What `text` wrote; where nothing was kept, a common sheet of two by seven."""
        kept = read_json(text) if text else {}
        if not isinstance(kept, dict):
            raise TypeError("a sheet of labels is an object")
        values: dict[str, Any] = {
            name: value if isinstance(value, int) else Decimal(str(value))
            for name, value in kept.items()
        }
        return LabelSheet(**values)
