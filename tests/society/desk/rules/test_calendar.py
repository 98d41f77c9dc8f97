"""The cells of a calendar: every usual style is read, and nothing is guessed."""

import contextlib
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from society.desk.rules.calendar import (
    COLUMNS,
    MONTHS,
    WEEKDAYS,
    DayOrder,
    Span,
    TwoWays,
    read_count,
    read_day,
    read_fees,
    read_line,
    read_moment,
    read_places,
    read_tees,
    read_time,
    read_yes,
)
from society.web.rules import SheetLine

YEAR = Span(date(2026, 1, 1), date(2026, 12, 31))
WINTER = Span(date(2026, 10, 1), date(2027, 4, 30))
DAY_FIRST = Span(YEAR.first, YEAR.last, DayOrder.DAY_FIRST)
MONTH_FIRST = Span(YEAR.first, YEAR.last, DayOrder.MONTH_FIRST)
DAYS = st.dates(date(2000, 1, 1), date(2099, 12, 31))


class TestReadDay:
    @pytest.mark.parametrize(
        "text",
        [
            "2026-10-25", "2026/10/25", "25 October 2026", "25 Oct 2026", "25 oct", "25-Oct-26",
            "Sunday 25 October", "Sun 25th Oct", "Sun, 25 Oct 2026", "the 25th of October",
            "October 25, 2026", "Oct 25", "25/10/2026", "25.10.2026", "25.10.", "25/10", "25-10-26",
            "10/25/2026", "2026-10-25 00:00:00", "Sun 25/10",
        ],
    )  # fmt: skip
    def test_usual_styles(self, text):
        assert read_day(text, YEAR) == date(2026, 10, 25)

    @pytest.mark.parametrize("text", ["4/10/2026", "4.10.26", "04-10-2026", "4/10"])
    def test_what_can_be_read_two_ways_is_asked(self, text):
        with pytest.raises(TwoWays, match="10 April 2026 or 4 October 2026"):
            read_day(text, YEAR)
        assert read_day(text, DAY_FIRST) == date(2026, 10, 4)
        assert read_day(text, MONTH_FIRST) == date(2026, 4, 10)

    def test_the_day_of_the_week_settles_it(self):
        """4 October 2026 is a Sunday, 10 April 2026 a Friday."""
        assert read_day("Sun 4/10/2026", YEAR) == date(2026, 10, 4)
        assert read_day("Fri 4/10/2026", YEAR) == date(2026, 4, 10)

    def test_a_day_of_the_week_that_does_not_fit(self):
        with pytest.raises(ValueError, match="25 October 2026 is a Sunday"):
            read_day("Sat 25 Oct", YEAR)

    def test_what_is_said_of_the_order_binds(self):
        for text, span in (("25/10/2026", MONTH_FIRST), ("10/25/2026", DAY_FIRST)):
            with pytest.raises(ValueError, match="is no day"):
                read_day(text, span)

    def test_a_season_over_the_new_year(self):
        assert read_day("25 Oct", WINTER) == date(2026, 10, 25)
        assert read_day("3 Jan", WINTER) == date(2027, 1, 3)

    def test_without_a_year_a_day_that_comes_twice_is_refused(self):
        span = Span(date(2026, 1, 1), date(2027, 12, 31))
        with pytest.raises(ValueError, match="twice"):
            read_day("25 Oct", span)

    @pytest.mark.parametrize("text", ["", "soon", "31 February 2026", "32/13/2026", "2026", "1 ma",
                                      "25 Oct 026", "Someday 25 Oct", "10 10 10 10"])  # fmt: skip
    def test_no_days(self, text):
        with pytest.raises(ValueError, match="is no day"):
            read_day(text, YEAR)

    @given(DAYS)
    def test_a_day_with_its_month_in_words_is_never_two(self, day):
        month = MONTHS[day.month - 1]
        for text in (
            f"{day.day} {month} {day.year}",
            f"{month[:3]} {day.day}, {day.year}",
            f"{WEEKDAYS[day.weekday()][:3]} {day.day} {month} {day.year}",
            day.isoformat(),
        ):
            assert read_day(text, YEAR) == day

    @given(DAYS, st.sampled_from("/.-"), st.sampled_from(list(DayOrder)))
    def test_figures_are_read_as_was_said_or_asked_about(self, day, mark, order):
        """Never another day than the one written, whatever the order said."""
        span = Span(YEAR.first, YEAR.last, order)
        day_first = f"{day.day}{mark}{day.month}{mark}{day.year}"
        could_be_two = day.day <= 12 and day.day != day.month
        if order is DayOrder.MONTH_FIRST:
            if day.day > 12:
                with pytest.raises(ValueError, match="is no day"):
                    read_day(day_first, span)
            return
        if order is DayOrder.UNSAID and could_be_two:
            with pytest.raises(TwoWays):
                read_day(day_first, span)
        else:
            assert read_day(day_first, span) == day

    @given(st.text(max_size=30))
    def test_any_text_is_a_day_or_a_sentence(self, text):
        """Anything but a ValueError would end the test."""
        with contextlib.suppress(ValueError):
            assert isinstance(read_day(text, YEAR), date)


