"""How a society cuts, as a form: a set to begin with, then places by bands, and lines."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms.boundfield import BoundField

from scoring.rules.strict_json import Refused
from society.desk.forms.cut_boxes import boxes_of, field_at, months_of, sizes_of
from society.handicaps.rules.cuts.presets import PRESETS, Preset
from society.handicaps.rules.cuts.reading import (
    HIGHEST,
    MOST_BANDS,
    MOST_FIELD,
    MOST_LINES,
    MOST_PLACES,
    MOST_POINTS,
    MOST_SHOTS,
    cuts_object,
    read_cuts,
)
from society.handicaps.rules.cuts.values import (
    CutRules,
    Expiry,
    Lowest,
    Mark,
    MarkOf,
    PointsCut,
    PointsRise,
    Shots,
    Whom,
)
from society.handicaps.rules.cuts.words import ordinal

_SPARE = 2  # empty lines beside those in use
_WHOM = (
    (Whom.ANYBODY.value, "Anybody"),
    (Whom.WINNER.value, "The winner"),
    (Whom.OTHERS.value, "Anybody but the winner"),
)
_MARKS = (
    (MarkOf.POINTS.value, "The same number of points every day"),
    (MarkOf.FIELD.value, "The mean of the day’s scores"),
)
_ENDS = (
    (Expiry.NEVER.value, "Never"),
    (Expiry.SEASON.value, "With the season"),
    (Expiry.STEPS.value, "In steps of months"),
)
_SHOTS_HINT = "One figure for all, or one for each band with commas: 0.5, 1, 2."


def begin_with(key: str) -> CutRules | None:
    """The rules of a set to begin with; None where there is no such set."""
    return next((preset.rules for preset in PRESETS if preset.key == key), None)


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table: a label and a cell for each band."""

    label: str
    cells: tuple[BoundField, ...]


@dataclass(frozen=True, slots=True)
class CutLine:
    """The fields of one line, and whether anything stands in it."""

    label: str
    fields: tuple[BoundField, ...]
    used: bool


def _sizes(label: str) -> forms.CharField:
    return forms.CharField(label=label, required=False, max_length=40, help_text=_SHOTS_HINT)


def _whole(label: str, high: int, help_text: str = "", low: int = 1) -> forms.IntegerField:
    return forms.IntegerField(
        label=label, required=False, min_value=low, max_value=high, help_text=help_text
    )


def _number(label: str, high: int, places: int = 1, help_text: str = "") -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=False,
        min_value=Decimal(0),
        max_value=Decimal(high),
        decimal_places=places,
        help_text=help_text,
    )


