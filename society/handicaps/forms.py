"""What people type about a handicap."""

from datetime import date
from typing import Any

from django import forms

from scoring.rules.values import HandicapKind
from society.handicaps.rules.figures import Source, read_figure
from society.handicaps.rules.season import HandicapRules, brief
from society.web.forms import DayField, ReasonField

KINDS = [
    (HandicapKind.INDEX.value, "Index, converted by the ratings of the course"),
    (HandicapKind.COURSE.value, "Course handicap, the allowance still to come off"),
    (HandicapKind.PLAYING.value, "Playing handicap, ready as it stands"),
]
SOURCES = [
    (Source.ASSOCIATION.value, "An association authorised to issue it"),
    (Source.SOCIETY.value, "This society"),
    (Source.COMMITTEE.value, "The committee's decision"),
    (Source.STATED.value, "Stated by the player"),
]


class HandicapForm(forms.Form):
    """One line for a record. With `optional`, everything may be left empty together.

    `rules`: which handicap the season is played off, said beside the source.
    """

    handicap = forms.CharField(
        label="Handicap",
        help_text="Like 12.3. A plus handicap has its sign: +1.2.",
        widget=forms.TextInput(
            attrs={"class": "input-short", "autocomplete": "off", "inputmode": "text"}
        ),
        error_messages={"required": "Write the handicap."},
    )
    handicap_kind = forms.ChoiceField(
        label="Kind of handicap", choices=KINDS, initial=HandicapKind.INDEX.value
    )
    source = forms.ChoiceField(
        label="Where it comes from", choices=SOURCES, initial=Source.SOCIETY.value
    )
    valid_from = DayField(
        label="Valid from",
        widget=forms.DateInput(attrs={"type": "date", "class": "input-mid"}, format="%Y-%m-%d"),
        error_messages={"required": "Say from which day it is valid."},
    )
    words = ReasonField(
        label="Why",
        required=False,
        max_length=500,
        help_text="Needed where the society or its committee changes a figure. "
        "Members read it in the record: “won at Long Meadow”, “three cards”.",
    )

    def __init__(
        self,
        *args: Any,
        today: date,
        optional: bool = False,
        rules: HandicapRules | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        if rules is not None:
            self.fields["source"].help_text = brief(rules)
        self.fields["valid_from"].initial = today
        self.fields["handicap"].required = not optional

    def clean(self) -> None:
        """Read the figure in the light of its kind; what a committee sets wants its reason."""
        super().clean()
        text, kind = self.cleaned_data.get("handicap"), self.cleaned_data.get("handicap_kind")
        if text and kind:
            try:
                self.cleaned_data["handicap"] = read_figure(text, HandicapKind(kind))
            except ValueError as wrong:
                self.add_error("handicap", str(wrong))
        by_committee = self.cleaned_data.get("source") == Source.COMMITTEE.value
        if text and by_committee and not self.cleaned_data.get("words"):
            self.add_error("words", "Say why the committee set it: it stands in the record.")

    def line(self) -> dict[str, Any] | None:
        """What `handicaps.actions.record` takes, or None where no figure was written."""
        told = self.cleaned_data
        if told["handicap"] == "":
            return None
        return {
            "kind": told["handicap_kind"],
            "value": told["handicap"],
            "source": told["source"],
            "valid_from": told["valid_from"],
            "words": told["words"],
        }
