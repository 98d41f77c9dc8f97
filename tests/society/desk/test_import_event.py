"""A scored day is brought in whole or not at all, and goes out again as it came."""

import io
import json
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction
from hypothesis import HealthCheck, Phase, assume, given, settings

from scoring.results.bridge import event_document
from scoring.results.models import ResultVersion, Ruling
from scoring.results.queries.standings import provisional
from scoring.rules.engine import score
from scoring.rules.event import read_event
from scoring.rules.strict_json import Refused, canonical, read_json, write_document
from scoring.rules.values import INDIVIDUAL, Format
from society.courses.models import Course
from society.desk.actions.event_in import NotCarried, Unsettled, Wanted, bring_event_in
from society.desk.actions.final import make_final
from society.entries.models import Entry
from society.fixtures.models import Fixture, Season
from society.fixtures.queries import the_competition
from society.handicaps.models import HandicapEntry
from society.members.models import Letter, Player, Society
from society.web.refusals import BadInput, Refusal, WrongState
from society.web.who import Who
from tests.factories.cards import FIVES, FOURS
from tests.factories.members import PlayerFactory
from tests.factories.results import OFFICER, played
from tests.scoring.rules.documents import PAR, event, good, off
from tests.scoring.rules.strategies import documents

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("society")]
AT = datetime(2026, 5, 2, 9, 0, tzinfo=UTC)
BY = Who.command("import_event")
MEN = Wanted(categories={"": "men"})
PARTS = ("standings", "unplaced", "divisions")


def bring(document: dict[str, Any], wanted: Wanted = MEN):
    return bring_event_in(data=write_document(document).encode(), wanted=wanted, by=BY, at=AT)


def out_of(fixture: Fixture) -> dict[str, Any]:
    return event_document(the_competition(fixture))


def everything() -> list[int]:
    kinds = (Player, Course, Season, Fixture, Entry, Ruling, ResultVersion)
    return [kind.objects.count() for kind in kinds]


# out and in again ---------------------------------------------------------------------------


def carried(document: dict[str, Any]) -> bool:
    """Whether the site keeps such figures: a course handicap has one digit after the point."""
    figures = [p.get("course_handicap", 0) for p in document["players"].values()]
    return all(round(Decimal(figure), 1) == figure for figure in figures)


