"""A list of handicaps from any source: what holds for the whole list, and which column is what."""

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from typing import Any, TypedDict, cast

from django import forms

from scoring.rules.values import HandicapKind
from society.handicaps.forms import KINDS
from society.handicaps.rules.columns import guess
from society.handicaps.rules.figures import Source
from society.handicaps.rules.promises import EARLIEST, HANDICAP_COLUMNS, HANDICAPS
from society.web.forms import DayField, FileForm
from society.web.refusals import BadInput
from society.web.rules import DateStyle, SheetLine
from society.web.sheets import Sheet, headed, lines_of, pack_rows, refuse_no_lines, rows_of

LIST_SOURCES = [
    ("", "As each line says; else as the season asks"),
    (Source.ASSOCIATION.value, "An association authorised to issue it"),
    (Source.SOCIETY.value, "This society"),
    (Source.COMMITTEE.value, "The committee's decision"),
    (Source.STATED.value, "Stated by the players"),
]
_ELSE = {
    Source.ASSOCIATION: "the association",
    Source.SOCIETY: "the society",
    Source.COMMITTEE: "the committee",
    Source.STATED: "as stated",
}
ORDERS = [
    ("", "As this society writes its dates"),
    (DateStyle.DAY_FIRST.value, "The day first: 4/10 is 4 October"),
    (DateStyle.MONTH_FIRST.value, "The month first: 4/10 is 10 April"),
]
COLUMN_CHOICES = [
    ("", "Leave it out"),
    ("name", "Name"),
    ("first_name", "First name"),
    ("last_name", "Last name"),
    ("email", "E-mail"),
    ("number", "Number in the society"),
    ("handicap", "Handicap"),
    ("kind", "Kind of handicap"),
    ("source", "Source of the handicap"),
    ("valid_from", "Date from which it is valid"),
]
# One of these tells who a line is about.
_WHO = ("name", "last_name", "email", "number", "id")
_EXAMPLES = 3
_FIGURE = re.compile("[0-9]")


class ListSaid(TypedDict):
    """What holds for every line that does not say it itself, as the cells of a line say it."""

    source: str
    valid_from: str
    kind: str
    order: str


def style_of(order: str) -> DateStyle | None:
    """The order of dates chosen for a list; None for that of the society."""
    return DateStyle(order) if order in set(DateStyle) else None


def filled(lines: Iterable[SheetLine], said: ListSaid) -> list[SheetLine]:
    """The lines with what holds for the whole list written into those that do not say it."""
    told = {"source": said["source"], "valid_from": said["valid_from"], "kind": said["kind"]}
    whole = {column: text for column, text in told.items() if text}
    return [SheetLine(line.number, whole | dict(line.cells)) for line in lines]


def understood(headings: Sequence[str]) -> bool:
    """Whether the headings name the handicap and somebody to give it to, each once."""
    found = headed(headings, HANDICAP_COLUMNS)
    return "handicap" in found and any(who in found for who in _WHO)


def _check_day(day: date | None, today: date) -> date | None:
    if day is not None and not EARLIEST <= day <= today + timedelta(days=366):
        raise forms.ValidationError("That is too far from today for a handicap.")
    return day


def _list_said(told: Mapping[str, Any]) -> ListSaid:
    day = told["valid_from"]
    return ListSaid(
        source=told["source"],
        valid_from=day.isoformat() if day else "",
        kind=told["kind"],
        order=told["order"],
    )


def _trimmed(cells: list[str]) -> list[str]:
    """The cells of a row up to the last with something in it."""
    last = max((at for at, cell in enumerate(cells) if cell.strip()), default=-1)
    return cells[: last + 1]


def _rows_with_lines(file: str | bytes) -> list[tuple[int, list[str]]]:
    rows = rows_of(file)
    first = rows[0][1]
    if understood(first) or not any(_FIGURE.search(cell) for cell in first):
        refuse_no_lines(rows)
    return rows


