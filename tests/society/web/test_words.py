"""A word of the glossary is explained once on a page, and the table in the docs says the same."""

import re
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.template import Context, Template
from django.test import RequestFactory

from society.web.glossary import GLOSSARY, meaning_of
from society.web.templatetags.words import meaning

ROOT = Path(__file__).resolve().parents[3]


def written(source: str, request: object = None, **more: object) -> str:
    context = Context({"request": request, **more})
    return Template("{% load words %}" + source).render(context)


def test_docs_and_pages_explain_the_same_words_alike() -> None:
    lines = (ROOT / "docs/glossary.md").read_text().splitlines()
    rows = [re.fullmatch(r"\| (.+?) \| (.+) \|", line) for line in lines if line.startswith("| ")]
    table = [(row[1], row[2]) for row in rows if row][1:]
    assert table == [(word.term, word.meaning) for word in GLOSSARY]
    assert [word.term.lower() for word in GLOSSARY] == sorted(w.term.lower() for w in GLOSSARY)


def test_no_form_belongs_to_two_words() -> None:
    forms = [form for word in GLOSSARY for form in (word.term.lower(), *word.forms)]
    assert len(forms) == len(set(forms))


def test_it_is_explained_where_it_first_appears_and_plain_after_that() -> None:
    request = RequestFactory().get("/")
    shown = written('{% word "gross" %} {% word "net" %} {% word "par" %}', request)
    # "gross" and "net" are one word of the glossary: explained once
    assert re.findall(r'popovertarget="(word-\w+)">\w', shown) == ["word-gross", "word-par"]
    assert shown.count(meaning_of("net").meaning) == 1
    assert " net " in shown


def test_other_words_may_stand_for_it() -> None:
    shown = written('{% word "off 14" of="playing handicap" %}', RequestFactory().get("/"))
    assert ">off 14<" in shown
    assert meaning_of("playing handicap").meaning in shown


def test_on_paper_it_is_a_word_like_any_other() -> None:
    assert written('{% word "stroke index" %}').strip() == "stroke index"


def test_the_stop_after_a_word_stays_on_its_line() -> None:
    source = '{% word "par" then="." %}'
    shown = written(source, RequestFactory().get("/"))
    assert shown.endswith("</span>.</span>")
    assert written(source) == "par."


def test_a_part_fetched_later_does_not_repeat_the_places_of_its_page() -> None:
    request = RequestFactory().get("/results/x/cards/y/")
    request.htmx = SimpleNamespace()  # type: ignore[attr-defined]
    place = re.search(r'id="([^"]+)"', written('{% word "par" %}', request))
    assert place
    assert re.fullmatch(r"word-par-[0-9a-f]{6}", place[1])


def test_a_word_nobody_wrote_down_stops_the_page() -> None:
    with pytest.raises(KeyError):
        written('{% word "mulligan" %}', RequestFactory().get("/"))


def test_every_word_the_templates_ask_for_is_in_the_glossary() -> None:
    asked = []
    for path in (ROOT / "templates").rglob("*.html"):
        asked += re.findall(r'{% word "([^"]+)"(?: of="([^"]+)")?', path.read_text())
    assert asked
    for form, of in asked:
        assert meaning_of(of or form)


def test_paper_gets_the_sentence_alone() -> None:
    assert meaning("plays off").startswith("What a player plays off")
