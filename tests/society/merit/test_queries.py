"""The table is worked out from sealed versions alone, in a constant number of statements."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scoring.rules.strict_json import read_json
from society.audit.models import AuditLine
from society.fixtures.models import Fixture, Season
from society.members.models import Player
from society.merit.actions import set_rules, start_table
from society.merit.bridge import results_of
from society.merit.models import MeritTable
from society.merit.queries import MeritStanding, standing_of
from society.merit.rules.reading import rules_as_json
from society.merit.rules.values import Guests, MeritRules, PointsFrom, SeasonTie
from society.merit.tables.line import line_of
from society.merit.tables.sheet import sheet_of
from society.web.refusals import BadInput, NotYours
from society.web.who import Who
from tests.factories.results import AT, OFFICER, sealed_season

pytestmark = pytest.mark.django_db

TOTALS = MeritRules(points=PointsFrom.TOTAL, best=2, season_ties=(SeasonTie.BEST_SCORE,))


def table(season: Season, rules: MeritRules = TOTALS) -> MeritTable:
    return MeritTable.objects.create(
        season=season, number=1, name="Order of merit", rules=rules_as_json(rules)
    )


def rows(standing: MeritStanding) -> list[tuple[int | None, str, int]]:
    return [(row.place, standing.name_of(row.player), int(row.total)) for row in standing.rows]


def test_final_results_make_the_table() -> None:
    season = sealed_season({"Ada": [36, 30, 33], "Bea": [34, 35, None], "Cy": [20, None, None]})
    assert rows(standing_of(table(season))) == [(1, "Ada", 69), (2, "Bea", 69), (3, "Cy", 20)]


def test_guests_by_the_day_they_played_as_such() -> None:
    season = sealed_season({"Guest": [40], "Ada": [30]}, guests=["Guest"])
    by_place = MeritRules()
    assert rows(standing_of(table(season, by_place))) == [(1, "Ada", 25)]
    MeritTable.objects.all().delete()
    shown = MeritRules(guests=Guests.UNRANKED)
    assert rows(standing_of(table(season, shown))) == [(None, "Guest", 25), (1, "Ada", 18)]


@pytest.mark.parametrize("state", ["cancelled", "void"])
def test_a_fixture_that_is_off_counts_no_more(state: str) -> None:
    season = sealed_season({"Ada": [36, 30], "Bea": [20, 38]})
    Fixture.objects.filter(season=season, name="Fixture 2").update(state=state)
    standing = standing_of(table(season))
    assert rows(standing) == [(1, "Ada", 36), (2, "Bea", 20)]
    assert standing.results.cancelled == 1


def test_who_moves_when_the_number_follows() -> None:
    season = sealed_season({"Ada": [36, 36, 10], "Bea": [38, 20, 10]})
    Fixture.objects.filter(season=season, name="Fixture 3").update(state="cancelled")
    follows = MeritRules(points=PointsFrom.TOTAL, best=2, best_follows=True, season_ties=())
    standing = standing_of(table(season, follows))
    names = [(standing.name_of(player), old, new) for player, old, new in standing.moved]
    assert names == [("Bea", 2, 1), ("Ada", 1, 2)]


def test_a_fixture_that_is_not_sealed_or_does_not_count_is_left_out() -> None:
    season = sealed_season({"Ada": [36, 30]})
    second = Fixture.objects.get(season=season, name="Fixture 2")
    second.competitions.update(counts_for_merit=False)
    results = results_of(season)
    assert [fixture.name for fixture in results.fixtures] == ["Fixture 1"]
    assert len(results.events) == 1


def test_another_format_earns_no_stableford_points() -> None:
    season = sealed_season({"Ada": [36], "Bea": [30]}, terms='{"format":"medal"}')
    assert standing_of(table(season)).rows == ()


def test_a_merged_double_counts_for_who_stays() -> None:
    season = sealed_season({"Ada": [36, None], "A. Da": [None, 30]})
    kept, double = Player.objects.get(name="Ada"), Player.objects.get(name="A. Da")
    double.merged_into = kept
    double.save()
    assert rows(standing_of(table(season))) == [(1, "Ada", 66)]


def statements(season: Season) -> int:
    made = table(season)
    with CaptureQueriesContext(connection) as said:
        assert standing_of(made).rows
    return len(said)


def test_the_number_of_statements_depends_on_nothing() -> None:
    small = sealed_season({"Ada": [36]})
    large = sealed_season({f"P{n}": [30, 31, 32, 33] for n in range(12)})
    assert statements(small) == statements(large) <= 4


def test_a_long_season_shows_its_latest_fixtures() -> None:
    season = sealed_season({"Ada": [36] * 11})
    sheet = sheet_of(standing_of(table(season)))
    days = list(season.fixtures.order_by("starts_on", "pk").values_list("starts_on", flat=True))
    assert len(days) == 11
    assert [column.day for column in sheet.columns] == days[2:]
    assert sheet.left_out == 2
    assert len(sheet.lines[0].marks) == 9


def test_a_line_says_what_counted_what_dropped_and_why() -> None:
    season = sealed_season({"Ada": [36, 30, 33], "Bea": [34, 35, 10]})
    standing = standing_of(table(season))
    bea = next(row.player for row in standing.rows if standing.name_of(row.player) == "Bea")
    shown = line_of(standing, bea, ())
    assert [(score.figure, score.counts) for score in shown.scores] == [
        ("34", True), ("35", True), ("10", False),
    ]  # fmt: skip
    assert shown.above == "Ada: Ahead of Bea: better best score, 36 v 35"
    assert line_of(standing, "nobody", ()) is None


# setting the rules ---------------------------------------------------------------------------


def test_rules_are_set_on_record() -> None:
    season = sealed_season({"Ada": [36]})
    made = start_table(season=season, name=" Eagle ", rules=TOTALS, by=OFFICER, at=AT)
    assert (made.name, made.number) == ("Eagle", 1)
    assert start_table(season=season, name="B", rules=TOTALS, by=OFFICER, at=AT).number == 2
    set_rules(table=made, name="Eagle", rules=MeritRules(), by=OFFICER, at=AT)
    line = AuditLine.objects.latest("number")
    (change,) = [c for c in read_json(line.changes) if c["about"].startswith("merit:")]
    assert change["old"]["rules"]["points"] == "total"
    assert change["new"]["rules"]["points"] == "places"


@pytest.mark.parametrize(
    ("values", "error"), [({"name": " "}, BadInput), ({"by": Who(account="x")}, NotYours)]
)
def test_rules_are_refused(values: dict[str, object], error: type[Exception]) -> None:
    season = sealed_season({"Ada": [36]})
    made = table(season)
    given = {"name": "x", "rules": TOTALS, "by": OFFICER, "at": AT} | values
    for deed in (
        lambda: start_table(season=season, **given),
        lambda: set_rules(table=made, **given),
    ):
        with pytest.raises(error):
            deed()
    assert MeritTable.objects.count() == 1
