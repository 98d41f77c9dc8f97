"""Who is too new to win, in words. Common practice, no source."""

from society.handicaps.rules.newcomers import NOBODY_NEW, Newcomers

ROWS = [(1, "ida", "Ida Fell"), (2, "fenn", "Fenn Moor"), (3, "oda", "Oda Rill")]


def test_a_row_says_from_which_event_on() -> None:
    new = Newcomers(2, {"ida": 1, "fenn": 0})
    assert new.words("ida") == "New: may win from the third event; this is the second."
    assert new.words("fenn") == "New: may win from the third event; this is the first."
    assert new.words("oda") == ""


def test_the_winner_is_the_first_who_may_win() -> None:
    new = Newcomers(2, {"ida": 1})
    assert new.winner(ROWS, final=True) == (
        "Ida Fell is new and may not win yet. The winner is Fenn Moor, the first who may win."
    )
    assert "The winner would be Fenn Moor" in new.winner(ROWS, final=False)
    both = Newcomers(2, {"ida": 1, "fenn": 0})
    assert "The winner is Oda Rill" in both.winner(ROWS, final=True)


def test_several_who_share_the_place_win_together() -> None:
    rows = [(1, "ida", "Ida Fell"), (2, "fenn", "Fenn Moor"), (2, "oda", "Oda Rill")]
    said = Newcomers(1, {"ida": 0}).winner(rows, final=True)
    assert said.endswith("The winners are Fenn Moor and Oda Rill, the first who may win.")
    tied = [(1, "ida", "Ida Fell"), (1, "fenn", "Fenn Moor")]
    assert "The winner is Fenn Moor" in Newcomers(1, {"ida": 0}).winner(tied, final=True)


def test_nothing_is_said_where_no_newcomer_leads() -> None:
    assert NOBODY_NEW.winner(ROWS, final=True) == ""
    assert Newcomers(2, {"oda": 0}).winner(ROWS, final=True) == ""
    everybody = Newcomers(2, {"ida": 0, "fenn": 0, "oda": 0})
    assert everybody.winner(ROWS, final=True).endswith("nobody else has a place: nobody wins.")