@settings(
    max_examples=25,
    deadline=None,
    phases=[Phase.generate],  # each example is a day in a database: shrinking one takes minutes
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(documents(forms=tuple(INDIVIDUAL)))
def test_any_day_of_one_ball_each_goes_out_as_it_came(document: dict[str, Any]) -> None:
    """Whatever the document says; and what goes out comes in again with the same bytes."""
    assume(carried(document))
    with transaction.atomic():
        fixture = bring(document).fixture
        once = out_of(fixture)
        used = {player["tee"] for player in document["players"].values()}
        tees = {key: tee for key, tee in document["tees"].items() if key in used}
        said = write_document(document | {"tees": tees})  # a tee that nobody plays is not kept
        assert read_event(once) == read_event(read_json(said))
        expected, got = (score(read_event(read_json(write_document(d)))) for d in (document, once))
        assert [canonical(got[part]) for part in PARTS] == [
            canonical(expected[part]) for part in PARTS
        ]
        transaction.set_rollback(True)
    with transaction.atomic():
        again = out_of(bring(once).fixture)
        assert write_document(again) == write_document(once)
        transaction.set_rollback(True)


def test_every_key_of_a_document_comes_back(tmp_path: Path) -> None:
    fixture = bring(good(allowance=95, countback=["10-18", "18"])).fixture
    out = out_of(fixture)
    assert read_event(out) == read_event(read_json(write_document(good(
        allowance=95, countback=["10-18", "18"]
    ))))  # fmt: skip
    assert out["rulings"][0] == {
        "kind": "penalty", "player": "p1", "hole": 2, "strokes": 2, "rule": "14.7a",
    }  # fmt: skip
    assert out["rulings"][1]["reason"] == "drawn by lot"
    assert fixture.state == "reviewing"
    assert not Letter.objects.exists()


def test_an_order_may_stand_before_the_penalty_that_makes_the_tie() -> None:
    document = event(
        off(10), off(10), cards=[[4, *PAR[1:]], [4, *PAR[1:]]],
        rulings=[
            {"kind": "order", "players": ["p2", "p1"], "reason": "drawn by lot"},
            {"kind": "penalty", "player": "p1", "hole": 2, "strokes": 1},
            {"kind": "penalty", "player": "p2", "hole": 2, "strokes": 1},
        ],
    )  # fmt: skip
    out = out_of(bring(document).fixture)
    assert [row["player"] for row in score(read_event(out))["standings"]] == ["p2", "p1"]


def test_a_day_of_this_society_comes_back_after_its_file_was_kept() -> None:
    """Export, bring in where nobody is known, export: the same standings, the same document."""
    fixture = played(
        [FOURS, FIVES, None], indexes=["-1.2", "12.3", "20"], name="Lantern plate",
        terms='{"allowance":95,"format":"medal","reference_par":72}',
    )  # fmt: skip
    document = out_of(fixture)
    text = write_document(document)
    with transaction.atomic():
        document["event"]["name"] = "Lantern plate, again"
        wanted = Wanted(new=frozenset(["all"]), categories={"": "men"}, course="Elsewhere")
        again = out_of(bring(document, wanted).fixture)
        assert write_document(again) == text.replace("Lantern plate", "Lantern plate, again")


# final --------------------------------------------------------------------------------------


def test_a_command_never_seals_where_two_officers_do() -> None:
    Society.objects.update(officers_to_seal=2)
    before = everything()
    with pytest.raises(WrongState, match="Two officers seal results here"):
        bring(good(), Wanted(categories={"": "men"}, final=True))
    assert everything() == before
    fixture = bring(good()).fixture
    captain = Who(account="captain", roles=frozenset({"captain"}), name="The Captain")
    assert make_final(fixture=fixture, by=OFFICER, at=AT) == []
    assert [version.number for version in make_final(fixture=fixture, by=captain, at=AT)] == [1]


@pytest.mark.parametrize("name", [form.value for form in INDIVIDUAL])
def test_made_final_the_seal_is_what_score_says(name: str) -> None:
    rulings = [{"kind": "disqualified", "player": "p3", "rule": "3.3b", "reason": "no signature"}]
    document = event(
        off(18), off(10), off(12), off(3), cards=[[5] * 18, [4] * 18, PAR], rulings=rulings,
        format=name,
    )  # fmt: skip
    fixture = bring(document, Wanted(categories={"": "men"}, final=True)).fixture
    assert fixture.state == "final"
    version = ResultVersion.objects.get()
    scored = score(read_event(document))
    sealed = read_json(version.outputs)
    keyed = json.loads(
        write_document(scored),
        object_hook=lambda d: d | ({"name": d["player"]} if "name" in d else {}),
    )
    assert [canonical(sealed[part]) for part in PARTS] == [canonical(keyed[part]) for part in PARTS]
    assert not Letter.objects.exists()


# who is who ---------------------------------------------------------------------------------


def test_a_name_alone_never_decides() -> None:
    ida = PlayerFactory(name="Player p1", number="12")
    before = everything()
    with pytest.raises(Unsettled) as asked:
        bring(event(off(10), off(12), cards=[PAR]))
    (line,) = asked.value.lines
    assert "the same name as Player p1 (12). Say --match p1=12 or --new p1" in line
    assert everything() == before
    told = Wanted(categories={"": "men"}, match={"p1": "12"})
    brought = bring(event(off(10), off(12), cards=[PAR]), told)
    assert brought.matched == [ida]
    assert len(brought.made) == 1
    assert Entry.objects.get(key="p1").player == ida


def test_told_to_be_new_a_namesake_is_new() -> None:
    PlayerFactory(name="Player p1")
    brought = bring(event(off(1)), Wanted(categories={"p1": "women"}, new=frozenset(["p1"])))
    assert [player.category for player in brought.made] == ["women"]
    assert Player.objects.filter(name="Player p1").count() == 2


def test_number_and_name_together_are_sure_and_so_is_an_own_key() -> None:
    ida = PlayerFactory(name="Ida  Low", number="p1")
    document = event(off(10, name="ida low"), cards=[PAR])
    assert bring(document).matched == [ida]
    own = Entry.objects.get(key="p1").player.public_id
    other = event(off(10, name="Ida Low"), cards=[PAR])
    other["players"] = {own: other["players"]["p1"]}
    other["cards"], other["event"]["name"] = {own: PAR}, "Other"
    assert bring(other).matched == [ida]


@pytest.mark.parametrize(
    ("wanted", "said"),
    [
        (Wanted(), "a new player needs a category"),
        (Wanted(categories={"": "juniors"}), "a new player needs a category"),
        (Wanted(categories={"": "men"}, match={"p1": "77"}), "nobody has the number"),
        (Wanted(categories={"": "men"}, match={"p9": "12"}), "p9: the document has no such player"),
        (Wanted(match={"p1": "12", "p2": "ida@example.org"}), "is meant by p1 already"),
    ],
)
def test_what_must_be_said_is_listed(wanted: Wanted, said: str) -> None:
    PlayerFactory(name="Ida Low", number="12", email="ida@example.org")
    before = everything()
    with pytest.raises(Unsettled) as asked:
        bring(event(off(10), off(12), cards=[PAR]), wanted)
    assert any(said in line for line in asked.value.lines)
    assert everything() == before


def test_what_a_player_plays_off_stays_with_the_day() -> None:
    bring(good())
    assert not HandicapEntry.objects.exists()


# season and course --------------------------------------------------------------------------


def test_season_and_course_are_made_or_found() -> None:
    first = bring(good(), Wanted(categories={"": "men"}, tees={"white": "White"})).fixture
    assert first.season.name == "2026"
    course = Course.objects.get()
    assert (course.name, [tee.name for tee in course.tees.all()]) == (
        "Course of Monthly",
        ["White"],
    )
    other = good() | {"event": {"name": "May", "date": "2026-05-01"}}
    wanted = Wanted(categories={"": "women"}, course="course of monthly", new=frozenset(["all"]))
    with pytest.raises(BadInput, match="other figures for women"):
        bring(other, wanted)
    wanted = Wanted(categories={"": "men"}, course="course of monthly", new=frozenset(["all"]))
    assert bring(other, wanted).fixture.season == first.season
    assert Course.objects.count() == 1


def test_another_course_of_that_name_is_refused() -> None:
    bring(good())
    other = good() | {"event": {"name": "May", "date": "2026-05-01"}}
    other["tees"]["white"]["slope_rating"] = 121
    before = everything()
    wanted = Wanted(categories={"": "men"}, course="Course of Monthly", new=frozenset(["all"]))
    with pytest.raises(BadInput, match=r"tees.white: the tee white .* has other figures"):
        bring(other, wanted)
    assert everything() == before


def test_a_day_outside_the_season_is_refused() -> None:
    bring(good())
    other = good() | {"event": {"name": "May", "date": "2027-05-01"}}
    wanted = Wanted(categories={"": "men"}, season="2026", new=frozenset(["all"]))
    with pytest.raises(BadInput, match="outside the season"):
        bring(other, wanted)
    assert Season.objects.count() == 1


# refused ------------------------------------------------------------------------------------


def test_the_same_day_twice_changes_nothing() -> None:
    bring(good())
    before = everything()
    assert bring(good()).unchanged
    assert everything() == before
    other = good()
    other["cards"]["p1"][0] += 1
    with pytest.raises(WrongState, match="Monthly on 2026-04-18 already"):
        bring(other)
    assert everything() == before


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"course_handicap": Decimal("12.164602")}, "players.p1.course_handicap"),
        ({"playing_handicap": 10, "name": "x" * 101}, "players.p1.name"),
    ],
)
def test_what_is_not_kept_here_is_refused_with_its_place(change: dict[str, Any], said: str) -> None:
    before = everything()
    with pytest.raises(NotCarried) as refused:
        bring(event(change, cards=[PAR]))
    assert refused.value.words.startswith(said)
    assert everything() == before


