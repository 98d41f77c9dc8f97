"""The one submit path: every outcome, with the rows and the audit line it leaves."""

from datetime import datetime, timedelta
from uuid import UUID, uuid4

import pytest

from scoring.cards.actions.asking import check
from scoring.cards.actions.signing import certify
from scoring.cards.actions.submit import Submitted, submit_card
from scoring.cards.models import Card, CardRevision, Certificate
from scoring.cards.queries import card_reading
from scoring.cards.rules.payload import digest_of, payload_of
from scoring.cards.rules.words import Capacity, CardState, Channel, Means, Record
from society.audit.models import AuditLine
from society.entries.models import EntryStep, Start
from society.members.models import Society
from society.members.queries import who_for
from society.web.refusals import BadInput, NotYours, Refusal, WrongState
from society.web.who import Who
from tests.factories.cards import BY, FIVES, FOURS, THEN, acts_for, ready
from tests.factories.entries import entered
from tests.factories.members import AccountFactory, OfficeFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair(society: Society) -> list[Start]:
    """Two players who mark each other."""
    return ready()


def who(start: Start, at: datetime) -> Who:
    return who_for(acts_for(start.entry.player), at)


def send(start: Start, by: Who, at: datetime, **values: object) -> Submitted:
    given = {
        "card_of": start,
        "record": Record.PLAYER,
        "uuid": uuid4(),
        "parent_uuid": None,
        "strokes": FOURS,
        "channel": Channel.PHONE,
        **values,
    }
    return submit_card(**given, by=by, at=at)


def officer(at: datetime, role: str = "scorer", **values: object) -> Who:
    account = AccountFactory(**values)
    OfficeFactory(account=account, role=role)
    return who_for(account, at)


def test_new_figures_are_written_with_their_digest_and_one_audit_line(pair, at) -> None:
    start = pair[0]
    sent = send(start, who(start, at), at, claimed_at=at - timedelta(minutes=5))
    card = Card.objects.get()
    assert (sent.outcome, sent.words) == ("new", "All 18 holes arrived.")
    assert card.public_id == start.public_id
    row = CardRevision.objects.get()
    assert (row.card, row.record, row.number, row.channel) == (card, "player", 1, "phone")
    assert row.payload == payload_of(FOURS)
    assert row.digest == digest_of(start.public_id, payload_of(FOURS))
    assert row.author == start.entry.player
    assert row.at == at
    assert row.claimed_at == at - timedelta(minutes=5)
    line = AuditLine.objects.get()
    assert (line.deed, line.about) == ("player figures written", f"card:{start.public_id}")
    assert row.digest in line.changes


def test_sent_again_it_is_there_already_and_nothing_is_written(pair, at) -> None:
    start, uuid = pair[0], uuid4()
    first = send(start, who(start, at), at, uuid=uuid)
    later = at + timedelta(days=400)
    again = send(start, who(start, at), later, uuid=uuid)
    assert again.outcome == "already"
    assert again.revision.pk == first.revision.pk
    assert CardRevision.objects.count() == 1
    assert AuditLine.objects.count() == 1


def test_it_is_there_already_even_after_the_result_is_final(pair, at) -> None:
    start, uuid = pair[0], uuid4()
    send(start, who(start, at), at, uuid=uuid)
    fixture = start.round.fixture
    fixture.state = "final"
    fixture.save()
    assert send(start, who(start, at), at, uuid=uuid).outcome == "already"


def test_a_known_number_with_other_figures_is_refused(pair, at) -> None:
    start, uuid = pair[0], uuid4()
    send(start, who(start, at), at, uuid=uuid)
    with pytest.raises(BadInput) as refused:
        send(start, who(start, at), at, uuid=uuid, strokes=FIVES)
    assert refused.value.status == 422
    assert CardRevision.objects.count() == 1
    assert AuditLine.objects.count() == 1


