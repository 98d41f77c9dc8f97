"""The pages of courses: list, one course, by form, by file, retiring."""

import html
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from society.courses.models import Course, Rating, TeeHole
from tests.factories.courses import INDEXES, PARS, add_category, rated_tee
from tests.society.courses.test_rules import sheet

INDEX, NEW, IMPORT, KEEP = "/courses/", "/courses/new/", "/courses/import/", "/courses/import/keep/"
BLOCK = {
    "c0-tee": "Yellow",
    "c0-category": "men",
    "c0-par": " ".join(map(str, PARS)),
    "c0-stroke_index": " ".join(map(str, INDEXES)),
    "c0-yards": " ".join(["345"] * 18),
    "c0-valid_from": "2026-04-01",
    "c0-rating_18": "70.1",
    "c0-slope_18": "120",
}
FEN = {"name": "Fen", "place": "by the mere", "holes": "18", "blocks": "1"} | BLOCK


@pytest.fixture
def course(society: object) -> Course:
    tee = rated_tee(name="Yellow")
    add_category(tee, rating=None)
    return tee.course


def address(name: str, course: Course) -> str:
    return reverse(f"courses:{name}", args=[course.public_id])


def test_an_empty_list_says_what_to_do(secretary: Client, member: Client) -> None:
    assert "Add a course" in secretary.get(INDEX).content.decode()
    assert "The secretary adds them." in member.get(INDEX).content.decode()


def test_the_list(member: Client, course: Course) -> None:
    page = member.get(INDEX).content.decode()
    assert course.name in page
    assert "Yellow, men: par 72, 5,400 yards" in page
    assert "Add a course" not in page


def test_queries_do_not_grow_with_the_list(member: Client) -> None:
    counts = []
    for _ in range(2):
        rated_tee()
        with CaptureQueriesContext(connection) as said:
            member.get(INDEX)
        counts.append(len(said))
        rated_tee()
    assert counts[0] == counts[1]


def test_a_course_is_shown_hole_by_hole(member: Client, course: Course) -> None:
    page = member.get(address("show", course)).content.decode()
    assert "Yellow, men" in page
    assert "Course rating, slope 120, for 18 holes" in page
    assert "No rating: only handicaps that need no conversion can be used here." in page
    assert "Change the course" not in page
    assert member.get("/courses/nosuch/").status_code == 404


# by form


def test_a_course_is_added(secretary: Client) -> None:
    page = secretary.get(NEW).content.decode()
    assert 'name="c0-par"' in page
    response = secretary.post(NEW, FEN, follow=True)
    course = Course.objects.get()
    assert response.redirect_chain == [(address("show", course), 302)]
    assert TeeHole.objects.count() == 18
    assert str(Rating.objects.get()) == "70.1 / 120"
    assert "Fen is kept." in response.content.decode()


def test_one_more_card_judges_nothing_and_keeps_what_is_typed(secretary: Client) -> None:
    response = secretary.post(NEW, FEN | {"name": "", "more": "1"})
    page = response.content.decode()
    assert response.status_code == 200
    assert 'name="c1-par"' in page
    assert f">\n{BLOCK['c0-par']}</textarea>" in page
    assert "error-summary" not in page
    assert not Course.objects.exists()


def test_two_cards_of_one_tee_and_an_empty_block(secretary: Client) -> None:
    women = {key.replace("c0", "c1"): text for key, text in BLOCK.items()}
    women |= {"c1-category": "women", "c1-tee": "yellow", "c1-rating_18": "", "c1-slope_18": ""}
    empty = {"c2-category": "men", "c2-valid_from": "2026-04-01"}
    secretary.post(NEW, FEN | women | empty | {"blocks": "3"})
    tee = Course.objects.get().tees.get()
    assert tee.name == "Yellow"
    assert sorted(set(tee.holes.values_list("category", flat=True))) == ["men", "women"]


@pytest.mark.parametrize(
    ("change", "said", "field"),
    [
        ({"name": ""}, "A course needs a name.", "id_name"),
        ({"name": "Moor"}, "There is a course Moor already.", "id_name"),
        ({"c0-par": "4 4"}, "par has 2 figures, and 18 are needed", "id_c0-par"),
        (
            {"c0-stroke_index": BLOCK["c0-stroke_index"].replace("15", "7")},
            "Yellow, men, hole 3: stroke index 7 stands on hole 1 already; 15 is missing.",
            "id_c0-stroke_index",
        ),
        ({"c0-slope_18": "156"}, "slope rating 156", "id_c0-rating_18"),
        ({"c0-rating_18": "7.14"}, "course rating 7.14", "id_c0-rating_18"),
        ({"c0-tee": ""}, "name the tee", "id_c0-tee"),
        ({"c0-category": "x"}, "Select a valid choice", "id_c0-category"),
        ({"c0-valid_from": ""}, "from which day", "id_c0-valid_from"),
    ],
)
def test_what_is_wrong_stands_at_its_field_and_nothing_typed_is_lost(
    change: dict[str, str], said: str, field: str, secretary: Client
) -> None:
    Course.objects.create(name="Moor")
    values = FEN | change
    response = secretary.post(NEW, values)
    page = html.unescape(response.content.decode())
    assert response.status_code == 422
    assert "error-summary" in page
    assert said in page
    assert f'href="#{field}"' in page
    for name in ("place", "c0-par", "c0-stroke_index", "c0-yards", "c0-rating_18", "c0-slope_18"):
        assert f'value="{values[name]}"' in page or f">\n{values[name]}</textarea>" in page
    assert Course.objects.count() == 1


