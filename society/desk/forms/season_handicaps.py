"""Which handicap a season is played off, as a form; the cut rules are a form of their own."""

from datetime import date
from typing import Any

from django import forms
from django.utils.html import format_html

from scoring.rules.values import Category, HandicapKind
from society.handicaps.rules.cuts.reading import cuts_object
from society.handicaps.rules.cuts.values import CutRules
from society.handicaps.rules.figures import Source
from society.handicaps.rules.season import (
    BASIS_NAMES,
    BASIS_SENTENCES,
    LEAST_MAXIMUM,
    MOST_MAXIMUM,
    MOST_NEWCOMER_EVENTS,
    MOST_STALE_DAYS,
    Basis,
    HandicapRules,
)
from society.web.forms import DayField, ReasonField

_SHORT = {"class": "input-short"}


def _number(label: str, least: int, most: int, help_text: str = "") -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        required=False,
        min_value=least,
        max_value=most,
        help_text=help_text,
        widget=forms.NumberInput(attrs=_SHORT),
    )


class SeasonHandicapsForm(forms.Form):
    """The basis, limits and notices; from which day and why."""

    basis = forms.ChoiceField(
        label="What is played off",
        widget=forms.RadioSelect,
        choices=[
            (one.value, format_html("<b>{}.</b> {}", BASIS_NAMES[one], BASIS_SENTENCES[one]))
            for one in Basis
        ],
        error_messages={"required": "Choose what is played off."},
    )
    kind = forms.ChoiceField(
        label="Kind, for a figure written down",
        required=False,
        choices=[
            ("index", "Handicap index, converted for each course"),
            ("course", "Course handicap as it stands; the allowance is applied"),
            ("playing", "Playing handicap as it stands"),
        ],
    )
    source = forms.ChoiceField(
        label="From, for a figure written down",
        required=False,
        choices=[
            ("", "Whatever is latest"),
            (Source.ASSOCIATION.value, "The association"),
            (Source.SOCIETY.value, "The society’s own record"),
            (Source.COMMITTEE.value, "The committee"),
        ],
    )
    maximum_men = _number("At most, for men", LEAST_MAXIMUM, MOST_MAXIMUM, "Empty for no maximum.")
    maximum_women = _number("At most, for women", LEAST_MAXIMUM, MOST_MAXIMUM)
    guest_maximum = _number(
        "At most, for guests", LEAST_MAXIMUM, MOST_MAXIMUM, "The lower of the two counts."
    )
    stale_days = _number(
        "List figures older than … days",
        1,
        MOST_STALE_DAYS,
        "Before handicaps are taken. Empty: never.",
    )
    newcomer_events = _number(
        "A newcomer cannot win in the first … events",
        0,
        MOST_NEWCOMER_EVENTS,
        "Counted from the day a member joined (Merit, Members of the season); whoever has no such "
        "day there is not new. 0 for no such rule.",
    )
    valid_from = DayField(
        label="From",
        widget=forms.DateInput({"type": "date"}, "%Y-%m-%d"),
        help_text="Handicaps that are taken for a fixture stay as they were taken.",
    )
    words = ReasonField(
        label="Why",
        max_length=200,
        error_messages={"required": "Say why: it stands beside the rules."},
    )

    @staticmethod
    def initial_of(rules: HandicapRules, day: date) -> dict[str, Any]:
        """The boxes as rules stand."""
        return {
            "basis": rules.basis.value,
            "kind": rules.kind.value,
            "source": rules.source,
            "guest_maximum": rules.guest_maximum,
            "stale_days": rules.stale_days,
            "newcomer_events": rules.newcomer_events,
            "valid_from": day,
        } | {f"maximum_{one.value}": rules.maximum.get(one.value) for one in Category}

    def rules(self, cuts: CutRules | None) -> HandicapRules:
        """The rules of a valid form, with those for cuts."""
        data: dict[str, Any] = self.cleaned_data
        maximum = {one.value: data.get(f"maximum_{one.value}") for one in Category}
        return HandicapRules(
            basis=Basis(data["basis"]),
            kind=HandicapKind(data["kind"] or HandicapKind.INDEX.value),
            source=data["source"],
            maximum={name: most for name, most in maximum.items() if most is not None},
            guest_maximum=data["guest_maximum"],
            stale_days=data["stale_days"],
            newcomer_events=data["newcomer_events"] or 0,
            cuts=None if cuts is None else cuts_object(cuts),
        )
