"""A list of handicaps: differences first, then exactly those; nobody is made or changed."""

import html
import re
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from society.fixtures.actions.seasons import set_season_handicaps
from society.handicaps.actions.record import record
from society.handicaps.models import HandicapEntry
from society.handicaps.rules.season import Basis, HandicapRules
from society.members.models import Player, Society
from society.web.refusals import BadInput
from society.web.who import Who
from tests.conftest import _holding, signed_in
from tests.factories.entries import handicap
from tests.factories.fixtures import SeasonFactory
from tests.factories.lists import book
from tests.factories.members import PlayerFactory

PAGE = "/players/handicaps/"
KEEP = "/players/handicaps/keep/"


@pytest.fixture
def ida(society: object) -> Player:
    player = PlayerFactory(name="Ida Low", number="12", email="ida@example.org")
    handicap(player, "12.3", source="society")
    return player


def send(client: Client, data: str | bytes):
    sent = data.encode() if isinstance(data, str) else data
    return client.post(PAGE, {"file": SimpleUploadedFile("list", sent)})


def shown(client: Client, data: str | bytes) -> str:
    response = send(client, data)
    assert response.status_code == 200, response.content.decode()
    return html.unescape(response.content.decode())


def hidden(client: Client, data: str | bytes) -> dict[str, str]:
    page = send(client, data).content.decode()
    found = re.findall(r'<input type="hidden" name="(lines|digest)" value="([^"]*)"', page)
    return {name: html.unescape(value) for name, value in found}


@pytest.fixture
def handicap_secretary(society: object) -> Client:
    return signed_in(_holding("handicap_secretary"))


@pytest.fixture
def keeper(secretary: Client) -> Client:
    return secretary


def test_the_difference_is_shown_and_nothing_is_saved(keeper: Client, ida: Player) -> None:
    page = shown(keeper, "number,handicap\n12,11.9\n")
    assert "Index: 12.3 becomes index 11.9 (society, from " in page
    assert HandicapEntry.objects.count() == 1


def test_a_new_figure_under_the_old_date_is_pointed_at(keeper: Client, ida: Player) -> None:
    day = ida.handicaps.get().valid_from
    page = shown(keeper, f"number,handicap,date\n12,11.9,{day}\n")
    assert "takes the place of the figure of the same day" in page
    assert "takes the place" not in shown(keeper, "number,handicap\n12,11.9\n")


@pytest.mark.parametrize("figure", [-1.2, "+1.2"])
def test_a_plus_in_a_workbook_is_a_number_below_zero_or_a_text(
    figure: object, keeper: Client, ida: Player
) -> None:
    data = book(("Name", "E-mail", "Handicap"), ("Ida Low", "ida@example.org", figure))
    assert "becomes index plus 1.2" in shown(keeper, data)
    response = keeper.post(KEEP, hidden(keeper, data))
    assert response.status_code == 302
    assert str(ida.handicaps.latest("pk").value) == "-1.2"


@pytest.mark.parametrize(
    "data", ["number,handicap\n12,-1.2\n", book(("No", "Hcp"), ("12", "-1.2"))]
)
def test_a_minus_as_text_is_refused(data: str | bytes, keeper: Client, ida: Player) -> None:
    assert "“-1.2” has a minus sign" in shown(keeper, data)


def test_the_figure_that_stands_changes_nothing(keeper: Client, ida: Player) -> None:
    page = shown(keeper, book(("Number", "Handicap"), (12, 12.3)))
    assert "Nothing to save." in page


def test_a_name_alone_and_a_number_under_another_name_are_asked_about(
    keeper: Client, ida: Player
) -> None:
    page = shown(keeper, "name,number,handicap\nIda Low,,11\nJem,12,10\n")
    assert page.count('type="radio"') == 4
    assert "Same name as Ida Low, number 12" in page
    assert "This is Ida Low, number 12, ida@example.org, under another name." in page
    sent = hidden(keeper, "name,number,handicap\nIda Low,,11\nJem,12,10\n")
    assert keeper.post(KEEP, sent).status_code == 422
    answers = {"choice-2": ida.public_id, "choice-3": "leave"}
    assert keeper.post(KEEP, sent | answers).status_code == 302
    assert str(ida.handicaps.latest("pk").value) == "11.0"
    assert Player.objects.get(pk=ida.pk).name == "Ida Low"


def test_nobody_is_added(keeper: Client, ida: Player) -> None:
    before = Player.objects.count()
    page = shown(keeper, "name,handicap,category\nNobody Known,11,men\n")
    assert "Nobody of this name is on the list of players. Add the player first." in page
    assert "left out: category" in page
    assert Player.objects.count() == before


