"""A day whose cards are typed, and small ways to write a card as the committee's record."""

import uuid
from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime

from scoring.cards.models import Card, CardRevision
from scoring.cards.rules.payload import digest_of, payload_of
from society.desk.actions.final import make_final
from society.entries.models import Entry, EntryStep, Frozen, Start
from society.fixtures.models import Competition, Fixture, Season
from society.web.who import Who
from tests.factories.cards import ready
from tests.factories.courses import PARS
from tests.factories.entries import BY, entered
from tests.factories.fixtures import SeasonFactory, saturday
from tests.factories.members import PlayerFactory

AT = datetime(2026, 4, 18, 17, 0, tzinfo=UTC)
OFFICER = Who(account="officer", roles=frozenset({"secretary"}), name="An Officer")


def paper(start: Start, strokes: Sequence[int | None], *, record: str = "committee") -> Card:
    """A card written once: typed paper, unless `record` says whose."""
    card, _ = Card.objects.get_or_create(
        round=start.round, entry=start.entry, defaults={"public_id": start.public_id}
    )
    payload = payload_of(strokes)
    CardRevision.objects.create(
        card=card,
        record=record,
        number=card.revisions.filter(record=record).count() + 1,
        uuid=uuid.uuid4(),
        payload=payload,
        digest=digest_of(card.public_id, payload),
        channel="paper" if record == "committee" else "phone",
        at=AT,
        by=OFFICER.as_json(),
    )
    return card


def played(
    strokes: Sequence[Sequence[int | None] | None],
    *,
    indexes: Sequence[str | None] = (),
    fixture: Fixture | None = None,
    **values: object,
) -> Fixture:
    """A fixture with a player for each card, handicaps taken; None for a card that is out.

    `indexes`: what each plays off, 18.0 where the list ends; `values` go to `saturday`.
    """
    fixture = fixture or saturday(**values)
    for number in range(len(strokes)):
        index = indexes[number] if number < len(indexes) else "18.0"
        entered(fixture, index=index, name=f"Player {chr(65 + number % 26)}{number:03d}")
    for start, card in zip(ready(fixture), strokes, strict=True):
        if card is not None:
            paper(start, card)
    return fixture


def competition_of(fixture: Fixture) -> Competition:
    """The one competition of a plain Saturday."""
    return fixture.competitions.get(number=1)


def scoring(points: int) -> list[int]:
    """A card that makes so many Stableford points off scratch on our course: 0 to 54."""
    base, extra = divmod(points, 18)
    return [par + 2 - base - (hole < extra) for hole, par in enumerate(PARS)]


def sealed_season(
    scores: Mapping[str, Sequence[int | None]], *, guests: Sequence[str] = (), **values: object
) -> Season:
    """A season whose fixtures are final: Stableford points off scratch by name and fixture.

    None: did not play. `values` go to each fixture.
    """
    season = SeasonFactory()
    players = {
        name: PlayerFactory(name=name, kind="guest" if name in guests else "member")
        for name in scores
    }
    for number, day in enumerate(zip(*scores.values(), strict=True), start=1):
        given = {"name": f"Fixture {number}", "starts_on": date(2026, number, 18),
                 "ends_on": date(2026, number, 18)} | values  # fmt: skip
        fixture = saturday(season=season, **given)
        made = [points for points in day if points is not None]
        for player, points in zip(players.values(), day, strict=True):
            if points is not None:
                entry = Entry.objects.create(
                    fixture=fixture, player=player, as_member=player.is_member,
                    category=player.category, place_at=AT,
                )  # fmt: skip
                EntryStep.objects.create(entry=entry, kind="entered", at=AT, by=BY)
        for start, points in zip(ready(fixture), made, strict=True):
            Frozen.objects.create(
                start=start, number=2, kind="playing", value=0, tee=start.tee,
                category=start.entry.category, course_card=start.frozen.get().course_card,
                at=AT, by=BY,
            )  # fmt: skip
            paper(start, scoring(points))
        make_final(fixture=fixture, by=OFFICER, at=AT)
    return season
