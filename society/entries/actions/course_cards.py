"""A card of the course that was wrong: taken over again for everybody, as number n+1."""

from datetime import datetime

from scoring.rules.values import HandicapKind
from society.audit.actions import deed
from society.entries.actions.dividing import divide
from society.entries.actions.freezing import check_card, held_open, organisers_only
from society.entries.bridge.tees import card_text, differing_cards
from society.entries.models import CourseCard
from society.entries.queries import handicaps_taken, standing_frozen
from society.fixtures.models import Fixture
from society.web.refusals import BadInput, WrongState
from society.web.who import Who


def correct_course_cards(
    *, fixture: Fixture, words: str, by: Who, at: datetime
) -> list[CourseCard]:
    """Take over the cards of the course as they are kept now, where they differ, with a reason.

    Everybody on such a tee is scored by the new card; what each brought stays. Raises NotYours,
    BadInput without a reason, WrongState where nothing differs, once the result is final, or
    where a tee would fall below the reference par or lose the rating that its indexes need.
    """
    organisers_only(by)
    if not words.strip():
        raise BadInput("Say why, in a few words: it stands beside the result.", field="words")
    with deed(by=by, at=at, what="course card corrected", about=_about(fixture)) as d:
        now, round_ = held_open(fixture)
        differing = differing_cards(round_) if handicaps_taken(now) else []
        if not differing:
            raise WrongState("The cards taken over are the same as the course has them now.")
        frozen = standing_frozen(round_).values()
        made = []
        for one in differing:
            old = one.row
            row = CourseCard.objects.create(
                round=round_,
                tee=old.tee,
                category=old.category,
                number=old.number + 1,
                card=card_text(one.card),
                at=d.at,
                by=d.by.as_json(),
                words=d.words(words),
            )
            here = [f for f in frozen if (f.tee_id, f.category) == (old.tee_id, old.category)]
            for kind in {HandicapKind(f.kind) for f in here}:
                check_card(round_, row, old.tee, kind)
            said = {"course_card": row.key, "tee": old.tee.name, "differs": list(one.words)}
            d.change(f"round:{round_.public_id}", said, {"course_card": old.key})
            made.append(row)
        divide(d, now)
    return made


def _about(fixture: Fixture) -> str:
    return f"fixture:{fixture.public_id}"
