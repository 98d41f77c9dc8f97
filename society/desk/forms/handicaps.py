"""What an officer types on the handicaps page."""

from typing import Any, cast

from django import forms

from scoring.rules.values import HandicapKind
from society.courses.models import Tee
from society.entries.rules.words import FrozenReason
from society.handicaps.rules.figures import KIND_NAMES, Source, read_figure
from society.web.forms import ReasonField

FIGURE = {"class": "input-short", "autocomplete": "off", "inputmode": "text"}


class _FigureForm(forms.Form):
    """A form with one figure in `value`, read as people write it."""

    def __init__(self, *args: Any, kind: HandicapKind, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind

    def clean_value(self) -> object:
        text = self.cleaned_data["value"]
        if not text:
            return None
        try:
            return read_figure(text, self.kind)
        except ValueError as wrong:
            raise forms.ValidationError(str(wrong)) from wrong


class GiveForm(_FigureForm):
    """The figure of somebody who lacks one."""

    value = forms.CharField(
        label="Handicap",
        help_text="Like 12.3. A plus handicap has its sign: +1.2.",
        widget=forms.TextInput(attrs=FIGURE),
        error_messages={"required": "Write the handicap."},
    )
    source = forms.ChoiceField(
        label="Where it comes from",
        choices=[
            (Source.STATED.value, "Stated by the player"),
            (Source.COMMITTEE.value, "The committee's decision"),
        ],
    )
    words = ReasonField(
        label="Why",
        required=False,
        max_length=200,
        help_text="It stands in the handicap record. What the committee sets needs it.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["value"].label = (
            "Handicap index"
            if self.kind is HandicapKind.INDEX
            else KIND_NAMES[self.kind].capitalize()
        )

    def clean(self) -> None:
        """What a committee sets wants its reason."""
        super().clean()
        by_committee = self.cleaned_data.get("source") == Source.COMMITTEE.value
        if by_committee and not self.cleaned_data.get("words"):
            self.add_error("words", "Say why the committee set it: it stands in the record.")


class TeeForm(forms.Form):
    """Another tee for one player, before handicaps are taken."""

    tee = forms.ModelChoiceField(
        label="Tee", queryset=Tee.objects.none(), to_field_name="public_id", empty_label=None
    )

    def __init__(self, *args: Any, tees: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cast("forms.ModelChoiceField[Tee]", self.fields["tee"]).queryset = tees


class CorrectForm(_FigureForm):
    """Another figure or tee in place of a frozen one, with a reason."""

    value = forms.CharField(label="Handicap", required=False, widget=forms.TextInput(attrs=FIGURE))
    tee = forms.ModelChoiceField(
        label="Tee", queryset=Tee.objects.none(), to_field_name="public_id", empty_label=None
    )
    reason_class = forms.ChoiceField(
        label="What was wrong",
        choices=[
            (FrozenReason.WRONG_HANDICAP.value, "The handicap"),
            (FrozenReason.WRONG_TEE.value, "The tee"),
            (FrozenReason.TEE_CHANGED.value, "Nothing: the player moved to another tee"),
        ],
    )
    words = ReasonField(
        label="Why",
        max_length=200,
        help_text="It stands beside the figure and in the record of what was done.",
        error_messages={"required": "Say why, in a few words."},
    )
    witness = ReasonField(
        label="Witness",
        required=False,
        max_length=100,
        help_text="This is your own handicap and no other officer can act: who agrees with it?",
    )

    def __init__(self, *args: Any, tees: Any, alone: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not alone:
            del self.fields["witness"]
        cast("forms.ModelChoiceField[Tee]", self.fields["tee"]).queryset = tees


class ReferenceParForm(forms.Form):
    """A lower reference par, with a reason."""

    par = forms.IntegerField(
        label="Reference par",
        min_value=27,
        max_value=108,
        widget=forms.NumberInput(attrs={"class": "input-short"}),
    )
    words = ReasonField(
        label="Why",
        max_length=200,
        help_text="Everybody's playing handicap moves by the difference.",
        error_messages={"required": "Say why: it moves everybody's figure."},
    )


class CourseCardsForm(forms.Form):
    """Why the cards of the course are taken over again."""

    words = ReasonField(
        label="Why",
        max_length=200,
        help_text="It stands beside the result.",
        error_messages={"required": "Say why, in a few words."},
    )
