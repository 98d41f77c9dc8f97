"""The closed door and the headers, on views made for these tests."""

import pytest
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.test import Client, RequestFactory

from society.web.access import PUBLIC, SIGNED_IN, access
from society.web.middleware import POLICY, Closed, security_headers
from society.web.refusals import BadInput, WrongState
from society.web.who import NOBODY, ORGANISERS, Who

MEMBER = Who(account="a")
CAPTAIN = Who(account="b", roles=frozenset({"captain"}))


def _view(*declaration, **options):
    return access(*declaration, **options)(lambda request: HttpResponse("in"))


def _ask(view, who, method="GET", **headers):
    request = RequestFactory().generic(method, "/somewhere/", headers=headers)
    request.who = who
    return Closed(lambda request: None).process_view(request, view, (), {})


def test_an_undeclared_view_is_closed():
    with pytest.raises(PermissionDenied):
        _ask(lambda request: HttpResponse(), CAPTAIN)


def test_a_public_view_lets_everybody_in():
    assert _ask(_view(PUBLIC, "GET"), NOBODY) is None


@pytest.mark.django_db
def test_signed_out_is_sent_to_sign_in_before_the_method_is_looked_at():
    for method in ("GET", "POST", "DELETE"):
        answer = _ask(_view(SIGNED_IN, "GET"), NOBODY, method)
        assert answer.status_code == 302


@pytest.mark.django_db
def test_signed_out_json_gets_401():
    assert _ask(_view(SIGNED_IN, "POST", json=True), NOBODY, "POST").status_code == 401
    asked = _ask(_view(SIGNED_IN, "GET"), NOBODY, Accept="application/json")
    assert asked.status_code == 401


def test_an_office_is_asked_for():
    view = _view(ORGANISERS, "GET")
    assert _ask(view, CAPTAIN) is None
    with pytest.raises(PermissionDenied):
        _ask(view, MEMBER)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("refusal", "status"), [(WrongState("Too late."), 409), (BadInput("Too late."), 409)]
)
def test_a_refusal_no_view_expected_is_a_page_with_its_sentence(refusal, status):
    request = RequestFactory().get("/somewhere/")
    request.who = MEMBER
    answer = Closed(lambda request: None).process_exception(request, refusal)
    assert answer.status_code == status
    assert "Too late." in answer.content.decode()
    assert Closed(lambda request: None).process_exception(request, ValueError()) is None


@pytest.mark.django_db
def test_the_wrong_method_is_said_before_the_office():
    answer = _ask(_view(ORGANISERS, "GET"), MEMBER, "POST")
    assert answer.status_code == 405
    assert answer.headers["Allow"] == "GET, HEAD"


def test_head_comes_with_get():
    assert _ask(_view(PUBLIC, "GET"), NOBODY, "HEAD") is None


def test_a_declaration_without_methods_is_refused():
    with pytest.raises(ValueError, match="methods"):
        access(PUBLIC)


def test_the_policy_allows_nothing_inline_and_no_other_host():
    answer = security_headers(lambda request: HttpResponse())(RequestFactory().get("/"))
    assert answer.headers["Content-Security-Policy"] == POLICY
    assert "unsafe" not in POLICY
    assert "http" not in POLICY
    assert answer.headers["Cache-Control"] == "no-store"


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("address", "cookie"),
    [
        ("/results/a%00b/", ""),
        ("/results/a%00b/cards/x%00/", ""),
        ("/players/?q=a%00", ""),
        ("/seasons/x/fixtures/new/?a%00=1", ""),
        ("/", 'session="abcdefgh\\000ij"'),
        ("/no-such-page/", 'session="abcdefgh\\000ij"'),
    ],
)
def test_a_nul_in_an_address_or_a_cookie_is_no_request(address, cookie, secretary):
    """PostgreSQL refuses such a text, so a query with it would fail (its manual, section 8.3)."""
    browser = secretary if not cookie else Client(headers={"Cookie": cookie})
    assert browser.get(address).status_code == 400


def test_a_nul_in_a_form_is_no_request(member):
    answer = member.post("/fixtures/x/withdraw/", {"entry": "a\0b"})
    assert answer.status_code == 400
    assert member.post("/fixtures/x/withdraw/", {"a\0b": "x"}).status_code == 400
