"""Calendar feeds, read back with a calendar library and held against RFC 5545.

RFC 5545: Internet Calendaring and Scheduling Core Object Specification (iCalendar), September
2009; the section stands beside each check. RFC 7986 (October 2016) adds the calendar's name.
"""

from datetime import UTC, date, datetime, time, timedelta

import pytest
import time_machine
from icalendar import Calendar

from society.entries.actions import drawing
from society.entries.actions.entering import enter, withdraw
from society.entries.models import EntryStep, Start
from society.entries.rules.draw import DrawMethod
from society.fixtures.actions.states import cancel_fixture, open_entries
from society.members.actions.accounts import renew_calendar, stop_calendar
from society.members.models import CalendarLink
from society.members.queries import calendar_secret
from society.web import clock
from society.web.feeds import Happening, calendar_bytes
from society.web.who import Who
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.factories.members import AccountFactory, PlayerFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def account(society):
    ivo = PlayerFactory(name="Ivo Marrable")
    return AccountFactory(name="Ivo Marrable", players=[ivo])


def acts(account) -> Who:
    return Who(account=account.public_id)


@pytest.fixture
def secret(account, at):
    renew_calendar(account=account, by=acts(account), at=at)
    return calendar_secret(account)


def to_come(days: int = 30, **values):
    return saturday(starts_on=clock.now().date() + timedelta(days=days), **values)


def fetch(client, secret, what="own"):
    response = client.get(f"/feeds/{secret}/{what}.ics")
    assert response.status_code == 200
    return response


def events(response) -> dict[str, object]:
    return {str(event["UID"]): event for event in Calendar.from_ical(response.content).events}


def the_one(response, kind: str):
    (found,) = (event for uid, event in events(response).items() if uid.startswith(kind))
    return found


def mine(fixture, account):
    """The account's own player enters, after somebody to play with."""
    entered(fixture, name="Una Quell")
    by, player = Who.command("test"), account.players.get()
    return enter(fixture=fixture, player=player, by=by, at=clock.now())


# the file itself ------------------------------------------------------------------------------


def test_the_feed_is_a_calendar_object_with_what_every_one_must_have(stranger, secret):
    to_come()
    response = fetch(stranger, secret, "society")
    assert response.headers["Content-Type"] == "text/calendar; charset=utf-8"  # section 8.1
    lines = response.content.split(b"\r\n")
    assert b"\n" not in b"".join(lines)  # section 3.1: each line ends with CRLF
    assert all(len(line) <= 75 for line in lines)  # section 3.1: in octets
    assert (lines[0], lines[-2]) == (b"BEGIN:VCALENDAR", b"END:VCALENDAR")  # section 3.4
    calendar = Calendar.from_ical(response.content)
    assert calendar["VERSION"] == "2.0"  # section 3.7.4
    assert calendar["PRODID"].startswith("-//")  # section 3.7.3
    assert str(calendar["NAME"]) == "Testers' Golf Society: fixtures"  # RFC 7986, section 5.1
    for event in calendar.events:
        assert {"UID", "DTSTAMP", "DTSTART"} <= set(event)  # section 3.6.1
        assert not {"DTEND", "DURATION"} <= set(event)  # section 3.6.1: never both


def test_a_long_name_is_folded_and_commas_are_escaped_and_read_back_whole():
    name = "Lantern Plate, “Grête’s” evening; " + "long " * 40
    made = calendar_bytes(
        "x",
        [Happening("a@b", date(2026, 4, 18), date(2026, 4, 18), name, datetime.now(UTC))],
    )
    assert all(len(line) <= 75 for line in made.split(b"\r\n"))  # section 3.1
    assert rb"Plate\, " in made  # section 3.3.11
    assert rb"evening\; " in made
    (event,) = Calendar.from_ical(made).events
    assert str(event["SUMMARY"]) == name


# the society's dates --------------------------------------------------------------------------


def test_the_societys_feed_holds_names_and_days_and_nothing_about_anybody(stranger, secret):
    fixture = to_come(name="Lantern Plate", about="Meet Wilf Tanglewood at the shed")
    entered(fixture, name="Una Quell", email="una@example.org")
    response = fetch(stranger, secret, "society")
    event = the_one(response, "fixture-")
    assert str(event["SUMMARY"]) == "Lantern Plate"
    assert event["DTSTART"].dt == fixture.starts_on
    assert event["DTSTART"].params["VALUE"] == "DATE"  # section 3.3.4
    assert event["DTEND"].dt == fixture.starts_on + timedelta(days=1)  # section 3.6.1: exclusive
    allowed = {"UID", "DTSTAMP", "LAST-MODIFIED", "SEQUENCE", "SUMMARY", "STATUS"}
    assert set(event) == allowed | {"DTSTART", "DTEND", "TRANSP"}
    assert event["TRANSP"] == "TRANSPARENT"  # section 3.8.2.7: nobody is busy for it
    for hidden in (b"Una", b"una@", b"Wilf"):
        assert hidden not in response.content


