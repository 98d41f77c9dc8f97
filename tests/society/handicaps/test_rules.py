"""How a handicap is written, read and said; which line of a record stands."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.values import HandicapKind
from society.handicaps.rules.figures import (
    HIGHEST,
    LOWEST,
    Figure,
    Source,
    read_figure,
    spoken,
    standing,
    written,
)

INDEX, COURSE, PLAYING = HandicapKind.INDEX, HandicapKind.COURSE, HandicapKind.PLAYING


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("12.3", "12.3"),
        ("12,3", "12.3"),
        (" 12 ", "12"),
        ("+1.2", "-1.2"),
        ("+0.4", "-0.4"),
        ("0", "0"),
        ("+0", "0"),
        ("54.0", "54.0"),
        ("+10", "-10"),
    ],
)
def test_a_figure_is_read_as_people_write_it(text: str, kept: str) -> None:
    value = read_figure(text, INDEX)
    assert value == Decimal(kept)
    assert not (value == 0 and value.is_signed())


@pytest.mark.parametrize("text", ["-1.2", "−1.2", "–1.2", "- 1.2"])
def test_a_minus_sign_is_refused_with_both_ways_out(text: str) -> None:
    with pytest.raises(ValueError, match=r"written \+1\.2, any other 1\.2"):
        read_figure(text, INDEX)


@pytest.mark.parametrize("text", ["", "ten", "1.23", "1e1", "٣", "12.", "+", "++1", "1 2", "NaN"])
def test_what_is_no_figure_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is no handicap"):
        read_figure(text, INDEX)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        # 54.0 is the highest Handicap Index: Rules of Handicapping 2024, Rule 5.3
        ("54.1", INDEX),
        ("+10.1", INDEX),
        ("100.1", COURSE),
        ("+20.1", COURSE),
        ("101", PLAYING),
        ("+21", PLAYING),
    ],
)
def test_a_figure_out_of_its_limits_is_refused(text: str, kind: HandicapKind) -> None:
    with pytest.raises(ValueError, match="It goes from"):
        read_figure(text, kind)


def test_a_playing_handicap_is_whole() -> None:
    assert read_figure("18", PLAYING) == 18
    with pytest.raises(ValueError, match="whole number"):
        read_figure("18.5", PLAYING)


@given(st.decimals(LOWEST[INDEX], HIGHEST[INDEX], places=1))
def test_what_is_written_reads_back(value: Decimal) -> None:
    assert read_figure(written(value), INDEX) == value


@pytest.mark.parametrize(
    ("kept", "shown", "said"),
    [
        ("-1.2", "+1.2", "plus 1.2"),
        ("-1.20000000000000", "+1.2", "plus 1.2"),
        ("12.3", "12.3", "12.3"),
        ("18.0", "18", "18"),
        ("0.0", "0", "0"),
        ("100", "100", "100"),
    ],
)
def test_written_and_spoken(kept: str, shown: str, said: str) -> None:
    assert written(Decimal(kept)) == shown
    assert spoken(Decimal(kept)) == said


def line(value: str, day: int, source: Source = Source.SOCIETY) -> Figure:
    return Figure(INDEX, Decimal(value), source, date(2026, 4, day))


def test_the_latest_day_stands_and_of_one_day_the_later_line() -> None:
    record = [line("12.0", 1), line("11.0", 5), line("13.0", 3), line("11.5", 5)]
    assert standing(record, INDEX, Source.SOCIETY, date(2026, 4, 30)) == line("11.5", 5)
    assert standing(record, INDEX, Source.SOCIETY, date(2026, 4, 4)) == line("13.0", 3)
    assert standing(record, INDEX, Source.SOCIETY, date(2026, 3, 31)) is None
    assert standing(record, INDEX, Source.ASSOCIATION, date(2026, 4, 30)) is None
    assert standing(record, COURSE, Source.SOCIETY, date(2026, 4, 30)) is None


def test_a_line_in_words_says_plus() -> None:
    assert line("-1.2", 5).in_words == "index plus 1.2 (society, from 5 April 2026)"
