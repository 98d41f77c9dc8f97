"""The small forms of a season: a reason, a seal, an order drawn by lot, who joined and who paid."""

from collections.abc import Sequence
from typing import Any

from django import forms

from society.members.rules import SubscriptionState
from society.merit.bridge import Fixture
from society.merit.rules.values import DECIDED, MeritRules, SeasonTie
from society.web.forms import DayField
from society.web.templatetags.look import day_short, ordinal


class ReasonForm(forms.Form):
    """Why rules are changed, lots are drawn or a season is sealed again."""

    words = forms.CharField(
        label="Why",
        required=False,
        max_length=200,
        error_messages={"required": "This season is sealed: say why its rules change."},
    )

    def __init__(self, *given: Any, needed: bool = False, **named: Any) -> None:
        super().__init__(*given, **named)
        self.fields["words"].required = needed


class SignedField(forms.DecimalField):
    """A number typed as text: the minus our pages print is one, too, and a comma is a point."""

    def to_python(self, value: Any) -> Any:
        """As Django reads it."""
        if isinstance(value, str):
            value = value.strip().replace("−", "-").replace(",", ".")
        return super().to_python(value)


class GiveForm(forms.Form):
    """Points given or taken by hand. `listed`: how many such lines the reader has seen."""

    points = SignedField(
        label="Points",
        max_digits=6,
        decimal_places=2,
        help_text="With a minus in front to take some away: -2.",
        widget=forms.TextInput(attrs={"class": "input-short", "inputmode": "text"}),
    )
    words = forms.CharField(label="Why", max_length=200, help_text="Everyone can read it.")
    listed = forms.IntegerField(required=False, min_value=0, widget=forms.HiddenInput)


class DayForm(forms.Form):
    """The day a member joined."""

    joined_on = DayField(
        label="Joined on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="Left empty: a member for long.",
    )


class SubscriptionsForm(forms.Form):
    """What is noted of the members ticked."""

    state = forms.ChoiceField(
        label="Their subscription is",
        choices=[(s.value, s.value) for s in SubscriptionState],
        widget=forms.RadioSelect,
    )
    on = DayField(label="Since", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    words = forms.CharField(
        label="Why",
        required=False,
        max_length=200,
        help_text="Needed where somebody is excused.",
    )


class SealForm(forms.Form):
    """Why each fixture that is not finished is left out; and why it is sealed again."""

    def __init__(
        self, *args: Any, fixtures: Sequence[Fixture] = (), again: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fixtures = tuple(fixtures)
        for fixture in self.fixtures:
            state = "is being looked at again" if fixture.event is not None else "is not final"
            self.fields[f"why_{fixture.key}"] = forms.CharField(
                label=f"{fixture.name}, {day_short(fixture.day)}, {state}",
                max_length=200,
                help_text="Why the season is sealed all the same. It counts as it was sealed."
                if fixture.event is not None
                else "Why the season is sealed without it.",
            )
        if again:
            self.fields["words"] = forms.CharField(label="Why it is sealed again", max_length=200)

    def reasons(self) -> dict[str, str]:
        """The reasons by public id of the competition."""
        return {f.key: self.cleaned_data[f"why_{f.key}"] for f in self.fixtures}


class SettleForm(forms.Form):
    """The order of those who are level, and how it came about."""

    def __init__(
        self,
        *args: Any,
        people: Sequence[tuple[str, str]] = (),
        rules: MeritRules,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.people = tuple(people)
        ways = [tie for tie in rules.season_ties if tie in DECIDED]
        names = {SeasonTie.LOTS: "By lot", SeasonTie.COMMITTEE: "By decision of the committee"}
        self.fields["decided"] = forms.ChoiceField(
            label="How", choices=[(way.value, names[way]) for way in ways], widget=forms.RadioSelect
        )
        for number in range(1, len(self.people) + 1):
            self.fields[f"at_{number}"] = forms.ChoiceField(
                label=ordinal(number).capitalize(), choices=[("", "–"), *self.people]
            )
        self.fields["words"] = forms.CharField(
            label="Words for the record",
            max_length=200,
            help_text="When and before whom the lot was drawn, or what the committee decided.",
        )

    def clean(self) -> dict[str, object]:
        """See that everyone stands once."""
        data = super().clean() or {}
        chosen = [data.get(f"at_{n}") for n in range(1, len(self.people) + 1)]
        if all(chosen) and len(set(chosen)) != len(chosen):
            self.add_error(f"at_{len(chosen)}", "Everyone stands once.")
        return data

    def way(self) -> SeasonTie:
        """By lot or by decision."""
        return SeasonTie(self.cleaned_data["decided"])

    def order(self) -> list[str]:
        """The players, the first one first."""
        return [self.cleaned_data[f"at_{n}"] for n in range(1, len(self.people) + 1)]