class HandicapListForm(FileForm):
    """The file, and what holds for the whole list where the list does not say it."""

    source = forms.ChoiceField(
        label="Where the figures come from",
        required=False,
        choices=LIST_SOURCES,
        help_text="For every line that does not say it itself.",
    )
    valid_from = DayField(
        label="Valid from",
        required=False,
        widget=forms.DateInput(attrs={"type": "date", "class": "input-mid"}, format="%Y-%m-%d"),
        help_text="The date of the list, for lines without one. Empty: today.",
    )
    kind = forms.ChoiceField(
        label="Kind of handicap",
        required=False,
        choices=KINDS,
        initial=HandicapKind.INDEX.value,
        help_text="For every line that does not say it itself.",
    )
    order = forms.ChoiceField(
        label="Days written with figures alone", required=False, choices=ORDERS
    )
    choose = forms.BooleanField(
        label="Let me say which column is what",
        required=False,
        help_text="You are asked in any case where the headings are not known.",
    )

    def __init__(self, *args: Any, today: date, usual: Source, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        first = ("", f"As each line says; else {_ELSE[usual]}")
        cast("forms.ChoiceField", self.fields["source"]).choices = [first, *LIST_SOURCES[1:]]

    def clean_valid_from(self) -> date | None:
        """A day in reach of today."""
        return _check_day(self.cleaned_data["valid_from"], self.today)

    def rows(self) -> list[tuple[int, list[str]]] | None:
        """The rows of the file, headings first; a list of headings alone is refused.

        One row with a figure in it may be a list without headings: its columns are asked about.
        """
        return self._read(_rows_with_lines)

    def said(self) -> ListSaid:
        """What holds for the whole list."""
        return _list_said(self.cleaned_data)


class ColumnsForm(forms.Form):
    """Which column of a list is what, for headings that nobody knows; `sheet` reads it so."""

    status = 200

    headless = forms.BooleanField(
        label="The first line is a player already, not headings", required=False
    )
    source = forms.ChoiceField(choices=LIST_SOURCES, required=False, widget=forms.HiddenInput)
    valid_from = DayField(required=False, widget=forms.HiddenInput)
    kind = forms.ChoiceField(choices=KINDS, required=False, widget=forms.HiddenInput)
    order = forms.ChoiceField(choices=ORDERS, required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, rows: list[tuple[int, list[str]]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = [(number, _trimmed(cells)) for number, cells in rows]
        self.rows = rows
        self.packed = pack_rows(rows)
        self.width = max(len(cells) for _, cells in rows)
        headings = rows[0][1] + [""] * (self.width - len(rows[0][1]))
        known = headed(headings, HANDICAP_COLUMNS)
        below = [cells for _, cells in rows[1:]]
        guessed = guess(known, [[c[at] for c in below if at < len(c)] for at in range(self.width)])
        for at, text in enumerate(headings):
            examples = [c[at].strip()[:40] for c in below if at < len(c) and c[at].strip()]
            shown = ", ".join(f"“{one}”" for one in dict.fromkeys(examples[:_EXAMPLES]))
            own_id = [("id", "Id from our own list")] if known[at] == "id" else []
            self.fields[f"column-{at}"] = forms.ChoiceField(
                label=text.strip()[:60] or f"Column {at + 1}, without a heading",
                choices=COLUMN_CHOICES + own_id,
                required=False,
                initial=guessed[at],
                help_text=f"It begins {shown}." if shown else "There is nothing below it.",
            )
        self.order_fields([f"column-{at}" for at in range(self.width)])

    def clean(self) -> None:
        """Every column once, the handicap among them, and one that tells who it is."""
        super().clean()
        chosen: dict[str, str] = {}
        for at in range(self.width):
            column = self.cleaned_data.get(f"column-{at}")
            if column in chosen:
                words = f"“{chosen[column]}” is this column already. Leave one of them out."
                self.add_error(f"column-{at}", words)
            elif column:
                chosen[column] = str(self.fields[f"column-{at}"].label)
        if "handicap" not in chosen:
            self.add_error(None, "Say which column is the handicap.")
        if not any(who in chosen for who in _WHO):
            self.add_error(None, "Say which column tells who it is: name, e-mail or number.")

    def sheet(self) -> Sheet | None:
        """The lines of the list read as chosen; None, with an error, where they cannot be."""
        self.status = 422
        if not self.is_valid():
            return None
        places = {
            at: self.cleaned_data[f"column-{at}"]
            for at in range(self.width)
            if self.cleaned_data[f"column-{at}"]
        }
        below = self.rows if self.cleaned_data["headless"] else self.rows[1:]
        try:
            return Sheet(lines_of(below, places, self.width, HANDICAPS))
        except BadInput as refusal:
            self.status = refusal.status
            self.add_error(None, refusal.words)
            return None

    def said(self) -> ListSaid:
        """What holds for the whole list, handed on from the page before."""
        return _list_said(self.cleaned_data)
