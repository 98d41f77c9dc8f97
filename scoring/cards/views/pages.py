"""What the pages of one card show, gathered once for every view of it."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from django.http import HttpResponse, QueryDict
from django.urls import reverse

from scoring.cards.access import marks, plays
from scoring.cards.bridge import CardReading
from scoring.cards.forms import CardForm
from scoring.cards.queries import card_reading, history_of, own_starts, table_of
from scoring.cards.rules.table import CardTable
from scoring.cards.rules.words import Capacity, CardState, Means, Record
from scoring.cards.tables import STATES
from society.entries.queries import in_the_field
from society.fixtures.queries import competitions_of
from society.fixtures.rules import ENDED, FixtureState
from society.members.queries import cards_signed
from society.members.rules import Signing
from society.web.pages import show
from society.web.request import Request
from society.web.who import SCORERS, Who

if TYPE_CHECKING:
    from society.entries.models import Start

MEANS = {
    Means.OWN_SIGN_IN: "",
    Means.OWN_LINK: "by a guest’s own link",
    Means.HANDED_OVER: "on the other’s phone",
    Means.PAPER_SEEN: "seen on paper",
    Means.OFFICERS_WORD: "on an officer’s word",
}

_CLOSED = ENDED | {FixtureState.REVIEWING}


def first_name(name: str) -> str:
    """How a person is called on a page about two people."""
    return name.split(" ")[0]


def record_of(who: Who, start: Start, wanted: str = "") -> Record | None:
    """Whose figures this person writes here, None for somebody who only looks."""
    own, marked = plays(who, start), marks(who, start)
    if own and marked and wanted == Record.MARKER:
        return Record.MARKER
    return Record.PLAYER if own else Record.MARKER if marked else None


def state_words(reading: CardReading, table: CardTable | None) -> tuple[str, str]:
    """Material and words of a card's state, as its own people read them."""
    if table is None:
        return "pencil", "Handicap not taken yet"
    if reading.state is CardState.OUT:
        return "pencil", "Nothing written yet"
    return STATES[reading.state]


