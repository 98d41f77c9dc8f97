"""A day that was scored elsewhere is brought in from its event document, all of it or nothing."""

import uuid
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from scoring.cards.actions.submit import submit_card
from scoring.cards.rules.words import Channel, Record
from scoring.results.actions.ruling import bring_in_rulings
from scoring.results.actions.sealing import seal
from scoring.results.bridge import event_document
from scoring.rules.event import read_event
from scoring.rules.strict_json import inside, read_json
from scoring.rules.values import INDIVIDUAL, Category, HandicapKind
from society.audit.actions import deed
from society.courses.actions import keep_course
from society.courses.models import Course, Tee
from society.courses.queries import course_card
from society.courses.rules import CardData, CourseData, RatedHoles, RatingData, TeeData
from society.desk.actions.scores import tell_scores
from society.desk.queries.event_in import (
    Document,
    Unsettled,
    Whom,
    same_event,
    what_is_kept,
    whom_is_meant,
)
from society.entries.actions.bringing import Coming, bring_in_field
from society.fixtures.actions.planning import plan_fixture
from society.fixtures.actions.seasons import start_season
from society.fixtures.actions.states import move_state
from society.fixtures.models import Fixture, Season
from society.fixtures.queries import the_competition
from society.fixtures.rules import FixtureState
from society.handicaps.rules.figures import checked
from society.members.actions.players import add_player
from society.members.models import Player
from society.members.queries import officers_to_seal, the_society
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import KEEPERS, Who

__all__ = ["Unsettled"]

_KINDS = {
    "handicap_index": HandicapKind.INDEX,
    "course_handicap": HandicapKind.COURSE,
    "playing_handicap": HandicapKind.PLAYING,
}


class NotCarried(BadInput):
    """Something in the document that is not kept here; the words begin with its place."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the one who brings a day in says beside the document.

    `season`, `course`: names; "" lets the season be found by the day or made, and a course be
    made of the document's tees. `tees`: what a tee of the document is called on the course.
    `match`: key → number, e-mail or public id of a player; `new`: keys of new players, or "all".
    `categories`: key → category of a new player; under "" for all others. `final`: seal it.
    """

    season: str = ""
    course: str = ""
    tees: Mapping[str, str] = field(default_factory=dict)
    match: Mapping[str, str] = field(default_factory=dict)
    new: frozenset[str] = frozenset()
    categories: Mapping[str, str] = field(default_factory=dict)
    final: bool = False


@dataclass(frozen=True, slots=True)
class Brought:
    """What came of it. `unchanged`: the same day stands already, and nothing was written."""

    fixture: Fixture
    matched: Sequence[Player] = ()
    made: Sequence[Player] = ()
    unchanged: bool = False


def bring_event_in(*, data: bytes, wanted: Wanted, by: Who, at: datetime) -> Brought:
    """A fixture with everything the document says: field, cards, rulings; sealed if wanted.

    Raises the engine's Refused for a bad document, NotCarried, Unsettled where it is not sure
    who is meant, and BadInput, WrongState, NotYours of the deeds it is made of.
    """
    if not by.may(KEEPERS):
        raise NotYours("Only the secretary brings a day in.")
    content = read_json(data)
    event = read_event(content)
    if event.terms.format not in INDIVIDUAL:
        raise NotCarried(
            f"terms.format: {event.terms.format.value} is played in sides, and sides are not "
            "brought in yet; score FILE scores the document as it is"
        )
    document = Document(content, event)
    _refuse_what_is_not_kept(document)
    society = the_society()
    about = f"society:{society.public_id if society else ''}"
    with deed(by=by, at=at, what="day brought in", about=about) as d:
        if there := same_event(document):
            return Brought(there, unchanged=True)
        people = whom_is_meant(document, wanted.match, wanted.new, wanted.categories)
        players = {key: _player(whom, by, at) for key, whom in people.items()}
        fixture = _fixture(document, wanted, players, by, at)
        _score(document, fixture, players, wanted, by, at)
        if wanted.final:
            _refuse_what_two_must_seal()
            seal(competition=the_competition(fixture), by=by, at=at)
            tell_scores(d, fixture)
            move_state(fixture=fixture, to=FixtureState.FINAL, by=by, at=at)
        _refuse_if_different(document, fixture)
    return Brought(
        fixture,
        matched=[players[key] for key, whom in people.items() if whom.player],
        made=[players[key] for key, whom in people.items() if not whom.player],
    )


