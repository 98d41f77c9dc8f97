"""The form beside the tick list of cards: on what they are printed, and spare ones."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms

from society.desk.rules.labels import LabelSheet, WrongSheet
from society.entries.rules.words import PaperShape

MOST_SPARES = 40


class PrintForm(forms.Form):
    """What the ticked cards are printed on, and how many spares of each tee."""

    shape = forms.ChoiceField(
        label="On",
        widget=forms.RadioSelect,
        initial=PaperShape.CARD.value,
        choices=[
            (PaperShape.CARD.value, "Cards, two on each A4, to be cut across"),
            (PaperShape.SLIP.value, "Slips, four on each A4, to be cut in quarters"),
            (PaperShape.LABEL.value, "Labels, to stick on the club’s own card"),
        ],
    )
    first = forms.IntegerField(
        label="Labels begin with number",
        required=False,
        initial=1,
        min_value=1,
        max_value=200,
        widget=forms.NumberInput({"class": "input-short"}),
        help_text="For a sheet that is used already: the first label that is still there, "
        "counted along the rows.",
    )

    def __init__(self, tees: Sequence[tuple[str, str]], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for key, name in tees:
            self.fields[f"spare_{key}"] = forms.IntegerField(
                label=f"Blank spares, {name} tee",
                required=False,
                initial=0,
                min_value=0,
                max_value=MOST_SPARES,
                widget=forms.NumberInput({"class": "input-short"}),
            )

    def spares(self) -> dict[str, int]:
        """How many spares of each tee are wanted."""
        return {
            name.removeprefix("spare_"): number or 0
            for name, number in self.cleaned_data.items()
            if name.startswith("spare_")
        }


def _millimetres(label: str, most: int) -> forms.DecimalField:
    return forms.DecimalField(
        label=f"{label}, mm",
        min_value=Decimal(0),
        max_value=Decimal(most),
        max_digits=4,
        decimal_places=1,
        widget=forms.NumberInput({"class": "input-short", "step": "0.1", "inputmode": "decimal"}),
    )


class LabelForm(forms.Form):
    """How the society's labels lie on a sheet, in millimetres."""

    columns = forms.IntegerField(
        min_value=1, max_value=6, widget=forms.NumberInput({"class": "input-short"})
    )
    rows = forms.IntegerField(
        min_value=1, max_value=20, widget=forms.NumberInput({"class": "input-short"})
    )
    wide = _millimetres("Width of a label", 210)
    high = _millimetres("Height of a label", 297)
    left = _millimetres("From the left edge of the paper to the first label", 210)
    top = _millimetres("From the top edge of the paper to the first label", 297)
    across = _millimetres("From the left edge of one label to that of the next", 210)
    down = _millimetres("From the top of one label to the top of the next", 297)

    def clean(self) -> dict[str, Any]:
        """The numbers of a sheet that fits on the paper."""
        said = super().clean() or {}
        if len(said) == len(self.fields):
            try:
                LabelSheet(**said).checked()
            except WrongSheet as wrong:
                self.add_error(wrong.field, wrong.words)
        return said


class DayTermsForm(forms.Form):
    """What hangs by the first tee on the day."""

    conditions = forms.CharField(
        label="Local conditions",
        required=False,
        max_length=2000,
        widget=forms.Textarea({"rows": 6}),
        help_text="One on each line: preferred lies, ground under repair, temporary greens, "
        "out of bounds, a local rule. The club’s own local rules hold beside them.",
    )
    signals = forms.CharField(
        label="Signals for stopping and resuming play",
        required=False,
        max_length=1000,
        widget=forms.Textarea({"rows": 4}),
        help_text="One on each line, as the club gives them. Model Local Rule J-1 names: one "
        "prolonged note, stop at once; three consecutive notes, stop, the hole may be finished; "
        "two short notes, play on.",
    )
    decides = forms.CharField(
        label="Who decides, and how to reach them",
        required=False,
        max_length=200,
        help_text="A name and a telephone number that everybody on the day may read.",
    )
    shelter = forms.CharField(
        label="Where to take shelter",
        required=False,
        max_length=300,
        help_text="A large closed building first; else a car. Never trees, small huts or buggies.",
    )
