"""The link by which a guest without an account opens their own card."""

import secrets
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from scoring.cards.actions.locking import scorers_only
from scoring.cards.models import GuestLink
from scoring.cards.queries import hash_link
from society.audit.actions import deed
from society.entries.models import Start
from society.members.queries import society_zone
from society.web.refusals import WrongState
from society.web.who import Who

DAYS_AFTER = 3  # enough to hand in a card that was forgotten


def make_link(*, start: Start, by: Who, at: datetime) -> str:
    """A new link for this guest's card; an older one stops working. The secret, to hand over.

    Works until three days after the round. Raises NotYours, and WrongState for a member, who has
    an account or an invitation instead, and when that time is over.
    """
    scorers_only(by)
    if start.entry.as_member:
        raise WrongState("A link is for a guest’s card. Invite a member to an account instead.")
    last_day = max(start.round.day, start.round.fixture.ends_on) + timedelta(days=DAYS_AFTER)
    ends_at = datetime.combine(last_day, time.max, ZoneInfo(society_zone()))
    if ends_at <= at:
        raise WrongState("That round is over: no link is made for it any more.")
    secret = secrets.token_urlsafe(24)
    about = f"card:{start.public_id}"
    with deed(by=by, at=at, what="made a link for a guest", about=about) as d:
        made = GuestLink.objects.create(
            start=start,
            token_hash=hash_link(secret),
            ends_at=ends_at,
            at=d.at,
            by=d.by.as_json(),
        )
        d.change(about, {"link": made.public_id, "ends": ends_at.isoformat()})
    return secret