class TestHoursAndDeadlines:
    @pytest.mark.parametrize(
        ("text", "hour"),
        [("9:30", "09:30"), ("09.30", "09:30"), ("0930", "09:30"), ("9.30 am", "09:30"),
         ("9am", "09:00"), ("12:15 pm", "12:15"), ("12 am", "00:00"), ("6PM", "18:00"),
         ("13:05:00", "13:05"), ("noon", "12:00"), ("9h30", "09:30")],
    )  # fmt: skip
    def test_hours(self, text, hour):
        assert read_time(text) == hour

    @pytest.mark.parametrize("text", ["9", "25:00", "9:75", "13 pm", "0 am", "early", "2460"])
    def test_no_hours(self, text):
        with pytest.raises(ValueError, match="no hour"):
            read_time(text)

    @pytest.mark.parametrize(
        ("text", "moment"),
        [
            ("Sun 4 Oct 18:00", (date(2026, 10, 4), "18:00")),
            ("4 October 2026 at 6 pm", (date(2026, 10, 4), "18:00")),
            ("4 Oct, 18.00", (date(2026, 10, 4), "18:00")),
            ("2026-10-04 18:00:00", (date(2026, 10, 4), "18:00")),
            ("2026-10-04T18:00", (date(2026, 10, 4), "18:00")),
            ("4 Oct", (date(2026, 10, 4), "23:59")),
            ("6 days before 18:00", (date(2026, 10, 4), "18:00")),
            ("6 days before, 18:00", (date(2026, 10, 4), "18:00")),
            ("2 weeks before", (date(2026, 9, 26), "23:59")),
            ("the day before at noon", (date(2026, 10, 9), "12:00")),
            ("a week before", (date(2026, 10, 3), "23:59")),
            ("10 Dec", (date(2025, 12, 10), "23:59")),  # the last one before the fixture
        ],
    )
    def test_moments(self, text, moment):
        assert read_moment(text, date(2026, 10, 10), DayOrder.UNSAID, "23:59") == moment

    def test_a_moment_can_be_two_as_well(self):
        with pytest.raises(TwoWays):
            read_moment("4/9/2026 18:00", date(2026, 10, 10), DayOrder.UNSAID, "23:59")
        found = read_moment("4/9/2026 18:00", date(2026, 10, 10), DayOrder.DAY_FIRST, "23:59")
        assert found == (date(2026, 9, 4), "18:00")

    @pytest.mark.parametrize("text", ["11 Oct 2026", "4 Oct 18", "500 days before"])
    def test_a_moment_lies_in_the_year_before_the_day(self, text):
        with pytest.raises(ValueError, match="not in the year before"):
            read_moment(text, date(2026, 10, 10), DayOrder.UNSAID, "23:59")

    @pytest.mark.parametrize("text", ["1 January 0001", "0026-10-10"])
    def test_a_day_at_the_end_of_time_is_no_day(self, text):
        with pytest.raises(ValueError, match="is no day"):
            read_day(text, Span(date(2026, 1, 1), date(2026, 12, 31), DayOrder.UNSAID))

    @pytest.mark.parametrize("text", ["soon", "18:00", "before", "4 Oct 25:00"])
    def test_no_moments(self, text):
        with pytest.raises(ValueError, match=r"no day and hour|no hour"):
            read_moment(text, date(2026, 10, 10), DayOrder.UNSAID, "23:59")


