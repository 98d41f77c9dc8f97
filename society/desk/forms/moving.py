"""The form of a fixture's move to another day."""

from typing import Any

from django import forms

from society.desk.actions.moving import DRAW_STANDS, DRAW_WITHDRAWN
from society.web.forms import DayField


class MoveForm(forms.Form):
    """The new day, why, and what becomes of deadlines and of a published draw."""

    day = DayField(label="New day", widget=forms.DateInput({"type": "date"}, "%Y-%m-%d"))
    first_time = forms.TimeField(
        label="First tee time",
        required=False,
        widget=forms.TimeInput({"type": "time"}, "%H:%M"),
        help_text="Left empty: it stays as it is.",
    )
    deadlines = forms.BooleanField(
        label="Opening and closing of entries move along",
        required=False,
        initial=True,
        help_text="They keep their distance to the day and their hour.",
    )
    draw = forms.ChoiceField(
        label="The draw is published",
        widget=forms.RadioSelect,
        error_messages={"required": "Say what becomes of the published draw."},
        choices=[
            (DRAW_STANDS, "It stands on the new day: the same groups and tee times"),
            (DRAW_WITHDRAWN, "It is withdrawn, to be made again"),
        ],
    )
    words = forms.CharField(
        label="Why",
        max_length=200,
        help_text="Everyone who entered or waits reads it.",
        error_messages={"required": "Say why the day moves."},
    )
    edited = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, published: bool, told: bool, **options: Any) -> None:
        super().__init__(data, **options)
        if not published:
            del self.fields["draw"]
        self.fields["words"].required = told
        if not told:
            self.fields["words"].help_text = ""
