"""The result on paper: what stands on it, and that Pango makes a PDF of it."""

import pytest
from django.test import Client
from django.urls import reverse

from scoring.results.actions.sealing import seal
from scoring.results.printing import result_html
from scoring.results.queries.standings import standing
from society.web import pdf
from tests.factories.cards import FIVES, FOURS
from tests.factories.results import AT, OFFICER, competition_of, played

pytestmark = pytest.mark.django_db


def test_a_final_result_carries_its_fingerprint_and_its_terms(society: object) -> None:
    fixture = played([FOURS, [5] * 9 + [4] * 9, [4] * 9 + [5] * 9])
    competition = competition_of(fixture)
    version = seal(competition=competition, by=OFFICER, at=AT)
    html = result_html(standing(competition), AT)
    assert version.digest in html
    assert f"{version.audit_head[:4]} {version.audit_head[4:8]}" in html
    assert "Final, version 1" in html
    assert 'Won on holes <span class="num">10–18</span>' in html
    assert "Stableford: points on each hole" in html
    assert "Printed Sat 18 Apr, 17:00" in html
    assert "Testers&#x27; Golf Society" in html


def test_scores_so_far_say_so_on_paper(society: object) -> None:
    html = result_html(standing(competition_of(played([FOURS, None]))), AT)
    assert "Scores so far, not final" in html
    assert "1 of 2 cards in" in html
    assert "fingerprint" not in html.lower()


@pytest.mark.pdf
def test_the_pdf(secretary: Client) -> None:
    fixture = played([FOURS, FIVES])
    response = secretary.get(reverse("results:pdf", args=[fixture.public_id]))
    assert response.headers["Content-Type"] == "application/pdf"
    assert response.content.startswith(b"%PDF-")


@pytest.mark.pdf
def test_paper_fetches_nothing_from_outside(caplog: pytest.LogCaptureFixture) -> None:
    made = pdf.pdf_bytes('<html><img src="http://example.org/x.png"><img src="file:///etc/passwd">')
    assert made.startswith(b"%PDF-")
    assert caplog.text.count("no outside address on paper") == 2


def test_without_pango_the_page_says_why(
    secretary: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def missing(html: str) -> bytes:
        raise pdf.NoPaper(pdf.NO_PANGO)

    monkeypatch.setattr(pdf, "pdf_bytes", missing)
    response = secretary.get(reverse("results:pdf", args=[played([FOURS]).public_id]))
    assert response.status_code == 503
    assert "Pango is missing" in response.content.decode()
