"""The form beside the tick list of cards: on what they are printed, and spare ones."""

from collections.abc import Sequence
from typing import Any

from django import forms

from society.entries.rules.words import PaperShape

MOST_SPARES = 40


class PrintForm(forms.Form):
    """What the ticked cards are printed on, and how many spares of each tee."""

    shape = forms.ChoiceField(
        label="On",
        widget=forms.RadioSelect,
        initial=PaperShape.CARD.value,
        choices=[(PaperShape.CARD.value, "Cards, two on each A4, to be cut across")],
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
