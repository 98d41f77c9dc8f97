"""What an organiser chooses for a draw."""

from typing import Any, cast

from django import forms

from society.desk.queries.drawing import Choices, start_words
from society.entries.actions.drawing import MOST_BACK
from society.entries.rules.asks import AskKind
from society.entries.rules.draw import DrawMethod
from society.fixtures.rules import StartKind

METHODS = [
    (DrawMethod.MIXED.value, "By lot, with people not played with of late"),
    (DrawMethod.RANDOM.value, "By lot alone"),
    (DrawMethod.BALANCED.value, "Balanced: low and high handicaps in each group, totals alike"),
    (DrawMethod.SNAKE.value, "Equal teams: to and fro through the handicaps (snake order)"),
    (DrawMethod.HANDICAP.value, "By handicap, the lowest go first"),
    (DrawMethod.LEADERS.value, "By the season’s table, the leaders go last"),
]
HOWS = [(AskKind.TOGETHER.value, "with"), (AskKind.APART.value, "not with")]
EMPTY_ROWS = 3
MOST_ROWS = 40


class MakeDrawForm(forms.Form):
    """How to draw. What is not chosen comes from the fixture."""

    method = forms.TypedChoiceField(
        label="How", coerce=DrawMethod, choices=METHODS, widget=forms.RadioSelect
    )
    group_size = forms.TypedChoiceField(
        label="Players in a group",
        coerce=int,
        choices=[(4, "Four, threes first"), (3, "Three, twos first"), (2, "Two")],
    )
    start = forms.TypedChoiceField(
        label="Start",
        coerce=StartKind,
        required=False,
        empty_value=None,
        choices=[(kind.value, start_words(kind).capitalize()) for kind in StartKind],
    )
    first_time = forms.TimeField(
        label="First start",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time", "class": "input-short"}, format="%H:%M"),
    )
    interval = forms.IntegerField(
        label="Minutes between starts",
        min_value=1,
        max_value=60,
        widget=forms.NumberInput(attrs={"class": "input-short"}),
    )
    first = forms.ChoiceField(label="In the first group", required=False)
    guests = forms.BooleanField(label="Guests play with their hosts", required=False)
    wishes = forms.BooleanField(label="Look at what entries wish for", required=False)
    back = forms.IntegerField(
        label="Fixtures to look back over",
        required=False,
        min_value=0,
        max_value=MOST_BACK,
        help_text="Whoever played together in these is kept apart where it can be done.",
        widget=forms.NumberInput(attrs={"class": "input-short"}),
    )
    seed = forms.CharField(
        label="Seed",
        required=False,
        max_length=64,
        help_text="Left empty: five figures by chance. Or type one that was agreed beforehand.",
        widget=forms.TextInput(attrs={"class": "input-mid", "autocomplete": "off"}),
    )

    def __init__(self, data: Any = None, *, choices: Choices) -> None:
        super().__init__(data, initial=choices.initial)
        self.fields["method"].help_text = choices.leaders
        self.choices = choices
        if not choices.handicaps:
            self.fields[
                "method"
            ].help_text = f"What goes by handicap waits until they are taken. {choices.leaders}"
        people = [("", "nobody in particular"), *choices.field]
        cast("forms.ChoiceField", self.fields["first"]).choices = people
        if self.is_bound:
            rows = sum(name.startswith("one_") for name in self.data)
        else:
            rows = len(choices.pairs) + EMPTY_ROWS
        self.numbers = range(min(rows, MOST_ROWS))
        for number in self.numbers:
            self._add_row(number, [("", "–"), *choices.field])

    def _add_row(self, number: int, people: list[tuple[str, str]]) -> None:
        pairs = self.choices.pairs
        one, how, other = pairs[number] if number < len(pairs) else ("", HOWS[0][0], "")
        self.fields[f"one_{number}"] = forms.ChoiceField(
            label="Player", choices=people, required=False, initial=one
        )
        self.fields[f"how_{number}"] = forms.ChoiceField(
            label="With or not with", choices=HOWS, required=False, initial=how
        )
        self.fields[f"other_{number}"] = forms.ChoiceField(
            label="The other player", choices=people, required=False, initial=other
        )

    @property
    def rows(self) -> list[tuple[forms.BoundField, ...]]:
        """The boxes for who plays with whom, three to a row."""
        return [
            tuple(self[f"{name}_{n}"] for name in ("one", "how", "other")) for n in self.numbers
        ]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        pairs = []
        for number in self.numbers:
            one, other = data.pop(f"one_{number}", ""), data.pop(f"other_{number}", "")
            how = data.pop(f"how_{number}", "") or HOWS[0][0]
            if bool(one) is not bool(other):
                self.add_error(f"one_{number}", "Name both players, or neither.")
            elif one:
                pairs.append((one, AskKind(how), other))
        back = data.get("back")
        return data | {"pairs": pairs, "back": back or 0}


class SwapForm(forms.Form):
    """The reason for a change by hand."""

    words = forms.CharField(label="Why", required=False, max_length=200)


class MoveForm(forms.Form):
    """Where a player goes."""

    to = forms.TypedChoiceField(label="Group", coerce=int)
    words = forms.CharField(label="Why", required=False, max_length=200)

    def __init__(self, *args: Any, rooms: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cast("forms.TypedChoiceField", self.fields["to"]).choices = list(rooms)


class WithdrawDrawForm(forms.Form):
    """Why a published draw is taken back."""

    words = forms.CharField(
        label="Why",
        max_length=200,
        help_text="Members who look for the draw are told.",
        error_messages={"required": "Say why, in a few words."},
    )
