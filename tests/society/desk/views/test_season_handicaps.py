"""Which handicap a season is played off: shown, set from a day on, refused, and kept apart."""

import re
from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from scoring.rules.strict_json import read_json
from society.audit.models import AuditLine
from society.desk.forms.cuts import CutRulesForm, begin_with
from society.desk.queries.needs import needs_of
from society.desk.queries.todo import running_fixtures
from society.entries.actions import freezing
from society.entries.models import Frozen
from society.fixtures.models import Fixture, SeasonHandicaps
from society.fixtures.queries import rules_of
from society.handicaps.actions.cuts import end_cut
from society.handicaps.models import SocietyCut
from society.handicaps.rules.cuts.presets import PRESETS
from society.handicaps.rules.cuts.reading import cuts_object
from society.handicaps.rules.season import Basis
from society.web.who import SECRETARY, Who
from tests.factories.entries import BY, THEN, entered, handicap
from tests.factories.fixtures import saturday
from tests.factories.members import OfficeFactory
from tests.society.desk.test_cut_form import posted

pytestmark = pytest.mark.django_db


def address(fixture: Fixture) -> str:
    return reverse("desk:season_handicaps", args=[fixture.season.public_id])


def sent(preset: str = "", **other: str) -> dict[str, str]:
    cuts = posted(CutRulesForm(initial=begin_with(preset)))
    return (
        cuts.dict()
        | {  # type: ignore[return-value]
            "basis": "with cuts",
            "kind": "index",
            "source": "",
            "maximum_men": "28",
            "maximum_women": "36",
            "guest_maximum": "24",
            "stale_days": "30",
            "newcomer_events": "0",
            "valid_from": "2026-04-01",
            "words": "Agreed at the spring meeting.",
        }
        | other
    )


def words(html: bytes) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html.decode()).split())


