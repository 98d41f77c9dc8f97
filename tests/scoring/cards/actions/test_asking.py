"""Questions, checks, held figures, the marker's name: what changes, what is refused."""

from uuid import uuid4

import pytest

from scoring.cards.actions.asking import answer, ask, check, refuse_held, take_held
from scoring.cards.actions.marking import name_marker
from scoring.cards.actions.signing import see_signatures
from scoring.cards.actions.submit import submit_card
from scoring.cards.models import CardRevision, CardStep
from scoring.cards.queries import breaks_in_cards, card_reading
from scoring.cards.rules.words import CardState, Channel, Record
from society.entries.models import EntryStep
from society.members.queries import who_for
from society.web.refusals import BadInput, Missing, NotYours, WrongState
from tests.factories.cards import BY, FIVES, FOURS, THEN, acts_for, ready
from tests.factories.members import OfficeFactory
from tests.scoring.cards.actions.test_signing import officer, who
from tests.scoring.cards.test_queries import write

pytestmark = pytest.mark.django_db


@pytest.fixture
def typed(society, at):
    """Two who mark each other; the first one's paper card is typed."""
    starts = ready()
    write(starts[0], Record.COMMITTEE, FOURS, at)
    return starts


def held(start, at, strokes=FIVES) -> CardRevision:
    return submit_card(
        card_of=start,
        record=Record.PLAYER,
        uuid=uuid4(),
        parent_uuid=None,
        strokes=strokes,
        channel=Channel.PHONE,
        by=who(start, at),
        at=at,
    ).revision


def test_a_question_makes_it_queried_and_an_answer_ends_that(typed, at) -> None:
    start, scorer = typed[0], officer(at)
    ask(start=start, words="Is that a 4 on 7?", by=scorer, at=at)
    assert card_reading(start).state is CardState.QUERIED
    with pytest.raises(WrongState):
        ask(start=start, words="Again?", by=scorer, at=at)
    answer(start=start, words="Yes, a 4.", by=who(start, at), at=at)
    reading = card_reading(start)
    assert reading.state is CardState.RETURNED
    assert (reading.question.words, reading.question.answer) == ("Is that a 4 on 7?", "Yes, a 4.")
    with pytest.raises(WrongState):
        answer(start=start, words="Yes.", by=scorer, at=at)


def test_questions_want_words_an_office_and_a_card(typed, at) -> None:
    with pytest.raises(BadInput):
        ask(start=typed[0], words="  ", by=officer(at), at=at)
    with pytest.raises(NotYours):
        ask(start=typed[0], words="So?", by=who(typed[0], at), at=at)
    with pytest.raises(WrongState):
        ask(start=typed[1], words="So?", by=officer(at), at=at)
    ask(start=typed[0], words="So?", by=officer(at), at=at)
    third = ready(players=1)[0]
    with pytest.raises(NotYours):
        answer(start=typed[0], words="Yes", by=who(third, at), at=at)
    with pytest.raises(BadInput):
        answer(start=typed[0], words="", by=who(typed[1], at), at=at)


def test_a_returned_card_is_checked_once(typed, at) -> None:
    check(start=typed[0], by=officer(at), at=at)
    reading = card_reading(typed[0])
    assert (reading.state, reading.checked_at) == (CardState.CHECKED, at)
    with pytest.raises(WrongState, match="already"):
        check(start=typed[0], by=officer(at), at=at)
    ask(start=typed[0], words="One more thing?", by=officer(at), at=at)
    answer(start=typed[0], words="Fine.", by=officer(at), at=at)
    assert card_reading(typed[0]).state is CardState.RETURNED  # asked after: to be checked again


def test_an_unsigned_or_own_card_is_not_checked(typed, at) -> None:
    write(typed[1], Record.PLAYER, FOURS, at)
    with pytest.raises(WrongState, match="once it is returned"):
        check(start=typed[1], by=officer(at), at=at)
    account = acts_for(typed[0].entry.player)
    OfficeFactory(account=account, role="secretary")
    with pytest.raises(NotYours, match="another officer"):
        check(start=typed[0], by=who_for(account, at), at=at)


def test_held_figures_are_taken_as_the_next_committee_writing(typed, at) -> None:
    start = typed[0]
    kept = held(start, at)
    assert kept.held_because == "returned"
    taken = take_held(start=start, uuid=kept.uuid, words="The paper says so", by=officer(at), at=at)
    assert (taken.record, taken.number, taken.digest) == ("committee", 2, kept.digest)
    reading = card_reading(start)
    assert reading.strokes == tuple(FIVES)
    assert reading.held == ()
    assert CardStep.objects.get(kind="held taken").revision == kept
    with pytest.raises(WrongState, match="decided already"):
        take_held(start=start, uuid=kept.uuid, words="again", by=officer(at), at=at)
    assert list(breaks_in_cards()) == []


def test_held_figures_are_left_out_and_stay_on_record(typed, at) -> None:
    kept = held(typed[0], at)
    refuse_held(start=typed[0], uuid=kept.uuid, words="A slip", by=officer(at), at=at)
    reading = card_reading(typed[0])
    assert reading.held == ()
    assert reading.strokes == tuple(FOURS)
    assert CardRevision.objects.filter(pk=kept.pk).exists()


