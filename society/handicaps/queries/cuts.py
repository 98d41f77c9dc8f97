"""Reads of society cuts: what runs on a day, what waits for an answer, what became of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Count, Q, QuerySet

from society.handicaps.models import CutProposal, SocietyCut
from society.handicaps.rules.cuts.steps import Line, lines_of, read_steps, steps_on
from society.members.models import Player


@dataclass(frozen=True, slots=True)
class CutShown:
    """One cut of a player with each line and its end; `ended`: another one took its place."""

    cut: SocietyCut
    lines: tuple[Line, ...]
    ended: bool

    def runs_on(self, on: date) -> bool:
        """Whether any of it counts on a day."""
        return not self.ended and any(line.runs_on(on) for line in self.lines)


def cuts_of_player(player: Player) -> list[CutShown]:
    """Every cut of a player, the latest first, each line with its end date. One query."""
    rows = SocietyCut.objects.filter(player=player).select_related("replaced_by", "words")
    return [
        CutShown(
            cut=row,
            lines=tuple(lines_of(row.valid_from, read_steps(row.steps))),
            ended=hasattr(row, "replaced_by"),
        )
        for row in rows.order_by("-valid_from", "-pk")
    ]


def standing_of(event: str) -> dict[str, SocietyCut]:
    """The cuts that stand from one result, by the player's public id. One query."""
    rows = SocietyCut.objects.filter(
        answer__proposal__event=event, replaced_by__isnull=True
    ).select_related("player")
    return {row.player.public_id: row for row in rows}


def shots_of(cut: SocietyCut, on: date) -> Decimal:
    """The shots of one cut on a day."""
    return steps_on(cut.valid_from, read_steps(cut.steps), on)


def became(proposal: CutProposal, cut: SocietyCut) -> Decimal:
    """What a player plays off by the cut that a proposal led to, changed by the officer or not.

    `proposal.replaces` is at hand where there is one: its shots are in the old figure.
    """
    replaced = shots_of(proposal.replaces, cut.valid_from) if proposal.replaces else Decimal(0)
    return proposal.old - replaced + shots_of(cut, cut.valid_from)


def proposals_of(event: str) -> list[CutProposal]:
    """Everything that was ever proposed from one result, with answers and cuts. One query."""
    return list(
        CutProposal.objects.filter(event=event)
        .select_related("player", "words", "answer__words", "answer__cut", "replaces")
        .order_by("pk")
    )


def waiting() -> QuerySet[CutProposal]:
    """The proposals nobody has answered yet."""
    return CutProposal.objects.filter(answer__isnull=True)


def waiting_by_event(events: Sequence[str] | None = None) -> dict[str, int]:
    """How many wait, by the public id of the competition they come from. One query."""
    rows = waiting() if events is None else waiting().filter(event__in=list(events))
    return dict(rows.values_list("event").annotate(count=Count("pk")).order_by("event"))


def proposed_by(event: str) -> tuple[int, int]:
    """How many proposals a result ever made, and how many of them wait. One query."""
    found = CutProposal.objects.filter(event=event).aggregate(
        made=Count("pk"), waiting=Count("pk", filter=Q(answer__isnull=True))
    )
    return found["made"], found["waiting"]