class CardPage:
    """One card as one person sees it."""

    def __init__(self, request: Request, start: Start) -> None:
        self.who: Who = request.who
        self.start, self.fixture = start, start.round.fixture
        asked = request.POST.get("record") or request.GET.get("as", "")
        self.record = record_of(self.who, start, asked)
        self.reading: CardReading = card_reading(start)
        self.table: CardTable | None = table_of(start)
        self.write = "write" in request.GET
        self.is_final = self.fixture.state == "final"

    def form(self, data: QueryDict | None = None) -> CardForm | None:
        """The form for this person's figures, None where there is nothing to write."""
        if self.table is None or self.record is None or not self.may_write:
            return None
        return CardForm(self.table, self.reading, self.record, data)

    @property
    def may_write(self) -> bool:
        """Whether figures sent now would go onto the card."""
        reading = self.reading
        if self.fixture.state in _CLOSED:
            return False
        if Record.COMMITTEE in reading.records:
            return False
        settled = reading.state in (CardState.RETURNED, CardState.CHECKED)
        return self.record is not None and not settled

    @property
    def too_late(self) -> bool:
        """Whether this person would still have to write, but no cards are taken any more."""
        unsettled = self.reading.state not in (CardState.RETURNED, CardState.CHECKED)
        return self.record is not None and unsettled and self.fixture.state in _CLOSED

    @property
    def only_confirms(self) -> bool:
        """Whether this person is offered the other's figures to certify before a form."""
        other = Record.PLAYER if self.record is Record.MARKER else Record.MARKER
        written = self.reading.records
        return other in written and self.record not in written and not self.write

    def links(self) -> list[tuple[str, str, bool]]:
        """The cards this person has in hand in this round: the own one, and those marked."""
        found = []
        for start in own_starts(self.who, self.start.round):
            name = first_name(start.entry.player.name)
            mine = plays(self.who, start)
            label = f"{name}’s card" if len(self.who.players) > 1 or not mine else "Your card"
            address = reverse("cards:show", args=[start.public_id])
            found.append((label, address, start.pk == self.start.pk))
        return found if len(found) > 1 or not found else []

    def signs(self) -> list[dict[str, object]]:
        """The signature lines: who has certified, and who has not."""
        names = {Capacity.PLAYER: self.player_name, Capacity.MARKER: self.marker_name}
        lines: list[dict[str, object]] = []
        for capacity in Capacity:
            sign = self.reading.sign_of(capacity)
            lines.append(
                {
                    "name": (sign.name if sign else "") or names[capacity],
                    "capacity": capacity.value,
                    "at": sign.at if sign else None,
                    "means": MEANS[sign.means] if sign else "",
                    "waits": self._waits(),
                }
            )
        return lines

    def _waits(self) -> str:
        if self.reading.standing is None:
            return "waits for the figures"
        if self.reading.differences:
            holes = [str(hole) for hole, _, _ in self.reading.differences]
            return f"waits for hole {holes[0]}" if len(holes) == 1 else "waits for the holes below"
        return ""

    @property
    def player_name(self) -> str:
        return self.start.entry.player.name

    @property
    def marker_name(self) -> str:
        return self.start.marker.player.name if self.start.marker else ""

    @property
    def marked_by(self) -> str:
        """Who certified the card as its marker; else whoever is named as the marker now."""
        sign = self.reading.sign_of(Capacity.MARKER)
        return (sign.name if sign else "") or self.marker_name

    @property
    def my_capacity(self) -> Capacity | None:
        """In which capacity this person certifies."""
        return None if self.record is None else Capacity(self.record.value)

    @property
    def can_sign(self) -> bool:
        """Whether a signature is possible at all now."""
        reading = self.reading
        if self.fixture.state in ENDED or reading.standing is None or reading.differences:
            return False
        return self.table is not None

    @cached_property
    def on_paper_only(self) -> bool:
        """Whether the society's cards are certified on paper and not on a phone."""
        return cards_signed() is Signing.PAPER

    @property
    def i_sign(self) -> bool:
        """Whether this person's own signature is what the card waits for."""
        mine = self.my_capacity
        waits = self.can_sign and mine is not None and self.reading.sign_of(mine) is None
        return waits and not self.on_paper_only

    @property
    def other_signs(self) -> Capacity | None:
        """Who may sign next on this phone with their own four digits, if anybody."""
        if not self.can_sign or self.start.marker is None or self.record is None:
            return None
        if self.on_paper_only:
            return None
        other = Capacity.MARKER if self.record is Record.PLAYER else Capacity.PLAYER
        return None if self.reading.sign_of(other) else other

    @property
    def other_name(self) -> str:
        """The first name of the one who may sign here with four digits."""
        other = self.other_signs
        return first_name(self.marker_name if other is Capacity.MARKER else self.player_name)

    @property
    def read_heading(self) -> str:
        """What the figures to read are."""
        record = self.reading.standing_record
        if record is Record.COMMITTEE:
            return "As typed by an officer"
        wrote = self.player_name if record is Record.PLAYER else self.marker_name
        return f"As {first_name(wrote)} wrote it" if wrote else "The card"

    @property
    def own_held(self) -> list[object]:
        """Figures this person sent that are kept beside the card."""
        mine = {self.start.entry.player_id: plays(self.who, self.start)}
        if self.start.marker:
            mine[self.start.marker.player_id] = marks(self.who, self.start)
        return [held for held in self.reading.held if mine.get(held.author_id or 0)]

    @property
    def may_name_marker(self) -> bool:
        """Whether this person names the marker here."""
        if self.fixture.state in ENDED or self.reading.marker_certified:
            return False
        if self.who.may(SCORERS):
            return True
        drawn = self.start.group is not None and self.start.marker_id is not None
        written = Record.MARKER in self.reading.records
        return plays(self.who, self.start) and not drawn and not written

    def context(self, form: CardForm | None = None) -> dict[str, object]:
        """Everything the templates of a card need."""
        reading, table = self.reading, self.table
        kind, words = state_words(reading, table)
        officer = self.who.may(SCORERS)
        above = reading.standing_record
        # whoever writes figures of their own is not shown the other's before they are sent
        shut = form is not None and not self.only_confirms
        return {
            "page": self,
            "start": self.start,
            "fixture": self.fixture,
            "round": self.start.round,
            "competitions": competitions_of(self.fixture),
            "reading": reading,
            "table": table,
            "form": form,
            "standing": CardForm(table, reading, above) if table and above else None,
            "said": table.said(reading.strokes) if table else "",
            "working": table.working(None if shut else reading.strokes) if table else None,
            "state_kind": kind,
            "state_words": words,
            "player": self.player_name,
            "player_first": first_name(self.player_name),
            "marker": self.marker_name,
            "marker_first": first_name(self.marker_name),
            "signs": self.signs(),
            "officer": officer,
            "links": self.links(),
            "history": history_of(reading) if officer else [],
            "field": [
                entry for entry in in_the_field(self.fixture) if entry.pk != self.start.entry_id
            ]
            if self.may_name_marker
            else [],
            "show_url": reverse("cards:show", args=[self.start.public_id]),
        }


def card_page(
    request: Request,
    start: Start,
    *,
    data: QueryDict | None = None,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    """The page of one card, with the form as it was sent if there is one."""
    page = CardPage(request, start)
    form = page.form(data)
    if form is not None and refusal:
        form.refusal = refusal
    context = page.context(form) | {"refusal": refusal}
    return show(request, "cards/show.html", context, status=status)