def _refuse_what_two_must_seal() -> None:
    """One command is one pair of eyes: where two officers seal, it brings in and stops there."""
    if officers_to_seal() > 1:
        raise WrongState(
            "Two officers seal results here, and a command is not two officers. Bring the day in "
            "without --final; the two make it final on its page."
        )


# what is not kept here ----------------------------------------------------------------------

_LONGEST_KEY = 40  # letters of a tee's key
_LONGEST_NAME = 100  # of players and fixtures


def _refuse_what_is_not_kept(document: Document) -> None:
    for key in document.tees:
        if len(key) > _LONGEST_KEY:
            place = inside("tees", key)
            raise NotCarried(f"{place}: a key of a tee has at most {_LONGEST_KEY} letters here")
    for key, player in document.players.items():
        place = inside("players", key)
        if len(player["name"]) > _LONGEST_NAME:
            raise NotCarried(f"{place}.name: a name has at most {_LONGEST_NAME} letters here")
        name, kind = _handicap_name(player)
        if kind is not None:
            try:
                checked(Decimal(player[name]), kind)
            except ValueError as wrong:
                raise NotCarried(f"{inside(place, name)}: {wrong}") from wrong


def _handicap_name(player: Mapping[str, Any]) -> tuple[str, HandicapKind | None]:
    return next(((name, kind) for name, kind in _KINDS.items() if name in player), ("", None))


def _refuse_if_different(document: Document, fixture: Fixture) -> None:
    """What came in must be what goes out, or nothing comes in."""
    out = read_event(event_document(the_competition(fixture)))
    if what_is_kept(out) != what_is_kept(document.event):
        raise NotCarried("file: not everything in it can be kept here, so nothing was brought in")


# players, season, course --------------------------------------------------------------------


def _player(whom: Whom, by: Who, at: datetime) -> Player:
    if whom.player:
        return whom.player
    return add_player(kind="member", name=whom.name, category=whom.category, by=by, at=at)


def _season(document: Document, name: str, by: Who, at: datetime) -> Season:
    day = document.event.on
    if name:
        found = Season.objects.filter(name__iexact=name).first()
    else:
        found = Season.objects.filter(starts_on__lte=day, ends_on__gte=day).order_by("pk").first()
    if found:
        return found
    return start_season(
        name=name or str(day.year),
        starts_on=date(day.year, 1, 1),
        ends_on=date(day.year, 12, 31),
        by=by,
        at=at,
    )


def _fixture(
    document: Document, wanted: Wanted, players: Mapping[str, Player], by: Who, at: datetime
) -> Fixture:
    season = _season(document, wanted.season, by, at)
    course = _course(document, wanted, players, by, at)
    tees = _tees(document, wanted, players, course)
    counted = Counter((players[key].category, tee) for key, tee in tees.items())
    usual = {category: tee for (category, tee), _ in reversed(counted.most_common())}
    fixture = plan_fixture(
        season=season,
        name=document.event.name,
        day=document.event.on,
        course=course,
        tees=usual,
        terms=document.terms,
        holes=document.holes.value,
        by=by,
        at=at,
    )
    field = [
        _coming(document, key, players[key], tees[key], document.holes) for key in document.players
    ]
    bring_in_field(fixture=fixture, field=field, by=by, at=at)
    return fixture


def _course(
    document: Document, wanted: Wanted, players: Mapping[str, Player], by: Who, at: datetime
) -> Course:
    """The course that is named, else one made of the tees as they are played off."""
    name = wanted.course or f"Course of {document.event.name}"
    if found := Course.objects.filter(name__iexact=name).first():
        return found
    cards: dict[str, dict[str, CardData]] = {}
    for key, player in document.players.items():
        category = Category(players[key].category)
        card = _card(document, player["tee"], category)
        called = wanted.tees.get(player["tee"], player["tee"])
        if cards.setdefault(called, {}).setdefault(category, card) != card:
            raise BadInput(
                f"{inside('tees', player['tee'])}: two tees called {called} have other figures; "
                "say --tee KEY=NAME to tell them apart"
            )
    tees = tuple(TeeData(called, tuple(found.values())) for called, found in cards.items())
    data = CourseData(name=name, holes=document.holes.count, tees=tees)
    return keep_course(data=data, by=by, at=at)


