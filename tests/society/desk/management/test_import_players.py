"""`manage.py import_players FILE`: shows the same preview, saves with --confirm."""

import io
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from society.members.models import Player
from tests.factories.members import PlayerFactory

pytestmark = pytest.mark.usefixtures("society")
LIST = "name,category,handicap\nIvo Marrable,men,+1.2\nBo,men,-1.2\n"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "players.csv"
    path.write_text(LIST)
    return path


def run(*args: object) -> str:
    out = io.StringIO()
    call_command("import_players", *map(str, args), stdout=out)
    return out.getvalue()


def test_it_shows_and_saves_nothing(file: Path) -> None:
    said = run(file)
    assert "line 2: new: Ivo Marrable" in said
    assert "index plus 1.2" in said
    assert "line 3: refused: Bo" in said
    assert "1 new, 0 changed, 0 unchanged, 1 refused" in said
    assert "Nothing is saved" in said
    assert not Player.objects.exists()


def test_it_saves_when_confirmed(file: Path) -> None:
    assert "Imported: 1 new, 0 changed, 0 unchanged, 1 left out." in run(file, "--confirm")
    assert Player.objects.get().name == "Ivo Marrable"


def test_a_question_needs_its_answer(file: Path) -> None:
    known = PlayerFactory(name="Ivo Marrable")
    with pytest.raises(CommandError, match="line 2: Choose what happens with Ivo Marrable"):
        run(file, "--confirm")
    said = run(file, "--choose", f"2={known.public_id}")
    assert f"[x] {known.public_id}: Ivo Marrable" in said
    run(file, "--choose", f"2={known.public_id}", "--confirm")
    assert Player.objects.get().handicaps.count() == 1


@pytest.mark.parametrize("choose", ["2", "x=new", "2="])
def test_an_answer_is_written_like_this(choose: str, file: Path) -> None:
    with pytest.raises(CommandError, match="write it like 7=new"):
        run(file, "--choose", choose)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="No such file"):
        run(tmp_path / "none.csv")


def test_a_file_that_is_no_text(tmp_path: Path) -> None:
    path = tmp_path / "x.csv"
    path.write_bytes(b"name\nZo\x81\n")
    with pytest.raises(CommandError, match="UTF-8"):
        run(path)