def test_the_public_feed_is_closed_unless_the_season_is_public(stranger, society):
    to_come(name="Lantern Plate")
    assert stranger.get("/feeds/society.ics").status_code == 404
    society.season_is_public = True
    society.save()
    assert b"Lantern Plate" in stranger.get("/feeds/society.ics").content


# one's own ------------------------------------------------------------------------------------


def test_own_fixture_is_a_day_until_the_draw_and_then_the_tee_time(
    stranger, account, secret, machine, at
):
    fixture = to_come(name="Lantern Plate", state="closed")
    mine(fixture, account)
    before = the_one(fetch(stranger, secret), "entry-")
    assert before["DTSTART"].dt == fixture.starts_on
    assert before["STATUS"] == "CONFIRMED"  # section 3.8.1.11
    now = clock.now()
    drawing.make_draw(fixture=fixture, method=DrawMethod.RANDOM, seed="4", by=machine, at=now)
    assert the_one(fetch(stranger, secret), "entry-")["DTSTART"].dt == fixture.starts_on
    drawing.publish_draw(fixture=fixture, by=machine, at=now)
    after = the_one(fetch(stranger, secret), "entry-")
    assert str(after["SUMMARY"]) == "Lantern Plate, tee time 09:30"
    assert "Group 1." in str(after["DESCRIPTION"])
    assert "You mark the card of Una Quell." in str(after["DESCRIPTION"])
    assert str(after["LOCATION"]) == fixture.rounds.get().course.name
    assert after["UID"] == before["UID"]  # section 3.8.4.7: persistent
    assert after["SEQUENCE"] > before["SEQUENCE"]  # section 3.8.7.4
    assert after["DTSTAMP"].dt >= before["DTSTAMP"].dt  # section 3.8.7.2
    assert after["DTEND"].dt - after["DTSTART"].dt == timedelta(hours=4, minutes=30)


@pytest.mark.parametrize(
    ("day", "moment"),
    [
        # Clocks in Europe/London went to summer time on 29 March 2026 and back on 25 October,
        # by the rule in Directive 2000/84/EC taken up in the UK: last Sundays, at 01:00 UTC.
        (date(2026, 3, 28), datetime(2026, 3, 28, 9, 30, tzinfo=UTC)),
        (date(2026, 3, 29), datetime(2026, 3, 29, 8, 30, tzinfo=UTC)),
        (date(2026, 10, 24), datetime(2026, 10, 24, 8, 30, tzinfo=UTC)),
        (date(2026, 10, 25), datetime(2026, 10, 25, 9, 30, tzinfo=UTC)),
    ],
)
def test_a_tee_time_is_right_on_both_sides_of_a_clock_change(
    stranger, account, secret, day, moment
):
    fixture = saturday(starts_on=day, state="drawn")
    entry = entered(fixture)
    account.players.set([entry.player])
    round_ = fixture.rounds.get()
    tee = round_.tees.get().tee
    Start.objects.create(round=round_, entry=entry, tee=tee, group=1, place=1, time=time(9, 30))
    with time_machine.travel(moment - timedelta(days=3)):
        response = fetch(stranger, secret)
    assert the_one(response, "entry-")["DTSTART"].dt == moment
    raw = f"DTSTART:{moment:%Y%m%dT%H%M%SZ}".encode()
    assert raw in response.content.split(b"\r\n")  # section 3.3.5, form 2: UTC


def test_two_fetches_give_one_text_and_each_deed_raises_the_sequence(
    stranger, account, secret, machine
):
    fixture = to_come(state="planned")
    mine(fixture, account)
    first = fetch(stranger, secret).content
    assert fetch(stranger, secret).content == first
    before = the_one(fetch(stranger, secret), "entry-")
    open_entries(fixture=fixture, by=machine, at=clock.now())
    after = the_one(fetch(stranger, secret), "entry-")
    assert after["SEQUENCE"] == before["SEQUENCE"] + 1  # section 3.8.7.4


