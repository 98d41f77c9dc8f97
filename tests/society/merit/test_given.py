"""Points that a committee gives or takes by hand (common practice, no source)."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from django.test import Client
from django.urls import reverse

from scoring.rules.strict_json import read_json
from society.audit.models import AuditLine
from society.desk.queries.soundness import unsound
from society.members.models import Player
from society.merit.actions import give_points, seal_table, start_table
from society.merit.models import MeritGiven, MeritTable
from society.merit.queries import given_to, sealed_season, standing_of
from society.merit.rules.needs import Next, needs
from society.merit.rules.sealing import sealed_from
from society.merit.rules.values import Event, Facts, Finish, MeritRules, PointsFrom
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import Who
from tests.factories.members import PlayerFactory
from tests.factories.results import AT, OFFICER
from tests.factories.results import sealed_season as played_season

pytestmark = pytest.mark.django_db
SCORES = {"Ada": [36, 30, 33], "Bea": [34, 35, None], "Cy": [20, None, None]}


@pytest.fixture
def table() -> MeritTable:
    """By totals, best two: Ada 69, Bea 69, Cy 20."""
    rules = MeritRules(points=PointsFrom.TOTAL, best=2, season_ties=())
    season = played_season(SCORES)
    return start_table(season=season, name="Order of merit", rules=rules, by=OFFICER, at=AT)


def who(name: str) -> str:
    return Player.objects.get(name=name).public_id


def give(table: MeritTable, name: str, points: str, **values: object) -> MeritGiven:
    given = {"words": "won the knock-out", "by": OFFICER, "at": AT} | values
    return give_points(table=table, player=who(name), points=Decimal(points), **given)


def totals(table: MeritTable) -> dict[str, tuple[int | None, Fraction]]:
    standing = standing_of(table)
    return {standing.name_of(row.player): (row.place, row.total) for row in standing.rows}


def test_they_count_beside_whatever_counts_or_drops(table: MeritTable) -> None:
    assert totals(table) == {"Ada": (1, 69), "Bea": (1, 69), "Cy": (3, 20)}
    give(table, "Bea", "1.5")
    give(table, "Ada", "-2")
    give(table, "Ada", "1", words="the card was in time after all")
    assert totals(table) == {"Bea": (1, Fraction(141, 2)), "Ada": (2, 68), "Cy": (3, 20)}
    assert [(one.words, one.why) for one in given_to(table, who("Ada"))] == [
        ("−2 points", "won the knock-out"),
        ("1 point", "the card was in time after all"),
    ]
    line = AuditLine.objects.latest("number")
    assert (line.deed, line.reason) == ("points given by hand", "the card was in time after all")


def test_another_table_of_the_season_knows_nothing_of_them(table: MeritTable) -> None:
    other = start_table(season=table.season, name="B", rules=MeritRules(), by=OFFICER, at=AT)
    before = totals(other)
    give(table, "Cy", "100")
    assert totals(other) == before


def test_a_seal_holds_what_was_given_and_stays_when_more_is(table: MeritTable) -> None:
    bare = seal_table(table=table, by=OFFICER, at=AT)
    assert "given" not in read_json(bare.inputs)  # a seal made before there was any stays as it is
    give(table, "Cy", "60")
    version = seal_table(table=table, words="the knock-out", by=OFFICER, at=AT)
    assert sealed_from(read_json(version.inputs)).facts.given == {who("Cy"): 60}
    give(table, "Cy", "1")
    now = standing_of(table)
    assert sealed_season(version, now).standing.row_of(who("Cy")).total == 80
    assert sealed_season(version, now).differs
    assert list(unsound()) == []


def test_what_is_needed_next_reckons_with_them() -> None:
    """Best two of totals: Ada 69, Cy 20 and one score; with 10 given Cy needs 39 to be level."""
    rules = MeritRules(points=PointsFrom.TOTAL, best=2, season_ties=())
    events = [
        Event("1", (Finish("ada", True, 1, 36), Finish("cy", True, 2, 20))),
        Event("2", (Finish("ada", True, 1, 33),)),
    ]
    upcoming = Next("3", True, date(2026, 6, 1), 2)

    def passing(given: int) -> int | None:
        facts = Facts(given={"cy": Fraction(given)} if given else {})
        found = needs(events, rules, "cy", upcoming, facts)
        assert found is not None
        return found.above[0].figure

    assert passing(0) == 50
    assert passing(10) == 40


@pytest.mark.parametrize(
    ("points", "values", "error", "words"),
    [
        ("0", {}, BadInput, "above or below nought"),
        ("1000", {}, BadInput, "less than 1000"),
        ("0.125", {}, BadInput, "above or below nought"),
        ("1", {"words": " "}, BadInput, "Say why"),
        ("1", {"by": Who(account="x", roles=frozenset({"treasurer"}), name="T")}, NotYours, "Only"),
    ],
)
def test_refusals(
    table: MeritTable, points: str, values: dict[str, object], error: type[Exception], words: str
) -> None:
    lines = AuditLine.objects.count()
    with pytest.raises(error, match=words):
        give(table, "Ada", points, **values)
    assert (MeritGiven.objects.count(), AuditLine.objects.count()) == (0, lines)


def test_who_has_no_line_gets_none(table: MeritTable) -> None:
    PlayerFactory(name="Dot")
    with pytest.raises(WrongState, match="no score in this table"):
        give(table, "Dot", "1")


def test_on_the_page(secretary: Client, member: Client, table: MeritTable) -> None:
    address = reverse("merit:give", args=[table.public_id, who("Bea")])
    line = reverse("merit:line", args=[table.public_id, who("Bea")])
    assert address in secretary.get(line).content.decode()
    assert address not in member.get(line).content.decode()
    assert secretary.post(address, {"points": "x", "words": "y"}).status_code == 422
    assert secretary.post(address, {"points": "-2", "words": ""}).status_code == 422
    answer = secretary.post(address, {"points": "-2", "words": "late card"})
    assert answer.url == line
    said = member.get(line).content.decode()
    assert "−2 points" in said
    assert "late card" in said
    shown = member.get(reverse("merit:show", args=[table.public_id])).content.decode()
    assert "−2 by hand" in shown


def test_a_press_sent_twice_gives_once(secretary: Client, table: MeritTable) -> None:
    address = reverse("merit:give", args=[table.public_id, who("Bea")])
    assert 'name="listed" value="0"' in secretary.get(address).content.decode()
    sent = {"points": "2", "words": "won the knock-out", "listed": "0"}
    assert secretary.post(address, sent).status_code == 302
    again = secretary.post(address, sent)
    assert again.status_code == 409
    assert "perhaps by the same press sent twice" in " ".join(again.content.decode().split())
    assert MeritGiven.objects.count() == 1


@pytest.mark.parametrize(("typed", "kept"), [("\u22122", "-2.00"), ("1,5", "1.50")])
def test_the_minus_and_the_point_as_pages_print_them(
    typed: str, kept: str, secretary: Client, table: MeritTable
) -> None:
    address = reverse("merit:give", args=[table.public_id, who("Bea")])
    assert secretary.post(address, {"points": typed, "words": "x"}).status_code == 302
    assert str(MeritGiven.objects.get().points) == kept


@pytest.mark.parametrize("group", ["9" * 5000, "-1", "\u00b2", "\u0660", "x"])
def test_a_group_that_is_none(group: str, secretary: Client, table: MeritTable) -> None:
    """Ada and Bea are level as group 0; five thousand nines are more than Python reads."""
    address = reverse("merit:level", args=[table.public_id])
    assert secretary.get(address, {"group": group}).status_code == 200
    assert secretary.post(address, {"group": group}).status_code == 422
