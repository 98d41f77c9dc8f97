"""What an organiser chooses for a draw."""

from typing import Any, cast

from django import forms

from society.entries.rules.draw import DrawMethod


class MakeDrawForm(forms.Form):
    """How to draw. What is not chosen comes from the fixture."""

    method = forms.TypedChoiceField(
        label="How",
        coerce=DrawMethod,
        choices=[
            (DrawMethod.RANDOM.value, "By lot"),
            (DrawMethod.HANDICAP.value, "By handicap, the lowest go first"),
        ],
        widget=forms.RadioSelect,
        initial=DrawMethod.RANDOM.value,
    )
    group_size = forms.TypedChoiceField(
        label="Players in a group",
        coerce=int,
        choices=[(4, "Four, threes first"), (3, "Three, twos first"), (2, "Two")],
    )
    first_time = forms.TimeField(
        label="First tee time",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time", "class": "input-short"}, format="%H:%M"),
    )
    interval = forms.IntegerField(
        label="Minutes between groups",
        min_value=1,
        max_value=60,
        widget=forms.NumberInput(attrs={"class": "input-short"}),
    )
    seed = forms.CharField(
        label="Seed",
        required=False,
        max_length=64,
        help_text="Left empty: five figures by chance. Or type one that was agreed beforehand.",
        widget=forms.TextInput(attrs={"class": "input-mid", "autocomplete": "off"}),
    )

    def __init__(self, *args: Any, by_handicap: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not by_handicap:
            self.fields["method"].help_text = "By handicap waits until handicaps are taken."


class SwapForm(forms.Form):
    """The reason for a change by hand."""

    words = forms.CharField(label="Why", required=False, max_length=200)


class MoveForm(forms.Form):
    """Where a player goes."""

    to = forms.TypedChoiceField(label="Group", coerce=int)
    words = forms.CharField(label="Why", required=False, max_length=200)

    def __init__(self, *args: Any, rooms: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cast("forms.TypedChoiceField", self.fields["to"]).choices = list(rooms)


class WithdrawDrawForm(forms.Form):
    """Why a published draw is taken back."""

    words = forms.CharField(
        label="Why",
        max_length=200,
        help_text="Members who look for the draw are told.",
        error_messages={"required": "Say why, in a few words."},
    )