def test_deciding_wants_words_an_office_the_right_card_and_an_open_result(typed, at) -> None:
    kept, scorer = held(typed[0], at), officer(at)
    for deed in (take_held, refuse_held):
        with pytest.raises(BadInput):
            deed(start=typed[0], uuid=kept.uuid, words=" ", by=scorer, at=at)
        with pytest.raises(NotYours):
            deed(start=typed[0], uuid=kept.uuid, words="so", by=who(typed[0], at), at=at)
        with pytest.raises(Missing):
            deed(start=typed[1], uuid=kept.uuid, words="so", by=scorer, at=at)
    fixture = typed[0].round.fixture
    fixture.state = "final"
    fixture.save()
    with pytest.raises(WrongState, match="final"):
        take_held(start=typed[0], uuid=kept.uuid, words="so", by=scorer, at=at)


def test_a_changed_row_is_found_by_the_look_at_what_is_stored(typed, at) -> None:
    assert list(breaks_in_cards()) == []
    row = CardRevision.objects.get()
    CardRevision.objects.create(
        card=row.card,
        record="committee",
        number=3,
        uuid=uuid4(),
        payload=row.payload.replace("4", "3"),
        digest=row.digest,
        channel="paper",
        at=at,
        by=row.by,
    )
    found = list(breaks_in_cards())
    assert len(found) == 2
    assert "do not give their digest" in found[0]
    assert "is missing" in found[1]


def test_without_a_draw_the_player_names_the_marker(society, at) -> None:
    starts = ready(players=3, marked=False)
    one, two, three = starts
    name_marker(start=one, marker=two.entry, by=who(one, at), at=at)
    one.refresh_from_db()
    assert one.marker == two.entry
    name_marker(start=one, marker=three.entry, by=who(one, at), at=at)  # changed one's mind
    with pytest.raises(BadInput):
        name_marker(start=one, marker=one.entry, by=who(one, at), at=at)
    with pytest.raises(NotYours):
        name_marker(start=one, marker=two.entry, by=who(two, at), at=at)
    EntryStep.objects.create(entry=two.entry, kind="withdrawn", at=THEN, by=BY)
    with pytest.raises(BadInput, match="playing in this fixture"):
        name_marker(start=one, marker=two.entry, by=who(one, at), at=at)


def test_a_drawn_marker_is_changed_by_officers_only_and_not_after_signing(society, at) -> None:
    one, two, three = ready(players=3)
    with pytest.raises(WrongState, match="draw says"):
        name_marker(start=one, marker=two.entry, by=who(one, at), at=at)
    name_marker(start=one, marker=two.entry, by=officer(at), at=at)
    one.refresh_from_db()
    assert one.marker == two.entry
    write(one, Record.PLAYER, FOURS, at)
    see_signatures(card=one, digest=card_reading(one).standing_digest, by=officer(at), at=at)
    with pytest.raises(WrongState, match="has certified"):
        name_marker(start=one, marker=three.entry, by=officer(at), at=at)


def test_a_marker_who_wrote_is_not_changed_by_the_player(society, at) -> None:
    one, two, three = ready(players=3, marked=False)
    name_marker(start=one, marker=two.entry, by=who(one, at), at=at)
    one.refresh_from_db()
    write(one, Record.MARKER, FIVES, at)
    with pytest.raises(WrongState, match="has written"):
        name_marker(start=one, marker=three.entry, by=who(one, at), at=at)
    name_marker(start=one, marker=three.entry, by=officer(at), at=at)


def test_an_officer_who_plays_changes_the_own_drawn_marker_only_where_nobody_else_can(
    society, at
) -> None:
    one, two, three = ready(players=3)
    OfficeFactory(account=acts_for(one.entry.player), role="captain")
    name_marker(start=one, marker=two.entry, by=who(one, at), at=at)
    officer(at)  # from now on somebody else can
    one.refresh_from_db()
    with pytest.raises(WrongState, match="draw says"):
        name_marker(start=one, marker=three.entry, by=who(one, at), at=at)


def test_beside_a_final_result_nothing_is_decided(typed, at) -> None:
    kept = held(typed[0], at)
    typed[0].round.fixture.__class__.objects.update(state="final")
    for decide in (refuse_held, take_held):
        with pytest.raises(WrongState, match="result is final"):
            decide(start=typed[0], uuid=kept.uuid, words="x", by=officer(at), at=at)
    assert not CardStep.objects.filter(kind__startswith="held").exists()


def test_no_more_than_twenty_writings_wait_beside_a_card(typed, at) -> None:
    for _ in range(20):
        held(typed[0], at)
    with pytest.raises(WrongState, match="20 writings wait beside this card"):
        held(typed[0], at)
    assert len(card_reading(typed[0]).held) == 20
    refuse_held(
        start=typed[0], uuid=card_reading(typed[0]).held[0].uuid, words="no", by=officer(at), at=at
    )
    assert held(typed[0], at).number is None