def _card(document: Document, tee: str, category: Category) -> CardData:
    said = document.tees[tee]
    rated = "course_rating" in said and "slope_rating" in said
    rating = (
        RatingData(
            document.holes,
            Decimal(said["course_rating"]),
            said["slope_rating"],
            document.event.on,
        )
        if rated
        else None
    )
    return CardData(
        category,
        tuple(said["par"]),
        tuple(said["stroke_index"]),
        ratings=(rating,) if rating else (),
    )


def _tees(
    document: Document, wanted: Wanted, players: Mapping[str, Player], course: Course
) -> dict[str, Tee]:
    """Each player's tee of the course: of that name, else the only one with those figures."""
    found: dict[tuple[str, str], Tee] = {}
    listed = list(course.tees.order_by("pk"))
    for key, player in document.players.items():
        place = (player["tee"], players[key].category)
        if place not in found:
            found[place] = _tee(document, *place, wanted, course, listed)
    return {
        key: found[player["tee"], players[key].category] for key, player in document.players.items()
    }


def _tee(
    document: Document,
    key: str,
    category: str,
    wanted: Wanted,
    course: Course,
    listed: Sequence[Tee],
) -> Tee:
    called = wanted.tees.get(key, key)
    named = [tee for tee in listed if tee.name.casefold() == called.casefold()]
    fitting = [tee for tee in named or listed if _fits(document, key, category, tee)]
    if len(fitting) == 1:
        return fitting[0]
    place = inside("tees", key)
    if named or key in wanted.tees:
        raise BadInput(
            f"{place}: the tee {called} of {course.name} has other figures for {category} "
            f"on {document.event.on}, or no card for {category}"
        )
    names = ", ".join(tee.name for tee in listed)
    raise BadInput(
        f"{place}: say which tee of {course.name} it is: --tee {key}=NAME, one of {names}"
    )


def _fits(document: Document, key: str, category: str, tee: Tee) -> bool:
    said = document.tees[key]
    try:
        card = course_card(tee, category, document.holes, document.event.on)
    except BadInput:
        return False
    rated = "course_rating" in said and "slope_rating" in said
    rating = (Decimal(said["course_rating"]), said["slope_rating"]) if rated else (None, None)
    return (card["par"], card["stroke_index"]) == (said["par"], said["stroke_index"]) and (
        card["course_rating"],
        card["slope_rating"],
    ) == rating


# the day ------------------------------------------------------------------------------------


def _coming(document: Document, key: str, player: Player, tee: Tee, holes: RatedHoles) -> Coming:
    said = document.players[key]
    name, kind = _handicap_name(said)
    return Coming(
        key=key,
        player=player,
        tee=tee,
        card=said["tee"],
        kind=kind or HandicapKind.PLAYING,
        value=Decimal(said[name]) if kind else None,
        divisions=said.get("divisions", []),
        first_hole=holes.numbers[said.get("first_hole", 1) - 1],
    )


def _score(
    document: Document,
    fixture: Fixture,
    players: Mapping[str, Player],
    wanted: Wanted,
    by: Who,
    at: datetime,
) -> None:
    """Cards as the committee's record, then the rulings; after that no player's card counts."""
    starts = {
        start.entry.key: start
        for round_ in fixture.rounds.all()
        for start in round_.starts.select_related("entry__player", "round__fixture", "marker")
    }
    for key in document.players:
        if key in document.cards:
            submit_card(
                card_of=starts[key],
                record=Record.COMMITTEE,
                uuid=uuid.uuid4(),
                parent_uuid=None,
                strokes=[hole if isinstance(hole, int) else None for hole in document.cards[key]],
                channel=Channel.PAPER,
                by=by,
                at=at,
            )
    if rulings := document.content.get("rulings"):
        bring_in_rulings(competition=the_competition(fixture), said=rulings, by=by, at=at)
    move_state(fixture=fixture, to=FixtureState.REVIEWING, by=by, at=at)
