"""The words of letters about handicaps: nobody's changes without their being told."""

from decimal import Decimal
from typing import Any

from django.urls import reverse

from scoring.rules.strict_json import read_json
from society.audit.actions import Deed
from society.handicaps.models import CutProposal, SocietyCut
from society.handicaps.rules.cuts.steps import lines_of, read_steps
from society.handicaps.rules.figures import written
from society.members import letters
from society.members.rules import LetterKind
from society.web.rules import day_words


def cut_confirmed(d: Deed, proposal: CutProposal, cut: SocietyCut, new: Decimal) -> None:
    """The player hears what changes, from when, why, and when each step of it ends."""
    cause = read_json(proposal.cause) if proposal.cause else {}
    said: dict[str, Any] = cause if isinstance(cause, dict) else {}
    event = said.get("words", "a result")
    fixture = said.get("id", "")
    steps = read_steps(cut.steps)
    ends = [
        f"{written(abs(line.shots))} {'off' if line.shots < 0 else 'back'} until "
        f"{day_words(line.until)}."
        for line in lines_of(cut.valid_from, steps)
        if line.until
    ]
    text = [
        f"After {event} on {day_words(proposal.day)} your handicap goes from "
        f"{written(proposal.old)} to {written(new)}, from {day_words(cut.valid_from)}.",
        f"The reason: {cut.because}.",
    ]
    if ends:
        text.append(" ".join(ends))
    text.append("Every step of it stands on your handicap record. If it looks wrong, say so.")
    letters.write(
        d,
        to=proposal.player,
        kind=LetterKind.NOTICE,
        subject=f"your handicap after {event}",
        text="\n\n".join(text),
        about=f"fixture:{fixture}" if fixture else f"player:{proposal.player.public_id}",
        link=reverse("desk:record", args=[proposal.player.public_id]),
    )
