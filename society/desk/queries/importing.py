"""What importing a list of players would do, worked out anew each time it is asked."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date

from society.fixtures.queries import present_rules
from society.handicaps.queries.record import all_records
from society.handicaps.rules.figure_promises import handicap_promises
from society.handicaps.rules.figures import Source
from society.handicaps.rules.promises import Promise, promises
from society.handicaps.rules.season import source_to_type
from society.members.queries import people_kept, society_ways
from society.web.rules import DateStyle, Outcome, SheetLine, fingerprint


@dataclass(frozen=True, slots=True)
class Preview:
    """The promises for the lines of a file, and the fingerprint of both together.

    `kept_as`: a sentence where a handicap has no source of its own on its line; else empty.
    """

    lines: Sequence[SheetLine]
    promises: Sequence[Promise]
    digest: str
    kept_as: str = ""

    def of(self, outcome: Outcome) -> list[Promise]:
        """The promises with one outcome, in the order of the file."""
        return [promise for promise in self.promises if promise.outcome is outcome]


KEPT_AS = {
    Source.ASSOCIATION: "the association’s, which the season asks for",
    Source.SOCIETY: "the society’s own",
    Source.COMMITTEE: "the committee’s, which the season asks for",
    Source.STATED: "stated by the player, which the season asks for",
}


def usual_source(today: date) -> Source:
    """Whose a handicap is where a list does not say it: what the present season asks for."""
    return source_to_type(present_rules(today))


def _kept_as(lines: Sequence[SheetLine], usual: Source) -> str:
    if not any(line.get("handicap") and not line.get("source") for line in lines):
        return ""
    guests = "" if usual is Source.STATED else "; a guest’s, as stated"
    return f"A handicap without a source is kept as {KEPT_AS[usual]}{guests}."


def preview(
    lines: Sequence[SheetLine],
    today: date,
    *,
    handicaps_alone: bool = False,
    style: DateStyle | None = None,
) -> Preview:
    """What would happen with each line as things stand now. Six queries, none of them a write.

    `handicaps_alone`: it is a list of handicaps, which makes and changes no player. `style`: in
    which order its days are written; None is as the society writes them.
    """
    work_out = handicap_promises if handicaps_alone else promises
    style, usual = style or society_ways()[1], usual_source(today)
    made = work_out(lines, people_kept(), all_records(), today, style, usual)
    digest = fingerprint(lines, [asdict(promise) for promise in made])
    return Preview(lines, made, digest, _kept_as(lines, usual))
