"""The forms of what is played for: divisions, side contests, twos, a further competition."""

import re
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from django import forms

from scoring.results.models import SideContest
from scoring.results.rules import CONTEST_WORDS
from scoring.rules.divisions import DivideBy, Scheme, figure_words
from scoring.rules.values import Category
from society.entries.actions.competing import Contest
from society.entries.models import Entry
from society.fixtures.forms.terms import TermsForm
from society.fixtures.rules import TakesPart
from society.web.templatetags.look import MINOR_DIGITS

_FIGURE = re.compile(r"[+-]?\d{1,2}(\.\d)?")
_PARTS = [(n, words) for n, words in enumerate(("Two", "Three", "Four", "Five", "Six"), start=2)]


class DivisionsForm(forms.Form):
    """How the field is divided: not at all, by typed bounds, or in equal parts."""

    kind = forms.ChoiceField(
        label="Divisions",
        choices=[
            ("none", "None by handicap"),
            ("bands", "By bounds that you type"),
            ("equal", "Equal parts of whoever plays"),
        ],
    )
    by = forms.ChoiceField(
        label="By which figure",
        choices=[
            (DivideBy.BROUGHT.value, "The handicap each brings"),
            (DivideBy.PLAYING.value, "The playing handicap"),
        ],
    )
    tops = forms.CharField(
        label="Highest handicap of each division but the last",
        required=False,
        max_length=60,
        help_text="Parted by commas, for three divisions 12.4, 20.4. A plus handicap is +1.2.",
    )
    parts = forms.TypedChoiceField(
        label="How many equal parts", required=False, coerce=int, choices=_PARTS
    )
    names = forms.CharField(
        label="What they are called",
        required=False,
        max_length=300,
        help_text="Parted by commas, the lowest handicaps first. Left empty: Division 1, 2 …",
    )
    categories = forms.BooleanField(
        label="Each category also has a standing of its own", required=False
    )
    words = forms.CharField(
        label="Why",
        required=False,
        max_length=200,
        help_text="Needed once handicaps are taken: it moves people.",
    )

    def clean_tops(self) -> tuple[Fraction, ...]:
        """The bounds as figures, a plus handicap below zero."""
        found = []
        for word in re.split(r"[,;\s]+", self.cleaned_data["tops"].strip()):
            if not word:
                continue
            if not _FIGURE.fullmatch(word):
                raise forms.ValidationError(f"“{word}” is no handicap. Write it like 12.4.")
            figure = Fraction(word.lstrip("+-"))
            found.append(-figure if word[0] in "+-" else figure)
        return tuple(found)

    def clean_names(self) -> tuple[str, ...]:
        """The names, blanks left out."""
        parts = (name.strip() for name in self.cleaned_data["names"].split(","))
        return tuple(name for name in parts if name)

    def clean(self) -> dict[str, object]:
        """What the bounds and names come to must be a scheme."""
        data = super().clean() or {}
        if data.get("kind") == "bands" and not data.get("tops") and "tops" not in self.errors:
            self.add_error("tops", "Type at least one bound.")
        if not self.errors and (scheme := self.scheme()) and scheme.faults:
            field = "names" if "name" in scheme.faults[0] else "tops"
            self.add_error(field, scheme.faults[0])
        return data

    def scheme(self) -> Scheme | None:
        """The scheme as typed; None for no divisions at all."""
        said = self.cleaned_data
        kind, categories = said["kind"], said["categories"]
        by = DivideBy(said["by"])
        if kind == "none":
            return Scheme(by, (), categories=True) if categories else None
        tops = said["tops"] if kind == "bands" else ()
        count = len(tops) + 1 if kind == "bands" else said["parts"] or 2
        given = said["names"][:count]
        names = (*given, *(f"Division {n}" for n in range(len(given) + 1, count + 1)))
        return Scheme(by, names, tops, equal=kind == "equal", categories=categories)


def divisions_initial(scheme: Scheme | None) -> dict[str, object]:
    """The fields as a scheme stands."""
    if scheme is None:
        return {"kind": "none"}
    kind = "equal" if scheme.equal else "bands" if scheme.names else "none"
    shown = [figure_words(top) for top in scheme.tops]
    return {
        "kind": kind,
        "by": scheme.by.value,
        "tops": ", ".join(f"+{top[1:]}" if top[0] == "-" else top for top in shown)
        if kind == "bands"
        else "",
        "parts": len(scheme.names) if kind == "equal" else 2,
        "names": ", ".join(scheme.names),
        "categories": scheme.categories,
    }


