"""A season is sealed before its title is given, and says for good what it was made from."""

from dataclasses import replace
from datetime import date

import pytest
from django.db import DatabaseError, connection, transaction

from scoring.results.models import ResultVersion
from scoring.rules.strict_json import canonical, read_json
from society.audit.models import AuditLine
from society.desk.queries.soundness import unsound
from society.fixtures.models import Competition, Fixture, Season
from society.members.models import Player, Society
from society.merit.actions import seal_table, set_rules, settle, start_table
from society.merit.models import MeritAgreed, MeritTable, MeritVersion
from society.merit.queries import (
    agreed_by,
    as_shown,
    made_from,
    sealed_season,
    standing_of,
    verify_seasons,
    version_of,
)
from society.merit.rules.reading import rules_from_json
from society.merit.rules.sealing import seal_digest, sealed_from
from society.merit.rules.values import MeritRules, PointsFrom, SeasonTie
from society.merit.tables.sheet import sheet_of
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import Who
from tests.factories.fixtures import saturday
from tests.factories.members import AccountFactory
from tests.factories.results import AT, OFFICER
from tests.factories.results import sealed_season as played_season

pytestmark = pytest.mark.django_db

TOTALS = MeritRules(points=PointsFrom.TOTAL, best=2, season_ties=(SeasonTie.LOTS,))
SCORES = {"Ada": [36, 30, 33], "Bea": [34, 35, None], "Cy": [20, None, None]}


def table_of(season: Season, rules: MeritRules = TOTALS) -> MeritTable:
    return start_table(season=season, name="Order of merit", rules=rules, by=OFFICER, at=AT)


@pytest.fixture
def table() -> MeritTable:
    return table_of(played_season(SCORES))


def seal(table: MeritTable, **values: object) -> MeritVersion:
    return seal_table(**({"table": table, "by": OFFICER, "at": AT} | values))


def again(result: ResultVersion, outputs: dict[str, object]) -> ResultVersion:
    """Version n+1 of a result, as a reopening leaves it."""
    return ResultVersion.objects.create(
        competition=result.competition,
        number=result.number + 1,
        inputs=result.inputs,
        outputs=canonical(outputs),
        engine=result.engine,
        rules=result.rules,
        digest="d" * 64,
        audit_head=result.audit_head,
        at=AT,
        by=result.by,
    )


def test_a_seal_names_every_result_it_was_made_from(table: MeritTable) -> None:
    version = seal(table)
    sealed = sealed_from(read_json(version.inputs))
    results = {row.public_id: row for row in ResultVersion.objects.all()}
    assert {origin.result for origin in sealed.origins} == set(results)
    assert all(results[o.result].digest == o.digest for o in sealed.origins)
    assert version.sources.count() == 3
    assert version.number == 1
    assert version.digest == seal_digest(
        table=table.public_id, number=1, inputs=version.inputs, outputs=version.outputs
    )
    places = [(row["place"], row["total"]) for row in read_json(version.outputs)["standings"]]
    assert places == [(1, "69"), (1, "69"), (3, "20")]
    for name in SCORES:
        assert name not in version.inputs + version.outputs
    line = AuditLine.objects.latest("number")
    assert (line.deed, line.about) == ("season sealed", f"merit:{table.public_id}")


def test_verify_covers_it(table: MeritTable) -> None:
    seal(table)
    assert list(verify_seasons()) == []
    assert list(unsound()) == []


@pytest.mark.parametrize(
    ("field", "old", "new", "words"),
    [
        ("outputs", '"total":"69"', '"total":"70"', "is not the sealed one"),
        ("outputs", '"total":"69"', '"total":"70"', "does not give its fingerprint"),
        ("inputs", '"total":36', '"total":35', "a place in it is not in result"),
        ("inputs", '"digest":"', '"digest":"0', "has another fingerprint than it names"),
        ("inputs", '"merit-season"', '"other"', "cannot be read again"),
    ],
)
def test_whatever_is_changed_verify_says_so(
    table: MeritTable, field: str, old: str, new: str, words: str
) -> None:
    version = seal(table)
    text = getattr(version, field)
    assert old in text
    forged = {"inputs": version.inputs, "outputs": version.outputs} | {
        field: text.replace(old, new, 1)
    }
    # a row cannot be changed: the forger writes a table of his own and names the same results
    other = table_of(table.season)
    copy = MeritVersion.objects.create(
        table=other, number=1, digest=version.digest, audit_head=version.audit_head,
        at=version.at, by=version.by, **forged,
    )  # fmt: skip
    for source in version.sources.all():
        copy.sources.create(result=source.result, at=version.at, by=version.by)
    assert any(words in sentence for sentence in verify_seasons())


