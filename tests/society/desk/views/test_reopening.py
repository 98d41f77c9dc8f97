"""The pages of a result opened again: asked, agreed, compared, sealed; both versions to read."""

from uuid import uuid4

import pytest
from django.test import Client

from scoring.cards.actions.submit import submit_card
from scoring.cards.models import CardRevision
from scoring.cards.rules.words import Channel, Record
from scoring.results.models import ResultVersion
from scoring.rules.strict_json import canonical
from society.desk.queries.reopening import open_again
from society.entries.models import DrawRun, DrawStep
from society.fixtures.models import Fixture
from society.members.models import Letter, Society
from society.merit.actions import seal_table, start_table
from society.merit.queries import standing_of
from society.merit.rules.values import MeritRules
from society.merit.rules.words import shown
from society.web.templatetags.look import ordinal
from tests.factories.fixtures import saturday
from tests.factories.results import OFFICER, scoring, sealed_season
from tests.society.desk.test_reopening import LATER

pytestmark = pytest.mark.django_db

WHY = {"reason_class": "missed card", "words": "found in the locker room"}


@pytest.fixture
def day(society: Society) -> Fixture:
    """41, 38 and 30 points, and a season table that counts them."""
    season = sealed_season({"Ida Low": [41], "Ned Rush": [38], "Una Fern": [30]})
    start_table(season=season, name="Order of merit", rules=MeritRules(), by=OFFICER, at=LATER)
    return season.fixtures.get()


def page(client: Client, day: Fixture, tail: str = "reopen/") -> str:
    response = client.get(f"/fixtures/{day.public_id}/{tail}")
    assert response.status_code == 200
    return response.content.decode()


def post(client: Client, day: Fixture, tail: str = "reopen/", **data: str) -> int:
    return client.post(f"/fixtures/{day.public_id}/{tail}", data).status_code


def held(day: Fixture, strokes: list[int | None]) -> CardRevision:
    """Other figures for the last card, after the seal."""
    start = day.rounds.get().starts.order_by("pk").last()
    sent = submit_card(
        card_of=start, record=Record.COMMITTEE, uuid=uuid4(), parent_uuid=None, strokes=strokes,
        channel=Channel.PAPER, by=OFFICER, at=LATER,
    )  # fmt: skip
    return sent.revision


def result(client: Client, day: Fixture) -> str:
    return client.get(f"/results/{day.public_id}/").content.decode()


def test_from_the_result_to_its_next_version(
    secretary: Client, member: Client, day: Fixture
) -> None:
    kept = held(day, scoring(42))
    assert "Open this result again" in result(secretary, day)
    assert "Open this result again" not in result(member, day)
    assert page(secretary, day).count('type="radio"') == 6
    assert post(secretary, day, **WHY) == 302
    # What a sealed version rules out is said, not offered.
    steps = page(secretary, day, "steps/")
    assert "Cancel it" not in steps
    assert "the fixture cannot be cancelled" in steps
    # Version 1 is shown to everybody, with a line that says why it is looked at.
    shown = result(member, day)
    assert "This result is being looked at again" in shown
    assert "A card was missed: found in the locker room." in shown
    assert "Version 1 stands until the next one is sealed." in shown
    assert "Nothing differs from version 1 so far." in page(secretary, day)
    taken = secretary.post(
        f"/cards/{kept.card.public_id}/take/", {"held": str(kept.uuid), "words": "the real card"}
    )
    assert taken.status_code == 302
    told = page(secretary, day)
    for words in ("1st, 42", "3rd, 30", "2nd, 41", "gains", "loses"):
        assert words in told
    assert "In the season table" in told
    assert "Season table: Order of merit" in told
    assert "Una Fern: 1st, 42 (was: 3rd, 30)." in told
    assert post(secretary, day, "reopen/seal/") == 302
    assert ResultVersion.objects.count() == 2
    second = page(member, day, "versions/2/")
    assert "What changed" in second
    assert "1st, 42" in second
    assert "notice board" not in second
    assert "Draft for the notice board" in page(secretary, day, "versions/2/")
    first = page(member, day, "versions/1/")
    assert "This version was replaced." in first
    for version in ResultVersion.objects.all():
        assert version.fingerprint in page(member, day, f"versions/{version.number}/")
    assert member.get(f"/fixtures/{day.public_id}/versions/3/").status_code == 404
    assert "being looked at again" not in result(member, day)