def test_a_ruling_that_the_engine_refuses_brings_nothing_in() -> None:
    document = good()
    document["cards"]["p3"] = [hole + 1 for hole in PAR]  # p2 and p3 are no longer level
    before = everything()
    with pytest.raises(Refused, match=r"rulings\[1\]"):
        bring(document)
    assert everything() == before


# the command --------------------------------------------------------------------------------


def run(path: Path, *options: str) -> str:
    out = io.StringIO()
    call_command("import_event", str(path), *options, stdout=out)
    return out.getvalue()


def test_the_command_brings_in_and_says_so(tmp_path: Path) -> None:
    path = tmp_path / "april.json"
    path.write_text(write_document(good()))
    with pytest.raises(CommandError) as refused:
        run(path)
    assert refused.value.returncode == 2
    assert "p1, Player p1: a new player needs a category" in str(refused.value)
    said = run(path, "--category", "men", "--category", "p2=women", "--course", "Fen", "--final")
    assert "Monthly, 2026-04-18: brought in as" in said
    assert "0 players of the list, 3 new." in said
    assert "unchanged" in run(path)
    fixture = Fixture.objects.get()
    assert provisional(the_competition(fixture)).answer == score(read_event(good()))


@pytest.mark.parametrize(
    ("text", "options", "said"),
    [
        ("[]", [], "file: wants an object, not a list"),
        ("{", [], "file:"),
        (write_document(good()), ["--match", "p1"], "--match p1: write it like KEY=VALUE."),
        (write_document(good() | {"version": 2}), [], "version"),
    ],
)
def test_a_document_that_cannot_be_taken_is_exit_2(
    text: str, options: list[str], said: str, tmp_path: Path
) -> None:
    path = tmp_path / "x.json"
    path.write_text(text)
    with pytest.raises(CommandError) as refused:
        run(path, "--category", "men", *options)
    assert refused.value.returncode == 2
    assert said in str(refused.value)
    assert not Fixture.objects.exists()


def test_sides_are_refused_with_a_sentence(tmp_path: Path) -> None:
    document = event(off(1), off(2), format="four_ball", scoring="stableford")
    document["sides"] = {"s1": ["p1", "p2"]}
    path = tmp_path / "pairs.json"
    path.write_text(write_document(document))
    with pytest.raises(CommandError, match="terms.format: four_ball is played in sides"):
        run(path)


def test_the_help_has_an_example() -> None:
    from society.desk.management.commands.import_event import Command

    parser = Command().create_parser("manage.py", "import_event")
    assert "manage.py import_event april.json" in parser.format_help()


def test_only_the_secretary_brings_a_day_in() -> None:
    captain = Who(account="x", roles=frozenset({"captain"}))
    with pytest.raises(Refusal, match="Only the secretary"):
        bring_event_in(data=b"{}", wanted=MEN, by=captain, at=AT)


def test_a_form_of_play_for_one_ball_each_is_what_is_meant() -> None:
    assert Format.STABLEFORD in INDIVIDUAL
    assert Format.FOUR_BALL not in INDIVIDUAL
