"""Names, e-mails and money codes as they are kept."""

import pytest

from society.members.rules import CURRENCIES, clean_email, same_name


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
