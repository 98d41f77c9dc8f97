"""Every paper of a fixture, with one sentence on each, in the order of the day."""

from dataclasses import dataclass

from django.urls import reverse

from society.entries.bridge import the_draw
from society.entries.queries import handicaps_taken
from society.fixtures.models import Fixture
from society.fixtures.queries import the_round


@dataclass(frozen=True, slots=True)
class PaperLine:
    """One paper. `address` is empty while it waits; `waits` says for what."""

    name: str
    words: str
    address: str
    waits: str = ""
    private: bool = False


@dataclass(frozen=True, slots=True)
class PaperPart:
    """The papers of one part of the day."""

    name: str
    lines: tuple[PaperLine, ...]


def papers_of(fixture: Fixture) -> list[PaperPart]:
    """All papers, by the part of the day they are for."""
    draw = the_draw(the_round(fixture))
    taken = handicaps_taken(fixture)
    sheet = _to(fixture, "desk:start_sheet")
    before = (
        PaperLine(
            "Start sheet by group" if draw else "List of players",
            "Tee times, groups, what everyone plays off and whose card they mark; one A4 to pin up."
            if draw
            else "Everyone in the field by name, with what they play off; one A4 to pin up.",
            sheet,
        ),
        PaperLine(
            "Officers’ sheet",
            "The same with everyone’s four digits. Keep it to yourselves.",
            f"{sheet}?digits=1",
            private=True,
        ),
    )
    cards = (
        PaperLine(
            "Cards",
            "Two on each A4, with dots, a code that opens the card on a phone, and lines to sign.",
            _to(fixture, "desk:print_cards") if taken else "",
            waits="" if taken else "Take handicaps first.",
        ),
    )
    return [PaperPart("Before they go out", before), PaperPart("For each player", cards)]


def _to(fixture: Fixture, name: str) -> str:
    return reverse(name, args=[fixture.public_id])