def test_somebody_elses_number_is_refused_in_the_same_words(pair, at) -> None:
    mine, theirs, uuid = pair[0], pair[1], uuid4()
    send(mine, who(mine, at), at, uuid=uuid)
    with pytest.raises(BadInput) as other:
        send(theirs, who(theirs, at), at, uuid=uuid)
    with pytest.raises(BadInput) as own:
        send(mine, who(mine, at), at, uuid=uuid, strokes=FIVES)
    assert other.value.words == own.value.words
    assert Card.objects.count() == 1  # the card made for the refused figures is gone with them


def test_the_next_writing_names_its_parent(pair, at) -> None:
    start, by = pair[0], who(pair[0], at)
    first = send(start, by, at)
    second = send(start, by, at, strokes=FIVES, parent_uuid=first.revision.uuid)
    assert (second.outcome, second.revision.number) == ("new", 2)
    assert card_reading(start).strokes == tuple(FIVES)


@pytest.mark.parametrize(
    ("parent", "because"), [("none", "stale parent"), ("unknown", "unknown parent")]
)
def test_figures_on_an_old_or_unknown_version_are_kept_beside_it(pair, at, parent, because) -> None:
    start, by = pair[0], who(pair[0], at)
    first = send(start, by, at)
    send(start, by, at, strokes=FIVES, parent_uuid=first.revision.uuid)
    stale = send(start, by, at, strokes=[6] * 18, parent_uuid=None if parent == "none" else uuid4())
    assert stale.outcome == "held"
    assert stale.revision.number is None
    assert stale.revision.held_because == because
    reading = card_reading(start)
    assert reading.strokes == tuple(FIVES)
    assert [held.strokes for held in reading.held] == [(6,) * 18]
    assert send(start, by, at, uuid=stale.revision.uuid, strokes=[6] * 18).outcome == "already"


def test_an_overtaken_parent_is_stale_and_not_unknown(pair, at) -> None:
    start, by = pair[0], who(pair[0], at)
    first = send(start, by, at)
    send(start, by, at, strokes=FIVES, parent_uuid=first.revision.uuid)
    stale = send(start, by, at, strokes=[6] * 18, parent_uuid=first.revision.uuid)
    assert stale.revision.held_because == "stale parent"


@pytest.mark.parametrize(("state", "because"), [("reviewing", "late"), ("final", "sealed")])
def test_late_figures_are_held(pair, at, state, because) -> None:
    start = pair[0]
    fixture = start.round.fixture
    fixture.state = state
    fixture.save()
    sent = send(start, who(start, at), at)
    assert (sent.outcome, sent.revision.held_because) == ("held", because)
    assert card_reading(start).state is CardState.OUT


def test_the_scorer_still_types_while_cards_are_reviewed_but_not_once_final(pair, at) -> None:
    start, scorer = pair[0], officer(at)
    fixture = start.round.fixture
    fixture.state = "reviewing"
    fixture.save()
    typed = {"record": Record.COMMITTEE, "channel": Channel.PAPER}
    first = send(start, scorer, at, **typed)
    assert first.outcome == "new"
    fixture.state = "final"
    fixture.save()
    late = send(start, scorer, at, **typed, strokes=FIVES, parent_uuid=first.revision.uuid)
    assert late.revision.held_because == "sealed"


def test_a_returned_card_is_not_rewritten_by_its_players(pair, at) -> None:
    start, marker = pair[0], pair[1]
    first = send(start, who(start, at), at)
    for capacity, signer in ((Capacity.PLAYER, start), (Capacity.MARKER, marker)):
        certify(
            card=start,
            capacity=capacity,
            digest=first.revision.digest,
            means=Means.OWN_SIGN_IN,
            signer=signer.entry.player,
            by=who(signer, at),
            at=at,
        )
    late = send(start, who(start, at), at, strokes=FIVES, parent_uuid=first.revision.uuid)
    assert late.revision.held_because == "returned"
    # the same figures change nothing and are simply written
    same = send(start, who(marker, at), at, record=Record.MARKER)
    assert same.outcome == "new"
    assert card_reading(start).state is CardState.RETURNED


