"""Somebody who turns up on the day: a player on the list, or a new guest."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import QuerySet

from scoring.rules.values import Category, HandicapKind
from society.entries.forms.entering import offer
from society.handicaps.rules.figures import KIND_NAMES, read_figure
from society.members.models import Player


class WalkUpForm(forms.Form):
    """One form; a name is for a guest who is not on the list yet."""

    player = forms.ModelChoiceField(
        queryset=Player.objects.none(),
        to_field_name="public_id",
        label="Player on the list",
        required=False,
        empty_label="A new guest, named below",
    )
    name = forms.CharField(
        label="Name of a new guest", max_length=100, required=False, empty_value=""
    )
    category = forms.ChoiceField(
        label="A new guest plays the rating for",
        choices=[(c.value, c.value.capitalize()) for c in Category],
        required=False,
    )
    host = forms.ModelChoiceField(
        queryset=Player.objects.none(),
        to_field_name="public_id",
        label="Guest of",
        required=False,
        empty_label="Nobody",
        help_text="For a guest only.",
    )
    handicap = forms.CharField(
        required=False,
        max_length=8,
        widget=forms.TextInput({"class": "input-short", "inputmode": "decimal"}),
        help_text="As stated: 12.3, or +1.2 for a plus handicap. Left empty: the one on record.",
    )
    group = forms.TypedChoiceField(label="Group", required=False, coerce=int, empty_value=None)

    def __init__(
        self,
        *args: Any,
        players: QuerySet[Player],
        hosts: QuerySet[Player],
        kind: HandicapKind,
        groups: Sequence[tuple[int, str]],
        on: date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        offer(self, "player", players, on)
        offer(self, "host", hosts, on)
        self.fields["handicap"].label = KIND_NAMES[kind].capitalize()
        if groups:
            self.fields["group"].choices = [("", "No group yet"), *groups]  # type: ignore[attr-defined]
        else:
            del self.fields["group"]

    def clean_handicap(self) -> Decimal | None:
        """The figure as it is kept; a plus handicap is below zero."""
        text = self.cleaned_data["handicap"]
        if not text.strip():
            return None
        try:
            return read_figure(text, self.kind)
        except ValueError as wrong:
            raise forms.ValidationError(str(wrong)) from wrong

    def clean(self) -> dict[str, Any]:
        """Either somebody on the list, or a name and the rating played."""
        said = super().clean() or self.cleaned_data
        chosen, named = said.get("player"), bool(said.get("name", "").strip())
        if chosen and named:
            self.add_error("name", "Choose a player or name a new guest, not both.")
        elif not chosen and not named and "player" not in self.errors:
            self.add_error("player", "Choose a player, or give the name of a new guest.")
        elif named and not said.get("category"):
            self.add_error("category", "Choose the rating the guest plays.")
        return said
