"""Whose entry someone may run or leave: found within its fixture, so a wrong pair is not there."""

from django.db.models import Q

from society.entries.models import Entry, Start
from society.entries.rules.words import Step
from society.fixtures.models import Fixture
from society.members.models import Player
from society.web.refusals import BadInput, Missing, NotYours
from society.web.who import ORGANISERS, TREASURER, Who

RECORD_READERS = ORGANISERS | {TREASURER}  # of late withdrawals and no-shows


def entry_to_run(who: Who, fixture: Fixture, public_id: str) -> Entry:
    """An entry of this fixture, for the organisers. Raises Missing, NotYours."""
    found = (
        Entry.objects.filter(fixture=fixture, public_id=public_id)
        .with_step()
        .select_related("player", "host", "fixture__season")
        .first()
    )
    if found is None:
        raise Missing("There is no such entry in this fixture.")
    if not who.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain can do that.")
    return found


def start_to_run(who: Who, fixture: Fixture, entry_id: str) -> Start:
    """The start of an entry in this fixture, for the organisers. Raises Missing, NotYours."""
    entry = entry_to_run(who, fixture, entry_id)
    found = (
        Start.objects.filter(entry=entry, round__number=1)
        .select_related("entry__player", "entry__fixture__season", "round", "tee")
        .first()
    )
    if found is None:
        raise Missing("No handicap is taken for this entry yet.")
    return found


def own_player(who: Who, public_id: str) -> Player:
    """The player an account enters: the one named, or its only one. Raises Missing, BadInput."""
    if not public_id and len(who.players) > 1:
        raise BadInput("Say which of your players you mean.", field="player")
    wanted = public_id or next(iter(who.players), "")
    found = Player.objects.filter(public_id=wanted).first() if who.is_player(wanted) else None
    if found is None:
        raise Missing("Your account does not act for that player.")
    return found


def entry_to_answer(who: Who, fixture: Fixture, public_id: str) -> Entry:
    """An entry that this account answers for: own player, guest of one, any for an organiser.

    Without an id: the one that has an offer, or the only one. Raises Missing, BadInput.
    """
    rows = (
        Entry.objects.filter(fixture=fixture)
        .with_step()
        .select_related("player", "host", "partner", "buggy_with", "fixture__season")
        .order_by("pk")
    )
    mine = Q(player__public_id__in=who.players) | Q(host__public_id__in=who.players)
    if public_id:
        found = list(rows.filter(public_id=public_id))
        found = found if who.may(ORGANISERS) else [one for one in found if _answers(who, one)]
    else:
        found = list(rows.filter(mine))
        offered = [entry for entry in found if entry.step == Step.OFFERED]
        found = offered or found
    if not found:
        raise Missing("None of your players is entered in this fixture.")
    if len(found) > 1:
        raise BadInput("Say which of your players you mean.", field="entry")
    return found[0]


def _answers(who: Who, entry: Entry) -> bool:
    host = entry.host.public_id if entry.host else None
    return who.is_player(entry.player.public_id) or who.is_player(host)


def own_entry(who: Who, fixture: Fixture, public_id: str) -> Entry:
    """An entry of one of the account's own players: the one named, or the only one.

    Raises Missing, BadInput.
    """
    rows = (
        Entry.objects.filter(fixture=fixture, player__public_id__in=who.players)
        .with_step()
        .select_related("player", "fixture__season")
        .order_by("pk")
    )
    found = list(rows.filter(public_id=public_id) if public_id else rows)
    if not found:
        raise Missing("None of your players is entered in this fixture.")
    if len(found) > 1:
        raise BadInput("Say which of your players you mean.", field="entry")
    return found[0]
