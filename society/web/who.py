"""Who acts: a plain value that every action takes as `by`.

It carries public ids only, so it can be written into the audit and read years later.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Self

SECRETARY = "secretary"
CAPTAIN = "captain"
TREASURER = "treasurer"
HANDICAP_SECRETARY = "handicap_secretary"
SCORER = "scorer"
SYSTEM = "system"
GUEST_LINK = "guest link"  # by what means a guest without an account acts

ROLE_NAMES = {
    SECRETARY: "Secretary",
    CAPTAIN: "Captain",
    TREASURER: "Treasurer",
    HANDICAP_SECRETARY: "Handicap secretary",
    SCORER: "Scorer",
}

# Who may do what, in groups of roles; `system` is a command on the society's own machine.
KEEPERS = frozenset({SECRETARY, SYSTEM})  # players, courses, accounts, offices, settings
ORGANISERS = frozenset({SECRETARY, CAPTAIN, SYSTEM})  # fixtures, entries, draw, results
SCORERS = frozenset({SECRETARY, CAPTAIN, SCORER, SYSTEM})  # cards of other people
TREASURERS = frozenset({SECRETARY, TREASURER, SYSTEM})  # subscriptions and who joined when
HANDICAPPERS = frozenset({SECRETARY, HANDICAP_SECRETARY, SYSTEM})  # handicap records
OFFICERS = frozenset({*ROLE_NAMES, SYSTEM})


@dataclass(frozen=True, slots=True)
class Who:
    """One acting person, or a command.

    `account`: public id of the account, None for a command.
    `players`: public ids of the players it may act for.
    `player`: the one it acts as now, or None.
    `roles`: the offices held today. `means`: page, command, due, demo or GUEST_LINK.
    `name`: the command's name, or how the person is shown ("Wilf Tanglewood").
    """

    account: str | None = None
    players: tuple[str, ...] = ()
    player: str | None = None
    roles: frozenset[str] = frozenset()
    means: str = "page"
    name: str = ""

    @classmethod
    def command(cls, name: str) -> Self:
        """The machine itself at work: no account, role system."""
        return cls(roles=frozenset({SYSTEM}), means="command", name=name)

    @classmethod
    def due(cls) -> Self:
        """What must happen at a deadline, done by the clock: no account, role system."""
        return cls(roles=frozenset({SYSTEM}), means="due", name="due")

    @property
    def signed_in(self) -> bool:
        return self.account is not None

    @property
    def is_guest(self) -> bool:
        """Whether a guest acts by the link of their own card; signed in they are not."""
        return self.means == GUEST_LINK

    @property
    def is_officer(self) -> bool:
        return bool(self.roles & OFFICERS)

    def may(self, roles: Iterable[str]) -> bool:
        """Whether one of the roles is held."""
        return not self.roles.isdisjoint(roles)

    def is_player(self, public_id: str | None) -> bool:
        """Whether this account may act for that player."""
        return public_id is not None and public_id in self.players

    def acting_as(self, public_id: str) -> Self:
        """The same person, acting for one of the players. ValueError if it may not."""
        if public_id not in self.players:
            raise ValueError("This account does not act for that player.")
        return replace(self, player=public_id)

    def as_json(self) -> str:
        """Canonical JSON for the audit and for append-only rows; no name, only public ids."""
        return json.dumps(
            {
                "account": self.account,
                "command": self.name if self.account is None and not self.is_guest else None,
                "means": self.means,
                "player": self.player,
                "roles": sorted(self.roles),
            },
            sort_keys=True,
            separators=(",", ":"),
            ensure_ascii=False,
        )


NOBODY = Who()
