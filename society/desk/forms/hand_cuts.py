"""A cut typed by hand, and the end of one, each with a reason."""

from datetime import timedelta
from typing import Any

from django import forms

from society.desk.forms.scores import WithReasonForm
from society.handicaps.rules.cuts.steps import MOST_SHOTS
from society.web.forms import DayField


class HandCutForm(WithReasonForm):
    """Which way, how many shots, from when and until when."""

    way = forms.ChoiceField(
        label="Which way",
        choices=[("off", "Shots off"), ("back", "Shots back")],
        widget=forms.RadioSelect,
        error_messages={"required": "Say which way."},
    )
    shots = forms.DecimalField(
        label="How many shots",
        min_value=0,
        max_value=MOST_SHOTS,
        decimal_places=1,
        widget=forms.NumberInput(attrs={"class": "input-short", "step": "0.1"}),
        error_messages={"required": "Write how many shots."},
    )
    valid_from = DayField(
        label="Counts from",
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date", "class": "input-short"}),
    )
    last = DayField(
        label="Last day it counts",
        required=False,
        help_text="Empty: it has no end.",
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date", "class": "input-short"}),
    )

    def clean(self) -> None:
        """An end after the beginning."""
        super().clean()
        last, first = self.cleaned_data.get("last"), self.cleaned_data.get("valid_from")
        if last and first and last < first:
            self.add_error("last", "A cut ends after the day it begins.")

    def cut(self) -> dict[str, Any]:
        """The cut as the deed takes it: below zero takes off."""
        told = self.cleaned_data
        shots = -told["shots"] if told["way"] == "off" else told["shots"]
        until = told["last"] + timedelta(days=1) if told.get("last") else None
        return {"shots": shots, "valid_from": told["valid_from"], "until": until}


class EndCutForm(WithReasonForm):
    """From which day a cut counts no longer."""

    on = DayField(
        label="First day it no longer counts",
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date", "class": "input-short"}),
    )
