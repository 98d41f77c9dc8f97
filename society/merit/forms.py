"""The rules of a season table as a form: presets, or figures of the society's own."""

import re
from typing import Any

from django import forms

from society.merit.rules.reading import (
    MOST_EVENTS,
    MOST_PLACES,
    MOST_POINTS,
    PRESETS,
    Preset,
)
from society.merit.rules.values import EventTies, Guests, MeritRules, PointsFrom, SeasonTie
from society.merit.rules.words import EVENT_TIES, GUESTS, SEASON_TIES

TYPED = "typed"
_POINTS = (
    (PointsFrom.PLACES, "By the place on the day"),
    (PointsFrom.TOTAL, "The Stableford total itself"),
)
_ORDINALS = ("First", "Then", "Then", "Then", "Then", "Then")


class RulesForm(forms.Form):
    """All that a table is worked out by."""

    name = forms.CharField(label="Name of the table", max_length=100)
    points = forms.ChoiceField(label="Season points", choices=_POINTS, widget=forms.RadioSelect)
    preset = forms.ChoiceField(
        label="Points by place",
        required=False,
        choices=[*((p.key, p.words) for p in PRESETS), (TYPED, "Our own, typed below")],
    )
    typed = forms.CharField(
        label="Our own points",
        required=False,
        help_text="First place first, with commas between: 30, 20, 15, 10.",
    )
    beyond = forms.IntegerField(
        label="Every later place",
        required=False,
        min_value=0,
        max_value=MOST_POINTS,
        help_text="Only with points of your own. Nothing if left empty.",
    )
    event_ties = forms.ChoiceField(
        label="Level on the day",
        choices=[(tie.value, words) for tie, words in EVENT_TIES.items()],
        widget=forms.RadioSelect,
        help_text="Only where points go by place.",
    )
    best = forms.IntegerField(
        label="How many scores count",
        required=False,
        min_value=1,
        max_value=MOST_EVENTS,
        help_text="About six in ten of the fixtures is usual. All count if left empty.",
    )
    best_follows = forms.BooleanField(
        label="Each cancelled fixture lowers that number by one", required=False
    )
    minimum = forms.IntegerField(
        label="Fixtures needed for a place",
        required=False,
        min_value=0,
        max_value=MOST_EVENTS,
        help_text="Whoever has fewer is listed without a place. None needed if left empty.",
    )
    guests = forms.ChoiceField(
        label="Guests",
        choices=[(way.value, words) for way, words in GUESTS.items()],
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [("", "–"), *((t.value, w.capitalize()) for t, w in SEASON_TIES.items())]
        for number, label in enumerate(_ORDINALS, start=1):
            self.fields[f"tie_{number}"] = forms.ChoiceField(
                label=f"Level at the end: {label.lower()}" if number == 1 else label,
                required=False,
                choices=choices,
            )
        for name in ("beyond", "best", "minimum"):
            self.fields[name].widget.attrs["class"] = "input-short"

    def clean(self) -> dict[str, object]:
        """Read the typed points, and see that no way of parting stands twice."""
        data = super().clean() or {}
        if data.get("points") == PointsFrom.PLACES and data.get("preset") in (TYPED, ""):
            data["table"] = self._typed(str(data.get("typed", "")))
        ties = [tie for n in range(1, len(SeasonTie) + 1) if (tie := data.get(f"tie_{n}"))]
        if len(set(ties)) != len(ties):
            self.add_error(f"tie_{len(ties)}", "Each way of parting stands once.")
        data["season_ties"] = tuple(SeasonTie(tie) for tie in ties)
        return data

    def _typed(self, text: str) -> tuple[int, ...]:
        words = [word for word in re.split(r"[,;\s]+", text.strip()) if word]
        if not all(re.fullmatch(r"[0-9]{1,6}", word) for word in words):
            self.add_error("typed", "Whole numbers with commas between, please: 30, 20, 15.")
            return ()
        table = tuple(int(word) for word in words)
        if not 1 <= len(table) <= MOST_PLACES or max(table) > MOST_POINTS:
            self.add_error("typed", f"Give points for 1 to {MOST_PLACES} places.")
        return table

    def rules(self) -> MeritRules:
        """The rules this form says."""
        data = self.cleaned_data
        preset = next((p for p in PRESETS if p.key == data["preset"]), None)
        by_total = data["points"] == PointsFrom.TOTAL
        table: tuple[int, ...] = ()
        beyond = 0
        if not by_total:
            table = preset.table if preset else data["table"]
            beyond = preset.beyond if preset else data["beyond"] or 0
        return MeritRules(
            points=PointsFrom(data["points"]),
            table=table,
            beyond=beyond,
            event_ties=EventTies(data["event_ties"]),
            guests=Guests(data["guests"]),
            best=data["best"],
            best_follows=data["best_follows"],
            minimum=data["minimum"] or 0,
            season_ties=data["season_ties"],
        )


def initial_of(name: str, rules: MeritRules) -> dict[str, object]:
    """What the form shows for rules that stand."""
    preset = _preset_of(rules)
    ties = {f"tie_{n}": tie.value for n, tie in enumerate(rules.season_ties, start=1)}
    return {
        "name": name,
        "points": rules.points.value,
        "preset": preset.key if preset else TYPED,
        "typed": "" if preset else ", ".join(str(points) for points in rules.table),
        "beyond": None if preset else rules.beyond,
        "event_ties": rules.event_ties.value,
        "best": rules.best,
        "best_follows": rules.best_follows,
        "minimum": rules.minimum or None,
        "guests": rules.guests.value,
        **ties,
    }


def _preset_of(rules: MeritRules) -> Preset | None:
    if rules.points is PointsFrom.TOTAL:
        return PRESETS[0]
    return next((p for p in PRESETS if (p.table, p.beyond) == (rules.table, rules.beyond)), None)
