"""The invented society: whole, sound, made anew each day, and on no file but its own."""

import json
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from society.audit.models import AuditAbout, AuditLine
from society.desk.actions.demo.story import tell
from society.desk.queries.soundness import unsound
from society.fixtures.models import Fixture
from tests.serving import manage


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A demo made by the command, with another database named that must stay untouched."""
    folder = tmp_path_factory.mktemp("demo")
    told = manage(folder / "somebody-else.sqlite3", "demo", "--no-serve")
    assert told.returncode == 0, told.stderr
    return folder


@pytest.fixture
def folder(made: Path, tmp_path: Path) -> Path:
    shutil.copy(made / "demo.sqlite3", tmp_path)
    return tmp_path


def again(folder: Path):
    return manage(folder / "somebody-else.sqlite3", "demo", "--no-serve")


def ask(file: Path, sql: str) -> list[tuple]:
    with closing(sqlite3.connect(file)) as database, database:
        return database.execute(sql).fetchall()


def test_it_ignores_the_database_it_is_told(made):
    assert not (made / "somebody-else.sqlite3").exists()
    assert not (made / "demo.part").exists()


def test_it_verifies(made):
    told = manage(made / "demo.sqlite3", "verify")
    assert told.returncode == 0, told.stderr


def test_it_is_the_society_that_was_promised(made):
    file = made / "demo.sqlite3"
    states = [state for (state,) in ask(file, "SELECT state FROM fixtures_fixture ORDER BY id")]
    assert states.count("final") == 13  # eight of the last season, five of this one
    assert ask(file, "SELECT count(*) FROM fixtures_season") == [(2,)]
    assert states.count("drawn") == 1
    assert states.count("open") == 2  # one full, one with room
    assert ask(file, "SELECT count(*) FROM courses_course") == [(3,)]
    (players,) = ask(file, "SELECT count(*), count(DISTINCT category) FROM members_player")
    assert players[0] == 42  # forty members, two guests
    assert players[1] == 2
    (spread,) = ask(file, "SELECT min(value), max(value) FROM handicaps_handicapentry")
    assert -2 <= spread[0] <= -1.2  # a plus player, who may have improved since
    assert spread[1] == 54
    assert ask(file, "SELECT email FROM members_player GROUP BY email HAVING count(*) > 1") == [
        ("",),
        ("underbough@tarn-hollow.example",),
    ]


def test_the_story_shows_what_a_society_meets(made):
    """Everything the pages can show is in it, and came about by the deeds of the pages."""
    file = made / "demo.sqlite3"

    def count(sql: str) -> int:
        ((number,),) = ask(file, f"SELECT count(*) FROM {sql}")
        return number

    assert count("entries_entrystep WHERE kind = 'offered'") == 1
    assert count("entries_entrystep WHERE kind = 'bumped'") == 1  # a guest, for a member
    assert count("entries_entrystep WHERE kind = 'absent'") == 2
    assert count("entries_entrystep WHERE kind = 'withdrawn' AND late") >= 3
    assert count("entries_entry WHERE diet <> ''") > 3
    assert count("fixtures_competition WHERE number = 2") == 1
    assert count("results_ruling WHERE kind = 'order'") == 1
    assert count("results_resultversion WHERE number = 2") == 1
    assert count("results_sidewinner") == 3
    assert count("merit_meritversion") == 2  # both tables of the season that is over
    answers = {answer for (answer,) in ask(file, "SELECT answer FROM handicaps_cutanswer")}
    assert answers == {"confirmed", "changed", "dropped", "fell away"}
    waiting = ask(
        file,
        "SELECT DISTINCT event FROM handicaps_cutproposal p WHERE NOT EXISTS "
        "(SELECT 1 FROM handicaps_cutanswer a WHERE a.proposal_id = p.id)",
    )
    assert waiting == ask(  # only what the last final result proposes
        file,
        "SELECT c.public_id FROM fixtures_competition c JOIN fixtures_fixture f "
        "ON f.id = c.fixture_id WHERE f.state = 'final' ORDER BY f.starts_on DESC LIMIT 1",
    )
    pots = [json.loads(pot) for (pot,) in ask(file, "SELECT pot FROM results_twospot ORDER BY at")]
    assert [pot["brought"] for pot in pots] == [0, pots[0]["total"]]  # nobody made one at first
    assert pots[1]["twos"]
    methods = {run["method"] for run in _runs(file)}
    assert methods == {"random", "mixed", "balanced", "handicap", "leaders"}
    assert {run["start"] for run in _runs(file)} == {"one tee", "two tees", "shotgun"}
    kinds = {ask_of[0] for run in _runs(file) for ask_of in run["asks"]}
    assert {"first", "host", "earlier", "later"} <= kinds


def _runs(file: Path) -> list[dict]:
    return [json.loads(text) for (text,) in ask(file, "SELECT inputs FROM entries_drawrun")]


def test_its_letters_are_not_given_up_when_it_is_served(made, tmp_path):
    """The clock of the story has done so in its time, and says nothing where nothing is sent."""
    shutil.copy(made / "demo.sqlite3", tmp_path)
    told = manage(tmp_path / "demo.sqlite3", "due")
    assert "given up" not in told.stdout
    assert "emptied" not in told.stdout


def test_every_card_has_its_audit_line(made):
    file = made / "demo.sqlite3"
    cards = {f"card:{card}" for (card,) in ask(file, "SELECT public_id FROM cards_card")}
    told = {about for (about,) in ask(file, "SELECT about FROM audit_auditline")}
    told |= {about for (about,) in ask(file, "SELECT about FROM audit_auditabout")}
    assert len(cards) > 300
    assert cards - told == set()


def test_deeds_stand_in_order_of_time(made):
    times = [at for (at,) in ask(made / "demo.sqlite3", "SELECT at FROM audit_auditline "
                                                        "ORDER BY number")]  # fmt: skip
    assert times == sorted(times)


def test_on_the_same_day_it_is_served_as_it_stands(folder):
    ask(folder / "demo.sqlite3", "UPDATE members_society SET name = 'Played with'")
    told = again(folder)
    assert "there already" in told.stdout
    assert ask(folder / "demo.sqlite3", "SELECT name FROM members_society") == [("Played with",)]


def test_on_a_later_day_it_is_made_anew(folder):
    ask(folder / "demo.sqlite3", "UPDATE members_society SET made_by_demo_on = '2001-01-01'")
    assert again(folder).returncode == 0
    (row,) = ask(folder / "demo.sqlite3", "SELECT name, made_by_demo_on FROM members_society")
    assert row[0] == "Tarn Hollow"
    assert row[1] > "2001-01-01"


def test_a_society_it_did_not_make_is_refused(folder):
    ask(folder / "demo.sqlite3", "UPDATE members_society SET made_by_demo_on = NULL, name = 'Real'")
    told = again(folder)
    assert told.returncode == 1
    assert "was not made by the demo" in told.stderr
    assert ask(folder / "demo.sqlite3", "SELECT name FROM members_society") == [("Real",)]


@pytest.mark.parametrize("content", [b"", b"no database at all"])
def test_a_file_that_is_no_demo_is_refused(tmp_path, content):
    (tmp_path / "demo.sqlite3").write_bytes(content)
    told = again(tmp_path)
    assert told.returncode == 1
    assert "not touched" in told.stderr
    assert (tmp_path / "demo.sqlite3").read_bytes() == content


@pytest.mark.django_db
@pytest.mark.parametrize("hour", ["00:03", "13:30", "23:58"])
def test_it_can_be_made_at_any_hour_and_season(hour):
    """Also in summer time and on the last day of a year."""
    day = {"00:03": "2026-07-01", "13:30": "2026-12-31", "23:58": "2028-02-29"}[hour]
    tell(datetime.fromisoformat(f"{day} {hour}").replace(tzinfo=UTC))
    assert list(unsound()) == []
    playing = Fixture.objects.filter(name="Lantern Plate").latest("starts_on")  # not last year's
    assert playing.state == "drawn"
    assert playing.rounds.get().cards.count() > 8
    assert AuditLine.objects.count() > 250
    assert AuditAbout.objects.exists()