def test_the_season_table_before_and_after(secretary: Client, day: Fixture) -> None:
    kept = held(day, scoring(42))
    post(secretary, day, **WHY)
    secretary.post(
        f"/cards/{kept.card.public_id}/take/", {"held": str(kept.uuid), "words": "the real card"}
    )
    (compared,) = open_again(day).compared
    found = {moved.name: (moved.was, moved.now, moved.better) for moved in compared.merit}
    # The table gives 25, 18 and 15 for the first three places.
    assert found == {
        "Una Fern": ("3rd, 15 points", "1st, 25 points", True),
        "Ida Low": ("1st, 25 points", "2nd, 18 points", False),
        "Ned Rush": ("2nd, 18 points", "3rd, 15 points", False),
    }


def test_what_the_page_foretells_of_the_season_table_is_what_comes(
    secretary: Client, day: Fixture
) -> None:
    kept = held(day, scoring(42))
    post(secretary, day, **WHY)
    secretary.post(
        f"/cards/{kept.card.public_id}/take/", {"held": str(kept.uuid), "words": "the real card"}
    )
    (compared,) = open_again(day).compared
    foretold = {moved.name: moved.now for moved in compared.merit}
    post(secretary, day, "reopen/seal/")
    now = standing_of(day.season.merit_tables.get())
    came = {
        now.name_of(row.player): f"{ordinal(row.place or 0)}, {shown(row.total)} points"
        for row in now.rows
    }
    assert came == foretold


def test_what_was_made_from_it_is_listed_with_what_happens(secretary: Client, day: Fixture) -> None:
    table = day.season.merit_tables.get()
    seal_table(table=table, by=OFFICER, at=LATER)
    player = day.entries.first().player
    Letter.objects.create(
        kind="result", player=player, about=f"fixture:{day.public_id}", made_at=LATER,
        made_by=OFFICER.as_json(), send_until=LATER, not_before=LATER,
    )  # fmt: skip
    post(secretary, day, **WHY)
    found = {made.what: made.happens for made in open_again(day).made}
    assert found == {
        "Season table: Order of merit": "Counted again from the new version as soon as it is "
        "sealed.",
        "The sealed season: Order of merit, version 1": "Stays as it is, and says what it was "
        "made from, until it is sealed again.",
        "1\xa0letter with the result": "Whoever gains or loses is written to again; the others "
        "are not.",
    }


def test_a_published_draw_that_went_by_the_table_stands(secretary: Client, day: Fixture) -> None:
    later = saturday(season=day.season, name="Leaders Last")
    for number, standing in enumerate(({"someone": 1}, None), 1):
        run = DrawRun.objects.create(
            round=later.rounds.get(), number=number, method="leaders", method_version=1, seed="s",
            inputs=canonical({"standing": standing}), groups="[]", at=LATER, by=OFFICER.as_json(),
        )  # fmt: skip
        if number == 2:
            DrawStep.objects.create(run=run, kind="published", at=LATER, by=OFFICER.as_json())
    post(secretary, day, **WHY)
    draw = "The draw of Leaders Last"
    assert draw not in {made.what for made in open_again(day).made}  # that run used no table
    DrawStep.objects.create(
        run=DrawRun.objects.get(number=1), kind="published", at=LATER, by=OFFICER.as_json()
    )
    found = {made.what: made.happens for made in open_again(day).made}
    assert found[draw] == "Stands: a published draw is kept."


def test_bad_input_and_wrong_states(secretary: Client, day: Fixture) -> None:
    assert post(secretary, day) == 422
    assert post(secretary, day, reason_class="first", words="x") == 422
    assert post(secretary, day, "reopen/seal/") == 409
    assert post(secretary, day, "reopen/answer/", agree="1") == 409
    assert post(secretary, day, **WHY) == 302
    assert post(secretary, day, **WHY) == 409
    assert post(secretary, day, "reopen/seal/") == 302  # nothing changed: final again
    assert ResultVersion.objects.count() == 1


def test_two_officers_on_their_pages(secretary: Client, captain: Client, day: Fixture) -> None:
    Society.objects.update(officers_to_seal=2)
    assert post(secretary, day, **WHY) == 302
    assert "You asked for it, so another officer has to agree." in page(secretary, day)
    assert post(secretary, day, "reopen/answer/", agree="1") == 403
    assert "Agree and open it" in page(captain, day)
    assert post(captain, day, "reopen/answer/", agree="1") == 302
    day.refresh_from_db()
    assert day.state == "reviewing"
    assert "Two officers seal here" in page(captain, day)
