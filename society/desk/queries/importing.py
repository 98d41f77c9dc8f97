"""What importing a list of players would do, worked out anew each time it is asked."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date

from society.handicaps.queries.record import all_records
from society.handicaps.rules.figure_promises import handicap_promises
from society.handicaps.rules.promises import Promise, promises
from society.members.queries import people_kept, society_ways
from society.web.rules import DateStyle, Outcome, SheetLine, fingerprint


@dataclass(frozen=True, slots=True)
class Preview:
    """The promises for the lines of a file, and the fingerprint of both together."""

    lines: Sequence[SheetLine]
    promises: Sequence[Promise]
    digest: str

    def of(self, outcome: Outcome) -> list[Promise]:
        """The promises with one outcome, in the order of the file."""
        return [promise for promise in self.promises if promise.outcome is outcome]


def preview(
    lines: Sequence[SheetLine],
    today: date,
    *,
    handicaps_alone: bool = False,
    style: DateStyle | None = None,
) -> Preview:
    """What would happen with each line as things stand now. Four queries, none of them a write.

    `handicaps_alone`: it is a list of handicaps, which makes and changes no player. `style`: in
    which order its days are written; None is as the society writes them.
    """
    work_out = handicap_promises if handicaps_alone else promises
    made = work_out(lines, people_kept(), all_records(), today, style or society_ways()[1])
    return Preview(lines, made, fingerprint(lines, [asdict(promise) for promise in made]))
