"""Certificates: bound to a digest, given by the right hand, by sign-in, digits, paper or word."""

from uuid import uuid4

import pytest

from scoring.cards.actions.signing import (
    WRONG_TRIES,
    certify,
    see_signatures,
    take_signatures_back,
    try_digits,
)
from scoring.cards.actions.submit import submit_card
from scoring.cards.models import CardStep, Certificate
from scoring.cards.queries import card_reading
from scoring.cards.rules.words import Capacity, CardState, Channel, Means, Record
from society.audit.models import AuditLine
from society.entries.models import DigitsTry
from society.members.models import Society
from society.members.queries import who_for
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import Who
from tests.factories.cards import FIVES, FOURS, acts_for, ready
from tests.factories.members import AccountFactory, OfficeFactory
from tests.scoring.cards.test_queries import write

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair(society, at):
    """Two who mark each other; the first has written the own card."""
    starts = ready()
    write(starts[0], Record.PLAYER, FOURS, at)
    return starts


def who(start, at) -> Who:
    return who_for(acts_for(start.entry.player), at)


def officer(at, role: str = "scorer") -> Who:
    account = AccountFactory()
    OfficeFactory(account=account, role=role)
    return who_for(account, at)


def sign(start, signer, at, **values):
    reading = card_reading(start)
    own = signer.entry.player == start.entry.player
    given = {
        "card": start,
        "capacity": Capacity.PLAYER if own else Capacity.MARKER,
        "digest": reading.standing_digest,
        "means": Means.OWN_SIGN_IN,
        "signer": signer.entry.player,
        "at": at,
        **values,
    }
    given.setdefault("by", None)
    given["by"] = given["by"] or who(signer, at)
    return certify(**given)


def test_both_sign_in_and_certify(pair, at) -> None:
    sign(pair[0], pair[0], at)
    assert card_reading(pair[0]).state is CardState.WAITING
    certificate = sign(pair[0], pair[1], at)
    assert (certificate.subject, certificate.signer) == (
        pair[0].entry.player,
        pair[1].entry.player,
    )
    reading = card_reading(pair[0])
    assert reading.state is CardState.RETURNED
    assert not reading.one_account
    assert AuditLine.objects.filter(deed="certified as marker").count() == 1


def test_signing_twice_is_one_certificate_and_one_line(pair, at) -> None:
    first = sign(pair[0], pair[0], at)
    lines = AuditLine.objects.count()
    assert sign(pair[0], pair[0], at).pk == first.pk
    assert AuditLine.objects.count() == lines


def test_new_figures_void_the_signatures(pair, at) -> None:
    old = card_reading(pair[0]).standing_digest
    sign(pair[0], pair[0], at)
    submit_card(
        card_of=pair[0],
        record=Record.PLAYER,
        uuid=uuid4(),
        parent_uuid=card_reading(pair[0]).records[Record.PLAYER].uuid,
        strokes=FIVES,
        channel=Channel.PHONE,
        by=who(pair[0], at),
        at=at,
    )
    assert card_reading(pair[0]).state is CardState.STARTED
    with pytest.raises(WrongState, match="changed since you read"):
        sign(pair[0], pair[1], at, digest=old)
    assert Certificate.objects.count() == 1


def test_nobody_is_their_own_marker_by_any_route(pair, at) -> None:
    start = pair[0]
    for means, by in (
        (Means.OWN_SIGN_IN, who(start, at)),
        (Means.HANDED_OVER, who(start, at)),
        (Means.OFFICERS_WORD, officer(at)),
    ):
        with pytest.raises(NotYours):
            sign(
                start,
                start,
                at,
                capacity=Capacity.MARKER,
                means=means,
                by=by,
                digits=start.digits,
                words="so",
            )
    assert not Certificate.objects.exists()


def test_only_the_marker_named_signs_as_marker(pair, at) -> None:
    third = ready(players=1)[0]
    with pytest.raises(NotYours):
        sign(pair[0], third, at)
    with pytest.raises(NotYours):
        sign(pair[0], pair[1], at, by=who(pair[0], at))


def test_a_card_that_differs_or_is_empty_is_not_signed(pair, at) -> None:
    with pytest.raises(WrongState, match="Nothing is written"):
        sign(pair[1], pair[1], at, digest="")
    write(pair[0], Record.MARKER, FIVES, at)
    with pytest.raises(WrongState, match="differ"):
        sign(pair[0], pair[0], at)


@pytest.mark.parametrize("state", ["final", "cancelled", "void"])
def test_nothing_is_signed_once_it_is_over(pair, at, state) -> None:
    fixture = pair[0].round.fixture
    fixture.state = state
    fixture.save()
    with pytest.raises(WrongState):
        sign(pair[0], pair[0], at)


def test_the_marker_signs_on_the_players_phone_with_four_digits(pair, at) -> None:
    start, marker = pair
    certificate = sign(
        start,
        marker,
        at,
        means=Means.HANDED_OVER,
        by=who(start, at),
        digits=marker.digits,
    )
    assert certificate.signer == marker.entry.player
    assert start.entry.player.public_id in certificate.by
    assert [row.right for row in DigitsTry.objects.all()] == [True]
    assert all(marker.digits not in line.changes for line in AuditLine.objects.all())


def test_five_wrong_tries_and_only_an_officers_word_certifies(pair, at) -> None:
    start, marker = pair
    wrong = "0000" if marker.digits != "0000" else "1111"
    handed = {"means": Means.HANDED_OVER, "by": who(start, at)}
    for left in ("4 more tries", "3 more tries", "2 more tries", "1 more try", "No more tries"):
        with pytest.raises(BadInput, match=left):
            sign(start, marker, at, **handed, digits=wrong)
    assert DigitsTry.objects.filter(right=False).count() == WRONG_TRIES
    with pytest.raises(WrongState, match="officer’s word"):
        sign(start, marker, at, **handed, digits=marker.digits)
    assert not Certificate.objects.exists()
    sign(start, marker, at, means=Means.OFFICERS_WORD, by=officer(at), words="Told me at the desk")
    assert Certificate.objects.get().reason == "Told me at the desk"


