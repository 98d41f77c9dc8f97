"""How many events a newcomer plays before winning: who is new, in words.

Common practice (no source): a new member plays a few events before a win counts, until the figure
is known to be right. Places and scores stay as they are; only who wins is read differently.

>>> new = Newcomers(2, {"ida": 1})
>>> new.words("ida")
'New: may win from the third event; this is the second.'
>>> new.words("fenn")
''
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from society.handicaps.rules.cuts.words import ordinal


@dataclass(frozen=True, slots=True)
class Newcomers:
    """Those in a field who may not win yet.

    `events`: so many first events cannot be won; 0: everybody may win. `played`: by the player's
    public id, how many events each has played before this one.
    """

    events: int = 0
    played: Mapping[str, int] = field(default_factory=dict)

    def words(self, player: str) -> str:
        """What stands on the row of a newcomer; empty for everybody else."""
        if player not in self.played:
            return ""
        first, now = ordinal(self.events + 1), ordinal(self.played[player] + 1)
        return f"New: may win from the {first} event; this is the {now}."

    def winner(self, rows: Sequence[tuple[int, str, str]], *, final: bool) -> str:
        """Who wins where a newcomer is first: place, player's public id and name of each row.

        Empty where no newcomer has the first place; the places themselves stay as they are.
        """
        new = [name for place, player, name in rows if place == 1 and player in self.played]
        if not new:
            return ""
        may = [(place, name) for place, player, name in rows if player not in self.played]
        is_new = f"{_joined(new)} {'is' if len(new) == 1 else 'are'} new and may not win yet"
        if not may:
            return f"{is_new}, and nobody else has a place: nobody wins."
        best = min(place for place, _ in may)
        names = [name for place, name in may if place == best]
        several = len(names) > 1
        who = "winners" if several else "winner"
        verb = ("are" if several else "is") if final else "would be"
        return f"{is_new}. The {who} {verb} {_joined(names)}, the first who may win."


NOBODY_NEW = Newcomers()


def _joined(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