def test_rules_are_set_from_a_day_on_with_reason_and_stand_in_words(secretary: Client) -> None:
    fixture = saturday()
    assert "Played off: the latest handicap index" in words(secretary.get(address(fixture)).content)
    answer = secretary.post(address(fixture), sent(PRESETS[0].key))
    assert answer.status_code == 302
    row = SeasonHandicaps.objects.get()
    assert (row.number, row.valid_from, row.reason) == (
        1,
        date(2026, 4, 1),
        "Agreed at the spring meeting.",
    )
    rules = rules_of(fixture)
    assert rules.basis is Basis.WITH_CUTS
    assert rules.maximum == {"men": 28, "women": 36}
    assert rules.cuts == cuts_object(PRESETS[0].rules)
    assert AuditLine.objects.get().deed == "season handicaps set"
    shown = words(secretary.get(address(fixture)).content)
    assert "with the society’s cuts on top; at most 28 for men, 36 for women and" in shown
    assert "Agreed at the spring meeting." in shown


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"basis": "guess"}, "guess"),
        ({"basis": ""}, "Choose what is played off."),
        ({"maximum_men": "55"}, "54"),
        (
            {"valid_from": "2025-12-31"},
            "1 January 2026 to 31 December 2026.",
        ),
        ({"valid_from": "0026-04-01"}, "Write the whole year"),
        ({"words": " "}, "Say why"),
        ({"stale_days": "0"}, "1"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_box(
    secretary: Client, wrong: dict[str, str], said: str
) -> None:
    answer = secretary.post(address(saturday()), sent(**wrong))
    assert answer.status_code == 422
    assert said in words(answer.content)
    assert not SeasonHandicaps.objects.exists()


def test_rules_that_stand_already_are_not_set_again(secretary: Client) -> None:
    fixture = saturday()
    secretary.post(address(fixture), sent())
    answer = secretary.post(address(fixture), sent(valid_from="2026-05-01"))
    assert answer.status_code == 422
    assert "stands on that day already" in words(answer.content)


def test_taken_figures_carry_how_they_came_about_and_stay(at, machine, secretary: Client) -> None:
    fixture = saturday()
    secretary.post(address(fixture), sent())
    entry = entered(fixture, index="31.2")
    SocietyCut.objects.create(
        player=entry.player,
        valid_from=date(2026, 4, 2),
        steps='[{"shots":"-2.0","until":"2027-04-02"}]',
        because="Won the Spring Plate.",
        at=THEN,
        by=BY,
    )
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    frozen = Frozen.objects.get()
    # 31.2 − 2 = 29.2, and at most 28 for men.
    assert frozen.value == Decimal("28.0")
    assert frozen.source_entry.value == Decimal("31.2")
    kept = read_json(frozen.made_of)
    assert (kept["exact"], kept["maximum"], kept["cuts"][0]["shots"]) == ("29.2", 28, "-2.0")
    page = secretary.get(reverse("desk:plays_off", args=[fixture.public_id, entry.public_id]))
    shown = words(page.content)
    for sentence in (
        "Index 31.2 of the association, from 1 January 2026.",
        "31.2 − 2 = 29.2",
        "2 shots off: Won the Spring Plate, until 2 April 2027.",
        "At most 28 for men: 29.2 becomes 28.",
    ):
        assert sentence in shown
    secretary.post(address(fixture), sent(basis="association", valid_from="2026-04-10"))
    handicap(entry.player, "10.0", valid_from=date(2026, 4, 15))
    assert Frozen.objects.get().value == Decimal("28.0")


def test_a_set_of_cuts_to_begin_with_fills_the_boxes_and_keeps_nothing(secretary: Client) -> None:
    answer = secretary.get(address(saturday()), {"cuts": PRESETS[0].key})
    assert answer.context["cuts"].initial["on"] is True
    assert not SeasonHandicaps.objects.exists()


def test_a_figure_that_changed_after_it_was_taken_is_a_notice_and_moves_nothing(
    at, machine, secretary: Client
) -> None:
    fixture = saturday()
    entry = entered(fixture, index="14.2")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    page = reverse("desk:handicaps", args=[fixture.public_id])
    assert "Changed since they were taken" not in words(secretary.get(page).content)
    handicap(entry.player, "12.0", valid_from=date(2026, 4, 17))
    shown = words(secretary.get(page).content)
    assert "Changed since they were taken" in shown
    assert "Taken at 14.2; it would be 12.0 now. Index 12.0 of the association, from 17" in shown
    assert Frozen.objects.get().value == Decimal("14.2")
    form = secretary.get(page, {"entry": entry.public_id, "now": "1"}).context["form"]
    assert form["value"].value() == "12.0"
    assert form["reason_class"].value() == "wrong handicap"
    assert form["words"].value().startswith("Taken at 14.2; it would be 12.0 now.")
    # valid only after the day: no notice
    handicap(entry.player, "14.2", valid_from=date(2026, 4, 18))
    handicap(entry.player, "9.0", valid_from=date(2026, 4, 19))
    assert "Changed since they were taken" not in words(secretary.get(page).content)


def test_figures_older_than_the_rules_allow_are_listed_before_they_are_taken(
    at, machine, secretary: Client
) -> None:
    fixture = saturday()
    old = entered(fixture, index="14.2")  # from 1 January; the fixture is on 18 April
    new = entered(fixture, index=None)
    handicap(new.player, "9.9", valid_from=date(2026, 3, 19))  # thirty days before
    page = reverse("desk:handicaps", args=[fixture.public_id])
    shown = secretary.get(page).context["page"]
    assert [row.entry.pk for row in shown.old] == [old.pk]
    assert shown.old[0].old.endswith("from 1 January 2026: 107 days old on the day")
    secretary.post(address(fixture), sent(stale_days="107"))
    assert secretary.get(page).context["page"].old == []


def test_the_pages_say_which_handicap_it_is(secretary: Client) -> None:
    fixture = saturday()
    entry = entered(fixture)
    secretary.post(address(fixture), sent(basis="lower"))
    said = "Played off: the lower of the association’s index and the society handicap; at most 28"
    for name, more in (("fixture", []), ("handicaps", []), ("plays_off", [entry.public_id])):
        answer = secretary.get(reverse(f"desk:{name}", args=[fixture.public_id, *more]))
        assert said in words(answer.content), name


def test_a_changed_figure_stands_on_the_list_of_what_needs_doing(at, machine) -> None:
    fixture = saturday()
    entry = entered(fixture, index="14.2")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    officer = replace(machine, account="officer", roles=frozenset({SECRETARY}))

    def titles() -> list[str]:
        return [one.title for one in needs_of(running_fixtures(), officer, at)]

    assert not [title for title in titles() if "changed" in title]
    handicap(entry.player, "12.0", valid_from=date(2026, 4, 17))
    assert [title for title in titles() if "changed" in title] == [
        f"1\u00a0handicap of {fixture.name} changed"
    ]


def put_right(by: Who, at: datetime) -> None:
    """The only figure that is taken, corrected by hand to 13.0."""
    freezing.correct_frozen(
        start=Frozen.objects.get().start,
        value=Decimal("13.0"),
        reason_class="wrong handicap",
        words="Read wrongly.",
        by=by,
        at=at,
    )


def test_a_figure_put_right_by_hand_is_listed_again_for_a_cut_written_later(
    at, machine, secretary: Client
) -> None:
    fixture = saturday()
    secretary.post(address(fixture), sent())
    entry = entered(fixture, index="14.2")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    put_right(machine, at)
    page = reverse("desk:handicaps", args=[fixture.public_id])
    assert secretary.get(page).context["page"].moved == []
    for moment, listed in ((at - timedelta(minutes=5), False), (at + timedelta(minutes=5), True)):
        SocietyCut.objects.create(
            player=entry.player,
            valid_from=date(2026, 4, 2),
            steps='[{"shots":"-2.0","until":"2027-04-02"}]',
            because="Won the Spring Plate.",
            at=moment,
            by=BY,
        )
        assert bool(secretary.get(page).context["page"].moved) is listed


def keeper_of_handicaps() -> Client:
    client = Client()
    client.force_login(OfficeFactory(role="handicap_secretary").account)
    return client


def test_the_handicap_secretary_is_told_of_changed_figures_until_none_differ(at, machine) -> None:
    fixture = saturday()
    entry = entered(fixture, index="14.2", name="Ida Low")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    page = reverse("desk:handicaps", args=[fixture.public_id])

    def told(*roles: str) -> list[tuple[str, str, str]]:
        officer = replace(machine, account="officer", roles=frozenset(roles))
        found = needs_of(running_fixtures(), officer, at)
        return [(one.words, one.url, one.whose) for one in found if one.title.endswith("changed")]

    assert told("handicap_secretary") == []
    handicap(entry.player, "12.0", valid_from=date(2026, 4, 17))
    assert told("handicap_secretary") == [
        (
            "The figure of Ida Low is another one now. The secretary or the captain takes it over "
            "with a reason, or leaves it as it was taken.",
            page,
            "handicap secretary",
        )
    ]
    assert [words for words, *_ in told(SECRETARY)] == [
        "The figure of Ida Low is another one now. Take it over with a reason, or leave it."
    ]
    # Whoever is both is told once; the scorer and the treasurer are not.
    assert len(told("handicap_secretary", "captain")) == len(told(SECRETARY)) == 1
    assert told("scorer", "treasurer") == []
    freezing.correct_frozen(
        start=Frozen.objects.get().start,
        value=Decimal("12.0"),
        reason_class="wrong handicap",
        words="The record says so.",
        by=machine,
        at=at,
    )
    assert told("handicap_secretary") == told(SECRETARY) == []
    handicap(entry.player, "11.0", valid_from=date(2026, 4, 18))
    # The line is older than the correction: what an officer typed stands.
    assert told("handicap_secretary") == []


def test_several_changed_figures_are_one_sentence_for_each_reader(at, machine) -> None:
    fixture = saturday()
    entries = [entered(fixture, index="14.2", name=name) for name in ("A", "B", "C", "D", "E")]
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    for entry in entries:
        handicap(entry.player, "12.0", valid_from=date(2026, 4, 17))

    def told(role: str) -> list[str]:
        officer = replace(machine, account="officer", roles=frozenset({role}))
        found = needs_of(running_fixtures(), officer, at)
        return [one.words for one in found if one.title.endswith("changed")]

    said = "The figures of A, B, C and 2 more are others now. "
    assert told("captain") == [said + "Take each over with a reason, or leave it."]
    assert told("handicap_secretary") == [
        said + "The secretary or the captain takes each over with a reason, or leaves it as it "
        "was taken."
    ]


def test_changed_figures_are_told_no_more_once_the_fixture_is_final(at, machine) -> None:
    fixture = saturday()
    entry = entered(fixture, index="14.2")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    handicap(entry.player, "12.0", valid_from=date(2026, 4, 17))
    officer = replace(machine, account="officer", roles=frozenset({"handicap_secretary"}))

    def titles() -> list[str]:
        return [one.title for one in needs_of(running_fixtures(), officer, at)]

    assert titles() == [f"1\u00a0handicap of {fixture.name} changed"]
    for state in ("final", "void", "cancelled"):
        Fixture.objects.update(state=state)
        assert titles() == [], state


def test_the_handicap_secretary_reads_the_handicaps_of_a_fixture_and_changes_none(
    society, at, machine
) -> None:
    fixture = saturday()
    entry = entered(fixture, index="14.2")
    late = entered(fixture, index="10.0")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    handicap(entry.player, "12.0", valid_from=date(2026, 4, 17))
    page = reverse("desk:handicaps", args=[fixture.public_id])
    keeper = keeper_of_handicaps()
    answer = keeper.get(page, {"entry": late.public_id})
    html = answer.content.decode()
    assert "Taken at 14.2; it would be 12.0 now." in words(answer.content)
    assert "The secretary or the captain uses the new figure" in words(answer.content)
    assert reverse("desk:record", args=[entry.player.public_id]) in html
    assert "?entry=" not in html
    assert answer.context["form"] is None
    assert 'method="post"' not in html.partition('id="main"')[2].partition("</main>")[0]
    address_ = reverse("desk:handicap_correct", args=[fixture.public_id, entry.public_id])
    assert keeper.post(address_, {"value": "12.0"}).status_code == 403
    links = [label for label, _, _ in answer.context["links"]]
    assert links == ["The day", "Handicaps", "Draw", "Result"]
    Fixture.objects.update(state="final")
    answer = keeper.get(page)
    assert "the secretary or the captain opens it again" in words(answer.content)
    assert reverse("desk:reopen", args=[fixture.public_id]) not in answer.content.decode()


@pytest.mark.parametrize("later", [True, False])
def test_a_figure_put_right_by_hand_is_listed_again_when_a_cut_ends_after_it(
    at, machine, secretary: Client, later: bool
) -> None:
    fixture = saturday()
    secretary.post(address(fixture), sent())
    entry = entered(fixture, index="14.2")
    cut = SocietyCut.objects.create(
        player=entry.player,
        valid_from=date(2026, 4, 2),
        steps='[{"shots":"-2.0","until":"2027-04-02"}]',
        because="first with 40 points",
        at=at - timedelta(days=1),
        by=BY,
    )
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    put_right(machine, at)
    page = reverse("desk:handicaps", args=[fixture.public_id])
    assert secretary.get(page).context["page"].moved == []
    end_cut(
        cut=cut,
        on=date(2026, 4, 10),
        words="The card was wrong.",
        by=machine,
        at=at + timedelta(minutes=5 if later else -5),
    )
    moved = [row.moved for row in secretary.get(page).context["page"].moved]
    assert len(moved) == later
    assert all(one.startswith("Taken at 13.0; it would be 14.2 now. Index 14.2") for one in moved)


def test_the_handicap_secretary_is_led_there_from_the_season_and_members_are_not(
    society, member: Client
) -> None:
    fixture = saturday()
    keeper = Client()
    keeper.force_login(OfficeFactory(role="handicap_secretary").account)
    season = reverse("desk:season_of", args=[fixture.season.public_id])
    assert address(fixture) in keeper.get(season).content.decode()
    assert keeper.get(address(fixture)).status_code == 200
    assert keeper.post(address(fixture), sent()).status_code == 302
    assert address(fixture) not in member.get(season).content.decode()
    assert member.get(address(fixture)).status_code == 403
