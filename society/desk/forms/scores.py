"""What an officer types about a score, or about an adjustment of a record."""

import re
from collections.abc import Iterable
from decimal import Decimal
from enum import StrEnum
from typing import Any

from django import forms

from society.courses.rules import HOLES_IN_WORDS, RatedHoles
from society.web.forms import DayField, ReasonField

SHORT = {"class": "input-short", "autocomplete": "off"}
_TENTHS = re.compile(r"([+\-−]?)([0-9]{1,3})(?:[.,]([0-9]))?")


class Known(StrEnum):
    """What is known of a score that is added by hand."""

    CARD = "card"
    GROSS = "gross"
    READY = "ready"


KNOWN_WORDS = {
    Known.CARD: "The card, hole by hole",
    Known.GROSS: "The adjusted gross score",
    Known.READY: "The differential",
}


class WithReasonForm(forms.Form):
    """Why it is done; of one's own record with a witness where no other officer can act."""

    words = ReasonField(
        label="Why",
        max_length=200,
        help_text="It stands in the record. Members can read it.",
        error_messages={"required": "Say why, in a few words."},
    )
    witness = ReasonField(
        label="Witness",
        required=False,
        max_length=100,
        help_text="This is your own handicap and no other officer can act: who agrees with it?",
    )

    def __init__(self, *args: Any, alone: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not alone:
            del self.fields["witness"]
        self.order_fields([name for name in self.fields if name not in ("words", "witness")])

    def reason(self) -> dict[str, str]:
        """Why, and the witness, as the deeds take them."""
        told = self.cleaned_data
        return {"words": told["words"], "witness": told.get("witness", "")}


class WithdrawForm(WithReasonForm):
    """Why a score is taken off."""


class _ScoreForm(WithReasonForm):
    """The day of a score."""

    played = DayField(
        label="Played on",
        widget=forms.DateInput(attrs={"type": "date", "class": "input-mid"}, format="%Y-%m-%d"),
        error_messages={"required": "Say on which day it was played."},
    )


class CardForm(_ScoreForm):
    """A card, hole by hole, from a tee of one of our courses."""

    tee = forms.ChoiceField(
        label="Course and tee", error_messages={"required": "Choose the course and the tee."}
    )
    holes = forms.ChoiceField(
        label="Holes played",
        choices=[(holes.value, words) for holes, words in HOLES_IN_WORDS.items()],
    )
    strokes = forms.CharField(
        label="Strokes, hole by hole",
        max_length=120,
        help_text="In order, with spaces between; a dash for no score: 5\u00a04\u00a0–\u00a06.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Write the strokes of every hole."},
    )
    pcc = forms.IntegerField(
        label="Playing conditions calculation (PCC)",
        initial=0,
        min_value=-1,
        max_value=3,
        help_text="For the conditions of the day, as published: –1 to 3; 0 for none.",
        widget=forms.NumberInput(attrs=SHORT),
    )

    def __init__(self, *args: Any, tees: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["tee"].choices = [("", "Choose"), *tees]  # type: ignore[attr-defined]

    def clean_holes(self) -> RatedHoles:
        """Which holes, as the courses know them."""
        return RatedHoles(self.cleaned_data["holes"])

    def clean(self) -> None:
        """Read the strokes for the number of holes."""
        super().clean()
        text, holes = self.cleaned_data.get("strokes"), self.cleaned_data.get("holes")
        if text and holes:
            try:
                self.cleaned_data["strokes"] = read_strokes(text, holes.count)
            except ValueError as wrong:
                self.add_error("strokes", str(wrong))


class GrossForm(_ScoreForm):
    """An adjusted gross score with the ratings it was played against."""

    holes = forms.TypedChoiceField(
        label="Holes played", choices=[(18, "18 holes"), (9, "Nine holes")], coerce=int
    )
    adjusted_gross = forms.IntegerField(
        label="Adjusted gross score",
        help_text="Each hole at most net double bogey; par + 5 while there is no handicap.",
        widget=forms.NumberInput(attrs=SHORT),
        error_messages={"required": "Write the adjusted gross score."},
    )
    course_rating = forms.CharField(
        label="Course Rating",
        help_text="Of the holes played, like 70.1.",
        widget=forms.TextInput(attrs=SHORT | {"inputmode": "decimal"}),
        error_messages={"required": "Write the Course Rating."},
    )
    slope_rating = forms.IntegerField(
        label="Slope Rating",
        widget=forms.NumberInput(attrs=SHORT),
        error_messages={"required": "Write the Slope Rating."},
    )
    pcc = CardForm.base_fields["pcc"]

    def clean_course_rating(self) -> Decimal:
        """The rating with its one digit."""
        return _tenths(self.cleaned_data["course_rating"], "a Course Rating, like 70.1")

    def said(self) -> dict[str, object]:
        """The score as the handicap record document has it."""
        names = ("adjusted_gross", "course_rating", "slope_rating", "pcc")
        return {name: self.cleaned_data[name] for name in names}


class ReadyForm(_ScoreForm):
    """A differential that somebody else worked out, such as an association's of nine holes."""

    differential = forms.CharField(
        label="Score Differential",
        help_text="Like 21.4, for 18 holes. One below nought has a minus sign.",
        widget=forms.TextInput(attrs=SHORT | {"inputmode": "text"}),
        error_messages={"required": "Write the differential."},
    )

    def clean_differential(self) -> Decimal:
        """The differential with its one digit."""
        return _tenths(self.cleaned_data["differential"], "a differential, like 21.4")

    def said(self) -> dict[str, object]:
        """The score as the handicap record document has it."""
        return {"differential": self.cleaned_data["differential"]}


class AdjustForm(WithReasonForm):
    """A committee's adjustment: which way, by how much, why, and that the player was heard."""

    way = forms.ChoiceField(
        label="Which way",
        choices=[("down", "Lower the figure"), ("up", "Raise it")],
        widget=forms.RadioSelect,
        error_messages={"required": "Say which way."},
    )
    shots = forms.CharField(
        label="By how many strokes",
        help_text="1.0 or more, like 1.5.",
        widget=forms.TextInput(attrs=SHORT | {"inputmode": "decimal"}),
        error_messages={"required": "Say by how many strokes."},
    )
    resets_low = forms.BooleanField(
        label="Start the low index anew with the new figure",
        required=False,
        help_text="Only for a rise. Without this the caps hold the new figure, and later ones, "
        "against the low index from before.",
    )
    exceptional = ReasonField(
        label="Exceptional reason",
        required=False,
        max_length=200,
        help_text="Only for a rise to more than 5.0 above the lowest figure of the year.",
    )
    heard = forms.BooleanField(
        label="The player has been told of this, and has been heard",
        error_messages={"required": "Tell the player first, and hear what the player says."},
    )

    def clean_shots(self) -> Decimal:
        """How many strokes, without the way."""
        found = _tenths(self.cleaned_data["shots"], "a number of strokes, like 1.5")
        if found < 0:
            raise forms.ValidationError("Write the strokes without a sign; the way is said above.")
        return found

    def adjustment(self) -> dict[str, Any]:
        """Strokes, low index and exceptional reason as the deed takes them: below zero lowers."""
        told = self.cleaned_data
        shots = -told["shots"] if told["way"] == "down" else told["shots"]
        return {
            "shots": shots,
            "resets_low": told["resets_low"],
            "exceptional": told["exceptional"],
        }


def read_strokes(text: str, holes: int) -> tuple[int | None, ...]:
    """Strokes as people write them in a line; None for a dash. ValueError with a sentence.

    >>> read_strokes("5 4 - 6", 4)
    (5, 4, None, 6)
    """
    words = [word for word in re.split(r"[\s,;]+", text.strip()) if word]
    if len(words) != holes:
        raise ValueError(f"These are {len(words)} holes, and {holes} were played.")
    return tuple(_stroke(word, hole) for hole, word in enumerate(words, 1))


def _stroke(word: str, place: int) -> int | None:
    if word in "-−–—":
        return None
    if not re.fullmatch(r"[0-9]{1,2}", word) or int(word) < 1:
        raise ValueError(f"“{word[:12]}”, figure {place}, is no score from 1 to 99 and no dash.")
    return int(word)


def _tenths(text: str, what: str) -> Decimal:
    found = _TENTHS.fullmatch(text.strip())
    if found is None:
        raise forms.ValidationError(f"“{text[:20]}” is not {what}.")
    sign, whole, tenth = found.groups()
    value = Decimal(f"{whole}.{tenth or 0}")
    return -value if sign in ("-", "−") and value else value
