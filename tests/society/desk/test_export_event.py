"""What is exported, scored by the command and keyed again, is what was sealed: byte for byte."""

import io
import json
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from scoring.results.actions.ruling import rule
from scoring.rules.strict_json import canonical, read_json
from society.desk.actions.final import make_final
from tests.factories.cards import FIVES, FOURS
from tests.factories.fixtures import saturday
from tests.factories.results import AT, OFFICER, competition_of, paper, played

pytestmark = pytest.mark.django_db
PARTS = ("standings", "unplaced", "divisions")


def keyed(value: object) -> object:
    """The same answer with each `name` replaced by its key."""
    if isinstance(value, dict):
        found = {key: keyed(entry) for key, entry in value.items()}
        return found | {"name": value["player"]} if "name" in value else found
    return [keyed(entry) for entry in value] if isinstance(value, list) else value


@pytest.mark.parametrize(
    "terms",
    [
        '{"allowance":95,"format":"stableford"}',
        '{"allowance":92.5,"format":"medal","handicap_share":"exact"}',
        '{"format":"par","countback_holes":"played"}',
        '{"basis":"gross","format":"maximum_score"}',
    ],
)
def test_export_score_and_seal_agree(
    terms: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], society: object
) -> None:
    home, out = [5] * 9 + [4] * 9, [4] * 9 + [5] * 9
    fixture = played(
        [FOURS, home, out, FIVES, FIVES, None, [*FIVES[:-1], None]],
        indexes=["-1.2", "12.3", "12.3", "20.1", "20.1", "9.0", "30.0"],
        terms=terms,
        name="Lantern plate",
    )
    fixture.entries.filter(player__name__endswith="1").update(divisions='["Seniors"]')
    fixture.entries.filter(player__name__endswith="2").update(divisions='["Seniors"]')
    fixture.rounds.get().starts.filter(entry__player__name__endswith="3").update(first_hole=5)
    entries = list(fixture.entries.order_by("pk"))
    rule(
        competition=competition_of(fixture), kind="penalty", entry=entries[0], hole=18, strokes=1,
        rule="9.4", words="moved", by=OFFICER, at=AT,
    )  # fmt: skip
    paper(fixture.rounds.get().starts.order_by("pk")[5], FIVES, record="player")
    (version,) = make_final(fixture=fixture, accept=[entries[5].public_id], by=OFFICER, at=AT)

    file = tmp_path / "event.json"
    call_command("export_event", fixture.public_id, out=str(file))
    call_command("score", str(file), format="json")
    scored = json.loads(capsys.readouterr().out)
    outputs = read_json(version.outputs)
    assert len(outputs["standings"]) >= 5
    for part in PARTS:
        assert canonical(keyed(scored[part])) == canonical(outputs[part])
    assert canonical(keyed(scored)) == version.outputs
    names = {row["name"] for row in scored["standings"]}
    assert "Player A000" in names  # the file speaks of people, the seal of keys


def test_exported_before_final_and_by_name(society: object) -> None:
    fixture = played([FOURS, None], name="April medal")
    out = io.StringIO()
    call_command("export_event", "April medal", stdout=out)
    document = read_json(out.getvalue())
    assert document["event"]["name"] == "April medal"
    assert len(document["players"]) == 2
    assert list(document["cards"]) == [fixture.entries.order_by("pk").first().key]


@pytest.mark.parametrize("named", ["nothing", "Twice"])
def test_no_fixture_or_two_of_that_name(named: str, society: object) -> None:
    saturday(name="Twice")
    saturday(name="Twice")
    with pytest.raises(CommandError, match="no such fixture, or several"):
        call_command("export_event", named)


def test_nobody_in_the_document_yet(society: object) -> None:
    with pytest.raises(CommandError, match="Handicaps are not taken yet"):
        call_command("export_event", saturday().public_id)


def test_the_help_has_an_example() -> None:
    from society.desk.management.commands.export_event import Command

    assert "Example: manage.py export_event" in Command.help
