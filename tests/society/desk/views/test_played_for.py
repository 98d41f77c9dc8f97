"""The page of what is played for: every form once, refusals beside their field."""

import pytest
from django.test import Client
from django.urls import reverse

from scoring.results.models import SideContest, SideWinner
from scoring.rules.divisions import scheme_of
from society.entries.models import Entry
from society.fixtures.models import Competition, Fixture
from society.members.models import Player
from tests.factories.entries import entered
from tests.factories.fixtures import saturday

pytestmark = pytest.mark.django_db


def post(client: Client, fixture: Fixture, name: str, /, *args: str, **values: object) -> str:
    response = client.post(
        reverse(f"desk:{name}", args=[fixture.public_id, *args]), values, follow=True
    )
    assert response.status_code in (200, 409, 422)
    return " ".join(response.content.decode().split())


def test_divisions_by_typed_bounds_are_read_back_in_words(secretary: Client) -> None:
    fixture = saturday()
    html = post(secretary, fixture, "divisions", kind="bands", by="brought", tops="+1.2, 12.4",
                names="Tigers, Middle")  # fmt: skip
    assert "Tigers: handicap up to +1.2." in html
    fixture.refresh_from_db()
    assert scheme_of(fixture.divisions).names == ("Tigers", "Middle", "Division 3")


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"kind": "bands", "by": "brought", "tops": "low"}, "is no handicap"),
        ({"kind": "bands", "by": "brought", "tops": ""}, "at least one bound"),
        ({"kind": "bands", "by": "brought", "tops": "18, 9"}, "begins above"),
        ({"kind": "equal", "by": "brought", "parts": "2", "names": "A, A"}, "same name"),
    ],
)
def test_bounds_that_cannot_be_are_refused(
    values: dict[str, str], words: str, secretary: Client
) -> None:
    fixture = saturday()
    assert words in post(secretary, fixture, "divisions", **values)
    fixture.refresh_from_db()
    assert fixture.divisions == ""


def test_a_contest_its_winner_and_a_correction_with_a_reason(secretary: Client) -> None:
    fixture = saturday()
    ann, ben = entered(fixture, name="Ann"), entered(fixture, name="Ben")
    post(secretary, fixture, "contest_new",
         **{"contest-kind": "pin", "contest-hole": "3", "contest-category": ""})  # fmt: skip
    contest = SideContest.objects.get()
    name = f"c-{contest.public_id}"
    first = {f"{name}-entry": ann.public_id, f"{name}-distance": "1.86 m"}
    html = post(secretary, fixture, "contest_winner", contest.public_id, **first)
    assert "1.86 m" in html
    again = {f"{name}-entry": ben.public_id, f"{name}-distance": "1.50 m"}
    html = post(secretary, fixture, "contest_winner", contest.public_id, **again)
    assert "Why it changes" in html
    assert SideWinner.objects.count() == 1
    again[f"{name}-words"] = "The marker had two names"
    post(secretary, fixture, "contest_winner", contest.public_id, **again)
    html = secretary.get(reverse("results:show", args=[fixture.public_id])).content.decode()
    assert "Ben" in html
    html = post(secretary, fixture, "contest_remove", contest.public_id)
    assert "stays on record" in html
    assert SideContest.objects.count() == 1


def test_the_twos_from_the_amount_to_a_member_who_joins(
    secretary: Client, member: Client, player: Player
) -> None:
    fixture = saturday()
    entry = Entry.objects.create(
        fixture=fixture, player=player, as_member=True, category="men",
        place_at="2026-04-10T08:00:00Z",
    )  # fmt: skip
    entry.steps.create(kind="entered", at="2026-04-10T08:00:00Z", by="{}")
    assert "£2" in post(secretary, fixture, "stake", **{"stake-stake": "2.00"})
    page = member.get(reverse("desk:fixture", args=[fixture.public_id])).content.decode()
    assert "Join the twos" in page
    html = post(member, fixture, "twos_join", entry=entry.public_id, inside="yes")
    assert "Leave the twos" in html
    entry.refresh_from_db()
    assert entry.twos
    post(secretary, fixture, "twos", **{"twos-entries": []})
    entry.refresh_from_db()
    assert not entry.twos
    assert "Write an amount" in post(secretary, fixture, "stake", **{"stake-stake": "two"})


def test_a_second_competition_by_its_form(secretary: Client) -> None:
    fixture = saturday()
    values = {
        "name": "Monthly medal", "takes_part": "members", "format": "medal", "basis": "net",
        "allowance": "95", "countback": "10-18, 18", "countback_holes": "card",
        "handicap_share": "exact", "after_countback": "share",
    }  # fmt: skip
    html = post(secretary, fixture, "competition_new", **values)
    assert "Monthly medal" in html
    row = Competition.objects.get(number=2)
    html = post(secretary, fixture, "competition_change", row.public_id,
                **values | {"name": "Cup"})  # fmt: skip
    assert "Cup is changed" in html
    first = fixture.competitions.get(number=1)
    html = post(secretary, fixture, "competition_change", first.public_id, takes_part="members")
    assert "For members only" in html
    post(secretary, fixture, "competition_remove", row.public_id)
    assert fixture.competitions.count() == 1
    wrong = post(secretary, fixture, "competition_new", **values | {"allowance": "500"})
    assert "percentage from 0 to 100" in wrong
