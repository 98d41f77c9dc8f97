"""Files for the printer are made by a child process, for whoever asked, and go after an hour."""

import json
import os
import time
from datetime import timedelta

import pytest
from django.urls import reverse

from society.web import clock, press
from society.web.refusals import WrongState
from society.web.stamp import Code, Mark, Paper, Placed, Sheets, sheets_from, sheets_json
from tests.society.desk.test_papers import cards_to_print, day, read_back

pytestmark = pytest.mark.django_db
PAGE = "<!doctype html><html lang='en-GB'><body><p>Lantern Plate</p></body></html>"


@pytest.fixture(autouse=True)
def apart(settings, tmp_path):
    settings.PAPERS_APART = True
    settings.DATA_DIR = tmp_path


def waited(job: str, owner: str = "one") -> press.Job:
    """The job once the child is through, at most a minute later."""
    for _ in range(600):
        found = press.job_of(job, owner=owner, at=clock.now())
        if found is None or found.state != "making":
            return found
        time.sleep(0.1)
    raise AssertionError("The file was not made within a minute.")


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_cards_are_made_apart_and_the_page_leads_to_them(secretary, member, at, machine, tmp_path):
    fixture = day(6, at, machine)
    wanted = [row.card.card_id for row in cards_to_print(fixture).rows]
    answer = secretary.post(
        reverse("desk:scorecards", args=[fixture.public_id]), {"card": wanted, "shape": "card"}
    )
    assert answer.status_code == 303
    page = answer["Location"]
    first = secretary.get(page)
    if first.status_code == 200:  # still at work: the page looks again by itself
        assert first["Refresh"] == "1"
        assert "is being made" in first.content.decode()
    job = page.strip("/").split("/")[-1]
    for _ in range(600):
        answer = secretary.get(page)
        if answer.status_code == 302:
            break
        time.sleep(0.1)
    made = secretary.get(answer["Location"])
    assert made["Content-Type"] == "application/pdf"
    assert made["Content-Disposition"] == 'inline; filename="cards-2026-04-18.pdf"'
    text = "\n".join(read_back(made.content, tmp_path))
    assert all(row.card.name in text for row in cards_to_print(fixture).rows)
    assert member.get(page).status_code == 404
    assert member.get(answer["Location"]).status_code == 404
    assert secretary.get(reverse("desk:paper_file", args=[job, "other.pdf"])).status_code == 404


@pytest.mark.pdf
def test_nobody_else_gets_the_file_and_the_folder_is_closed():
    job = press.ask(PAGE, "one.pdf", None, owner="one", at=clock.now())
    assert press.job_of(job, owner="other", at=clock.now()) is None
    assert waited(job).state == "ready"
    assert os.stat(press.folder()).st_mode & 0o077 == 0
    assert press.job_of("../papers", owner="one", at=clock.now()) is None


@pytest.mark.pdf
def test_after_an_hour_the_file_is_gone():
    job = press.ask(PAGE, "one.pdf", None, owner="one", at=clock.now())
    waited(job)
    later = clock.now() + press.KEPT + timedelta(minutes=1)
    assert press.job_of(job, owner="one", at=later) is None
    assert press.clear(at=clock.now()) == 0
    assert press.clear(at=later) == 1
    assert not (press.folder() / job).exists()


def order(place, asked, *, sheets: object) -> None:
    said = {"owner": "one", "filename": "x.pdf", "html": "", "sheets": sheets}
    (place / "order.json").write_text(json.dumps(said | {"asked_at": asked.isoformat()}))


def test_what_cannot_be_made_says_so():
    place = press.folder() / "abc"
    place.mkdir()
    order(place, clock.now(), sheets=7)
    with pytest.raises(TypeError):
        press.make(place)
    found = press.job_of("abc", owner="one", at=clock.now())
    assert (found.state, found.words) == ("failed", press.BROKEN)


def test_a_child_that_never_ends_is_taken_for_dead():
    place = press.folder() / "abc"
    place.mkdir()
    asked = clock.now()
    order(place, asked, sheets=None)
    assert press.job_of("abc", owner="one", at=asked).state == "making"
    late = asked + press.LONGEST + timedelta(seconds=1)
    assert press.job_of("abc", owner="one", at=late).state == "failed"


def test_too_many_at_once_are_refused_with_a_sentence():
    for number in range(press.MOST_WAITING):
        (press.folder() / f"job{number}").mkdir()
    with pytest.raises(WrongState, match="Try again in a minute"):
        press.ask(PAGE, "one.pdf", None, owner="one", at=clock.now())


def test_the_dead_keep_nobody_waiting(monkeypatch):
    """The machine went down with twelve at work: the next file does not wait for an hour."""
    monkeypatch.setattr(press.subprocess, "Popen", lambda *order, **options: None)
    monkeypatch.setattr(press, "_children", [])
    for number in range(press.MOST_WAITING):
        (press.folder() / f"job{number}").mkdir()
    later = clock.now() + press.LONGEST + timedelta(seconds=1)
    assert press.ask(PAGE, "one.pdf", None, owner="one", at=later)


def test_one_who_presses_on_and_on_waits_and_nobody_else_does(monkeypatch):
    monkeypatch.setattr(press.subprocess, "Popen", lambda *order, **options: None)
    monkeypatch.setattr(press, "_children", [])
    for number in range(press.MOST_OF_ONE):
        place = press.folder() / f"job{number}"
        place.mkdir()
        order(place, clock.now(), sheets=None)
    with pytest.raises(WrongState, match="your files are still being made"):
        press.ask(PAGE, "one.pdf", None, owner="one", at=clock.now())
    assert press.ask(PAGE, "one.pdf", None, owner="other", at=clock.now())


def test_sheets_come_back_as_they_went():
    paper = Paper(
        0, (Mark("Ida", "st-name", 1.5, 2, 0.5, 60),), Code("https://society.example/", 1, 2, 19)
    )
    plain = Paper(1, ())
    sheets = Sheets(
        (210.0, 297.0),
        ((Placed(paper, 0, 0), Placed(plain, 0, 148.5)),),
        ((0, 148.5, 210, 148.5),),
        ".a { }",
    )
    assert sheets_from(sheets_json(sheets)) == sheets
