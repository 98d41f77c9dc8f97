"""Signing in and out, the account, its password, invitations by link."""

import pytest
from django.test import Client
from django.urls import reverse

from society.members.actions import accounts
from society.members.models import Account, Invitation, Player, SignInTry, Society
from society.members.queries import account_with_email
from society.web.who import Who
from tests.conftest import signed_in
from tests.factories.members import AccountFactory, PlayerFactory

WORD = "a long enough word"
SIGN_IN = "/sign-in/"


@pytest.fixture
def account(society: Society) -> Account:
    return AccountFactory(name="Ivo Marrable", email="ivo@example.org")


def test_sign_in_page(stranger: Client) -> None:
    response = stranger.get(SIGN_IN)
    assert response.status_code == 200
    assert "Sign in" in response.content.decode()


def test_signing_in_goes_to_the_page_asked_for(stranger: Client, account: Account) -> None:
    before = stranger.session
    before["x"] = 1
    before.save()
    old_key = before.session_key
    response = stranger.post(
        SIGN_IN, {"email": "Ivo@Example.org", "password": WORD, "next": "/account/"}
    )
    assert (response.status_code, response.headers["Location"]) == (302, "/account/")
    assert stranger.get("/account/").status_code == 200
    assert stranger.session.session_key != old_key


@pytest.mark.parametrize(
    "elsewhere",
    [
        "https://elsewhere.example/",
        "//elsewhere.example/",
        "javascript:alert(1)",
        "\\\\x.example",
        "elsewhere",  # no address at all, but what a view might be called
        "members:sign_out",
    ],
)
def test_next_leads_to_our_own_host_only(
    elsewhere: str, stranger: Client, account: Account
) -> None:
    response = stranger.post(
        SIGN_IN, {"email": "ivo@example.org", "password": WORD, "next": elsewhere}
    )
    assert response.headers["Location"] == "/"
    page = Client().get(SIGN_IN, {"next": elsewhere}).content.decode()
    assert "elsewhere" not in page
    assert stranger.get(SIGN_IN, {"next": elsewhere}).headers["Location"] == "/"


def test_the_signed_in_need_not_sign_in(member: Client) -> None:
    response = member.get(SIGN_IN, {"next": "/account/"})
    assert (response.status_code, response.headers["Location"]) == (302, "/account/")


def test_a_wrong_password_and_an_unknown_address_get_one_answer(
    stranger: Client, account: Account
) -> None:
    AccountFactory(email="gone@example.org", is_active=False)
    Account.objects.create(email="new@example.org", name="New", added_at=account.added_at)
    pages = []
    for email in ("ivo@example.org", "nobody@example.org", "gone@example.org", "new@example.org"):
        response = stranger.post(SIGN_IN, {"email": email, "password": "wrong"})
        assert response.status_code == 422
        page = response.content.decode()
        assert "do not belong together" in page
        assert f'value="{email}"' in page
        pages.append(page.replace(email, "").partition("<main")[2])
    # only the form's own token differs
    assert len({page.count("\n") for page in pages}) == 1
    assert SignInTry.objects.count() == 4


def test_guessing_is_slowed_and_a_new_link_still_works(
    stranger: Client, account: Account, machine: Who
) -> None:
    for email in ("ivo@example.org", "nobody@example.org"):
        for _ in range(20):
            stranger.post(SIGN_IN, {"email": email, "password": "wrong"})
        response = stranger.post(SIGN_IN, {"email": email, "password": WORD})
        assert response.status_code == 429
        assert "invitation link" in response.content.decode()
    assert SignInTry.objects.count() == 40
    from django.utils import timezone

    secret = accounts.invite(
        players=[PlayerFactory()], email="ivo@example.org", by=machine, at=timezone.now()
    )
    stranger.post(f"/invitation/{secret}/", {"password": "quite another", "again": "quite another"})
    stranger.logout()
    response = stranger.post(SIGN_IN, {"email": "ivo@example.org", "password": "quite another"})
    assert response.status_code == 302


def test_empty_boxes_are_422_and_count_as_no_guess(stranger: Client) -> None:
    response = stranger.post(SIGN_IN, {"email": "ivo@example.org", "password": ""})
    assert response.status_code == 422
    assert "error-summary" in response.content.decode()
    assert not SignInTry.objects.exists()


def test_without_a_society_every_page_ends_on_what_to_do(db: None) -> None:
    response = Client().get("/account/", follow=True)
    assert response.status_code == 200
    assert "manage.py first_officer" in response.content.decode()


def test_signing_out_is_a_post(member: Client) -> None:
    assert member.get("/sign-out/").status_code == 405
    assert member.post("/sign-out/").headers["Location"] == SIGN_IN
    assert member.get("/account/").status_code == 302


def test_the_account_page_shows_the_players_and_offices(member: Client, player: Player) -> None:
    page = member.get("/account/").content.decode()
    assert "Ivo Marrable" in page
    assert player.accounts.get().email in page