class CutRulesForm(forms.Form):
    """The cut rules of a season. After `is_valid()`, `rules()` gives them, None for no cuts."""

    on = forms.BooleanField(
        label="Handicaps change after a result, by the rules below",
        required=False,
        help_text="Every change is proposed to the handicap secretary first; nothing moves before.",
    )
    floor = _whole("Nobody is cut under … points", MOST_POINTS, "30, for instance.")
    over = _whole("No cut is more than the points over …", MOST_POINTS, "36, for instance.")
    mark_of = forms.ChoiceField(
        label="The mark that scores are held against", choices=_MARKS, required=False
    )
    mark_points = _whole("That many points", MOST_POINTS, "36 if empty.")
    mark_least = _whole("Only scores of … points or more are in the mean", MOST_POINTS, low=0)
    mark_drop = _whole("Leave out the best … and the worst … scores", 10, low=0)
    mark_factor = _number("The mean times", 10, 3, "1.3, for instance. 1 if empty.")
    lowest_shots = _number("Shots back for the lowest scores", MOST_SHOTS)
    maximum = _whole("No handicap rises past", HIGHEST, "28, for instance.", low=0)
    expiry = forms.ChoiceField(
        label="A change ends", choices=_ENDS, widget=forms.RadioSelect, required=False
    )
    months = forms.CharField(
        label="Months of each step",
        required=False,
        max_length=40,
        help_text="12, 12, 12 makes three steps of a year each. Only with steps.",
    )
    fade = _number("Each step is smaller by … shots", MOST_SHOTS, 1, "1 if empty.")
    halves_up = forms.BooleanField(
        label="The handicap that is played is whole: half a shot rounds up", required=False
    )
    guests = forms.BooleanField(label="Guests change as well", required=False)
    newcomers = forms.BooleanField(label="Newcomers change as well", required=False)
    among_members = forms.BooleanField(
        label="Places are counted without those who do not change", required=False
    )
    pass_on = forms.BooleanField(
        label="A rise of one who does not change goes to the next lowest", required=False
    )

    def __init__(
        self, data: Any = None, *, initial: CutRules | None = None, prefix: str = "cuts"
    ) -> None:
        shown = initial or CutRules()
        super().__init__(data, prefix=prefix, initial=boxes_of(shown) | {"on": initial is not None})
        self.cut_lines = self._how_many("p", len(shown.points))
        self.rise_lines = self._how_many("r", len(shown.rises))
        self._table()
        for number in range(self.cut_lines):
            self._line(f"p{number}", cut=True)
        for number in range(self.rise_lines):
            self._line(f"r{number}", cut=False)
        for field in self.fields.values():
            if not isinstance(field, forms.BooleanField | forms.ChoiceField):
                field.widget.attrs["class"] = "input-short"

    def _table(self) -> None:
        """The boxes of the two tables: places by bands, and the lowest by size of field."""
        bands = range(1, MOST_BANDS + 1)
        for number in range(1, MOST_BANDS):
            self.fields[f"band_{number}"] = _whole(f"Band {number} goes up to", HIGHEST - 1, low=0)
        for place in range(1, MOST_PLACES + 1):
            for band in bands:
                label = f"{ordinal(place).capitalize()} place, band {band}"
                self.fields[f"place_{place}_{band}"] = _number(label, MOST_SHOTS)
        for band in bands:
            self.fields[f"most_{band}"] = _number(f"Largest cut, band {band}", MOST_SHOTS)
            self.fields[f"low_up_{band}"] = _whole("In a field of up to", MOST_FIELD)
            self.fields[f"low_count_{band}"] = _whole("how many rise", MOST_FIELD, low=0)

    def _how_many(self, letter: str, used: int) -> int:
        if not self.is_bound:
            return min(used + _SPARE, MOST_LINES)
        keys = set(self.data)
        return sum(
            self.add_prefix(f"{letter}{number}_shots") in keys for number in range(MOST_LINES)
        )

    def _line(self, name: str, *, cut: bool) -> None:
        fields = self.fields
        if cut:
            fields[f"{name}_whom"] = forms.ChoiceField(label="Who", choices=_WHOM, required=False)
        fields[f"{name}_of"] = forms.ChoiceField(
            label="Measured in",
            required=False,
            choices=(
                ("points", f"Points of the day: so many or {'more' if cut else 'fewer'}"),
                ("mark", f"Points {'over' if cut else 'under'} the mark: so many or more"),
            ),
        )
        fields[f"{name}_at"] = _number("How many points", MOST_POINTS)
        fields[f"{name}_shots"] = _sizes("Shots off" if cut else "Shots back")
        fields[f"{name}_each"] = forms.BooleanField(
            label=f"For each point {'above' if cut else 'below'} that", required=False
        )
        fields[f"{name}_most"] = _number("No more than … shots by this line", MOST_SHOTS)
        if cut:
            fields[f"{name}_added"] = forms.BooleanField(
                label="On top of the cut for the place (else only the larger counts)",
                required=False,
            )

    # what the template shows ------------------------------------------------------------------

    @property
    def presets(self) -> Sequence[Preset]:
        """The sets to begin with."""
        return PRESETS

    @property
    def tops(self) -> list[BoundField]:
        """The highest handicap of each band but the last."""
        return [self[f"band_{number}"] for number in range(1, MOST_BANDS)]

    @property
    def rows(self) -> list[Row]:
        """The places, and the largest cut, by bands."""
        bands = range(1, MOST_BANDS + 1)
        places = [
            Row(ordinal(place).capitalize(), tuple(self[f"place_{place}_{b}"] for b in bands))
            for place in range(1, MOST_PLACES + 1)
        ]
        return [*places, Row("Largest cut", tuple(self[f"most_{band}"] for band in bands))]

    @property
    def table_errors(self) -> list[str]:
        """What is wrong in the table, with the cell it is wrong in."""
        cells = [*self.tops, *[cell for row in self.rows for cell in row.cells]]
        return [f"{cell.label}: {words}" for cell in cells for words in cell.errors]

    @property
    def by_points(self) -> list[CutLine]:
        """The lines of cuts by points."""
        names = ("whom", "of", "at", "shots", "each", "most", "added")
        return self._shown("p", self.cut_lines, names, "Cut by points")

    @property
    def by_rises(self) -> list[CutLine]:
        """The lines of shots back by points."""
        return self._shown("r", self.rise_lines, ("of", "at", "shots", "each", "most"), "Rise")

    def _shown(self, letter: str, count: int, names: Sequence[str], label: str) -> list[CutLine]:
        return [
            CutLine(
                f"{label} {number + 1}",
                fields := tuple(self[f"{letter}{number}_{name}"] for name in names),
                bool(self[f"{letter}{number}_shots"].value())
                or any(field.errors for field in fields),
            )
            for number in range(count)
        ]

    @property
    def limits(self) -> list[BoundField]:
        """What holds a cut back."""
        return [self["floor"], self["over"]]

    @property
    def mark_fields(self) -> list[BoundField]:
        """What scores are held against."""
        names = ("mark_of", "mark_points", "mark_least", "mark_drop", "mark_factor")
        return [self[name] for name in names]

    @property
    def low_rows(self) -> list[tuple[BoundField, BoundField]]:
        """Sizes of the field, and how many of the lowest rise in each."""
        return [
            (self[f"low_up_{number}"], self[f"low_count_{number}"])
            for number in range(1, MOST_BANDS + 1)
        ]

    @property
    def low_errors(self) -> list[str]:
        """What is wrong with the lowest."""
        return [str(words) for pair in self.low_rows for cell in pair for words in cell.errors]

    @property
    def end_fields(self) -> list[BoundField]:
        """How long a change lasts."""
        return [self[name] for name in ("expiry", "months", "fade", "halves_up")]

    @property
    def who_fields(self) -> list[BoundField]:
        """Who changes."""
        return [self[name] for name in ("guests", "newcomers", "among_members", "pass_on")]

    # what was written -------------------------------------------------------------------------

    def clean(self) -> dict[str, Any]:
        """Put the rules together and have them read as strictly as they will be."""
        data = super().clean() or {}
        self._rules: CutRules | None = None
        if self.errors or not data.get("on"):
            return data
        bands = tuple(
            top for n in range(1, MOST_BANDS) if (top := data.get(f"band_{n}")) is not None
        )
        made = self._made(data, bands)
        if self.errors:
            return data
        try:
            self._rules = read_cuts(cuts_object(made))
        except Refused as refused:
            self.add_error(field_at(refused.place), f"This {refused.words}.")
        else:
            if not made.changes_anything:
                words = "Write at least one size: for a place, for points, or shots back."
                self.add_error("on", words)
        return data

    def rules(self) -> CutRules | None:
        """The rules of a valid form; None where handicaps do not change by a rule."""
        return self._rules if self.is_valid() else None

    def _made(self, data: dict[str, Any], bands: tuple[int, ...]) -> CutRules:
        wide = len(bands) + 1
        expiry = Expiry(data.get("expiry") or Expiry.NEVER.value)
        most = tuple(data.get(f"most_{band}") for band in range(1, wide + 1))
        return CutRules(
            bands=bands,
            places=self._places(data, wide),
            mark=Mark(
                of=MarkOf(data.get("mark_of") or MarkOf.POINTS.value),
                points=data.get("mark_points") or 36,
                least=data.get("mark_least") or 0,
                drop=data.get("mark_drop") or 0,
                factor=data.get("mark_factor") or Decimal(1),
            ),
            points=tuple(self._cut(data, f"p{n}", wide) for n in self._filled("p", data)),
            floor=data.get("floor"),
            over=data.get("over"),
            most=most if any(one is not None for one in most) else (),
            lowest=self._lowest(data),
            rises=tuple(self._rise(data, f"r{n}", wide) for n in self._filled("r", data)),
            maximum=data.get("maximum"),
            expiry=expiry,
            months=self._months(data) if expiry is Expiry.STEPS else (),
            fade=Decimal(1) if data.get("fade") is None else data["fade"],
            **{
                key: bool(data.get(key))
                for key in ("halves_up", "guests", "newcomers", "among_members", "pass_on")
            },
        )

    def _places(self, data: dict[str, Any], wide: int) -> tuple[Shots, ...]:
        """The rows up to the last with anything in it. One figure alone holds for every band."""
        rows: list[Shots] = []
        last = 0
        for place in range(1, MOST_PLACES + 1):
            cells = [data.get(f"place_{place}_{band}") for band in range(1, MOST_BANDS + 1)]
            for band, cell in enumerate(cells[wide:], wide + 1):
                if cell is not None:
                    self.add_error(f"place_{place}_{band}", "There is no such band.")
            if any(cell is not None for cell in cells):
                last = place
            given = cells[:wide]
            if given[0] is not None and all(cell is None for cell in given[1:]):
                given = [given[0]] * wide
            rows.append(tuple(Decimal(0) if cell is None else cell for cell in given))
        return tuple(rows[:last])

    def _filled(self, letter: str, data: dict[str, Any]) -> list[int]:
        count = self.cut_lines if letter == "p" else self.rise_lines
        return [number for number in range(count) if data.get(f"{letter}{number}_shots")]

    def _shots(self, data: dict[str, Any], name: str, wide: int) -> Shots:
        try:
            sizes = sizes_of(str(data[name]))
            if len(sizes) not in (1, wide):
                raise ValidationError(f"Write one figure, or {wide}: one for each band.")
        except ValidationError as wrong:
            self.add_error(name, wrong)
            return (Decimal(0),) * wide
        return sizes * wide if len(sizes) == 1 else sizes

    def _from(self, data: dict[str, Any], name: str) -> Decimal:
        """From how many points on; over or under the mark an empty box is nothing at all."""
        if data.get(f"{name}_at") is None and data.get(f"{name}_of") != "mark":
            self.add_error(f"{name}_at", "Say how many points.")
        return data.get(f"{name}_at") or Decimal(0)

    def _cut(self, data: dict[str, Any], name: str, wide: int) -> PointsCut:
        return PointsCut(
            whom=Whom(data.get(f"{name}_whom") or Whom.ANYBODY.value),
            at=self._from(data, name),
            shots=self._shots(data, f"{name}_shots", wide),
            over_mark=data.get(f"{name}_of") == "mark",
            each=bool(data.get(f"{name}_each")),
            most=data.get(f"{name}_most"),
            added=bool(data.get(f"{name}_added")),
        )

    def _rise(self, data: dict[str, Any], name: str, wide: int) -> PointsRise:
        return PointsRise(
            at=self._from(data, name),
            shots=self._shots(data, f"{name}_shots", wide),
            under_mark=data.get(f"{name}_of") == "mark",
            each=bool(data.get(f"{name}_each")),
            most=data.get(f"{name}_most"),
        )

    def _lowest(self, data: dict[str, Any]) -> Lowest | None:
        shots = data.get("lowest_shots")
        pairs = [
            (data.get(f"low_up_{number}"), data.get(f"low_count_{number}"))
            for number in range(1, MOST_BANDS + 1)
        ]
        counts = [(up_to, count) for up_to, count in pairs if count is not None]
        if not counts and not shots:
            return None
        if not counts or not shots:
            missing = "lowest_shots" if counts else "low_count_1"
            self.add_error(missing, "Say how many rise, and by how many shots.")
            return None
        if counts[-1][0] is not None:  # every larger field as the last one
            counts[-1] = (None, counts[-1][1])
        return Lowest(tuple(counts), shots)

    def _months(self, data: dict[str, Any]) -> tuple[int, ...]:
        try:
            return months_of(str(data.get("months", "")))
        except ValidationError as wrong:
            self.add_error("months", wrong)
            return (1,)
