"""Forms of the calendar: a year pasted or as a file, last year's, one fixture copied."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django import forms

from society.desk.queries.calendar import calendar_rows_from_text
from society.desk.rules.calendar import DayOrder
from society.fixtures.models import Fixture, Season
from society.web.forms import LIST_FILES, DayField
from society.web.refusals import BadInput
from society.web.rules import SheetLine
from society.web.sheets import LARGEST, file_of

LONGEST_TEXT = 200_000
ORDERS = [
    (DayOrder.UNSAID.value, "As this society writes its dates"),
    (DayOrder.DAY_FIRST.value, "The day first: 4/10 is 4 October"),
    (DayOrder.MONTH_FIRST.value, "The month first: 4/10 is 10 April"),
]
YEAR = timedelta(weeks=52)


class CalendarForm(forms.Form):
    """A year's fixtures as text or as a file; `sheet` is what they say, once valid.

    `status`: what the page answers with where they are not.
    """

    status = 422
    one_of = ("text", "file")

    text = forms.CharField(
        label="Paste the year here",
        required=False,
        max_length=LONGEST_TEXT,
        strip=False,
        widget=forms.Textarea({"rows": 10, "spellcheck": "false", "wrap": "off"}),
        help_text="Copied from a spreadsheet with its headings, or typed with commas.",
        error_messages={"max_length": "That is too much text for one year."},
    )
    file = forms.FileField(
        label="Or choose a file",
        required=False,
        help_text="XLSX or CSV.",
        widget=forms.FileInput(attrs={"accept": LIST_FILES}),
        error_messages={"empty": "The file is empty."},
    )
    order = forms.ChoiceField(
        label="Days written with figures alone",
        required=False,
        choices=ORDERS,
        widget=forms.RadioSelect,
    )

    def clean(self) -> dict[str, Any]:
        """Read the one or the other."""
        said = super().clean() or {}
        text, file = said.get("text") or "", said.get("file")
        if self.errors:
            return said
        if bool(text.strip()) == bool(file):
            words = "Paste the year or choose a file." if not file else "Paste or choose: not both."
            self.add_error("text", words)
            return said
        field = "file" if file else "text"
        try:
            said["sheet"] = calendar_rows_from_text(
                file_of(file.read(LARGEST + 1)) if file else text
            )
        except BadInput as refusal:
            self.status = refusal.status
            self.add_error(field, refusal.words.replace("The file", "The list", field == "text"))
        return said


class CopyYearForm(forms.Form):
    """Each fixture of a season with its day in the new one; a line for each that is ticked."""

    def __init__(
        self, data: Any = None, *, source: Sequence[Fixture], season: Season, **options: Any
    ) -> None:
        super().__init__(data, **options)
        self.source = list(source)
        shift = shift_between(source[0].season, season) if source else YEAR
        for number, fixture in enumerate(self.source, 1):
            self.fields[f"take-{number}"] = forms.BooleanField(
                label=fixture.name,
                required=False,
                initial=fixture.state not in ("cancelled", "void"),
            )
            self.fields[f"day-{number}"] = DayField(
                label="Day",
                initial=fixture.starts_on + shift,
                widget=forms.DateInput({"type": "date"}, "%Y-%m-%d"),
            )

    @property
    def rows(self) -> list[tuple[Fixture, forms.BoundField, forms.BoundField]]:
        """Each fixture with its tick and its new day."""
        return [
            (fixture, self[f"take-{number}"], self[f"day-{number}"])
            for number, fixture in enumerate(self.source, 1)
        ]

    def lines(self) -> tuple[SheetLine, ...]:
        """The ticked ones as lines of a calendar, by their new days."""
        taken = [
            (self.cleaned_data[f"day-{number}"], fixture)
            for number, fixture in enumerate(self.source, 1)
            if self.cleaned_data[f"take-{number}"]
        ]
        taken.sort(key=lambda pair: pair[0])
        return tuple(
            SheetLine(
                number,
                {
                    "day": day.isoformat(),
                    "name": fixture.name,
                    "like": f"{fixture.name}, {fixture.starts_on.isoformat()}",
                },
            )
            for number, (day, fixture) in enumerate(taken, 1)
        )


class CopyFixtureForm(forms.Form):
    """Where one fixture is copied to."""

    season = forms.ModelChoiceField(
        queryset=Season.objects.none(), empty_label=None, to_field_name="public_id"
    )
    name = forms.CharField(max_length=100)
    day = DayField(
        widget=forms.DateInput({"type": "date"}, "%Y-%m-%d"),
        help_text="Opening, closing and all other hours keep their distance to the day.",
    )

    def __init__(self, data: Any = None, *, seasons: Any, **options: Any) -> None:
        super().__init__(data, **options)
        self.fields["season"].queryset = seasons  # type: ignore[attr-defined]


def shift_between(old: Season, new: Season) -> timedelta:
    """So many times 52 weeks that the old season comes to lie on the new one, at least once."""
    years = round((new.starts_on - old.starts_on) / YEAR)
    return YEAR * max(years, 1)


def next_year(day: date) -> date:
    """The same day of the week 52 weeks later."""
    return day + YEAR
