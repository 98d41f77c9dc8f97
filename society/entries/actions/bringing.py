"""A field that was played somewhere else: entries, cards of the course and handicaps as they were.

Nobody is written to: the day is over, and nothing is confirmed or offered any more.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from scoring.rules.strict_json import canonical
from scoring.rules.values import HandicapKind
from society.audit.actions import Deed, deed
from society.courses.models import Tee
from society.courses.queries import course_card
from society.courses.rules import RatedHoles
from society.entries.actions.seating import write_step
from society.entries.bridge.tees import card_text
from society.entries.models import CourseCard, Entry, Frozen, Start
from society.entries.rules.words import FrozenReason, Step
from society.fixtures.actions.holding import locked
from society.fixtures.models import Fixture, Round
from society.fixtures.queries import the_round
from society.members.models import Player
from society.web.refusals import NotYours, WrongState
from society.web.who import ORGANISERS, Who


@dataclass(frozen=True, slots=True)
class Coming:
    """One player of a field that is brought in.

    `key`: the entry's, as the document has it; `card`: the key of the card of the course;
    `value` None: no handicap was brought, since gross play needs none. `first_hole`: as the card
    of the course numbers it.
    """

    key: str
    player: Player
    tee: Tee
    card: str
    kind: HandicapKind
    value: Decimal | None
    divisions: Sequence[str] = ()
    first_hole: int = 1


def bring_in_field(
    *, fixture: Fixture, field: Sequence[Coming], by: Who, at: datetime
) -> dict[str, Start]:
    """Entries with their keys, starts and frozen handicaps as they were; terms are frozen too.

    A reference par is not set: the terms of a day that was scored say what they say. Returns the
    starts by key. Raises NotYours, and WrongState where somebody is entered already.
    """
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain brings a day in.")
    with deed(by=by, at=at, what="field brought in", about=f"fixture:{fixture.public_id}") as d:
        now = locked(fixture)
        round_ = Round.objects.select_for_update().get(pk=the_round(now).pk)
        if now.entries.exists() or now.competitions.filter(frozen_at__isnull=False).exists():
            raise WrongState("Somebody is entered already, so no field can be brought in.")
        for competition in now.competitions.order_by("number"):
            competition.frozen_at = d.at
            competition.save(update_fields=["frozen_at"])
            d.change(f"competition:{competition.public_id}", {"frozen": True})
        cards: dict[tuple[str, str], CourseCard] = {}
        return {coming.key: _bring(d, now, round_, coming, cards) for coming in field}


def _bring(
    d: Deed,
    fixture: Fixture,
    round_: Round,
    coming: Coming,
    cards: dict[tuple[str, str], CourseCard],
) -> Start:
    player = coming.player
    entry = Entry.objects.create(
        fixture=fixture,
        key=coming.key,
        player=player,
        as_member=player.is_member,
        category=player.category,
        divisions=canonical(list(coming.divisions)),
        place_at=d.at,
    )
    write_step(d, entry, Step.ENTERED)
    place = (coming.card, player.category)
    if place not in cards:
        cards[place] = _card(d, round_, coming)
    start = Start.objects.create(
        round=round_, entry=entry, tee=coming.tee, first_hole=coming.first_hole
    )
    value = coming.value
    brought = value is not None
    frozen = Frozen.objects.create(
        start=start,
        number=1,
        kind=coming.kind.value if brought else HandicapKind.PLAYING.value,
        value=Decimal(0) if value is None else value,
        tee=coming.tee,
        category=player.category,
        course_card=cards[place],
        reason_class=(FrozenReason.BROUGHT_IN if brought else FrozenReason.NONE_NEEDED).value,
        at=d.at,
        by=d.by.as_json(),
    )
    said: Mapping[str, object] = {
        "key": entry.key,
        "kind": frozen.kind,
        "value": frozen.value,
        "tee": coming.tee.name,
        "reason": frozen.reason_class,
    }
    d.change(f"entry:{entry.public_id}", said)
    return start


def _card(d: Deed, round_: Round, coming: Coming) -> CourseCard:
    category = coming.player.category
    card = course_card(coming.tee, category, RatedHoles(round_.holes), round_.day)
    row = CourseCard.objects.create(
        key=coming.card,
        round=round_,
        tee=coming.tee,
        category=category,
        number=1,
        card=card_text(card),
        at=d.at,
        by=d.by.as_json(),
    )
    d.change(f"round:{round_.public_id}", {"course_card": row.key, "tee": coming.tee.name})
    return row
