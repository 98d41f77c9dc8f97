"""Form fields that several apps share."""

from django import forms
from django.core.exceptions import ValidationError

from society.web.refusals import BadInput
from society.web.sheets import LARGEST, text_of


class FileForm(forms.Form):
    """One CSV file; `cleaned_data["file"]` is its text."""

    file = forms.FileField(
        label="The file",
        help_text="CSV with comma or semicolon, saved as UTF-8. At most 2 MB and 5,000 lines.",
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
        error_messages={
            "required": "Choose a file.",
            "empty": "The file is empty.",
            "missing": "Choose a file.",
        },
    )

    def clean_file(self) -> str:
        """The text of the file, read no further than what is taken."""
        try:
            return text_of(self.cleaned_data["file"].read(LARGEST + 1))
        except BadInput as refusal:
            raise ValidationError(refusal.words) from refusal