def test_without_a_handicap_taken_no_card_is_taken(pair, at) -> None:
    entry = entered(pair[0].round.fixture)
    AccountFactory(players=[entry.player])
    bare = Start.objects.create(round=pair[0].round, entry=entry, tee=pair[0].tee)
    with pytest.raises(WrongState, match="Handicaps are not taken"):
        send(bare, who(bare, at), at)
    assert not Card.objects.exists()


@pytest.mark.parametrize("state", ["cancelled", "void"])
def test_a_fixture_called_off_takes_no_card(pair, at, state) -> None:
    fixture = pair[0].round.fixture
    fixture.state = state
    fixture.save()
    with pytest.raises(WrongState, match="called off"):
        send(pair[0], who(pair[0], at), at)
    assert not Card.objects.exists()
    assert not AuditLine.objects.exists()


def test_who_withdrew_hands_in_no_card(pair, at) -> None:
    EntryStep.objects.create(entry=pair[0].entry, kind="withdrawn", at=THEN, by=BY)
    with pytest.raises(WrongState, match="no longer in this fixture"):
        send(pair[0], who(pair[0], at), at)


@pytest.mark.parametrize("strokes", [[4] * 17, [4] * 9, [], [0] + [4] * 17, [100] + [4] * 17])
def test_bad_figures_are_refused_whoever_calls(pair, at, strokes) -> None:
    with pytest.raises(BadInput):
        send(pair[0], who(pair[0], at), at, strokes=strokes)
    assert not Card.objects.exists()


@pytest.mark.parametrize("record", list(Record))
def test_each_record_has_its_writer_and_nobody_else(pair, at, record) -> None:
    player, marker = pair
    third = ready(players=1)[0]
    by = {
        Record.PLAYER: who(player, at),
        Record.MARKER: who(marker, at),
        Record.COMMITTEE: officer(at),
    }
    for owner, one in [*by.items(), ("third", who(third, at)), ("nobody", Who())]:
        if owner is record:
            assert send(player, one, at, record=record).outcome == "new"
        else:
            with pytest.raises(NotYours):
                send(player, one, at, record=record)
    assert CardRevision.objects.count() == 1


def test_nobody_writes_the_markers_figures_of_the_own_card(pair, at) -> None:
    start = pair[0]
    start.marker = start.entry
    start.save()
    with pytest.raises(NotYours):
        send(start, who(start, at), at, record=Record.MARKER)


def test_an_account_with_two_players_acts_for_the_one_whose_card_it_is(pair, at) -> None:
    account = AccountFactory(players=[start.entry.player for start in pair])
    by = who_for(account, at)
    sent = send(pair[1], by, at)
    assert sent.revision.author == pair[1].entry.player
    assert pair[1].entry.player.public_id in sent.revision.by


def test_equal_figures_have_equal_digests_whoever_wrote_them(pair, at) -> None:
    start = pair[0]
    own = send(start, who(start, at), at)
    marked = send(start, who(pair[1], at), at, record=Record.MARKER)
    typed = send(start, officer(at), at, record=Record.COMMITTEE, channel=Channel.PAPER)
    assert own.revision.digest == marked.revision.digest == typed.revision.digest
    other = send(pair[1], who(pair[1], at), at)
    assert other.revision.digest != own.revision.digest


def test_typed_with_both_signatures_seen_gives_both_certificates_in_one_deed(pair, at) -> None:
    start = pair[0]
    typed = {"record": Record.COMMITTEE, "channel": Channel.PAPER, "signatures_seen": True}
    sent = send(start, officer(at), at, **typed)
    rows = {row.capacity: row for row in Certificate.objects.all()}
    assert {row.means for row in rows.values()} == {"paper seen"}
    assert rows["player"].signer == start.entry.player
    assert rows["marker"].signer == start.marker.player
    assert {row.digest for row in rows.values()} == {sent.revision.digest}
    assert AuditLine.objects.count() == 1
    reading = card_reading(start)
    assert (reading.player_certified, reading.marker_certified) == (True, True)


