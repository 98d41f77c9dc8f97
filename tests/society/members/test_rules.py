"""Names, e-mails and money codes as they are kept."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from society.members.rules import CURRENCIES, clean_email, clean_text, same_name


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


@pytest.mark.parametrize("typed", ["ivo@example.org", "IVO@Example.ORG", " ivo@example.org\n"])
def test_an_email_is_kept_in_small_letters(typed: str) -> None:
    assert clean_email(typed) == "ivo@example.org"


@pytest.mark.parametrize(
    "typed",
    ["ivo", "ivo@", "@example.org", "ivo@example", "a b@example.org", "a@b@example.org", "a@b..c"],
)
def test_what_is_no_email_is_refused(typed: str) -> None:
    with pytest.raises(ValueError, match="no e-mail address"):
        clean_email(typed)


def test_names_are_compared_without_capitals_and_spaces() -> None:
    assert same_name("Ivo  MARRABLE ", "ivo marrable")
    assert not same_name("Ivo Marrable", "Ivor Marrable")


def test_currencies_have_three_capitals() -> None:
    assert {"GBP", "EUR", "USD", "JPY"} <= CURRENCIES
    assert all(len(code) == 3 and code.isupper() for code in CURRENCIES)