def test_sealed_rows_cannot_be_changed(table: MeritTable) -> None:
    seal(table)
    for name in ("meritversion", "meritsource"):
        with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(f"DELETE FROM merit_{name}")


def test_refused_while_a_fixture_is_unfinished_unless_a_reason_is_given(table: MeritTable) -> None:
    late = saturday(
        season=table.season, name="Autumn", starts_on=date(2026, 10, 10),
        ends_on=date(2026, 10, 10),
    )  # fmt: skip
    competition = late.competitions.get()
    with pytest.raises(WrongState, match="Not finished"):
        seal(table)
    with pytest.raises(WrongState, match="Not finished"):
        seal(table, left_out={competition.public_id: "  "})
    version = seal(table, left_out={competition.public_id: "Snow until spring"})
    assert version.reason.endswith("left out: Snow until spring")
    assert sealed_from(read_json(version.inputs)).left_out == (competition.public_id,)
    shown = sealed_season(version, standing_of(table))
    assert [fixture.key for fixture in shown.left_out] == [competition.public_id]


def test_a_cancelled_fixture_is_finished(table: MeritTable) -> None:
    late = saturday(season=table.season, name="Autumn")
    Fixture.objects.filter(pk=late.pk).update(state="cancelled")
    assert seal(table).number == 1


def test_nothing_to_seal_and_nobody_to_seal_it() -> None:
    season = played_season({"Ada": [36]})
    table = table_of(season)
    with pytest.raises(NotYours):
        seal(table, by=Who(account="x", roles=frozenset({"treasurer"})))
    Competition.objects.filter(fixture__season=season).update(counts_for_merit=False)
    with pytest.raises(WrongState, match="nothing to seal"):
        seal(table)


def test_a_second_version_wants_a_reason_and_a_difference(table: MeritTable) -> None:
    seal(table)
    with pytest.raises(BadInput, match="again"):
        seal(table)
    with pytest.raises(WrongState, match="Nothing has changed"):
        seal(table, words="To be sure")
    with pytest.raises(BadInput, match="sealed"):
        set_rules(table=table, name="Order of merit", rules=TOTALS, by=OFFICER, at=AT)
    best_one = MeritRules(points=PointsFrom.TOTAL, best=1, season_ties=())
    set_rules(table=table, name="x", rules=best_one, words="Vote of May", by=OFFICER, at=AT)
    second = seal(table, words="Vote of May")
    assert (second.number, version_of(table)) == (2, second)
    assert list(verify_seasons()) == []


def test_the_sealed_table_stands_until_it_is_sealed_again(table: MeritTable) -> None:
    version = seal(table)
    table.refresh_from_db()
    first = ResultVersion.objects.get(competition__fixture__name="Fixture 1")
    outputs = read_json(first.outputs)
    outputs["standings"][0]["total"] = 40
    again(first, outputs)
    shown, standing_version = as_shown(table)
    assert standing_version == version
    assert [int(row.total) for row in shown.rows] == [69, 69, 20]
    live = standing_of(table)
    assert [int(row.total) for row in live.rows] == [73, 69, 20]
    found = sealed_season(version, live)
    assert found.differs
    (made,) = found.superseded
    assert (made.fixture.address, made.number, made.now) == (
        first.competition.address, 1, 2,
    )  # fmt: skip
    assert list(verify_seasons()) == []  # what was sealed still says what its own results say


def test_a_result_that_is_looked_at_again_is_told_and_asks_for_a_reason(table: MeritTable) -> None:
    version = seal(table)
    first = Competition.objects.get(fixture__name="Fixture 1")
    Fixture.objects.filter(name="Fixture 1").update(state="reviewing")
    (made,) = sealed_season(version, standing_of(table)).superseded
    assert (made.number, made.now, made.reopened) == (1, 1, True)
    other = table_of(table.season)
    with pytest.raises(WrongState, match="Not finished"):
        seal(other)
    made_anyway = seal(other, left_out={first.public_id: "One card only"})
    assert "as it was sealed: One card only" in made_anyway.reason
    assert made_anyway.sources.count() == 3


def test_made_from_names_the_seasons_that_stand(table: MeritTable) -> None:
    competition = Competition.objects.get(fixture__name="Fixture 1")
    assert made_from(competition) == []
    seal(table)
    best_one = MeritRules(points=PointsFrom.TOTAL, best=1, season_ties=())
    set_rules(table=table, name="x", rules=best_one, words="Vote", by=OFFICER, at=AT)
    second = seal(table, words="Vote")
    other = seal(table_of(table.season))
    assert made_from(competition) == [second, other]


def test_a_seal_is_whole_when_a_person_is_renamed(table: MeritTable) -> None:
    version = seal(table)
    Player.objects.filter(name="Ada").update(name="Somebody")
    assert list(verify_seasons()) == []
    assert (
        sealed_season(version, standing_of(table)).standing.name_of(
            Player.objects.get(name="Somebody").public_id
        )
        == "Somebody"
    )


