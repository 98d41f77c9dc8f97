"""The pages of the order of merit."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from society.fixtures.models import Season
from society.members.models import Player
from society.merit.models import MeritTable
from society.merit.rules.reading import rules_as_json, rules_from_json
from society.merit.rules.values import MeritRules, PointsFrom, SeasonTie
from tests.factories.fixtures import SeasonFactory
from tests.factories.members import AccountFactory
from tests.factories.results import sealed_season

pytestmark = pytest.mark.django_db

TOTALS = MeritRules(points=PointsFrom.TOTAL, best=2, minimum=2, season_ties=(SeasonTie.BEST_SCORE,))


def flat(response: object) -> str:
    """The page on one line; ranges and comparisons without what keeps them unbroken."""
    html = " ".join(response.content.decode().split())
    return re.sub(r'<span class="num">([^<]*)</span>', r"\1", html)


@pytest.fixture
def table(society: object) -> MeritTable:
    season = sealed_season({"Ada": [36, 30, 33], "Bea": [34, 35, None], "Cy": [20, None, None]})
    return MeritTable.objects.create(
        season=season, number=1, name="Order of merit", rules=rules_as_json(TOTALS)
    )


def address(table: MeritTable, name: str = "show", *args: str) -> str:
    return reverse(f"merit:{name}", args=[table.public_id, *args])


def test_the_table_says_what_counted_and_what_parted_two(
    secretary: Client, table: MeritTable
) -> None:
    html = flat(secretary.get(address(table)))
    assert '<s>30</s><span class="vh"> dropped</span>' in html
    assert "Ahead of Bea: better best score, 36 v 35" in html
    assert "did not play" in html
    assert "1 fixture short" in html
    assert "The best two scores count" in html
    assert "Change the rules" in html
    assert html.index(">Ada<") < html.index(">Bea<") < html.index(">Cy<")


def test_my_own_line_is_marked(table: MeritTable) -> None:
    account = AccountFactory(players=[Player.objects.get(name="Bea")])
    client = Client()
    client.force_login(account)
    html = flat(client.get(address(table)))
    assert html.count('class="is-mine"') == 2  # in the table, and in the one beside the chart
    assert "Change the rules" not in html


def test_the_front_page_shows_the_present_season(secretary: Client, table: MeritTable) -> None:
    # the season of the factories is 2026; whatever today is, it is the nearest one
    assert "Ahead of Bea" in flat(secretary.get(reverse("merit:index")))


def test_what_the_reader_needs_next(table: MeritTable) -> None:
    from datetime import date

    from tests.factories.fixtures import saturday

    saturday(season=table.season, starts_on=date(2026, 10, 10), ends_on=date(2026, 10, 10))
    account = AccountFactory(players=[Player.objects.get(name="Bea")])
    client = Client()
    client.force_login(account)
    html = flat(client.get(address(table)))
    assert "What you need on Saturday 10 October" in html
    # Bea has 34 and 35, Ada the same total: 35 beats the 34 that would fall out, and passes
    assert "<dt>to gain at all</dt><dd>35</dd>" in html
    assert "<dt>to gain a place</dt><dd>35</dd>" in html
    assert "<dt>to pass Ada</dt><dd>35</dd>" in html


def test_the_race_is_drawn_and_told(secretary: Client, table: MeritTable) -> None:
    html = flat(secretary.get(address(table)))
    # after the first fixture 36 34 20; after the second 66 69; after the third 69 69
    assert "Ada: 1, 2, 1." in html
    assert "Bea: 2, 1, 2." in html
    assert 'class="line line-a"' in html
    assert "<script" not in re.sub(r"<script[^>]* src=[^>]*></script>", "", html)
    assert "<style" not in html
    assert " style=" not in html


def test_an_empty_season_says_what_to_do(secretary: Client, member: Client) -> None:
    assert "No season yet" in flat(secretary.get(reverse("merit:index")))
    season = SeasonFactory()
    html = flat(secretary.get(reverse("merit:index")))
    assert reverse("merit:new", args=[season.public_id]) in html
    assert "Set the rules" not in flat(member.get(reverse("merit:index")))
    made = MeritTable.objects.create(
        season=season, number=1, name="Empty", rules=rules_as_json(TOTALS)
    )
    assert "No score yet" in flat(secretary.get(address(made)))


def test_a_line_opens(secretary: Client, table: MeritTable) -> None:
    bea = Player.objects.get(name="Bea").public_id
    html = flat(secretary.get(address(table, "line", bea)))
    assert "Ada: Ahead of Bea: better best score, 36 v 35" in html
    assert "Two scores count" in html
    assert secretary.get(address(table, "line", "nobody")).status_code == 404


FORM = {
    "name": "Plate", "points": "places", "preset": "top-ten", "event_ties": "higher",
    "guests": "unranked", "best": "", "minimum": "", "tie_1": "most wins", "tie_2": "last event",
}  # fmt: skip


def test_rules_from_a_preset(secretary: Client, table: MeritTable) -> None:
    html = flat(secretary.get(address(table, "rules")))
    assert "The best two scores count" in html
    assert secretary.post(address(table, "rules"), FORM).status_code == 302
    table.refresh_from_db()
    rules = rules_from_json(table.rules)
    assert table.name == "Plate"
    assert rules.table == tuple(range(10, 0, -1))
    assert rules.best is None
    assert rules.season_ties == (SeasonTie.MOST_WINS, SeasonTie.LAST_EVENT)
    again = secretary.get(address(table, "rules"))
    assert '<option value="top-ten" selected>' in flat(again)


def test_points_of_our_own(secretary: Client, table: MeritTable) -> None:
    given = FORM | {"preset": "typed", "typed": "30, 20; 10 5", "beyond": "2"}
    assert secretary.post(address(table, "rules"), given).status_code == 302
    table.refresh_from_db()
    rules = rules_from_json(table.rules)
    assert (rules.table, rules.beyond) == ((30, 20, 10, 5), 2)
    assert 'value="30, 20, 10, 5"' in flat(secretary.get(address(table, "rules")))


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"preset": "typed", "typed": "30, x"}, "Whole numbers with commas"),
        ({"preset": "typed", "typed": ""}, "Give points for 1 to 200 places"),
        ({"tie_2": "most wins"}, "Each way of parting stands once"),
        ({"name": ""}, "required"),
        ({"best": "0"}, "greater than or equal to 1"),
    ],
)
def test_rules_that_cannot_be_taken_come_back(
    secretary: Client, table: MeritTable, values: dict[str, str], words: str
) -> None:
    response = secretary.post(address(table, "rules"), FORM | values)
    assert response.status_code == 422
    assert words in flat(response)


def test_a_table_for_a_season(secretary: Client) -> None:
    season: Season = SeasonFactory()
    where = reverse("merit:new", args=[season.public_id])
    assert "Points by place" in flat(secretary.get(where))
    response = secretary.post(where, FORM | {"points": "total", "preset": "", "best": "6"})
    made = MeritTable.objects.get()
    assert response.url == address(made)
    assert rules_from_json(made.rules).points is PointsFrom.TOTAL


@pytest.mark.parametrize("kind", ["member", "scorer", "outsider"])
def test_rules_are_for_organisers(
    kind: str, request: pytest.FixtureRequest, table: MeritTable
) -> None:
    client = request.getfixturevalue(kind)
    new = reverse("merit:new", args=[table.season.public_id])
    for where in (address(table, "rules"), new):
        assert client.get(where).status_code == 403
        assert client.post(where, FORM).status_code == 403
    expected = 404 if kind == "outsider" else 200
    assert client.get(address(table)).status_code == expected


def test_no_such_table(secretary: Client, stranger: Client) -> None:
    for name, args in (("show", ["x"]), ("rules", ["x"]), ("new", ["x"]), ("line", ["x", "y"])):
        assert secretary.get(reverse(f"merit:{name}", args=args)).status_code == 404
        assert stranger.get(reverse(f"merit:{name}", args=args)).status_code == 302