class TestOtherCells:
    def test_yes_and_no(self):
        assert [read_yes(text) for text in ("Yes", "y", "TRUE", "x")] == [True] * 4
        assert [read_yes(text) for text in ("no", "N", "false", "–")] == [False] * 4
        with pytest.raises(ValueError, match="neither"):
            read_yes("perhaps")

    def test_places_and_counts(self):
        assert (read_places("28"), read_places("no limit"), read_places("28.0")) == (28, None, 28)
        assert read_count("8 min", "Minutes", 1, 60) == 8
        for text in ("0", "501", "many", "-3"):
            with pytest.raises(ValueError, match="Places"):
                read_places(text)

    def test_fees(self):
        assert read_fees("36", 2) == (("Fee", 3600, "everybody"),)
        assert read_fees("£36.50", 2) == (("Fee", 3650, "everybody"),)
        assert read_fees("36,5", 2) == (("Fee", 3650, "everybody"),)
        assert read_fees("Golf 30; Soup 6 (members)", 2) == (
            ("Golf", 3000, "everybody"),
            ("Soup", 600, "members"),
        )
        assert read_fees("free", 2) == read_fees("0", 2) == ()
        assert read_fees("Golf 3600", 0) == (("Golf", 3600, "everybody"),)
        for text in ("lots", "36.505", "Golf", "-5"):
            with pytest.raises(ValueError, match="no fee"):
                read_fees(text, 2)

    def test_tees(self):
        assert read_tees("White") == {"": "White"}
        assert read_tees("men: White, women: Red") == {"men": "White", "women": "Red"}
        for text in ("ladies: Red", "White; Red"):
            with pytest.raises(ValueError, match="is not like"):
                read_tees(text)


def line(**cells: str) -> SheetLine:
    return SheetLine(3, cells)


class TestReadLine:
    def test_every_column_is_read(self):
        told = read_line(
            line(
                day="Sat 10 Oct", name=" Lantern  Plate ", course="Oddling Sands", format="Medal",
                holes="18", tees="White", first_time="9:30", interval="10", group_size="3",
                start="Shotgun", places="28", entries_open_at="2 weeks before",
                entries_close_at="6 days before 18:00", fee="36", guest_fee="45",
                guests_welcome="yes", counts_for_merit="no", about="Soup after.", like="",
            ),
            YEAR,
            2,
        )  # fmt: skip
        assert told.wrong == []
        assert set(COLUMNS) - set(told.values) == {"fee", "guest_fee", "like"}
        assert (told.name, told.day) == ("Lantern Plate", date(2026, 10, 10))
        assert told.values["fees"] == (("Fee", 3600, "members"), ("Guest fee", 4500, "guests"))
        assert told.values["start"] == "shotgun"

    def test_empty_cells_say_nothing(self):
        told = read_line(line(day="10 Oct", name="Lantern Plate", places=" "), YEAR, 2)
        assert set(told.values) == {"day", "name"}

    def test_everything_wrong_is_said_at_once(self):
        told = read_line(line(day="soon", places="many", guests_welcome="?"), YEAR, 2)
        assert len(told.wrong) == 4
        assert not told.two_ways
        assert read_line(line(day="4/10", name="A"), YEAR, 2).two_ways

    @given(st.dictionaries(st.sampled_from(list(COLUMNS)), st.text(max_size=20)))
    def test_any_cells_are_read_or_refused_with_sentences(self, cells):
        told = read_line(SheetLine(2, cells), YEAR, 2)
        assert bool(told.wrong) or (told.day is not None and told.name != "")
