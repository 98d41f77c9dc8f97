"""How our pages write dates, handicaps, money and shots.

The minor units of a currency are those of ISO 4217 (from memory): two for the pound and the
euro, none for the yen, three for the Kuwaiti dinar. Writing a plus handicap with a plus sign
and a plain one with none is common practice, no source.
"""

import datetime as dt
from decimal import Decimal

import pytest
from django import forms
from django.template import Context, Template
from django.test import RequestFactory
from django.utils import timezone

from society.web.templatetags import look

LANTERN = dt.date(2026, 10, 10)  # a Saturday in any calendar


def render(source: str, **context: object) -> str:
    return Template("{% load look %}" + source).render(Context(context))


def test_days_are_written_long_and_short() -> None:
    assert look.day_long(LANTERN) == "Saturday 10 October"
    assert look.day_long(LANTERN, "year") == "Saturday 10 October 2026"
    assert look.day_short(LANTERN) == "Sat 10 Oct"
    assert look.day_short(dt.date(2026, 9, 1), "year") == "Tue 1 Sep 2026"
    assert (look.day_name_short(LANTERN), look.day_number(LANTERN)) == ("Sat", "10")
    assert look.month_short(LANTERN) == "Oct"


def test_nothing_known_is_an_empty_day() -> None:
    assert look.day_long(None) == look.day_short(None) == look.clock(None) == ""


def test_a_moment_is_written_in_the_societys_own_zone() -> None:
    moment = dt.datetime(2026, 6, 6, 23, 30, tzinfo=dt.UTC)
    with timezone.override("Europe/Berlin"):
        assert look.day_short(moment) == "Sun 7 Jun"
        assert look.clock(moment) == "01:30"
        assert look.day_clock(moment) == "Sun 7 Jun, 01:30"


def test_the_clock_has_two_digits_for_the_hour() -> None:
    assert look.clock(dt.time(9, 30)) == "09:30"


@pytest.mark.parametrize(
    ("kept", "shown"),
    [
        (Decimal("-1.2"), "+1.2"),
        (Decimal("12.3"), "12.3"),
        (Decimal("0.0"), "0.0"),
        (-2, "+2"),
        (0, "0"),
        (28, "28"),
        (Decimal("13.3000"), "13.3"),
        (Decimal("54.0000"), "54.0"),
        (Decimal("-1.2000"), "+1.2"),
        (Decimal("56.92"), "56.92"),
    ],
)
def test_a_plus_handicap_is_shown_with_a_plus_and_no_other(kept: object, shown: str) -> None:
    assert look.handicap(kept) == shown


def test_no_handicap_is_a_dash_that_says_so() -> None:
    assert "no handicap" in look.handicap(None)


@pytest.mark.parametrize(
    ("minor", "currency", "shown"),
    [
        (3600, "GBP", "£36"),
        (3650, "GBP", "£36.50"),
        (3605, "GBP", "£36.05"),
        (5000, "EUR", "€50"),
        (125000, "GBP", "£1,250"),
        (-500, "GBP", "−£5"),
        (3600, "CHF", "CHF\u00a036"),
        (1500, "JPY", "JPY\u00a01,500"),
        (1500, "KWD", "KWD\u00a01.500"),
        (0, "GBP", "£0"),
    ],
)
def test_money_drops_empty_minor_units(minor: int, currency: str, shown: str) -> None:
    assert look.money(minor, currency) == shown


def test_a_missing_score_is_a_dash_and_zero_is_not_missing() -> None:
    assert look.no_score(0) == 0
    assert str(look.no_score(None)) == (
        '<span aria-hidden="true">–</span><span class="vh">no score</span>'
    )
    assert "did not play" in str(look.no_score(None, "did not play"))


@pytest.mark.parametrize(
    ("shots", "signs", "words"),
    [(1, "•", "1 shot"), (2, "••", "2 shots"), (-1, "◦", "gives 1 back"), (-2, "◦◦", "gives 2")],
)
def test_shots_are_dots_with_words(shots: int, signs: str, words: str) -> None:
    drawn = look.dots(shots)
    assert f">{signs}<" in drawn
    assert f'aria-label="{words}' in drawn


def test_no_shot_draws_nothing_and_says_so() -> None:
    assert "•" not in look.dots(0)
    assert "no shot" in look.dots(0)


def test_ordinals_of_the_teens_all_end_alike() -> None:
    shown = [look.ordinal(number) for number in (1, 2, 3, 4, 11, 12, 13, 21, 22, 103, 111)]
    assert shown == [
        "1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "22nd", "103rd", "111th",
    ]  # fmt: skip


def test_words_follow_their_number() -> None:
    assert look.count_of(1, "card,cards") == "1\u00a0card"
    assert look.count_of(0, "card,cards") == "0\u00a0cards"
    assert [look.in_words(number) for number in (0, 2, 12, 13)] == ["none", "two", "twelve", "13"]
    assert look.names(["Ida", "Lottie", "Wilf"]) == "Ida, Lottie and Wilf"
    assert look.names(["Ida"]) == "Ida"
    assert look.names([]) == ""


