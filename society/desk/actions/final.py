"""Making a result final: open cards ruled on, every competition sealed, the fixture closed."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from enum import StrEnum

from scoring.results.actions.contests import share_twos
from scoring.results.actions.holding import hold_open
from scoring.results.actions.ruling import rule_all
from scoring.results.actions.sealing import seal
from scoring.results.models import ResultVersion
from scoring.results.queries.standings import final_version
from scoring.results.rules import ACCEPTED
from scoring.rules.values import RulingKind
from society.audit.actions import deed
from society.desk import letters
from society.desk.actions.cuts import tell_cuts
from society.desk.actions.scores import tell_scores
from society.desk.actions.sealing import enough_agree
from society.desk.queries.final import OpenCard, Readiness, readiness, seal_words
from society.entries.actions.entering import mark_absent
from society.entries.models import Entry
from society.fixtures.actions.states import move_state
from society.fixtures.models import Competition, Fixture
from society.fixtures.rules import FixtureState
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import ORGANISERS, Who


class Fate(StrEnum):
    """What becomes of one open card."""

    NO_RETURN = "no return"
    ACCEPT = "accept"
    WITHDRAWN = "withdrawn"
    DISQUALIFIED = "disqualified"
    ABSENT = "absent"


# What is written as kind, rule and reason; Rules of Golf 2023, Rule 3.3b(2) for an unsigned card.
_RULINGS = {
    Fate.NO_RETURN: (RulingKind.NO_RETURN.value, "", "no card when the result was made final"),
    Fate.ACCEPT: (ACCEPTED, "", "not signed or not settled; taken as it is written"),
    Fate.WITHDRAWN: (RulingKind.WITHDRAWN.value, "", "did not finish the round"),
    Fate.DISQUALIFIED: (
        RulingKind.DISQUALIFIED.value,
        "3.3b(2)",
        "the card was not certified and returned",
    ),
}


def make_final(
    *,
    fixture: Fixture,
    no_return: Iterable[str] = (),
    accept: Iterable[str] = (),
    otherwise: Mapping[str, Fate] | None = None,
    witness: str = "",
    by: Who,
    at: datetime,
) -> list[ResultVersion]:
    """Rule on every open card, seal every competition, and close the fixture, in one deed.

    `no_return`, `accept`: public ids of the entries of the two lists; `otherwise` says what else
    becomes of single ones (absent: out of the field). Works from any state once handicaps are
    taken; the steps between are taken with it. The rounds are held before anything is read.
    Where the society wants two officers, the first press keeps what it says and stops the cards,
    and gives no version; the same page pressed by another officer seals.
    Raises NotYours, WrongState, and BadInput where a card is left without a ruling.
    """
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain makes a result final.")
    fates = dict.fromkeys(no_return, Fate.NO_RETURN)
    fates |= dict.fromkeys(accept, Fate.ACCEPT)
    fates |= otherwise or {}
    with deed(by=by, at=at, what="result made final", about=f"fixture:{fixture.public_id}") as d:
        competitions = list(
            Competition.objects.filter(fixture=fixture)
            .select_related("fixture__season")
            .order_by("number")
        )
        for competition in competitions:
            hold_open(competition, by)
        if any(final_version(competition) for competition in competitions):
            raise WrongState("This result was opened again. Its own page seals it again.")
        mark_absent_of(fixture, fates, by, at)
        befores = _with_a_field([readiness(one, by, at) for one in competitions])
        for before in befores:
            rule_on_open(before, fates, witness, by, at)
        if not enough_agree(d, fixture, by):
            _stop_cards(fixture, by, at)
            return []
        versions = [
            seal(competition=before.competition, words=seal_words(before), by=by, at=at)
            for before in befores
        ]
        tell_scores(d, fixture)
        tell_cuts(d, fixture, versions)
        share_twos(fixture=fixture, by=by, at=at)
        move_state(fixture=fixture, to=FixtureState.FINAL, by=by, at=at)
        if all(version.number == 1 for version in versions):
            letters.result_out(d, fixture)
    return versions


def _with_a_field(befores: list[Readiness]) -> list[Readiness]:
    """Of several competitions those that somebody is in: guests may have a prize, and none come."""
    found = [before for before in befores if before.field_size] if len(befores) > 1 else befores
    if not found:
        raise WrongState("Nobody is in the field.")
    return found


def _stop_cards(fixture: Fixture, by: Who, at: datetime) -> None:
    """While another officer looks, no figures slip in: they are kept beside their cards."""
    state = Fixture.objects.filter(pk=fixture.pk).values_list("state", flat=True).first()
    if state != FixtureState.REVIEWING.value:
        move_state(fixture=fixture, to=FixtureState.REVIEWING, by=by, at=at)


def mark_absent_of(fixture: Fixture, fates: Mapping[str, Fate], by: Who, at: datetime) -> None:
    """Whoever did not turn up leaves the field, inside a deed."""
    gone = [entry for entry, fate in fates.items() if fate is Fate.ABSENT]
    rows = Entry.objects.filter(fixture=fixture, public_id__in=gone)
    for entry in rows.select_related("player", "fixture"):
        mark_absent(entry=entry, words="did not turn up", by=by, at=at)


def rule_on_open(
    before: Readiness, fates: Mapping[str, Fate], witness: str, by: Who, at: datetime
) -> None:
    """Each open card gets its ruling, each kind in one go."""
    waiting = (*before.out, *before.unsettled)
    missing = [card.name for card in waiting if card.entry not in fates]
    if missing:
        raise BadInput(
            f"Say what becomes of the card of {_names(missing)}: the cards may have changed "
            "since you opened this page."
        )
    if wrong := [c.name for c in before.out if fates[c.entry] is Fate.ACCEPT]:
        raise WrongState(f"{_names(wrong)} has no card to accept.")
    for fate, (kind, rule, words) in _RULINGS.items():
        entries = _entries(before, [card for card in waiting if fates[card.entry] is fate])
        if not entries:
            continue
        mine = [entry for entry in entries if by.is_player(entry.player.public_id)]
        others = [entry for entry in entries if entry not in mine]
        for group in (others, mine):
            if group:
                rule_all(
                    competition=before.competition,
                    kind=kind,
                    entries=group,
                    rule=rule,
                    words=words,
                    witness=witness,
                    by=by,
                    at=at,
                )


def _entries(before: Readiness, cards: Iterable[OpenCard]) -> list[Entry]:
    ids = [card.entry for card in cards]
    rows = Entry.objects.filter(fixture=before.competition.fixture, public_id__in=ids)
    return list(rows.select_related("player").order_by("pk"))


def _names(names: Iterable[str]) -> str:
    listed = list(names)
    if len(listed) < 2:
        return "".join(listed)
    return f"{', '.join(listed[:-1])} and {listed[-1]}"
