"""What a newcomer may choose: whose handicap, on which card, in which format."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms

from scoring.rules.values import INDIVIDUAL, HandicapKind
from society.courses.rules import HOLES_IN_WORDS, RatedHoles
from society.desk.rules.practice import SEEDS
from society.fixtures.rules import FORMAT_NAMES
from society.handicaps.forms import KINDS
from society.handicaps.rules.figures import read_figure

FORMATS = [(format_.value, FORMAT_NAMES[format_]) for format_ in INDIVIDUAL]
HOLES = [(holes.value, words.capitalize()) for holes, words in HOLES_IN_WORDS.items()]
NOT_THERE = "That is not one of the choices. Choose again from the list."


class LearnForm(forms.Form):
    """A card, the holes, a format and a handicap. `value` is the handicap as it is kept."""

    card = forms.ChoiceField(
        label="Course and tee", error_messages={"required": "Choose a course and a tee."}
    )
    holes = forms.ChoiceField(label="Holes", choices=HOLES)
    format = forms.ChoiceField(label="Format", choices=FORMATS)
    handicap = forms.CharField(
        label="Handicap",
        max_length=10,
        help_text="Like 12.3. A plus handicap has its sign: +1.2.",
        widget=forms.TextInput(
            attrs={"class": "input-short", "autocomplete": "off", "inputmode": "text"}
        ),
        error_messages={"required": "Write a handicap to see your shots."},
    )
    kind = forms.ChoiceField(label="Kind of handicap", choices=KINDS)

    def __init__(self, *args: Any, groups: Sequence[Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["card"].choices = groups  # type: ignore[attr-defined]
        for name in ("card", "holes", "format", "kind"):
            self.fields[name].error_messages["invalid_choice"] = NOT_THERE
        self.value: Decimal | None = None

    def clean(self) -> None:
        """Read the figure in the light of its kind."""
        super().clean()
        text, kind = self.cleaned_data.get("handicap"), self.cleaned_data.get("kind")
        if text and kind:
            try:
                self.value = read_figure(text, HandicapKind(kind))
            except ValueError as sentence:
                self.add_error("handicap", str(sentence))

    @property
    def rated_holes(self) -> RatedHoles:
        """The holes chosen."""
        return RatedHoles(self.cleaned_data["holes"])


class PracticeForm(LearnForm):
    """The same for a practice round of Stableford, with its seed."""

    seed = forms.IntegerField(
        label="Round number",
        min_value=SEEDS.start,
        max_value=SEEDS.stop - 1,
        widget=forms.HiddenInput,
        error_messages={
            "required": "The number of the round is missing. Start a new round.",
            "invalid": "The number of the round is no whole number. Start a new round.",
            "min_value": "The number of the round is out of its bounds. Start a new round.",
            "max_value": "The number of the round is out of its bounds. Start a new round.",
        },
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["format"]
