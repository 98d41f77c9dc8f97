"""The forms of rulings: their shape and words; the engine decides whether one can stand."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from scoring.results.queries.standings import Standing
from scoring.results.rules import ACCEPTED, RULING_WORDS, Settled
from scoring.rules.values import RulingKind

_SINGLE = [(kind, words) for kind, words in RULING_WORDS.items() if kind != RulingKind.ORDER]


def _reason(hint: str = "One line. Everyone can read it.") -> forms.CharField:
    return forms.CharField(label="Reason", max_length=200, help_text=hint)


def _witness() -> forms.CharField:
    return forms.CharField(
        label="Witness",
        required=False,
        max_length=100,
        help_text="Only for a ruling on your own card: who heard the facts.",
    )


class RulingForm(forms.Form):
    """One ruling on one card. Which further fields it needs follows from its kind."""

    kind = forms.ChoiceField(label="Ruling", choices=_SINGLE)
    number = forms.IntegerField(
        label="How many strokes or points",
        required=False,
        min_value=1,
        max_value=20,
        help_text="Penalty strokes on that hole, or points off the total.",
    )
    rule = forms.CharField(
        label="Rule number", required=False, max_length=200, help_text="As the rules have it: 14.7a"
    )
    words = _reason()
    witness = _witness()

    def __init__(
        self,
        data: Mapping[str, object] | None = None,
        *,
        standing: Standing,
        own: bool = False,
        several: bool = False,
    ) -> None:
        super().__init__(data)
        by_name = sorted((standing.name_of(key), key) for key in standing.document["players"])
        players = [("", "Choose a player"), *((k, n) for n, k in by_name)]
        holes = [("", "No hole"), *((n, str(n)) for n in standing.holes)]
        self.fields["entry"] = forms.ChoiceField(label="Player", choices=players)
        self.fields["hole"] = forms.TypedChoiceField(
            label="Hole, for penalty strokes",
            required=False,
            coerce=int,
            empty_value=None,
            choices=holes,
        )
        self.fields["everywhere"] = forms.BooleanField(
            label="In every competition this card counts for",
            required=False,
            initial=True,
            help_text="Points off the total are made in this competition alone.",
        )
        order = ["kind", "entry", "hole", "number", "everywhere", "rule", "words", "witness"]
        self.order_fields(order)
        if not several:
            del self.fields["everywhere"]
        self.fields["number"].widget.attrs["class"] = "input-short"
        if not own:
            del self.fields["witness"]

    def clean(self) -> dict[str, object]:
        """Ask for what the kind needs."""
        data = super().clean() or {}
        kind = data.get("kind")
        if kind == RulingKind.PENALTY and not data.get("hole"):
            self.add_error("hole", "Choose the hole the penalty strokes go on.")
        if kind in (RulingKind.PENALTY, RulingKind.POINTS_OFF) and not data.get("number"):
            self.add_error("number", "Say how many, from 1 to 20.")
        return data

    @property
    def everywhere(self) -> bool:
        """Whether the ruling holds in every competition of the card."""
        data = self.cleaned_data
        return data.get("everywhere", False) and data["kind"] not in (
            RulingKind.POINTS_OFF.value,
            ACCEPTED,
        )

    def as_ruling(self) -> dict[str, Any]:
        """The values for the action; `key` names the entry."""
        data = self.cleaned_data
        penalty = data["kind"] == RulingKind.PENALTY
        points = data["kind"] == RulingKind.POINTS_OFF
        return {
            "kind": data["kind"],
            "hole": data["hole"] if penalty else None,
            "strokes": data["number"] if penalty else None,
            "points": data["number"] if points else None,
            "rule": data["rule"],
            "words": data["words"],
            "witness": data.get("witness", ""),
        }


class OrderForm(forms.Form):
    """The order of one group still level: a number for each of them, and how it was settled."""

    how = forms.ChoiceField(
        label="How it is settled",
        choices=[
            (Settled.LOT.value, "By lot, drawn here and now"),
            (Settled.HAND.value, "By lot, drawn by hand: number them below"),
            (Settled.PLAY_OFF.value, "By play-off: number them below"),
            (Settled.OTHER.value, "Otherwise: number them below"),
        ],
        help_text="A lot drawn here comes from a seed that is shown and kept: anybody can draw "
        "it again. It is drawn once; taking it back stays on record.",
    )
    words = forms.CharField(
        label="Who decided, and why",
        max_length=120,
        help_text="For instance: the committee, as the terms say. Everyone can read it.",
    )
    witness = _witness()

    def __init__(
        self,
        data: Mapping[str, object] | None = None,
        *,
        standing: Standing,
        keys: Sequence[str],
        own: bool = False,
    ) -> None:
        super().__init__(data, auto_id=f"id_{keys[0]}_%s")
        self.keys = list(keys)
        numbers = [(n, str(n)) for n in range(1, len(keys) + 1)]
        for key in keys:
            self.fields[f"place_{key}"] = forms.TypedChoiceField(
                label=standing.name_of(key),
                choices=[("", "–"), *numbers],
                coerce=int,
                required=False,
                empty_value=None,
            )
        self.order_fields(["how", *(f"place_{key}" for key in keys)])
        if not own:
            del self.fields["witness"]

    def clean(self) -> dict[str, object]:
        """Each number stands once, unless the lot is drawn here."""
        data = super().clean() or {}
        if data.get("how") == Settled.LOT:
            return data
        given = [data.get(f"place_{key}") for key in self.keys]
        if None in given or len(set(given)) != len(given):
            raise forms.ValidationError("Give each of them a number of their own.")
        return data

    def as_ruling(self) -> dict[str, Any]:
        """The values for the action."""
        data = self.cleaned_data
        by_hand = data["how"] != Settled.LOT
        return {
            "how": data["how"],
            "keys": sorted(self.keys, key=lambda key: data[f"place_{key}"])
            if by_hand
            else self.keys,
            "words": data["words"],
            "witness": data.get("witness", ""),
        }


class WithdrawForm(forms.Form):
    """Why a ruling is taken back."""

    words = _reason()
    witness = _witness()