@pytest.mark.parametrize("digits", ["", "12", "12345", "٤٤٤٤", "' OR 1=1", "\x00"])
def test_other_digits_are_wrong(pair, at, digits) -> None:
    with pytest.raises(BadInput):
        try_digits(
            start=pair[0],
            signer=pair[1].entry.player,
            digits=digits,
            by=who(pair[0], at),
            at=at,
        )


def test_a_stranger_hands_no_phone_over(pair, at) -> None:
    third = ready(players=1)[0]
    with pytest.raises(NotYours):
        sign(pair[0], pair[1], at, means=Means.HANDED_OVER, by=who(third, at), digits="1")
    assert not DigitsTry.objects.exists()


def test_an_officers_word_wants_an_office_and_a_reason(pair, at) -> None:
    with pytest.raises(NotYours):
        sign(pair[0], pair[0], at, means=Means.OFFICERS_WORD, words="so")
    with pytest.raises(BadInput):
        sign(pair[0], pair[0], at, means=Means.OFFICERS_WORD, by=officer(at))


def test_an_officer_gives_no_word_for_the_own_card(pair, at) -> None:
    account = acts_for(pair[0].entry.player)
    OfficeFactory(account=account, role="captain")
    officer(at)
    with pytest.raises(NotYours, match="another officer"):
        sign(
            pair[0],
            pair[1],
            at,
            means=Means.OFFICERS_WORD,
            by=who_for(account, at),
            words="I saw it",
        )


def test_signatures_seen_are_taken_back_and_seen_again(pair, at) -> None:
    start, scorer = pair[0], officer(at)
    digest = card_reading(start).standing_digest
    see_signatures(card=start, digest=digest, by=scorer, at=at)
    assert card_reading(start).state is CardState.RETURNED
    take_signatures_back(card=start, words="wrong paper", by=scorer, at=at)
    assert card_reading(start).state is CardState.STARTED
    with pytest.raises(WrongState):
        take_signatures_back(card=start, by=scorer, at=at)
    with pytest.raises(WrongState, match="took back"):
        sign(start, pair[0], at)
    see_signatures(card=start, digest=digest, by=scorer, at=at)
    assert card_reading(start).state is CardState.RETURNED
    assert Certificate.objects.count() == 2
    assert CardStep.objects.count() == 3


def test_an_officer_looks_at_the_own_signatures_only_where_nobody_else_could(pair, at) -> None:
    account = acts_for(pair[0].entry.player)
    OfficeFactory(account=account, role="captain")
    by, digest = who_for(account, at), card_reading(pair[0]).standing_digest
    OfficeFactory(role="secretary")
    with pytest.raises(NotYours):
        see_signatures(card=pair[0], digest=digest, by=by, at=at)


def test_a_couple_on_one_account_is_flagged(society, at) -> None:
    starts = ready()
    account = AccountFactory(players=[start.entry.player for start in starts])
    by = who_for(account, at)
    submit_card(
        card_of=starts[0],
        record=Record.PLAYER,
        uuid=uuid4(),
        parent_uuid=None,
        strokes=FOURS,
        channel=Channel.PHONE,
        by=by,
        at=at,
    )
    sign(starts[0], starts[0], at, by=by)
    sign(starts[0], starts[1], at, by=by)
    assert card_reading(starts[0]).one_account


# how the society's cards are signed ------------------------------------------------------------


def signed(how: str) -> None:
    Society.objects.update(cards_signed=how)


def test_where_cards_are_signed_on_paper_no_phone_certifies(pair, at) -> None:
    signed("paper")
    with pytest.raises(WrongState, match="signed on paper"):
        sign(pair[0], pair[0], at, by=who(pair[0], at))
    digits = pair[1].digits
    with pytest.raises(WrongState, match="signed on paper"):
        sign(pair[0], pair[1], at, by=who(pair[0], at), means=Means.HANDED_OVER, digits=digits)
    assert not DigitsTry.objects.exists()
    see_signatures(
        card=pair[0], digest=card_reading(pair[0]).standing_digest, by=officer(at), at=at
    )
    assert card_reading(pair[0]).state is CardState.RETURNED


def test_where_cards_are_signed_on_phones_paper_is_not_ticked(pair, at) -> None:
    signed("phone")
    digest = card_reading(pair[0]).standing_digest
    with pytest.raises(WrongState, match="signed on phones"):
        see_signatures(card=pair[0], digest=digest, by=officer(at), at=at)
    with pytest.raises(WrongState, match="signed on phones"):
        submit_card(
            card_of=pair[1], record=Record.COMMITTEE, uuid=uuid4(), parent_uuid=None,
            strokes=FOURS, channel=Channel.PAPER, signatures_seen=True, by=officer(at), at=at,
        )  # fmt: skip
    assert not Certificate.objects.exists()
    sign(pair[0], pair[0], at, by=who(pair[0], at))
    assert Certificate.objects.count() == 1


@pytest.mark.parametrize("how", ["paper", "phone"])
def test_an_officers_word_stands_either_way(how: str, pair, at) -> None:
    signed(how)
    means = Means.OFFICERS_WORD
    sign(pair[0], pair[0], at, by=officer(at), means=means, words="saw the card, battery flat")
    assert Certificate.objects.get().means == means