def test_a_course_without_a_card_is_refused(secretary: Client) -> None:
    response = secretary.post(NEW, {"name": "Fen", "holes": "18", "blocks": "1"})
    assert response.status_code == 422
    assert "A course needs one tee with its card." in response.content.decode()


@pytest.mark.parametrize("blocks", ["", "-1", "²", "9" * 5000, "21"])
def test_a_forged_number_of_blocks_is_not_believed(blocks: str, secretary: Client) -> None:
    assert secretary.post(NEW, FEN | {"blocks": blocks}).status_code == 302
    assert Course.objects.get().tees.count() == 1


def test_a_new_rating_and_a_correction(secretary: Client, course: Course) -> None:
    page = secretary.get(address("change", course)).content.decode()
    assert "There now: rated 70.1 / 120 for 18 holes from 1 January 2020." in page
    assert 'name="holes"' not in page
    tee = course.tees.get()
    values = {
        "name": course.name,
        "place": "",
        "blocks": "1",
        **BLOCK,
        "c0-key": tee.public_id,
        "c0-tee": "Gold",
        "c0-rating_18": "70.6",
    }
    assert secretary.post(address("change", course), values).status_code == 302
    tee.refresh_from_db()
    assert tee.name == "Gold"
    assert Rating.objects.filter(category="men").count() == 2
    assert tee.holes.filter(category="women").count() == 18


def test_sending_it_back_as_it_was_changes_nothing(secretary: Client, course: Course) -> None:
    page = secretary.get(address("change", course)).content.decode()
    boxes = re.findall(
        r'<input type="(?:text|hidden|date)" name="([^"]+)"(?: value="([^"]*)")?', page
    )
    boxes += re.findall(r'<textarea name="([^"]+)"[^>]*>\n?([^<]*)</textarea>', page)
    values = {name: html.unescape(value) for name, value in boxes if name != "csrfmiddlewaretoken"}
    assert values["c1-par"] == BLOCK["c0-par"]
    values |= {"c0-category": "men", "c1-category": "women"}
    assert values["blocks"] == "2"
    before = list(TeeHole.objects.values_list("pk", flat=True))
    assert secretary.post(address("change", course), values).status_code == 302
    assert list(TeeHole.objects.values_list("pk", flat=True)) == before


def test_retiring_and_back(secretary: Client, course: Course) -> None:
    page = secretary.post(address("retire", course), {"retired": "1"}, follow=True)
    assert "is retired." in page.content.decode()
    assert "Take it back into use" in page.content.decode()
    assert secretary.post(address("retire", course), {"retired": "1"}).status_code == 409
    secretary.post(address("retire", course), {"retired": "0"})
    course.refresh_from_db()
    assert not course.retired
    assert secretary.get(address("retire", course)).status_code == 405


# by file


def send(client: Client, text: str) -> object:
    return client.post(IMPORT, {"file": SimpleUploadedFile("courses.csv", text.encode())})


def hidden(page: str) -> dict[str, str]:
    found = re.findall(r'<input type="hidden" name="(lines|digest)" value="([^"]*)"', page)
    assert len(found) == 2
    return {name: html.unescape(value) for name, value in found}


def test_a_file_is_shown_then_kept(secretary: Client) -> None:
    assert "stroke index" in secretary.get(IMPORT).content.decode()
    page = send(secretary, sheet()).content.decode()
    assert "New card for Yellow, men: par 72, 5,553 yards" in page
    assert not Course.objects.exists()
    response = secretary.post(KEEP, hidden(page), follow=True)
    assert "The file is imported: 1 course kept." in response.content.decode()
    assert Course.objects.get().name == "Fen"
    assert "Nothing to save." in send(secretary, sheet()).content.decode()


def test_what_changed_since_gives_409(secretary: Client) -> None:
    sent = hidden(send(secretary, sheet()).content.decode())
    Course.objects.create(name="FEN")
    response = secretary.post(KEEP, sent)
    assert response.status_code == 409
    assert "Something changed since this was shown" in response.content.decode()
    assert not TeeHole.objects.exists()


@pytest.mark.parametrize(
    ("text", "said"),
    [("", "The file is empty"), ("course,tee\nFen,Yellow\n", "“category” is not among them")],
)
def test_a_file_that_cannot_be_read(text: str, said: str, secretary: Client) -> None:
    response = send(secretary, text)
    assert response.status_code == 422
    assert said in response.content.decode()


def test_hidden_lines_that_were_cut(secretary: Client) -> None:
    assert secretary.post(KEEP, {"lines": "x"}).status_code == 409


@pytest.mark.parametrize("browser", ["captain", "member", "outsider"])
def test_only_the_secretary_keeps_courses(
    browser: str, course: Course, request: pytest.FixtureRequest
) -> None:
    client = request.getfixturevalue(browser)
    for page in (NEW, IMPORT, address("change", course)):
        assert client.get(page).status_code == 403
        assert client.post(page, FEN).status_code == 403
    assert client.post(KEEP, {}).status_code == 403
    assert client.post(address("retire", course), {}).status_code == 403
    assert client.get(INDEX).status_code == 200