def test_one_line_for_each_kind_and_source(keeper: Client, ida: Player) -> None:
    text = (
        "number,handicap,kind,source\n"
        "12,11,index,society\n12,14,playing,committee\n12,9,index,society\n"
    )
    page = shown(keeper, text)
    assert "A first playing handicap of the committee: 14, from " in page
    assert "Line 2 gives Ida Low a index already." not in page
    assert "Line 2 gives Ida Low an index already." in page
    assert keeper.post(KEEP, hidden(keeper, text)).status_code == 302
    assert {str(line.value) for line in ida.handicaps.all()} == {"12.3", "11.0", "14.0"}


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_what_goes_out_comes_in_unchanged(kind: str, keeper: Client, ida: Player) -> None:
    handicap(ida, "-1.2", source="association")
    handicap(ida, "14", kind="course", source="committee")
    PlayerFactory(name="Without")
    page = shown(keeper, keeper.get(f"/players/handicaps.{kind}").content)
    assert "Nothing to save." in page
    assert "Refused" not in page


def test_the_handicap_secretary_may_and_the_captain_may_not(
    captain: Client, handicap_secretary: Client, ida: Player
) -> None:
    text = "number,handicap\n12,11.9\n"
    assert send(captain, text).status_code == 403
    assert captain.post(KEEP, {}).status_code == 403
    assert handicap_secretary.post(KEEP, hidden(handicap_secretary, text)).status_code == 302
    assert ida.handicaps.count() == 2


def test_what_changed_since_is_shown_anew(keeper: Client, ida: Player) -> None:
    sent = hidden(keeper, "number,handicap\n12,11.9\n")
    handicap(ida, "11.9", source="society")
    response = keeper.post(KEEP, sent)
    assert response.status_code == 409
    assert ida.handicaps.count() == 2


# from any source


def chosen(client: Client, page: str, **more: str):
    """The page of columns sent back as it stands, with other choices."""
    rows = html.unescape(re.findall(r'name="rows" value="([^"]*)"', page)[0])
    told = {"rows": rows}
    for name in re.findall(r'<select name="(column-\d+)"', page):
        field = re.findall(rf'<select name="{name}".*?</select>', page, re.DOTALL)[0]
        told[name] = (re.findall(r'value="([^"]*)" selected', field) or [""])[0]
    for name, value in re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page):
        told.setdefault(name, html.unescape(value))
    return client.post("/players/handicaps/columns/", told | more)


def asked(client: Client, data: str | bytes, **more: str) -> str:
    sent = data.encode() if isinstance(data, str) else data
    response = client.post(PAGE, {"file": SimpleUploadedFile("list", sent)} | more)
    assert response.status_code == 200, response.content.decode()
    page = response.content.decode()
    assert "Which column is what?" in page
    return page


@pytest.mark.parametrize(
    "data",
    [
        "Mitglied;Post;Wert\nLow, Ida;ida@example.org;11.9\n",
        book(("Who", "Where", "What"), ("Ida Low", "ida@example.org", 11.9)),
    ],
)
def test_unknown_headings_are_asked_about(data: str | bytes, keeper: Client, ida: Player) -> None:
    page = asked(keeper, data, source="association", valid_from="2026-04-01")
    assert HandicapEntry.objects.count() == 1
    answer = chosen(keeper, page, **{"column-0": "name"})
    assert answer.status_code == 200, answer.content.decode()
    seen = html.unescape(answer.content.decode())
    assert "A first figure of the association: 11.9, from 1 April 2026" in seen
    assert "0.4 lower than the society’s figure." in seen
    found = re.findall(
        r'<input type="hidden" name="(lines|digest|order)" value="([^"]*)"', answer.content.decode()
    )
    kept = keeper.post(KEEP, {name: html.unescape(value) for name, value in found})
    assert kept.status_code == 302
    line = ida.handicaps.latest("pk")
    assert (str(line.value), line.source, str(line.valid_from)) == (
        "11.9",
        "association",
        "2026-04-01",
    )


def test_a_list_without_headings(keeper: Client, ida: Player) -> None:
    page = asked(keeper, "ida@example.org,11.9\nnew@example.org,4.0\n")
    answer = chosen(keeper, page, headless="on", **{"column-0": "email", "column-1": "handicap"})
    seen = html.unescape(answer.content.decode())
    assert "12.3 becomes index 11.9" in seen
    assert "Nobody with this e-mail or number is on the list of players." in seen


@pytest.mark.parametrize(
    ("choice", "said"),
    [
        ({"column-0": "", "column-1": "handicap"}, "which column tells who it is"),
        ({"column-0": "email", "column-1": ""}, "which column is the handicap"),
        ({"column-0": "handicap", "column-1": "handicap"}, "is this column already"),
        ({"column-0": "nonsense", "column-1": "handicap"}, "not one of the available choices"),
    ],
)
def test_a_choice_that_makes_no_list_is_422(
    choice: dict[str, str], said: str, keeper: Client, ida: Player
) -> None:
    page = asked(keeper, "a,b\nida@example.org,11.9\n")
    answer = chosen(keeper, page, **choice)
    assert answer.status_code == 422
    assert said in html.unescape(answer.content.decode())
    assert HandicapEntry.objects.count() == 1


@pytest.mark.parametrize("rows", ["", "[]", "nonsense", '[[1, [{"x": 1}]]]', "[[1, []]]"])
def test_rows_that_did_not_arrive_are_409(rows: str, keeper: Client, ida: Player) -> None:
    assert keeper.post("/players/handicaps/columns/", {"rows": rows}).status_code == 409