def test_a_score_against_par_has_its_sign() -> None:
    assert [look.signed(number) for number in (3, 0, -2)] == ["+3", "level", "−2"]


def card(gross_on_18: int | None) -> list[dict[str, int | None]]:
    return [
        {"hole": n, "par": 4, "shots": 1, "gross": 5 if n < 18 else gross_on_18, "value": 2}
        for n in range(1, 19)
    ]


def test_a_card_falls_into_two_nines_with_their_sums() -> None:
    out, back = look.in_nines(card(5))
    assert (out["name"], out["par"], out["gross"], out["value"]) == ("Out", 36, 45, 18)
    assert (back["name"], len(back["holes"]), back["gross"]) == ("In", 9, 45)


def test_a_hole_without_score_leaves_the_gross_sum_out() -> None:
    assert look.in_nines(card(None))[1]["gross"] is None


def test_nine_holes_make_one_strip() -> None:
    assert [nine["name"] for nine in look.in_nines(card(5)[9:])] == ["In"]


class Entry(forms.Form):
    name = forms.CharField(label="Name", help_text="As it stands on the card.")
    tee = forms.ChoiceField(label="Tee", choices=[("w", "White"), ("y", "Yellow")])
    walk = forms.ChoiceField(
        label="Buggy", choices=[("1", "I walk"), ("2", "One seat")], widget=forms.RadioSelect
    )
    fast = forms.BooleanField(label="Both signatures seen", required=False)
    wish = forms.CharField(label="Play with", required=False, widget=forms.Textarea)
    day = forms.DateField(label="Day", widget=forms.DateInput(attrs={"class": "input-short"}))
    kept = forms.CharField(widget=forms.HiddenInput)

    def clean(self) -> None:
        raise forms.ValidationError("The two do not go together.")


def test_the_summary_names_each_field_and_links_to_it() -> None:
    found = look.problems(Entry({"tee": "w"}), [{"words": "And one more.", "href": "#x"}])
    by_label = {problem.get("label"): problem for problem in found}
    assert found[0] == {"words": "The two do not go together."}
    assert by_label["Name"]["href"] == "#id_name"
    assert by_label["Buggy"]["href"] == "#id_walk"
    assert "href" not in next(p for p in found[1:] if "label" not in p)  # the hidden field
    assert found[-1] == {"words": "And one more.", "href": "#x"}


def test_a_form_not_yet_sent_has_no_problems() -> None:
    assert look.problems(Entry()) == []
    assert render('{% include "parts/_error_summary.html" %}', form=Entry()).strip() == ""


def test_every_kind_of_field_has_label_control_and_error_tied_together() -> None:
    page = render('{% include "parts/_fields.html" %}', form=Entry({}))
    for name in ("name", "tee", "wish", "day"):
        assert f'<label class="label" for="id_{name}">' in page
    assert 'class="input input-short"' in page
    assert '<fieldset class="field field-wrong" id="id_walk"' in page
    assert page.count('id="id_walk"') == 1
    assert '<label class="choice" for="id_fast">' in page
    assert 'aria-describedby="id_name_helptext id_name_error"' in page
    assert 'id="id_name_helptext"' in page
    assert 'id="id_name_error"' in page
    assert 'type="hidden" name="kept"' in page
    assert page.count("(if you like)") == 1


def test_only_what_may_be_left_empty_says_so() -> None:
    class Some(forms.Form):
        one_of = ("pasted", "file")
        pasted = forms.CharField(required=False)
        file = forms.FileField(required=False)
        why = forms.CharField(required=False, help_text="Needed once handicaps are taken.")
        tee = forms.ChoiceField(required=False, choices=[("", "Any"), ("w", "White")])
        note = forms.CharField(required=False)
        name = forms.CharField()

    assert [field.name for field in Some() if look.says_optional(field)] == ["note"]


def test_the_summary_counts_in_words_and_takes_focus() -> None:
    form = Entry({"walk": "1", "tee": "w", "day": "2026-10-10", "kept": "k"})
    page = render('{% include "parts/_error_summary.html" %}', form=form)
    assert "Two answers need another look" in page
    assert 'role="alert" tabindex="-1" autofocus' in page
    assert 'href="#id_name"' in page


def test_a_page_address_keeps_the_rest_of_the_query() -> None:
    request = RequestFactory().get("/players/?q=mist&sort=name&page=3")
    source = '{% address_with "sort" "-name" "page" %}'
    assert render(source, request=request) == "?q=mist&amp;sort=-name"


def test_a_fingerprint_is_two_fours() -> None:
    assert look.fingerprint("7c419e0bffff") == "7c41 9e0b"
    assert look.fingerprint(None) == ""


def test_a_range_is_not_parted_at_the_end_of_a_line() -> None:
    assert look.unbroken("Won on holes 13–18, 13 v 12") == (
        'Won on holes <span class="num">13–18</span>, <span class="num">13 v 12</span>'
    )
    assert look.unbroken("<b>1–9</b>") == '&lt;b&gt;<span class="num">1–9</span>&lt;/b&gt;'