def test_without_a_marker_paper_seen_leaves_the_markers_name_empty(society, at) -> None:
    start = ready(players=1)[0]
    send(
        start,
        officer(at),
        at,
        record=Record.COMMITTEE,
        channel=Channel.PAPER,
        signatures_seen=True,
    )
    assert Certificate.objects.get(capacity="marker").signer is None
    assert card_reading(start).marker_certified


def test_an_officer_types_his_own_paper_card_and_it_says_so_until_confirmed(pair, at) -> None:
    start = pair[0]
    account = acts_for(start.entry.player)
    OfficeFactory(account=account, role="secretary")
    by = who_for(account, at)
    typed = {"record": Record.COMMITTEE, "channel": Channel.PAPER, "signatures_seen": True}
    sent = send(start, by, at, **typed)
    reading = card_reading(start)
    assert reading.state is CardState.RETURNED
    assert reading.typed_by_player
    with pytest.raises(NotYours):
        check(start=start, by=by, at=at)
    check(start=start, by=officer(at), at=at)
    assert not card_reading(start).typed_by_player
    assert sent.revision.author == start.entry.player


def test_an_officer_does_not_confirm_the_own_card_as_the_player_of_another(pair, at) -> None:
    """A couple's account that holds an office: its second player is no second person."""
    start, other = pair
    account = acts_for(start.entry.player)
    account.players.add(other.entry.player)
    OfficeFactory(account=account, role="secretary")
    by = who_for(account, at)
    sent = send(start, by, at, record=Record.COMMITTEE, channel=Channel.PAPER)
    certify(
        card=start,
        capacity=Capacity.MARKER,
        digest=sent.revision.digest,
        means=Means.OWN_SIGN_IN,
        signer=start.marker.player,
        by=by,
        at=at,
    )
    assert card_reading(start).marker_certified
    assert card_reading(start).typed_by_player


def test_changing_the_own_card_needs_another_officer_or_a_witness(pair, at) -> None:
    start = pair[0]
    account = acts_for(start.entry.player)
    OfficeFactory(account=account, role="secretary")
    by = who_for(account, at)
    typed = {"record": Record.COMMITTEE, "channel": Channel.PAPER}
    first = send(start, by, at, **typed)
    change = {**typed, "strokes": FIVES, "parent_uuid": first.revision.uuid}
    with pytest.raises(BadInput, match="witness"):
        send(start, by, at, **change)
    alone = send(start, by, at, **change, words="slip of the pen", witness="Ida Penhallow")
    assert "Ida Penhallow" in alone.revision.reason
    assert "Ida Penhallow" in AuditLine.objects.last().words.text
    officer(at)  # now somebody else can act
    with pytest.raises(NotYours, match="another officer"):
        send(
            start,
            by,
            at,
            **{**change, "strokes": FOURS, "parent_uuid": alone.revision.uuid},
            words="again",
            witness="Ida Penhallow",
        )


def test_correcting_a_typed_card_is_the_next_committee_writing(pair, at) -> None:
    start, scorer = pair[0], officer(at)
    typed = {"record": Record.COMMITTEE, "channel": Channel.PAPER, "signatures_seen": True}
    first = send(start, scorer, at, **typed)
    second = send(start, scorer, at, **typed, strokes=FIVES, parent_uuid=first.revision.uuid)
    assert second.revision.number == 2
    reading = card_reading(start)
    assert reading.strokes == tuple(FIVES)
    assert reading.signatures_seen  # seen again, for the new figures
    assert Certificate.objects.count() == 4


def test_a_refusal_is_an_exception_with_a_sentence(pair, at) -> None:
    with pytest.raises(Refusal) as refused:
        send(pair[0], who(pair[1], at), at)
    assert refused.value.words.endswith(".")


def test_uuid_is_kept_as_sent(pair, at) -> None:
    uuid = UUID("00000000-0000-4000-8000-000000000001")
    assert send(pair[0], who(pair[0], at), at, uuid=uuid).revision.uuid == uuid
