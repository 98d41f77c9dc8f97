"""The form that opens a final result again."""

from django import forms

from scoring.results.rules import REASON_WORDS


class ReopenForm(forms.Form):
    """A class of reason, and the words that everyone can read."""

    reason_class = forms.ChoiceField(
        label="What kind of reason",
        choices=list(REASON_WORDS.items()),
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what kind of reason it is."},
    )
    words = forms.CharField(
        label="Why",
        max_length=200,
        help_text="One line. Everyone can read it, on the result and in the letters.",
        error_messages={"required": "Say why, in a few words."},
    )