def test_the_password_is_changed_and_other_places_are_signed_out(account: Account) -> None:
    here, elsewhere = signed_in(account), signed_in(account)
    response = here.post(
        "/account/password/", {"old": WORD, "password": "another good", "again": "another good"}
    )
    assert response.headers["Location"] == "/account/"
    assert here.get("/account/").status_code == 200
    assert elsewhere.get("/account/").status_code == 302
    account.refresh_from_db()
    assert account.check_password("another good")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"old": "not it"}, "That is not your password"),
        ({"again": "something else"}, "The two are not the same"),
        ({"password": "short", "again": "short"}, "too short"),
        ({"password": "password123", "again": "password123"}, "too common"),
        ({"old": ""}, "Write the password you have now"),
    ],
)
def test_a_password_that_cannot_be_changed(
    change: dict[str, str], said: str, account: Account
) -> None:
    values = {"old": WORD, "password": "another good", "again": "another good"} | change
    response = signed_in(account).post("/account/password/", values)
    assert response.status_code == 422
    assert said in response.content.decode()
    account.refresh_from_db()
    assert account.check_password(WORD)


# invitations


def test_the_secretary_makes_a_link_that_is_shown_once(secretary: Client, player: Player) -> None:
    address = reverse("members:invite", args=[player.public_id])
    assert player.name in secretary.get(address).content.decode()
    response = secretary.post(address, {"email": "ivo@example.org", "players": [player.public_id]})
    assert response.status_code == 200
    link = response.context["link"]
    assert link.startswith("http://testserver/invitation/")
    assert link in response.content.decode()
    assert Invitation.objects.count() == 1
    assert link not in secretary.get(address).content.decode()


def test_a_couple_is_offered_together(secretary: Client) -> None:
    ida = PlayerFactory(name="Ida Low", email="low@example.org")
    wilf = PlayerFactory(name="Wilf Low", email="Low@example.org")
    pip = PlayerFactory(name="Pip High")
    address = reverse("members:invite", args=[ida.public_id])
    page = secretary.get(address).content.decode()
    assert page.count('name="players"') == 2
    secretary.post(
        address,
        {
            "email": "low@example.org",
            "players": [ida.public_id, wilf.public_id],
            "another": pip.public_id,
        },
    )
    assert set(Invitation.objects.get().players.all()) == {ida, wilf, pip}


@pytest.mark.parametrize("values", [{"email": "", "players": "x"}, {"email": "nope"}, {}])
def test_a_link_that_cannot_be_made(
    values: dict[str, str], secretary: Client, player: Player
) -> None:
    address = reverse("members:invite", args=[player.public_id])
    response = secretary.post(address, values)
    assert response.status_code == 422
    assert "error-summary" in response.content.decode()
    assert not Invitation.objects.exists()


@pytest.mark.parametrize("browser", ["captain", "scorer", "member", "outsider"])
def test_only_the_secretary_invites(
    browser: str, player: Player, request: pytest.FixtureRequest
) -> None:
    client = request.getfixturevalue(browser)
    address = reverse("members:invite", args=[player.public_id])
    assert client.get(address).status_code == 403
    assert client.post(address, {}).status_code == 403


@pytest.fixture
def link(machine: Who, player: Player) -> str:
    from django.utils import timezone

    secret = accounts.invite(
        players=[player], email="new@example.org", by=machine, at=timezone.now()
    )
    return f"/invitation/{secret}/"


def test_opening_a_link_spends_nothing(stranger: Client, link: str) -> None:
    for _ in range(2):
        response = stranger.get(link)
        assert response.status_code == 200
    page = response.content.decode()
    assert "new@example.org" in page
    assert 'value="Ivo Marrable"' in page
    assert Invitation.objects.get().spent_at is None
    assert response.headers["Referrer-Policy"] == "same-origin"


def test_spending_a_link_signs_in_once(stranger: Client, link: str, player: Player) -> None:
    values = {"name": "Ivo M", "password": "a good phrase", "again": "a good phrase"}
    response = stranger.post(link, values)
    assert (response.status_code, response.headers["Location"]) == (302, "/")
    account = account_with_email("new@example.org")
    assert account.name == "Ivo M"
    assert list(account.players.all()) == [player]
    assert "Ivo Marrable" in stranger.get("/account/").content.decode()
    for again in (Client().get(link), Client().post(link, values)):
        assert again.status_code == 404
        assert "no longer works" in again.content.decode()


@pytest.mark.parametrize(
    "change", [{"password": "short", "again": "short"}, {"again": "x"}, {"name": ""}]
)
def test_a_bad_password_does_not_spend_the_link(
    change: dict[str, str], stranger: Client, link: str
) -> None:
    values = {"name": "Ivo M", "password": "a good phrase", "again": "a good phrase"} | change
    response = stranger.post(link, values)
    assert response.status_code == 422
    assert "error-summary" in response.content.decode()
    assert "a good phrase" not in response.content.decode()
    assert Invitation.objects.get().spent_at is None


def test_an_unknown_link_looks_like_a_spent_one(stranger: Client) -> None:
    response = stranger.get("/invitation/nonsense/")
    assert response.status_code == 404
    assert "no longer works" in response.content.decode()


def test_what_is_kept_is_told(member: Client, player: Player) -> None:
    page = member.get("/what-we-keep/").content.decode()
    assert "What we keep about you" in page
    assert player.name in page