class ContestForm(forms.Form):
    """One more side contest."""

    kind = forms.ChoiceField(label="Contest", choices=list(CONTEST_WORDS.items()))
    category = forms.ChoiceField(
        label="For",
        required=False,
        choices=[("", "Everybody"), *((c.value, c.value.capitalize()) for c in Category)],
    )

    def __init__(self, data: Mapping[str, object] | None = None, *, holes: Sequence[int]) -> None:
        super().__init__(data, prefix="contest")
        self.fields["hole"] = forms.TypedChoiceField(
            label="Hole", coerce=int, choices=[(n, str(n)) for n in holes]
        )
        self.order_fields(["kind", "hole", "category"])


class WinnerForm(forms.Form):
    """Who won one side contest, and how far."""

    distance = forms.CharField(
        required=False, max_length=40, help_text="For instance 1.86 m, or 214 yards."
    )

    def __init__(
        self,
        data: Mapping[str, object] | None = None,
        *,
        contest: SideContest,
        entries: Sequence[Entry],
    ) -> None:
        last = next(iter(reversed(list(contest.winners.all()))), None)
        initial = (
            {"entry": last.entry.public_id if last.entry else "nobody", "distance": last.distance}
            if last
            else {}
        )
        super().__init__(data, prefix=f"c-{contest.public_id}", initial=initial)
        fits = [e for e in entries if contest.category in ("", e.category)]
        self.fields["entry"] = forms.ChoiceField(
            label="Winner",
            choices=[
                ("", "Choose a player"),
                *((e.public_id, e.player.name) for e in fits),
                ("nobody", "Nobody"),
            ],
        )
        if last is not None:
            self.fields["words"] = forms.CharField(
                label="Why it changes", max_length=200, help_text="Everyone can read it."
            )
        self.order_fields(["entry", "distance", "words"])


class StakeForm(forms.Form):
    """What the twos cost; nothing means no twos."""

    def __init__(
        self,
        data: Mapping[str, object] | None = None,
        *,
        currency: str,
        stake: int | None = None,
    ) -> None:
        self.digits = MINOR_DIGITS.get(currency, 2)
        scale = 10**self.digits
        shown = "" if stake is None else f"{stake // scale}"
        if stake is not None and self.digits and stake % scale:
            shown += f".{stake % scale:0{self.digits}d}"
        super().__init__(data, prefix="stake", initial={"stake": shown})
        self.fields["stake"] = forms.CharField(
            label="What each pays who is in the twos",
            required=False,
            max_length=10,
            widget=forms.TextInput({"class": "input-short", "inputmode": "decimal"}),
            help_text="For instance 2.00. Left empty: no twos at this fixture.",
        )

    def clean_stake(self) -> int | None:
        """The amount in whole minor units."""
        text = self.cleaned_data["stake"].strip()
        if not text:
            return None
        found = re.fullmatch(r"[£€$]?(\d{1,5})(?:[.,](\d{1,3}))?", text)
        if found is None or len(found[2] or "") > self.digits:
            raise forms.ValidationError("Write an amount, for instance 2.00.")
        return int(found[1] + (found[2] or "").ljust(self.digits, "0"))


class TwosForm(forms.Form):
    """Who is in the twos."""

    def __init__(
        self, data: Mapping[str, object] | None = None, *, entries: Sequence[Entry]
    ) -> None:
        initial = {"entries": [entry.public_id for entry in entries if entry.twos]}
        super().__init__(data, prefix="twos", initial=initial)
        self.fields["entries"] = forms.MultipleChoiceField(
            label="Tick who has paid",
            required=False,
            choices=[(entry.public_id, entry.player.name) for entry in entries],
            widget=forms.CheckboxSelectMultiple,
        )


class CompetitionForm(TermsForm):
    """A further competition over the same cards: its name, whom it is for, its terms."""

    name = forms.CharField(max_length=100)
    takes_part = forms.ChoiceField(
        label="It is for",
        choices=[
            (TakesPart.EVERYBODY.value, "Everybody"),
            (TakesPart.MEMBERS.value, "Members only"),
            (TakesPart.GUESTS.value, "Guests only"),
        ],
    )
    counts_for_merit = forms.BooleanField(label="Counts for the order of merit", required=False)
    words = forms.CharField(
        label="Why", required=False, max_length=200, help_text="Needed once handicaps are taken."
    )

    field_order = ("name", "takes_part", "counts_for_merit")

    def contest(self) -> Contest:
        """What was typed, as the actions take it."""
        said: dict[str, Any] = self.cleaned_data
        return Contest(said["name"], self.terms(), said["takes_part"], said["counts_for_merit"])


class FieldForm(forms.Form):
    """Whom the first competition is for; its name and terms are the fixture's own."""

    takes_part = CompetitionForm.base_fields["takes_part"]
    counts_for_merit = CompetitionForm.base_fields["counts_for_merit"]
    words = CompetitionForm.base_fields["words"]
