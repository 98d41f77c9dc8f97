"""The society's settings: each field says in a sentence what it changes."""

from typing import Any

from django import forms

from society.members.models import Society
from society.members.rules import Signing
from society.web.rules import DateStyle

_DATES = (
    (DateStyle.DAY_FIRST.value, "Saturday 10 October 2026"),
    (DateStyle.MONTH_FIRST.value, "Saturday, October 10, 2026"),
    (DateStyle.YEAR_FIRST.value, "Saturday 2026-10-10"),
)
_SIGNED = (
    (Signing.EITHER.value, "On a phone or on paper, as each group likes"),
    (Signing.PHONE.value, "On phones"),
    (Signing.PAPER.value, "On paper"),
)


class SettingsForm(forms.Form):
    """All settings on one page; `change_settings` decides what can be kept."""

    name = forms.CharField(
        label="Name of the society",
        max_length=100,
        help_text="Stands on the head of every page, on every print and under every letter.",
    )
    time_zone = forms.CharField(
        label="Time zone",
        max_length=60,
        help_text="Like Europe/London. Tee times stay as they are written. Deadlines and the "
        "times things happened keep their moment, so the hour shown for them moves.",
    )
    currency = forms.CharField(
        label="Currency",
        max_length=3,
        help_text="Three letters, like GBP. Fees and the twos pot are shown in it. Amounts "
        "already written keep their figure: 30 stays 30, nothing is converted.",
        widget=forms.TextInput(attrs={"class": "input-short"}),
    )
    date_style = forms.ChoiceField(
        label="How dates are written",
        choices=_DATES,
        widget=forms.RadioSelect,
        help_text="On every page, print and letter, and how a pasted calendar is read. Dates in a "
        "file of players or handicaps are read day first whatever stands here; 2026-10-10 is "
        "always safe.",
    )
    season_is_public = forms.BooleanField(
        label="Show the season page to everybody",
        required=False,
        help_text="Names, days and courses of the fixtures, without signing in. Who entered is "
        "not shown.",
    )
    results_are_public = forms.BooleanField(
        label="Show final results to everybody",
        required=False,
        help_text="Places, names and scores of sealed results, without signing in. No cards, no "
        "handicaps, no scores so far. Ask your members first: their names can be read by anyone.",
    )
    cards_signed = forms.ChoiceField(
        label="How cards are signed",
        choices=_SIGNED,
        widget=forms.RadioSelect,
        help_text="On phones: nobody ticks signatures seen on paper. On paper: a card on a phone "
        "cannot be certified there; it counts once an officer has seen the signatures. An "
        "officer’s word stands for a missing signature either way, and what is signed already "
        "stays signed.",
    )
    officers_to_seal = forms.TypedChoiceField(
        label="Officers needed to seal a result",
        coerce=int,
        choices=((1, "One"), (2, "Two: a second officer agrees before a result is final")),
        widget=forms.RadioSelect,
        help_text="Two holds for making a result final, for opening it again and for sealing it "
        "again. Both need an account and an office as secretary or captain.",
    )

    @classmethod
    def initial_of(cls, society: Society) -> dict[str, Any]:
        """The settings as they are."""
        return {name: getattr(society, name) for name in cls.base_fields}

    def clean_currency(self) -> str:
        """Small letters will do."""
        return str(self.cleaned_data["currency"]).upper()
