"""A player is made anonymous: what names a person goes, what results are made of stays."""

from datetime import datetime

from django.db.models import Q, QuerySet

from society.audit.actions import Deed, blank_words, deed
from society.audit.models import Words
from society.audit.queries import lines_about
from society.desk.queries.forgetting import former_name, still_in
from society.entries.actions.wishing import forget_wishes
from society.entries.models import Entry, EntryStep
from society.handicaps.actions.own import AGAIN
from society.handicaps.models import (
    Adjustment,
    CutAnswer,
    CutProposal,
    HandicapEntry,
    Score,
    SocietyCut,
)
from society.members.models import (
    Account,
    CalendarLink,
    Invitation,
    Letter,
    Office,
    Player,
    SignInLink,
    Subscription,
)
from society.members.queries import society_day
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import KEEPERS, Who

NOWHERE = "erased.invalid"  # RFC 2606, section 2: no such domain will ever exist


def make_anonymous(*, player: Player, words: str, by: Who, at: datetime) -> Player:
    """Take everything that names a person off the player, for good; results and seals stand.

    Name, e-mail, number and home club; letters; wishes; the sign-in, unless it is shared; and
    every free text that holds the name in full. Those merged into the player go along. Raises
    NotYours; BadInput on `words` without a reason, or with the name in it; WrongState while the
    player is in a fixture that is not over or holds an office.
    """
    if not by.may(KEEPERS):
        raise NotYours("Only the secretary makes a player anonymous.")
    about = f"player:{player.public_id}"
    with deed(by=by, at=at, what="player made anonymous", about=about) as d:
        now = Player.objects.select_for_update().get(pk=player.pk)
        everyone = [now, *Player.objects.filter(merged_into=now).order_by("pk")]
        if now.name == former_name(now):
            raise WrongState("This player is anonymous already.")
        names = {one.name for one in everyone}
        if not words.strip():
            raise BadInput("Say why, in a few words.", field="words")
        if any(name.casefold() in words.casefold() for name in names):
            raise BadInput("Leave the name out of the reason: it is kept.", field="words")
        _refuse_while_needed(now, at)
        for one in everyone:
            forget_wishes(d, one)
            _forget_letters(one, at)
            _forget_sign_in(d, one, at)
            _forget_words(one)
        for one in everyone:
            _forget_person(one, at)
        d.change(about, {"anonymous": True})
        d.words(words)
    return now


def _refuse_while_needed(player: Player, at: datetime) -> None:
    if fixture := still_in(player):
        raise WrongState(
            f"{player.name} is still in {fixture.name}. Withdraw the entry or finish the fixture "
            "first."
        )
    held = Office.objects.filter(account__players=player)
    if held.filter(Q(ends=None) | Q(ends__gte=society_day(at))).exists():
        raise WrongState(f"An office is held by {player.name}’s sign-in. End it first.")


def _forget_person(player: Player, at: datetime) -> None:
    player.name = former_name(player)
    player.email = player.number = player.home_club = ""
    player.left_on = player.left_on or society_day(at)  # enters and is entered nowhere again
    player.save(update_fields=["name", "email", "number", "home_club", "left_on"])


def _forget_letters(player: Player, at: datetime) -> None:
    """Letters to the player, and those to others with the name in it.

    One that still waits is given up: it speaks of somebody who is in no fixture any more, and
    without e-mail it would wait, and hold the name, for ever.
    """
    _empty(Letter.objects.filter(player=player), at)
    named = Q(text__icontains=player.name) | Q(subject__icontains=player.name)
    others = Letter.objects.filter(named)
    others.filter(gone_at=None, given_up_at=None).update(given_up_at=at)
    others.update(subject="", text="")


def _empty(rows: QuerySet[Letter], at: datetime) -> None:
    rows.filter(gone_at=None, given_up_at=None).update(given_up_at=at)
    rows.update(address="", subject="", text="", link="", last_error="")


def _forget_sign_in(d: Deed, player: Player, at: datetime) -> None:
    """The accounts of this player alone are closed; a shared one goes on without the player."""
    Invitation.objects.filter(players=player, spent_at=None).update(expires_at=at)
    for invitation in Invitation.objects.filter(players=player):
        if invitation.players.count() == 1:
            invitation.email = ""
            invitation.save(update_fields=["email"])
    for account in Account.objects.filter(players=player).order_by("pk"):
        account.players.remove(player)
        left = account.players.order_by("name", "pk").first()
        d.change(f"account:{account.public_id}", {"player": player.public_id, "acts": False})
        if left is not None:
            if player.name.casefold() in account.name.casefold():
                account.name = left.name
                account.save(update_fields=["name"])
            continue
        Invitation.objects.filter(email=account.email).update(email="", expires_at=at)
        SignInLink.objects.filter(account=account).delete()
        CalendarLink.objects.filter(account=account).delete()
        _empty(Letter.objects.filter(account=account), at)
        account.name = f"Former account {account.public_id[:4]}"
        account.email = f"{account.public_id}@{NOWHERE}".lower()
        account.is_active = False
        account.set_unusable_password()
        account.save()


def _forget_words(player: Player) -> None:
    """Reasons that are about the person, and every free text with the name in it."""
    steps = EntryStep.objects.filter(entry__player=player, words__isnull=False)
    subscriptions = Subscription.objects.filter(player=player, words__isnull=False)
    personal = {*steps.values_list("words", flat=True)}
    personal |= {*subscriptions.values_list("words", flat=True)}
    personal |= _handicap_words(player)
    said = set(Words.objects.filter(pk__in=personal).values_list("text", flat=True)) - {AGAIN}
    abouts = [f"player:{player.public_id}"]
    entries = Entry.objects.filter(player=player).values_list("public_id", flat=True)
    for line in lines_about(*abouts, *(f"entry:{entry}" for entry in entries)):
        if line.words_id and (
            line.about in abouts or said & {line.reason, *line.reason.splitlines()}
        ):
            personal.add(line.words_id)
    blank_words(Words.objects.filter(Q(pk__in=personal) | Q(text__icontains=player.name)))


def _handicap_words(player: Player) -> set[int]:
    """Why a handicap was changed, which can speak of health; not what explains others as well."""
    found: set[int] = set()
    for model in (HandicapEntry, Score, Adjustment, SocietyCut, CutProposal):
        rows = model._default_manager.filter(words__isnull=False)
        own = {*rows.filter(player=player).values_list("words", flat=True)}
        others = rows.filter(words__in=own).exclude(player=player)
        found |= own - {*others.values_list("words", flat=True)}
    answers = CutAnswer.objects.filter(proposal__player=player, words__isnull=False)
    return found | {*answers.values_list("words", flat=True)}
