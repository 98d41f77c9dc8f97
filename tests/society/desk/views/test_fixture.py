"""One fixture: what everyone reads, and the officer's form with its two versions."""

from datetime import date, time, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from society.entries.actions.drawing import make_draw, publish_draw
from society.entries.actions.entering import enter
from society.entries.models import Start
from society.entries.rules.draw import DrawMethod
from society.fixtures.bridge import plan_of
from society.fixtures.models import Fixture, Round
from society.fixtures.rules import StartKind
from tests.factories.courses import add_category, rated_tee
from tests.factories.entries import entered
from tests.factories.fixtures import SeasonFactory, saturday
from tests.factories.members import PlayerFactory

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _clock(at):
    with time_machine.travel(at, tick=False):
        yield


def text(response):
    return " ".join(response.content.decode().split())


def address(fixture, what=""):
    return f"/fixtures/{fixture.public_id}/{what}"


class TestFixture:
    def test_says_day_course_tees_terms_and_dates(self, member, at):
        fixture = saturday(
            name="Lantern Plate", places=28, entries_close_at=at + timedelta(days=1), about="Soup."
        )
        page = text(member.get(address(fixture)))
        assert "Saturday 18 April 2026, from 09:30, a group every 8 minutes" in page
        # Sums of the test course by hand: par 72; eighteen holes of 300 yards are 5400.
        assert "tee for men: par 72" in page
        assert "5400</span> yards" in page
        assert "95% of the Course Handicap" in page
        assert "Ties are settled by countback on holes" in page
        assert "10–18" in page
        assert "Soup." in page
        assert page.index("Entries close") < page.index("First tee time</b>")

    def test_entries_closed_by_hand_have_no_later_closing(self, member, at):
        later = at + timedelta(days=1)
        open_page = text(member.get(address(saturday(entries_close_at=later))))
        assert "Members enter and withdraw until then." in open_page
        closed = saturday(entries_close_at=later, state="closed")
        page = text(member.get(address(closed)))
        assert "Members enter and withdraw until then." not in page
        past = saturday(entries_close_at=at - timedelta(days=1), state="closed")
        assert "Entries closed</b>" in text(member.get(address(past)))

    def test_carries_the_usual_cautions(self, member):
        page = text(member.get(address(saturday())))
        assert "knows nothing of the weather" in page
        assert "no official index" in page
        assert "amateur status" in page

    def test_lists_who_is_in_by_surname_and_who_waits(self, member, player, machine, at):
        fixture = saturday(places=2)
        entered(fixture, name="Ada Zephyr", index="3.4")
        entered(fixture, name="Zoe Abbot", index=None)
        enter(fixture=fixture, player=player, by=machine, at=at)
        page = text(member.get(address(fixture)))
        assert page.index("Zoe Abbot") < page.index("Ada Zephyr")
        assert "3.4" in page
        assert "no handicap" in page
        assert "Waiting list" in page
        assert "You, Ivo Marrable" in page

    def test_a_guest_is_shown_with_the_host(self, member, player, machine, at):
        fixture = saturday()
        guest = PlayerFactory(name="Percy Bluntspoon", kind="guest")
        enter(fixture=fixture, player=guest, host=player, by=machine, at=at)
        assert "guest of Ivo Marrable" in text(member.get(address(fixture)))

    def test_enter_and_withdraw_by_plain_forms(self, member, player):
        fixture = saturday()
        member.post(address(fixture, "enter/"), {"player": player.public_id})
        page = text(member.get(address(fixture)))
        assert "You are in" in page
        assert address(fixture, "withdraw/") in page

    def test_a_cancelled_fixture_says_so(self, member):
        assert "Cancelled" in text(member.get(address(saturday(state="cancelled"))))

    def test_only_officers_see_the_way_to_the_steps(self, member, scorer):
        fixture = saturday()
        assert "/steps/" not in text(member.get(address(fixture)))
        assert "/steps/" in text(scorer.get(address(fixture)))

    def test_not_there_and_wrong_method(self, member):
        assert member.get("/fixtures/nosuchthing22/").status_code == 404
        assert member.post(address(saturday())).status_code == 405

    def test_the_number_of_queries_does_not_grow(self, member):
        fixture, counts = saturday(), []
        for wanted in (1, 3):
            while fixture.entries.count() < wanted:
                entered(fixture)
            with CaptureQueriesContext(connection) as queries:
                member.get(address(fixture))
            counts.append(len(queries))
        assert counts[0] == counts[1]