def test_a_plus_and_a_formula_are_told_apart_behind_unknown_headings(
    keeper: Client, ida: Player
) -> None:
    page = asked(keeper, book(("a", "b"), ("ida@example.org", -1.2)))
    choice = {"column-0": "email", "column-1": "handicap"}
    assert "index plus 1.2" in chosen(keeper, page, **choice).content.decode()
    page = asked(keeper, book(("a", "b"), ("ida@example.org", "=1+1")))
    answer = chosen(keeper, page, **choice)
    assert answer.status_code == 422
    assert "Cell B2 holds a formula" in answer.content.decode()


def test_two_columns_that_mean_the_same_are_asked_about(keeper: Client, ida: Player) -> None:
    page = asked(keeper, "number,Index,Handicap\n12,11.9,14\n", choose="on")
    assert chosen(keeper, page).status_code == 200


def test_the_order_of_days_is_chosen_for_the_list(keeper: Client, ida: Player) -> None:
    data = "number,handicap,date\n12,11.9,4/1/2026\n"
    response = keeper.post(
        PAGE, {"file": SimpleUploadedFile("list", data.encode()), "order": "month first"}
    )
    seen = response.content.decode()
    assert "from 1 April 2026" in seen
    found = re.findall(r'<input type="hidden" name="(lines|digest|order)" value="([^"]*)"', seen)
    told = {name: html.unescape(value) for name, value in found}
    assert told["order"] == "month first"
    assert keeper.post(KEEP, told).status_code == 302
    assert str(ida.handicaps.latest("pk").valid_from) == "2026-04-01"


def test_the_society_s_own_order_is_read_without_being_asked(
    keeper: Client, ida: Player, society: object
) -> None:
    Society.objects.update(date_style="month first")
    assert "from 1 April 2026" in shown(keeper, "number,handicap,date\n12,11.9,4/1/2026\n")


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"source": "cards"}, "not one of the available choices"),
        ({"valid_from": "1940-01-01"}, "too far from today"),
        ({"kind": "other"}, "not one of the available choices"),
    ],
)
def test_what_cannot_hold_for_a_list_is_422(
    told: dict[str, str], said: str, keeper: Client, ida: Player
) -> None:
    sent = {"file": SimpleUploadedFile("list", b"number,handicap\n12,11.9\n")} | told
    response = keeper.post(PAGE, sent)
    assert response.status_code == 422
    assert said in html.unescape(response.content.decode())


def test_a_large_move_stands_apart(keeper: Client, ida: Player) -> None:
    PlayerFactory(name="Jem", number="13")
    page = shown(keeper, "number,handicap\n12,20\n13,10\n")
    assert page.index("Changed by more than 3.0") < page.index("7.7 higher.")
    assert page.index("7.7 higher.") < page.index(">Changed</h2>")


def test_cards_are_never_typed(keeper: Client, ida: Player) -> None:
    told = {
        "handicap": "9",
        "handicap_kind": "index",
        "source": "cards",
        "valid_from": "2026-04-01",
    }
    assert keeper.post(f"/handicaps/{ida.public_id}/new/", told).status_code == 422
    who = Who.command("test")
    with pytest.raises(BadInput, match="worked out here"):
        record(
            player=ida,
            kind="index",
            value=Decimal(9),
            source="cards",
            valid_from=date(2026, 4, 1),
            by=who,
            at=datetime(2026, 4, 2, tzinfo=UTC),
        )


def test_what_comes_from_a_list_says_so_in_the_record(keeper: Client, ida: Player) -> None:
    """The society's own figure changes by a list too: the list is the reason."""
    sent = hidden(keeper, "number,handicap,source\n12,11.9,society\n")
    assert keeper.post(KEEP, sent).status_code == 302
    line = ida.handicaps.latest("pk")
    assert (line.value, line.reason) == (Decimal("11.9"), "From a list of handicaps.")
    page = keeper.get(reverse("desk:record", args=[ida.public_id])).content.decode()
    assert "12.3 → 11.9" in page
    assert "From a list of handicaps." in page


# whose a figure is where the list does not say it


def test_a_list_without_sources_is_of_what_the_season_asks_for(keeper: Client, ida: Player) -> None:
    assert "As each line says; else the society" in keeper.get(PAGE).content.decode()
    season = SeasonFactory(name="2026")
    set_season_handicaps(
        season=season,
        rules=HandicapRules(Basis.ASSOCIATION),
        valid_from=season.starts_on,
        words="Agreed in spring.",
        by=Who.command("test"),
        at=datetime(2026, 4, 15, 10, 0, tzinfo=UTC),
    )
    assert "As each line says; else the association" in keeper.get(PAGE).content.decode()
    text = "number,handicap\n12,11.9\n"
    page = shown(keeper, text)
    assert "A first figure of the association: 11.9, from " in page
    assert "is kept as the association’s, which the season asks for; a guest’s, as stated." in page
    assert keeper.post(KEEP, hidden(keeper, text)).status_code == 302
    assert ida.handicaps.latest("pk").source == "association"
