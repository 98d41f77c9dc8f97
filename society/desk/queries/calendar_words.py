"""The plan of a fixture in plain sentences: all of it for a new one, what differs for another."""

from collections.abc import Callable, Mapping
from datetime import date, datetime, time
from typing import Any

from society.courses.rules import RatedHoles
from society.fixtures.bridge import Plan, full_terms, write_terms
from society.fixtures.models import Fixture
from society.fixtures.queries import competitions_of, terms_sentences_of
from society.fixtures.rules import FORMAT_NAMES, PRESETS
from society.web.templatetags.look import clock, day_clock, day_long, money

HOLES_WORDS = {"18": "eighteen holes", "first 9": "the first nine", "second 9": "the second nine"}


def day_of_week(day: date) -> str:
    """Saturday 10 October 2026."""
    return day_long(day, "year")


def terms_name(plan: Plan) -> str:
    """The name of the preset that a plan's terms are, or of their format alone."""
    holes = RatedHoles(plan.holes)
    stand = full_terms(write_terms(plan.terms, holes), holes)
    for preset in PRESETS:
        if full_terms(write_terms(preset.terms, holes), holes) == stand:
            return preset.name
    return FORMAT_NAMES[stand.format]


def plan_words(plan: Plan, currency: str) -> list[str]:
    """What will be planned, in a few sentences."""
    words = [
        f"{day_of_week(plan.day)}, {plan.course.name}.",
        f"{terms_name(plan)}, {HOLES_WORDS[plan.holes]}, {_tees(plan.tees)}.",
    ]
    first = f"First tee time {clock(plan.first_time)}" if plan.first_time else "No first tee time"
    start = f", {plan.start}" if plan.start not in (None, "one tee") else ""
    places = f"{plan.places} places" if plan.places else "no limit of places"
    guests = "guests welcome" if plan.guests_welcome else "members only"
    words.append(f"{first}{start}, every {plan.interval} minutes; {places}; {guests}.")
    dates = [
        f"{what} {day_clock(moment)}"
        for what, moment in (("open", plan.entries_open_at), ("close", plan.entries_close_at))
        if moment
    ]
    if dates:
        words.append(f"Entries {', '.join(dates)}.")
    if plan.fees:
        words.append(f"{_fees(plan.fees, currency)}.")
    if not plan.counts_for_merit:
        words.append("Does not count for the order of merit.")
    return words


def further_words(fixture: Fixture) -> list[str]:
    """What a copy of a fixture is played for besides: a sentence for each further competition."""
    return [
        f"Also {competition.name}, for {competition.takes_part}: "
        + " ".join(terms_sentences_of(competition))
        for competition in competitions_of(fixture)[1:]
    ]


def changes_words(old: Plan, new: Plan, currency: str) -> list[str]:
    """A sentence for each thing that differs: "Places: 28 becomes 24."."""
    before, after = old.values(), new.values()
    words = []
    for key, shown in _SHOWN.items():
        if before.get(key) == after.get(key):
            continue
        label, show = shown
        words.append(f"{label}: {show(old, currency)} becomes {show(new, currency)}.")
    more = sorted(key for key in after if key not in _SHOWN and before.get(key) != after[key])
    return words + [f"{key.replace('_', ' ').capitalize()} changes too." for key in more]


def _tees(tees: Mapping[str, Any]) -> str:
    return ", ".join(f"{category} {tee.name}" for category, tee in sorted(tees.items()))


def _fees(fees: tuple[tuple[str, int, str], ...], currency: str) -> str:
    shown = [
        f"{name} {money(amount, currency)}" + ("" if who == "everybody" else f" ({who})")
        for name, amount, who in fees
    ]
    return ", ".join(shown) or "nothing"


def _moment(moment: datetime | None) -> str:
    return day_clock(moment) if moment else "nothing"


def _hour(hour: time | None) -> str:
    return clock(hour) if hour else "nothing"


def _yes(said: bool) -> str:
    return "yes" if said else "no"


_SHOWN: dict[str, tuple[str, Callable[[Plan, str], str]]] = {
    "name": ("Name", lambda plan, _: plan.name),
    "day": ("Day", lambda plan, _: day_of_week(plan.day)),
    "course": ("Course", lambda plan, _: plan.course.name),
    "holes": ("Holes", lambda plan, _: HOLES_WORDS[plan.holes]),
    "tees": ("Tees", lambda plan, _: _tees(plan.tees)),
    "terms": ("Terms", lambda plan, _: terms_name(plan)),
    "first_time": ("First tee time", lambda plan, _: _hour(plan.first_time)),
    "interval": ("Minutes between groups", lambda plan, _: str(plan.interval)),
    "group_size": ("Players in a group", lambda plan, _: str(plan.group_size)),
    "start": ("Start", lambda plan, _: plan.start or "one tee"),
    "places": ("Places", lambda plan, _: str(plan.places or "no limit")),
    "guests_welcome": ("Guests welcome", lambda plan, _: _yes(plan.guests_welcome)),
    "entries_open_at": ("Entries open", lambda plan, _: _moment(plan.entries_open_at)),
    "entries_close_at": ("Entries close", lambda plan, _: _moment(plan.entries_close_at)),
    "free_until": ("Withdrawing freely", lambda plan, _: _moment(plan.free_until)),
    "fees": ("What it costs", lambda plan, currency: _fees(plan.fees, currency)),
    "about": (
        "What members should know",
        lambda plan, _: f"“{plan.about}”" if plan.about else "nothing",
    ),
    "counts_for_merit": (
        "Counts for the order of merit",
        lambda plan, _: _yes(plan.counts_for_merit),
    ),
}
