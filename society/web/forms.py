"""Form fields that several apps share."""

from collections.abc import Callable, Collection, Mapping, Sequence
from datetime import date
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import ValidationError

from society.web.refusals import BadInput, Refusal
from society.web.rules import NO_SUCH_YEAR, clean_reason, in_our_time
from society.web.sheets import LARGEST, Sheet, file_of, note_of, read_sheet, rows_of

LIST_FILES = ".csv,.xlsx,text/csv,application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

_Read = TypeVar("_Read")


def _in_our_time(day: date) -> None:
    if not in_our_time(day):
        raise ValidationError(NO_SUCH_YEAR)


class DayField(forms.DateField):
    """A day in the browser's own calendar; a year such as 0026 is refused."""

    default_validators = [_in_our_time]


class MomentField(forms.DateTimeField):
    """A day and an hour in the society's time zone; a year such as 0026 is refused."""

    default_validators = [_in_our_time]


class ReasonField(forms.CharField):
    """A reason or a witness in a few words; what cannot be seen is no reason."""

    default_error_messages = {
        "max_length": "That is too long: %(show_value)d letters, and at most "
        "%(limit_value)d are kept."
    }

    def to_python(self, value: Any) -> str:
        """The words as they are kept."""
        try:
            return clean_reason(super().to_python(value) or "")
        except ValueError as wrong:
            raise ValidationError(str(wrong)) from wrong


class FileForm(forms.Form):
    """One list as CSV or XLSX; `sheet` reads it. `status`: what the page answers with."""

    status = 200

    file = forms.FileField(
        label="The file",
        help_text="XLSX or CSV. At most 2 MB and 5,000 lines.",
        widget=forms.FileInput(attrs={"accept": LIST_FILES}),
        error_messages={
            "required": "Choose a file.",
            "empty": "The file is empty.",
            "missing": "Choose a file.",
        },
    )

    def clean_file(self) -> str | bytes:
        """The file's text, or a workbook's bytes, read no further than what is taken."""
        try:
            return file_of(self.cleaned_data["file"].read(LARGEST + 1))
        except BadInput as refusal:
            self.status = refusal.status
            raise ValidationError(refusal.words) from refusal

    def sheet(
        self,
        columns: Mapping[str, Sequence[str]],
        needed: Sequence[str],
        handicaps: Collection[str] = (),
    ) -> Sheet | None:
        """The lines of the file as `read_sheet` gives them; None, with an error, if it cannot be.

        A list or a file that cannot be taken answers 422.
        """
        return self._read(lambda file: read_sheet(file, columns, needed, handicaps))

    def rows(self) -> list[tuple[int, list[str]]] | None:
        """The rows of the file as they stand, the headings first; None, with an error, if not."""
        return self._read(rows_of)

    @property
    def note(self) -> str:
        """What to look at in what was read; empty for nothing."""
        return note_of(self.cleaned_data["file"])

    def _read(self, reader: Callable[[str | bytes], _Read]) -> _Read | None:
        if not self.is_bound:
            return None
        if not self.is_valid():
            self.status = 422
            return None
        try:
            return reader(self.cleaned_data["file"])
        except BadInput as refusal:
            self.status = refusal.status
            self.add_error("file", refusal.words)
            return None


def say_refused(form: forms.Form, refusal: Refusal) -> None:
    """What an action refused, beside the box it is about; above the form where there is none."""
    form.add_error(refusal.field if refusal.field in form.fields else None, refusal.words)
