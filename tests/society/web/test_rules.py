"""Text as people type it and as spreadsheets read it."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from society.web.rules import (
    SheetLine,
    clean_reason,
    clean_text,
    fenced,
    fingerprint,
    heading,
    read_day,
    unfenced,
)


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("  Ivo   Marrable ", "Ivo Marrable"),
        ("Ivo\tMarrable\n", "Ivo Marrable"),
        ("Zoë O’Hare-Lindström", "Zoë O’Hare-Lindström"),
        ("=cmd()", "=cmd()"),
        ("", ""),
    ],
)
def test_a_name_is_kept_on_one_line(typed: str, kept: str) -> None:
    assert clean_text(typed, what="The name") == kept


@pytest.mark.parametrize("sign", ["\x00", "\x07", "\x7f", "\u202e", "\u200b", "\ufeff"])
def test_what_cannot_be_seen_is_refused(sign: str) -> None:
    with pytest.raises(ValueError, match=f"U\\+{ord(sign):04X}"):
        clean_text(f"Ivo{sign}Marrable", what="The name")


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("  won twice\r\nin May ", "won twice\r\nin May"),
        ("\u200b\u200d\ufeff", ""),  # nothing of it can be seen
        ("👩\u200d🦱 won", "👩\u200d🦱 won"),  # one picture out of two
        (" ", ""),
    ],
)
def test_a_reason_is_kept_as_it_is_read(typed: str, kept: str) -> None:
    assert clean_reason(typed) == kept


@pytest.mark.parametrize("sign", ["\x00", "\x07", "\x0c", "\x1b", "\x9f", "\u202e", "\u2066"])
def test_a_reason_with_a_sign_that_no_reason_has_is_refused(sign: str) -> None:
    with pytest.raises(ValueError, match=f"U\\+{ord(sign):04X}"):
        clean_reason(f"won{sign}twice")


def test_a_name_of_101_letters_is_refused() -> None:
    assert clean_text("x" * 100, what="The name") == "x" * 100
    with pytest.raises(ValueError, match="longer than 100"):
        clean_text("x" * 101, what="The name")


@given(st.text(max_size=60))
def test_cleaning_twice_is_cleaning_once(text: str) -> None:
    try:
        once = clean_text(text, what="The name")
    except ValueError:
        return
    assert clean_text(once, what="The name") == once
    assert once == once.strip()


@pytest.mark.parametrize(
    "text",
    [
        "=1+1",
        "+44 1",
        "-1",
        "@x",
        "\tx",
        "\rx",
        "'=1",
        "''+1",
        "＝1",
        "＋1",
        "－1",
        "＠x",
        "|x",
        "%x",
    ],
)
def test_what_begins_like_a_formula_is_fenced_and_comes_back(text: str) -> None:
    assert fenced(text) == "'" + text
    assert unfenced(fenced(text)) == text


@pytest.mark.parametrize("text", ["Ida", "O'Hare", "Anne-Marie", "'t Veer", "", "12", "'", "a=b"])
def test_ordinary_text_is_left_alone(text: str) -> None:
    assert fenced(text) == text
    assert unfenced(text) == text


@given(st.text(max_size=30))
def test_every_text_comes_back_from_its_cell(text: str) -> None:
    assert unfenced(fenced(text)) == text


@pytest.mark.parametrize(
    "text", ["2026-04-01", "1/4/2026", "01.04.2026", "1 April 2026", "1st Apr 2026", " 1  apr 2026"]
)
def test_a_day_is_read_as_people_write_it(text: str) -> None:
    assert read_day(text) == date(2026, 4, 1)


@pytest.mark.parametrize(
    "text", ["", "soon", "31/2/2026", "4/13/2026", "1/4/26", "2026-13-01", "1 Nextmonth 2026"]
)
def test_what_is_no_day_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is no da"):
        read_day(text)


@given(st.dates(date(1000, 1, 1)))
def test_days_come_back(day: date) -> None:
    assert read_day(day.isoformat()) == read_day(f"{day:%d/%m/%Y}") == day


def test_headings_are_compared_by_their_letters() -> None:
    assert {heading(t) for t in ("E-mail", "email", " E Mail ", "e_mail")} == {"email"}


def test_a_fingerprint_covers_lines_and_promises() -> None:
    line = SheetLine(2, {"name": "Ida"})
    base = fingerprint([line], ["new"])
    assert base == fingerprint([SheetLine(2, {"name": "Ida"})], ["new"])
    assert base != fingerprint([SheetLine(3, {"name": "Ida"})], ["new"])
    assert base != fingerprint([SheetLine(2, {"name": "Ivo"})], ["new"])
    assert base != fingerprint([line], ["changed"])
    with pytest.raises(TypeError):
        fingerprint([line], [object()])
