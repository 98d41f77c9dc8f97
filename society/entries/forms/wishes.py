"""What a fixture asks of whoever enters."""

from typing import Any

from django import forms

from society.entries.actions.wishing import ANY_MEAL, Wished
from society.entries.forms.entering import offer
from society.entries.models import Entry
from society.entries.queries import players_to_wish_for
from society.fixtures.models import Fixture
from society.fixtures.rules import Extra
from society.members.models import Player


class WishesForm(forms.Form):
    """Only the questions of this fixture; a meal is chosen beforehand, so that one press does."""

    meal = forms.ChoiceField(label="Meal", required=False, widget=forms.RadioSelect)
    diet = forms.CharField(
        label="Diet or allergies",
        required=False,
        max_length=200,
        help_text="Only the organisers see this.",
    )
    buggy = forms.BooleanField(label="I need a buggy", required=False)
    buggy_with = forms.ModelChoiceField(
        queryset=Player.objects.none(),
        to_field_name="public_id",
        label="Share it with",
        required=False,
        empty_label="Nobody yet",
        help_text="Whoever shares a buggy plays in one group.",
    )
    partner = forms.ModelChoiceField(
        queryset=Player.objects.none(),
        to_field_name="public_id",
        label="Would like to play with",
        required=False,
        empty_label="Anybody",
        help_text="A wish. The organiser fulfils it where the draw allows.",
    )
    time_wish = forms.ChoiceField(
        label="Would like to start",
        required=False,
        widget=forms.RadioSelect,
        choices=[("", "At any time"), ("earlier", "Earlier"), ("later", "Later")],
    )

    def __init__(self, *args: Any, fixture: Fixture, player: Player, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fixture, self.player = fixture, player
        asked = set(fixture.asks.split())
        for name, extra in _EXTRA_OF.items():
            if extra not in asked:
                del self.fields[name]
        dishes = fixture.meals.splitlines()
        if Extra.MEAL in asked:
            meals = [(dish, dish) for dish in dishes] or [(ANY_MEAL, "A meal")]
            self.fields["meal"].choices = [*meals, ("", "No meal")]  # type: ignore[attr-defined]
            self.fields["meal"].initial = meals[0][0]
        others = players_to_wish_for(fixture, player)
        for name in ("buggy_with", "partner"):
            if name in self.fields:
                offer(self, name, others, fixture.starts_on)

    def wished(self) -> Wished:
        """What was asked for; what the fixture does not ask stays empty."""
        said = self.cleaned_data
        return Wished(**{name: said[name] for name in _EXTRA_OF if name in said})


_EXTRA_OF = {
    "meal": Extra.MEAL,
    "diet": Extra.DIET,
    "buggy": Extra.BUGGY,
    "buggy_with": Extra.BUGGY,
    "partner": Extra.PARTNER,
    "time_wish": Extra.TIME,
}


def wishes_initial(entry: Entry) -> dict[str, object]:
    """The fields as an entry stands; nothing is said for whoever was not asked yet."""
    if not entry.answered:
        return {}
    return {
        "meal": entry.meal,
        "diet": entry.diet,
        "buggy": entry.buggy,
        "buggy_with": entry.buggy_with.public_id if entry.buggy_with else None,
        "partner": entry.partner.public_id if entry.partner else None,
        "time_wish": entry.time_wish,
    }