# lots and the committee ------------------------------------------------------------------


def ids(*names: str) -> list[str]:
    return [Player.objects.get(name=name).public_id for name in names]


def test_those_level_are_put_in_order_by_lot(table: MeritTable) -> None:
    assert standing_of(table).level_groups() == [tuple(ids("Ada", "Bea"))]
    given = {"table": table, "way": SeasonTie.LOTS, "words": "Drawn at dinner"}
    settle(**given, players=ids("Bea", "Ada"), by=OFFICER, at=AT)
    standing = standing_of(table)
    assert [(row.place, standing.name_of(row.player)) for row in standing.rows] == [
        (1, "Bea"), (2, "Ada"), (3, "Cy"),
    ]  # fmt: skip
    assert standing.why(standing.rows[0]) == "Ahead of Ada: by lot"
    assert standing.level_groups() == []
    version = seal(table)
    assert read_json(version.inputs)["decisions"] == [{"way": "lots", "players": ids("Bea", "Ada")}]


@pytest.mark.parametrize(
    ("values", "error"),
    [
        ({"words": " "}, BadInput),
        ({"way": SeasonTie.COMMITTEE}, BadInput),
        ({"names": ("Ada", "Cy")}, WrongState),
        ({"names": ("Ada",)}, WrongState),
        ({"by": Who(account="x")}, NotYours),
    ],
)
def test_orders_that_are_refused(
    table: MeritTable, values: dict[str, object], error: type[Exception]
) -> None:
    given = {"way": SeasonTie.LOTS, "words": "Drawn", "by": OFFICER, "at": AT} | values
    names = given.pop("names", ("Ada", "Bea"))
    with pytest.raises(error):
        settle(table=table, players=ids(*names), **given)
    assert rules_from_json(table.rules) == TOTALS
    assert not table.decisions.exists()


def test_a_fixture_left_out_is_not_a_cancelled_one() -> None:
    """The number that counts falls with cancelled fixtures alone, in a sealed table too."""
    season = played_season(SCORES)
    follows = MeritRules(points=PointsFrom.TOTAL, best=2, best_follows=True, season_ties=())
    table = table_of(season, follows)
    day = date(2026, 10, 10)
    late = saturday(season=season, name="Autumn", starts_on=day, ends_on=day)
    seal(table, left_out={late.competitions.get().public_id: "Snow"})
    shown, _ = as_shown(table)
    sheet = sheet_of(shown)
    assert sheet.total_head == "Best two"
    assert (sheet.played, sheet.planned) == (3, 3)
    assert [mark.kind for mark in sheet.lines[0].marks][-1] == "left out"


# where two officers seal -------------------------------------------------------------------

OTHER = Who(account="other", roles=frozenset({"captain"}), name="The Captain")


@pytest.fixture
def two_seal(society: Society, table: MeritTable) -> None:
    Society.objects.update(officers_to_seal=2)


def test_where_two_are_wanted_another_officer_seals_the_same_table(
    two_seal: None, table: MeritTable
) -> None:
    AccountFactory(public_id="officer", name="An Officer")
    AccountFactory(public_id="other", name="The Captain")
    assert seal(table) is None
    assert seal(table) is None  # twice by one is still one
    assert (MeritAgreed.objects.count(), MeritVersion.objects.count()) == (1, 0)
    assert agreed_by(standing_of(table), None) == ["An Officer"]
    version = seal(table, by=OTHER)
    assert version.number == 1
    assert sealed_season(version, standing_of(table)).by == "An Officer and The Captain"
    assert list(unsound()) == []


def test_what_changed_after_the_first_agreed_is_not_what_was_agreed_to(
    two_seal: None, table: MeritTable
) -> None:
    assert seal(table) is None
    set_rules(table=table, name="Merit", rules=replace(TOTALS, best=1), by=OFFICER, at=AT)
    table.refresh_from_db()
    assert agreed_by(standing_of(table), None) == []
    assert seal(table, by=OTHER) is None
    assert seal(table).number == 1


def test_a_second_version_wants_two_again(two_seal: None, table: MeritTable) -> None:
    seal(table)
    seal(table, by=OTHER)
    set_rules(
        table=table, name="M", rules=replace(TOTALS, best=1), words="a vote", by=OFFICER, at=AT
    )
    assert seal(table, words="a vote", by=OTHER) is None
    assert seal(table, words="a vote").number == 2


def test_a_program_is_no_officer_of_a_season(two_seal: None, table: MeritTable) -> None:
    with pytest.raises(WrongState, match="a program cannot be one"):
        seal(table, by=Who.command("x"))
    assert not MeritAgreed.objects.exists()
