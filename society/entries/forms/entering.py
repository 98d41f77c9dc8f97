"""Forms for entering others, for guests, and for saying what became of a player."""

from datetime import date
from decimal import Decimal
from typing import Any, cast

from django import forms
from django.db.models import QuerySet

from scoring.rules.values import Category, HandicapKind
from society.fixtures.forms.season import ReasonForm
from society.handicaps.queries.record import told_apart
from society.handicaps.rules.figures import KIND_NAMES, read_figure
from society.members.models import Player
from society.web.forms import MomentField


class AddForm(forms.Form):
    """Someone on the list of players; a guest with a host."""

    player = forms.ModelChoiceField(
        queryset=Player.objects.none(),
        to_field_name="public_id",
        label="Player",
        empty_label="Choose a player",
    )
    host = forms.ModelChoiceField(
        queryset=Player.objects.none(),
        to_field_name="public_id",
        label="Guest of",
        required=False,
        empty_label="Nobody",
        help_text="For a guest only.",
    )

    def __init__(
        self,
        *args: Any,
        players: QuerySet[Player],
        hosts: QuerySet[Player],
        on: date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        offer(self, "player", players, on)
        offer(self, "host", hosts, on)


class GuestForm(forms.Form):
    """A guest who is not on the list yet."""

    name = forms.CharField(max_length=100)
    category = forms.ChoiceField(
        label="Plays the rating for", choices=[(c.value, c.value.capitalize()) for c in Category]
    )
    handicap = forms.CharField(
        required=False,
        max_length=8,
        widget=forms.TextInput({"class": "input-short", "inputmode": "decimal"}),
        help_text="As the guest states it: 12.3, or +1.2 for a plus handicap. Can follow later.",
    )
    host = forms.ModelChoiceField(
        queryset=Player.objects.none(),
        to_field_name="public_id",
        label="Guest of",
        empty_label="Choose a member",
    )
    home_club = forms.CharField(max_length=100, required=False)

    def __init__(
        self,
        *args: Any,
        hosts: QuerySet[Player],
        kind: HandicapKind,
        on: date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        offer(self, "host", hosts, on)
        self.fields["handicap"].label = KIND_NAMES[kind].capitalize()

    def clean_handicap(self) -> Decimal | None:
        """The figure as it is kept; a plus handicap is below zero."""
        text = self.cleaned_data["handicap"]
        if not text.strip():
            return None
        try:
            return read_figure(text, self.kind)
        except ValueError as wrong:
            raise forms.ValidationError(str(wrong)) from wrong


class OutForm(forms.Form):
    """What became of a player, with a word of why."""

    how = forms.ChoiceField(
        label="What happened",
        widget=forms.RadioSelect,
        choices=[
            ("withdrawn", "Withdrew: the place goes to the next in line"),
            ("absent", "Did not turn up: the place stays empty"),
        ],
    )
    in_time = forms.BooleanField(
        label="Told us in time",
        required=False,
        help_text="Tick it when the word came while withdrawing was still free; "
        "otherwise it is kept as a late withdrawal.",
    )
    words = forms.CharField(label="Why", required=False, max_length=200)

    def __init__(self, *args: Any, late: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not late:
            del self.fields["in_time"]


class ReopenForm(ReasonForm):
    """Why entries are opened again, and until when."""

    closes_at = MomentField(
        label="Entries close",
        required=False,
        widget=forms.DateTimeInput({"type": "datetime-local"}, "%Y-%m-%dT%H:%M"),
        help_text="Left empty: until you close them, or at the hour set before if that is "
        "still to come.",
    )


def offer(form: forms.Form, name: str, players: QuerySet[Player], on: date) -> None:
    """Let one of these be chosen; namesakes are told apart, guests are named as such."""
    called = told_apart(players, on)

    def label(player: Player) -> str:
        return called[player.pk] if player.is_member else f"{called[player.pk]} (guest)"

    field = cast("forms.ModelChoiceField", form.fields[name])
    field.queryset = players
    field.label_from_instance = label  # type: ignore[method-assign,assignment]
