"""The answer to proposed cuts: those ticked are confirmed, or one is changed or left."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from scoring.rules.values import HandicapKind
from society.handicaps.actions.cuts import Decision
from society.handicaps.rules.answers import CutAnswerKind
from society.handicaps.rules.figures import read_figure
from society.web.forms import ReasonField

CONFIRM, CHANGE, LEAVE = "confirm", "change", "leave"


class AnswerForm(forms.Form):
    """One press: `deed` says which; `tick` names those confirmed, `one` the one changed or left."""

    deed = forms.ChoiceField(choices=[(CONFIRM, ""), (CHANGE, ""), (LEAVE, "")])
    one = forms.CharField(required=False, max_length=40)
    new = forms.CharField(required=False, max_length=10)
    words = ReasonField(required=False, max_length=500)
    witness = ReasonField(required=False, max_length=200)

    def clean_new(self) -> Decimal | None:
        """The other figure, read as people write handicaps."""
        text = self.cleaned_data["new"]
        if not text.strip() or self.data.get("deed") != CHANGE:
            return None
        try:
            return read_figure(text, HandicapKind.COURSE)
        except ValueError as wrong:
            raise ValidationError(str(wrong)) from wrong

    def decisions(self) -> dict[str, Decision]:
        """What a valid form says to which proposals."""
        data: dict[str, Any] = self.cleaned_data
        if data["deed"] == CONFIRM:
            ticked = self.data.getlist("tick") if hasattr(self.data, "getlist") else []
            return {str(one)[:40]: Decision(CutAnswerKind.CONFIRMED) for one in ticked}
        kind = CutAnswerKind.CHANGED if data["deed"] == CHANGE else CutAnswerKind.DROPPED
        return {data["one"]: Decision(kind, new=data.get("new"), words=data["words"])}
