"""A new player with the handicap they bring, on one form."""

from typing import Any

from django import forms

from society.handicaps.forms import HandicapForm
from society.handicaps.rules.season import HandicapRules, source_to_type
from society.members.forms import PlayerForm


class NewPlayerForm(PlayerForm, HandicapForm):
    """The player's own fields, then one line for the record, which may be left empty."""

    namesake = forms.BooleanField(label="This is another person with the same name", required=False)
    PLAYER = ("name", "kind", "category", "number", "email", "home_club")
    HANDICAP = ("handicap", "handicap_kind", "source", "valid_from", "words")

    def __init__(self, *args: Any, rules: HandicapRules | None, **kwargs: Any) -> None:
        begin = {"source": source_to_type(rules).value}
        super().__init__(*args, optional=True, rules=rules, initial=begin, **kwargs)
        self.asks_namesake = False

    def player_values(self) -> dict[str, str]:
        """What `members.actions.add_player` takes."""
        return {name: self.cleaned_data[name] for name in self.PLAYER}

    def player_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.PLAYER]

    def handicap_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.HANDICAP]
