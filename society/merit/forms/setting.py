"""The rules of a season table as a form: presets, or figures of the society's own."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from society.merit.bridge import Fixture
from society.merit.rules.reading import (
    MOST_EVENTS,
    MOST_PLACES,
    MOST_POINTS,
    MOST_WEIGHT,
    PRESETS,
    Preset,
)
from society.merit.rules.values import (
    EventTies,
    Guests,
    Majors,
    MeritRules,
    NewMembers,
    PointsFrom,
    SeasonTie,
    Unpaid,
)
from society.merit.rules.words import (
    EVENT_TIES,
    GUESTS,
    MAJORS,
    NEW_MEMBERS,
    SEASON_TIES,
    UNPAID,
    multiplier,
)
from society.web.templatetags.look import day_short

TYPED = "typed"
_POINTS = (
    (PointsFrom.PLACES, "By the place on the day"),
    (PointsFrom.TOTAL, "The Stableford total itself"),
)
_ORDINALS = ("First", "Then", "Then", "Then", "Then", "Then")
ORDINARY, MAJOR, LEFT_OUT = "ordinary", "major", "left out"
_COUNTS = (
    (ORDINARY, "Counts"),
    (MAJOR, "Major"),
    (LEFT_OUT, "Not in this table"),
)


@dataclass(frozen=True, slots=True)
class Section:
    """Fields of the form that belong together."""

    heading: str
    lead: str
    fields: tuple[BoundField, ...]
    weights: tuple[tuple[BoundField, BoundField], ...] = ()  # what counts, and times how much
    folded: bool = False

    @property
    def shut(self) -> bool:
        """Folded away: most tables leave these as they are. Never with something wrong in it."""
        pairs = [field for pair in self.weights for field in pair]
        return self.folded and not any(field.errors for field in (*self.fields, *pairs))


def _points_field(label: str, help_text: str = "", lowest: int = 0) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=False,
        min_value=lowest,
        max_value=MOST_POINTS,
        decimal_places=2,
        help_text=help_text,
    )


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
    last_place_full = forms.BooleanField(
        label="Who ties for the last place that earns gets its points in full", required=False
    )
    major_way = forms.ChoiceField(
        label="What a major is worth",
        choices=[(way.value, words.capitalize()) for way, words in MAJORS.items()],
        widget=forms.RadioSelect,
        required=False,
    )
    major_weight = forms.DecimalField(
        label="Majors times",
        required=False,
        min_value=Decimal("0.01"),
        max_value=MOST_WEIGHT,
        decimal_places=2,
        help_text="1.5 or 2 is usual.",
    )
    major_typed = forms.CharField(
        label="Points by place in a major",
        required=False,
        help_text="First place first: 5, 4, 3, 2, 1. Only where majors have points of their own.",
    )
    turning_up = _points_field("For turning up", "For every card with a place on the day.")
    bonus_from = forms.IntegerField(
        label="Bonus from how many Stableford points",
        required=False,
        min_value=1,
        max_value=MOST_POINTS,
        help_text="37 or better, for instance.",
    )
    bonus_points = _points_field("That bonus")
    bonus_pin = _points_field("For each nearest the pin")
    bonus_drive = _points_field("For each longest drive")
    new_members = forms.ChoiceField(
        label="Who joins during the season",
        choices=[(way.value, words) for way, words in NEW_MEMBERS.items()],
        widget=forms.RadioSelect,
        required=False,
        help_text="Who joined when is noted under Members of the season.",
    )
    join_before_last = forms.IntegerField(
        label="No place for who joins later than before the last … fixtures",
        required=False,
        min_value=0,
        max_value=MOST_EVENTS,
    )
    new_start = _points_field("New members begin on", "−10, for instance.", -MOST_POINTS)
    unpaid = forms.ChoiceField(
        label="The season's subscription",
        choices=[(way.value, words) for way, words in UNPAID.items()],
        widget=forms.RadioSelect,
        required=False,
    )
    division = forms.CharField(
        label="Only the division",
        required=False,
        max_length=40,
        help_text="Its name as the fixtures have it. Everybody if left empty.",
    )
    guests = forms.ChoiceField(
        label="Guests",
        choices=[(way.value, words) for way, words in GUESTS.items()],
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: Any, fixtures: Sequence[Fixture] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fixtures = tuple(fixtures)
        for fixture in self.fixtures:
            self.fields[f"counts_{fixture.key}"] = forms.ChoiceField(
                label=f"{fixture.name}, {day_short(fixture.day)}", choices=_COUNTS, required=False
            )
            self.fields[f"weight_{fixture.key}"] = forms.DecimalField(
                label="times",
                required=False,
                min_value=Decimal("0.01"),
                max_value=MOST_WEIGHT,
                decimal_places=2,
            )
            self.fields[f"weight_{fixture.key}"].widget.attrs["class"] = "input-short"
        choices = [("", "–"), *((t.value, w.capitalize()) for t, w in SEASON_TIES.items())]
        for number, label in enumerate(_ORDINALS, start=1):
            self.fields[f"tie_{number}"] = forms.ChoiceField(
                label=f"Level at the end: {label.lower()}" if number == 1 else label,
                required=False,
                choices=choices,
            )
        for name in _SHORT:
            self.fields[name].widget.attrs["class"] = "input-short"

    def clean(self) -> dict[str, object]:
        """Read the typed points, and see that no way of parting stands twice."""
        data = super().clean() or {}
        if data.get("points") == PointsFrom.PLACES and data.get("preset") in (TYPED, ""):
            data["table"] = self._typed("typed", str(data.get("typed", "")))
        data["major_table"] = ()
        keyed = [f.key for f in self.fixtures if data.get(f"counts_{f.key}") == MAJOR]
        if keyed and data.get("major_way") in (Majors.OWN, Majors.ADDED):
            data["major_table"] = self._typed("major_typed", str(data.get("major_typed", "")))
        if data.get("bonus_points") and not data.get("bonus_from"):
            self.add_error("bonus_from", "From how many points is it given?")
        ties = [tie for n in range(1, len(SeasonTie) + 1) if (tie := data.get(f"tie_{n}"))]
        if len(set(ties)) != len(ties):
            self.add_error(f"tie_{len(ties)}", "Each way of parting stands once.")
        data["season_ties"] = tuple(SeasonTie(tie) for tie in ties)
        return data

    def _typed(self, field: str, text: str) -> tuple[int, ...]:
        words = [word for word in re.split(r"[,;\s]+", text.strip()) if word]
        if not all(re.fullmatch(r"[0-9]{1,6}", word) for word in words):
            self.add_error(field, "Whole numbers with commas between, please: 30, 20, 15.")
            return ()
        table = tuple(int(word) for word in words)
        if not 1 <= len(table) <= MOST_PLACES or max(table) > MOST_POINTS:
            self.add_error(field, f"Give points for 1 to {MOST_PLACES} places.")
        elif list(table) != sorted(table, reverse=True):
            self.add_error(field, "A lower place never earns more than a higher one.")
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
            last_place_full=data["last_place_full"],
            weights=tuple(
                (fixture.key, _exact(weight))
                for fixture in sorted(self.fixtures, key=lambda fixture: fixture.key)
                if (weight := data.get(f"weight_{fixture.key}"))
                and weight != 1
                and self._counts(fixture) == ORDINARY
            ),
            majors=self._keys(MAJOR),
            major_way=Majors(data["major_way"] or Majors.TIMES),
            major_weight=_exact(data["major_weight"] or 2),
            major_table=data["major_table"],
            left_out=self._keys(LEFT_OUT),
            turning_up=_exact(data["turning_up"]),
            bonus_from=data["bonus_from"],
            bonus_points=_exact(data["bonus_points"]),
            bonus_pin=_exact(data["bonus_pin"]),
            bonus_drive=_exact(data["bonus_drive"]),
            new_members=NewMembers(data["new_members"] or NewMembers.ALIKE),
            join_before_last=data["join_before_last"] or 0,
            new_start=_exact(data["new_start"]),
            unpaid=Unpaid(data["unpaid"] or Unpaid.COUNT),
            division=data["division"],
        )

    def _counts(self, fixture: Fixture) -> str:
        return self.cleaned_data.get(f"counts_{fixture.key}") or ORDINARY

    def _keys(self, counts: str) -> tuple[str, ...]:
        return tuple(f.key for f in self.fixtures if self._counts(f) == counts)

    def sections(self) -> list[Section]:
        """The form's fields by what they are about."""
        found = [
            Section(
                heading,
                lead,
                tuple(self[name] for name in names),
                folded=heading not in _EVERYONE_SETS and self._usual(names),
            )
            for heading, lead, names in _SECTIONS
        ]
        ties = tuple(self[f"tie_{n}"] for n in range(1, len(_ORDINALS) + 1))
        found.insert(
            4, Section("Level at the end", "In this order; then the place is shared.", ties)
        )
        if self.fixtures:
            pairs = [(f"counts_{f.key}", f"weight_{f.key}") for f in self.fixtures]
            majors = ("major_way", "major_weight", "major_typed")
            found.append(
                Section(
                    "Weights and majors",
                    "What a fixture is worth here, and whether it counts in this table at all.",
                    tuple(self[name] for name in majors),
                    tuple((self[counts], self[weight]) for counts, weight in pairs),
                    folded=self._usual([name for pair in pairs for name in pair]),
                )
            )
        return found

    def _usual(self, names: Sequence[str]) -> bool:
        """Whether all these are empty or as most tables have them."""
        return all(self[name].value() in _USUAL for name in names)


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
        "last_place_full": rules.last_place_full,
        "major_way": rules.major_way.value,
        "major_weight": multiplier(rules.major_weight),
        "major_typed": ", ".join(str(points) for points in rules.major_table),
        "turning_up": _filled(rules.turning_up),
        "bonus_from": rules.bonus_from,
        "bonus_points": _filled(rules.bonus_points),
        "bonus_pin": _filled(rules.bonus_pin),
        "bonus_drive": _filled(rules.bonus_drive),
        "new_members": rules.new_members.value,
        "join_before_last": rules.join_before_last or None,
        "new_start": _filled(rules.new_start),
        "unpaid": rules.unpaid.value,
        "division": rules.division,
        **{f"counts_{key}": MAJOR for key in rules.majors},
        **{f"counts_{key}": LEFT_OUT for key in rules.left_out},
        **{f"weight_{key}": multiplier(weight) for key, weight in rules.weights},
        **ties,
    }