def sent(fixture, **changes):
    """What the change form sends when nothing but `changes` was touched."""
    plan = plan_of(fixture)
    data = {
        "name": plan.name,
        "day": plan.day.isoformat(),
        "holes": "18",
        "first_time": "09:30",
        "interval": "8",
        "group_size": "4",
        "places": "",
        "guests_welcome": "on",
        "fees": "",
        "about": "",
        "counts_for_merit": "on",
        "format": "stableford",
        "basis": "net",
        "allowance": "95",
        "maximum_kind": "net_double_bogey",
        "points": "",
        "countback": "10-18, 13-18, 16-18, 18",
        "countback_holes": "card",
        "handicap_share": "exact",
        "after_countback": "share",
        "different_par": "on",
        "tee_men": plan.tees["men"].public_id,
        "words": "",
        "edited": str(fixture.edited),
    }
    data |= changes
    return {key: value for key, value in data.items() if value is not None}


class TestFixtureChange:
    def test_the_form_shows_how_things_stand(self, secretary):
        fixture = saturday(places=28)
        page = text(secretary.get(address(fixture, "change/")))
        assert 'name="edited" value="0"' in page
        assert 'value="2026-04-18"' in page  # the only spelling a browser's date field takes
        assert 'value="09:30"' in page
        assert 'value="28"' in page
        assert 'value="10-18, 13-18, 16-18, 18, 4-9, 7-9, 9"' in page

    def test_saving_changes_the_fixture(self, secretary):
        fixture = saturday()
        answer = secretary.post(
            address(fixture, "change/"), sent(fixture, places="20", first_time="10:00")
        )
        assert answer.status_code == 302
        fixture.refresh_from_db()
        assert (fixture.places, fixture.edited) == (20, 1)
        assert Round.objects.get().first_time == time(10, 0)

    def test_more_places_move_the_first_waiting_in(self, secretary):
        fixture = saturday(places=1)
        entered(fixture)
        entered(fixture, name="Hilda Nightjug", step="waiting")
        answer = secretary.post(address(fixture, "change/"), sent(fixture, places="2"), follow=True)
        assert "From the waiting list now in: Hilda Nightjug." in text(answer)

    @pytest.mark.parametrize(
        ("changes", "field", "words"),
        [
            ({"allowance": "101"}, "allowance", "a percentage from 0 to 100"),
            ({"allowance": "-1"}, "allowance", "a percentage from 0 to 100"),
            ({"allowance": "1e999"}, "allowance", "a percentage from 0 to 100"),
            ({"maximum_playing_handicap": "101"}, "maximum_playing_handicap", "0 to 100"),
            ({"countback": "10-18, 9-4"}, "countback", "Number 2: Write ranges"),
            ({"countback": "10-18 10-18"}, "countback", "none twice"),
            ({"basis": "gross", "after_countback": "lower_handicap"}, "after_countback", "gross"),
            (
                {"format": "maximum_score", "maximum_kind": "over_par", "maximum_number": ""},
                "maximum_number",
                "Strokes over par: 0 to 20",
            ),
            (
                {"format": "modified_stableford", "points": "-1 2\n1 0\nnone 0"},
                "points",
                "without a gap",
            ),
            ({"format": "modified_stableford", "points": "birdie 2"}, "points", "no step"),
            ({"format": "modified_stableford", "points": "0 1\n0 2\nnone 0"}, "points", "twice"),
            ({"tee_men": ""}, "tee_men", "Choose a tee"),
            ({"day": "2030-01-01"}, "day", "outside the season"),
            ({"fees": "Soup and a roll"}, "fees", "amount"),
            ({"day": "2026-04-25"}, "words", "why the day moves"),
        ],
    )
    def test_what_is_wrong_stands_beside_its_field(self, secretary, changes, field, words):
        fixture = saturday()
        answer = secretary.post(address(fixture, "change/"), sent(fixture, **changes))
        assert answer.status_code == 422
        assert words in " ".join(answer.context["form"].errors[field])
        assert f'id="id_{field}_error"' in text(answer)
        assert Fixture.objects.get().edited == 0

    @pytest.mark.parametrize(
        ("changes", "terms"),
        [
            (
                {"format": "maximum_score", "maximum_kind": "times_par", "maximum_number": "2"},
                {"maximum_hole_score": {"kind": "times_par", "times": 2}},
            ),
            (
                {"format": "modified_stableford", "points": "−1 2\n0: 0\n1 -1\nnone -3"},
                {"points": {"-1": 2, "0": 0, "1": -1, "none": -3}},
            ),
            ({"countback": ""}, {"countback": []}),
            ({"countback": "10–18; 18"}, {"countback": ["10-18", "18"]}),
            ({"maximum_playing_handicap": "28"}, {"maximum_playing_handicap": 28}),
            ({"format": "medal", "different_par": None}, {"different_par": False}),
            ({"format": "medal", "handicap_share": "rounded"}, {"handicap_share": "rounded"}),
            ({"countback_holes": "played"}, {"countback_holes": "played"}),
        ],
    )
    def test_every_setting_reaches_the_terms(self, secretary, changes, terms):
        fixture = saturday()
        answer = secretary.post(address(fixture, "change/"), sent(fixture, **changes))
        assert answer.status_code == 302
        assert terms.items() <= plan_of(fixture).terms.items()

    def test_a_stale_form_shows_both_versions_and_saves_neither(self, secretary, captain):
        fixture = saturday(places=20)
        mine = sent(fixture, places="28", name="My Plate")
        captain.post(address(fixture, "change/"), sent(fixture, places="24"))
        answer = secretary.post(address(fixture, "change/"), mine)
        page = text(answer)
        assert answer.status_code == 409
        assert [one.name for one in answer.context["differences"]] == ["name", "places"]
        assert 'Now: </span><b class="num">24</b>' in page
        assert 'Yours: </span><b class="num">28</b>' in page
        fixture.refresh_from_db()
        assert (fixture.places, fixture.edited) == (24, 1)

    def test_a_choice_for_each_line_is_saved(self, secretary, captain):
        fixture = saturday(places=20)
        mine = sent(fixture, places="28", name="My Plate")
        captain.post(address(fixture, "change/"), sent(fixture, places="24"))
        answer = secretary.post(address(fixture, "change/"), mine)
        again = dict(answer.context["hidden"]) | {"take-places": "theirs", "take-name": "mine"}
        assert secretary.post(address(fixture, "change/"), again).status_code == 302
        fixture.refresh_from_db()
        assert (fixture.places, fixture.name, fixture.edited) == (24, "My Plate", 2)

    def test_another_course_is_opened_by_its_address(self, secretary):
        fixture, other = saturday(), rated_tee(name="Yellow")
        change = address(fixture, f"change/?course={other.course.public_id}")
        assert "Yellow, par 72" in text(secretary.get(change))
        data = sent(fixture, tee_men=other.public_id)
        assert secretary.post(change, data).status_code == 302
        assert plan_of(fixture).course == other.course

    def test_a_tee_for_each_category_the_course_has(self, secretary):
        tee = rated_tee()
        add_category(tee)
        fixture = saturday(tee=tee)
        secretary.post(address(fixture, "change/"), sent(fixture, tee_women=tee.public_id))
        assert set(plan_of(fixture).tees) == {"men", "women"}

    def test_an_ended_fixture_answers_409_with_the_form(self, secretary):
        fixture = saturday(state="final")
        answer = secretary.post(address(fixture, "change/"), sent(fixture, name="X"))
        assert answer.status_code == 409
        assert "This fixture is final." in text(answer)

    def test_after_handicaps_a_change_of_terms_says_whose_figures_move(
        self, secretary, machine, at
    ):
        from society.entries.actions.freezing import take_handicaps

        fixture = saturday()
        entered(fixture, name="Etta Pudlark", index="20.0")
        take_handicaps(fixture=fixture, by=machine, at=at)
        change = address(fixture, "change/")
        # Index 20.0, slope 120, rating 70.1, par 72: 20 × 120/113 − 1.9 = 19.339.
        # 95 % is 18.37 → 18; 50 % is 9.67 → 10 (Rules of Handicapping, Rules 6.1 and 6.2).
        answer = secretary.post(change, sent(fixture, allowance="50"))
        assert answer.status_code == 422
        answer = secretary.post(
            change, sent(fixture, allowance="50", words="Typed wrongly"), follow=True
        )
        assert "Whose figures move: Etta Pudlark 18 → 10." in text(answer)

    @pytest.mark.parametrize("who", ["member", "scorer", "outsider"])
    def test_for_organisers_only(self, who, request):
        client = request.getfixturevalue(who)
        fixture = saturday()
        for answer in (
            client.get(address(fixture, "change/")),
            client.post(address(fixture, "change/"), sent(fixture)),
        ):
            assert answer.status_code == 403


def test_the_next_date_is_marked(member, at):
    fixture = saturday(
        starts_on=date(2026, 5, 2),
        entries_open_at=at - timedelta(days=3),
        entries_close_at=at + timedelta(days=3),
    )
    page = member.get(address(fixture)).context["page"]
    assert [(one.title, one.kind) for one in page.dates] == [
        ("Entries opened", "past"),
        ("Entries close", "next"),
        ("First tee time", "later"),
    ]


def test_where_groups_begin_on_several_holes_ones_own_is_said(member, player, machine, at):
    season = SeasonFactory(name="2026")
    fixture = saturday(season=season, state="closed")
    enter(fixture=fixture, player=player, by=machine, at=at)
    for _ in range(5):
        enter(fixture=fixture, player=PlayerFactory(), by=machine, at=at)
    make_draw(fixture=fixture, method=DrawMethod.RANDOM, start=StartKind.SHOTGUN, by=machine, at=at)
    publish_draw(fixture=fixture, by=machine, at=at)
    hole = Start.objects.get(entry__player=player).first_hole
    said = f'on hole <span class="num">{hole}</span>'
    assert said in text(member.get(address(fixture)))
    assert said in text(member.get("/"))
