"""The members of a season: who is new, and whose subscription is open."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from society.fixtures.models import Season
from society.members.models import Player
from society.members.rules import SubscriptionShown, SubscriptionState


@dataclass(frozen=True, slots=True)
class MemberShown:
    """One member: `state` of the subscription and since when, and whether new this season."""

    public_id: str
    name: str
    joined_on: date | None
    is_new: bool
    state: str
    on: date | None
    ticked: bool

    @property
    def is_open(self) -> bool:
        """Whether the subscription is neither paid nor excused."""
        return self.state == SubscriptionState.OPEN.value


def members_shown(
    season: Season,
    members: Iterable[Player],
    noted: Mapping[str, SubscriptionShown],
    ticked: Collection[str] = (),
) -> list[MemberShown]:
    """Everyone for the page, the open ones first, then by name."""
    found = []
    for player in members:
        said = noted.get(player.public_id)
        found.append(
            MemberShown(
                public_id=player.public_id,
                name=player.name,
                joined_on=player.joined_on,
                is_new=bool(player.joined_on and player.joined_on > season.starts_on),
                state=(said.state if said else SubscriptionState.OPEN).value,
                on=said.on if said else None,
                ticked=player.public_id in ticked,
            )
        )
    return sorted(found, key=lambda member: not member.is_open)  # stable: by name within each