def test_a_cancelled_fixture_stays_in_both_feeds_and_says_so(stranger, account, secret, machine):
    fixture = to_come(state="open")
    mine(fixture, account)
    uids = {uid for uid in events(fetch(stranger, secret)) if uid.startswith("entry-")}
    cancel_fixture(fixture=fixture, words="Snow", by=machine, at=clock.now())
    own = the_one(fetch(stranger, secret), "entry-")
    assert own["STATUS"] == "CANCELLED"  # section 3.8.1.11
    assert {str(own["UID"])} == uids
    assert the_one(fetch(stranger, secret, "society"), "fixture-")["STATUS"] == "CANCELLED"


def test_who_withdraws_sees_it_cancelled_and_who_waits_tentative(
    stranger, account, secret, machine
):
    fixture = to_come(state="open", places=1)
    entry = mine(fixture, account)
    waits = the_one(fetch(stranger, secret), "entry-")
    assert (waits["STATUS"], waits["TRANSP"]) == ("TENTATIVE", "TRANSPARENT")
    assert "(waiting list)" in str(waits["SUMMARY"])
    withdraw(entry=entry, by=machine, at=clock.now())
    assert the_one(fetch(stranger, secret), "entry-")["STATUS"] == "CANCELLED"


def test_deadlines_stand_at_their_moment(stranger, account, secret):
    closes = (clock.now() + timedelta(days=20)).replace(microsecond=0)
    fixture = to_come(name="Lantern Plate", state="open", entries_close_at=closes)
    event = the_one(fetch(stranger, secret), "closes-")
    assert str(event["SUMMARY"]) == "Last hour to enter: Lantern Plate"
    assert event["DTSTART"].dt == closes
    assert "DTEND" not in event  # section 3.6.1: it then ends as it begins
    entry = mine(fixture, account)
    assert "withdraw from" in str(the_one(fetch(stranger, secret), "closes-")["SUMMARY"])
    until = closes - timedelta(days=1)
    EntryStep.objects.create(
        entry=entry, kind="offered", until=until, at=clock.now(), by=acts(account).as_json()
    )
    offer = the_one(fetch(stranger, secret), "offer-")
    assert offer["DTSTART"].dt == until


def test_a_couple_sees_whose_event_it_is(stranger, account, secret):
    account.players.add(PlayerFactory(name="Una Quell"))
    fixture = to_come(name="Lantern Plate", state="open")
    mine_of = [
        enter(fixture=fixture, player=player, by=Who.command("test"), at=clock.now())
        for player in account.players.order_by("name")
    ]
    titles = {
        str(event["SUMMARY"])
        for uid, event in events(fetch(stranger, secret)).items()
        if uid.startswith("entry-")
    }
    assert titles == {"Ivo Marrable: Lantern Plate", "Una Quell: Lantern Plate"}
    assert len(mine_of) == 2


def test_nothing_of_others_entries_is_in_it(stranger, account, secret):
    fixture = to_come(state="open")
    entered(fixture, name="Una Quell", email="una@example.org")
    assert b"Una" not in fetch(stranger, secret).content


# the secret -----------------------------------------------------------------------------------


def test_a_new_address_ends_the_old_one_and_it_can_be_ended(stranger, account, secret, at):
    assert fetch(stranger, secret)
    renew_calendar(account=account, by=acts(account), at=at)
    renewed = calendar_secret(account)
    assert renewed != secret
    assert stranger.get(f"/feeds/{secret}/own.ics").status_code == 404
    assert stranger.get(f"/feeds/{secret}/society.ics").status_code == 404
    assert fetch(stranger, renewed)
    stop_calendar(account=account, by=acts(account), at=at)
    assert stranger.get(f"/feeds/{renewed}/own.ics").status_code == 404


def test_a_guessed_address_or_a_deactivated_account_gets_nothing(stranger, account, secret):
    guess = f"{account.public_id}-{'0' * 40}"
    assert stranger.get(f"/feeds/{guess}/own.ics").status_code == 404
    assert stranger.get(f"/feeds/{account.public_id}/own.ics").status_code == 404
    account.is_active = False
    account.save()
    assert stranger.get(f"/feeds/{secret}/own.ics").status_code == 404


def test_the_secret_stands_nowhere_in_the_database(account, secret):
    kept = CalendarLink.objects.get()
    assert kept.salt not in secret
    assert secret.partition("-")[2] not in kept.salt


def test_the_account_page_shows_makes_renews_and_ends_it(member, player):
    account = player.accounts.get()
    assert "Make a calendar address" in member.get("/account/").content.decode()
    assert member.post("/account/calendar/").status_code == 302
    first = calendar_secret(account)
    assert f"/feeds/{first}/own.ics" in member.get("/account/").content.decode()
    member.post("/account/calendar/")
    assert calendar_secret(account) != first
    member.post("/account/calendar/", {"what": "stop"})
    assert calendar_secret(account) == ""
