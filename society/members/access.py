"""Which players, offices and invitations a person may see or run."""

from society.members.models import Account, Office, Player
from society.web.refusals import Missing, NotYours
from society.web.who import KEEPERS, OFFICERS, Who


def player_to_read(who: Who, public_id: str) -> Player:
    """A player for anyone who plays or holds an office; contact data are the page's question.

    Raises Missing if there is none, or for an account that acts for nobody.
    """
    found = Player.objects.filter(public_id=public_id, merged_into__isnull=True).first()
    if found is None or not (who.players or who.may(OFFICERS)):
        raise Missing("There is no such player.")
    return found


def player_to_run(who: Who, public_id: str) -> Player:
    """A player to change or to invite: the secretary's. Raises Missing, NotYours."""
    found = player_to_read(who, public_id)
    if not who.may(KEEPERS):
        raise NotYours("Players are in the secretary's keeping.")
    return found


def may_see_contact(who: Who, player: Player) -> bool:
    """E-mail and number are for officers and for the player alone."""
    return who.may(OFFICERS) or who.is_player(player.public_id)


def own_account(who: Who) -> Account:
    """The account that is signed in. Raises Missing for a command."""
    found = Account.objects.filter(public_id=who.account or "").first()
    if found is None:
        raise Missing("Nobody is signed in.")
    return found


def office_to_run(who: Who, public_id: str) -> Office:
    """An office to end. Raises Missing, NotYours."""
    found = Office.objects.select_related("account").filter(public_id=public_id).first()
    if found is None:
        raise Missing("There is no such office.")
    if not who.may(KEEPERS):
        raise NotYours("Offices are in the secretary's keeping.")
    return found
