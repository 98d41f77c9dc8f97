"""What a member may ask of a record: a course, a tee, the holes and an allowance."""

from collections.abc import Sequence
from typing import Any

from django import forms

from society.courses.rules import RatedHoles
from society.desk.forms.learn import HOLES, NOT_THERE

MOST_PERCENT = 200
USUAL_ALLOWANCE = 95  # individual Stableford and stroke play, Rules of Handicapping, Appendix C


class WouldPlayForm(forms.Form):
    """A card of the society, the holes, and how much of the course handicap is given."""

    card = forms.ChoiceField(
        label="Course and tee", error_messages={"required": "Choose a course and a tee."}
    )
    holes = forms.ChoiceField(label="Holes", choices=HOLES)
    allowance = forms.IntegerField(
        label="Allowance in percent",
        min_value=0,
        max_value=MOST_PERCENT,
        widget=forms.NumberInput(attrs={"class": "input-short", "inputmode": "numeric"}),
        error_messages={
            "required": "Write how many percent are given, like 95.",
            "invalid": "An allowance is a whole number of percent, like 95.",
            "min_value": "An allowance is from 0 to 200 percent.",
            "max_value": "An allowance is from 0 to 200 percent.",
        },
    )

    def __init__(self, *args: Any, groups: Sequence[Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["card"].choices = groups  # type: ignore[attr-defined]
        for name in ("card", "holes"):
            self.fields[name].error_messages["invalid_choice"] = NOT_THERE

    @property
    def rated_holes(self) -> RatedHoles:
        """The holes chosen."""
        return RatedHoles(self.cleaned_data["holes"])