def _filled(points: Fraction) -> str | None:
    if not points:
        return None
    return f"-{multiplier(-points)}" if points < 0 else multiplier(points)


def _exact(value: Decimal | int | None) -> Fraction:
    return Fraction(value or 0)


def _preset_of(rules: MeritRules) -> Preset | None:
    if rules.points is PointsFrom.TOTAL:
        return PRESETS[0]
    return next((p for p in PRESETS if (p.table, p.beyond) == (rules.table, rules.beyond)), None)


_USUAL = (
    None,
    "",
    False,
    ORDINARY,
    Guests.REMOVED.value,
    NewMembers.ALIKE.value,
    Unpaid.COUNT.value,
)
_SHORT = (
    "beyond", "best", "minimum", "major_weight", "turning_up", "bonus_from", "bonus_points",
    "bonus_pin", "bonus_drive", "join_before_last", "new_start",
)  # fmt: skip
_EVERYONE_SETS = ("The table", "Points", "What counts")
_SECTIONS = (
    ("The table", "", ("name", "division")),
    ("Points", "", ("points", "preset", "typed", "beyond", "event_ties", "last_place_full")),
    ("What counts", "", ("best", "best_follows", "minimum")),
    (
        "On top",
        "Added to the score of the day, dropped with it, never multiplied.",
        ("turning_up", "bonus_from", "bonus_points", "bonus_pin", "bonus_drive"),
    ),
    (
        "Who is in the table",
        "",
        ("guests", "new_members", "join_before_last", "new_start", "unpaid"),
    ),
)
