"""The cut rules as a form: what it shows is what it gives back, and what is wrong it says where."""

from decimal import Decimal

import pytest
from django.http import QueryDict

from society.desk.forms.cuts import CutRulesForm, begin_with
from society.handicaps.rules.cuts.presets import PRESETS, Preset
from society.handicaps.rules.cuts.values import CutRules


def posted(form: CutRulesForm, **other: str) -> QueryDict:
    """What a browser sends for a form as it is shown, with some boxes filled otherwise."""
    sent = QueryDict(mutable=True)
    for bound in form:
        value = bound.value()
        if value is True:
            sent[bound.html_name] = "on"
        elif value not in (None, False):
            sent[bound.html_name] = str(value)
        elif value is None:
            sent[bound.html_name] = ""
    for name, value in other.items():
        sent[form.add_prefix(name)] = value
    return sent


@pytest.mark.parametrize("preset", PRESETS, ids=lambda preset: preset.key)
def test_a_set_goes_through_the_form_unchanged(preset: Preset) -> None:
    sent = posted(CutRulesForm(initial=preset.rules))
    form = CutRulesForm(sent)
    assert form.is_valid(), form.errors
    assert form.rules() == preset.rules


def test_no_cuts_unless_they_are_switched_on() -> None:
    assert CutRulesForm(posted(CutRulesForm())).rules() is None
    switched = CutRulesForm(posted(CutRulesForm(), on="on", place_1_1="1"))
    assert switched.is_valid()
    assert switched.rules() == CutRules(places=((Decimal(1),),), newcomers=True)


def test_one_figure_holds_for_every_band() -> None:
    form = CutRulesForm(
        posted(CutRulesForm(), on="on", band_1="9", place_1_1="2", p0_at="40", p0_shots="1")
    )
    rules = form.rules()
    assert rules is not None
    assert [[str(size) for size in row] for row in rules.places] == [["2", "2"]]
    assert [str(size) for size in rules.points[0].shots] == ["1", "1"]


@pytest.mark.parametrize(
    ("name", "value", "field", "words"),
    [
        ("p0_shots", "1, 2, 3", "p0_shots", "Write one figure, or 2"),
        ("p0_shots", "1", "p0_at", "Say how many points."),
        ("r0_shots", "1", "r0_at", "Say how many points."),
        ("p0_shots", "one", "p0_shots", "Write shots like"),
        ("p0_shots", "NaN", "p0_shots", "Shots go from 0 to 20"),
        ("p0_shots", "0.25", "p0_shots", "one digit"),
        ("place_1_1", "21", "place_1_1", "less than or equal to 20"),
        ("place_1_3", "1", "place_1_3", "There is no such band."),
        ("band_2", "9", "band_1", "each band higher"),
        ("low_count_1", "1", "lowest_shots", "Say how many rise"),
        ("lowest_shots", "1", "low_count_1", "Say how many rise"),
        ("expiry", "steps", "months", "Write the months"),
        ("floor", "ten", "floor", "whole number"),
    ],
)
def test_what_is_wrong_is_said_beside_its_box(
    name: str, value: str, field: str, words: str
) -> None:
    form = CutRulesForm(posted(CutRulesForm(), on="on", band_1="9", **{name: value}))
    assert not form.is_valid()
    assert words in " ".join(form.errors[field])
    assert form.rules() is None


def test_an_unknown_set_is_none() -> None:
    assert begin_with("three-two-one") == PRESETS[0].rules
    assert begin_with("wild") is None


def test_rules_without_any_size_are_asked_for_one() -> None:
    form = CutRulesForm(posted(CutRulesForm(), on="on"))
    assert form.rules() is None
    assert form.errors["on"] == ["Write at least one size: for a place, for points, or shots back."]
