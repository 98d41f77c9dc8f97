"""Certifying a card: each signature is bound to the digest of the figures that stood."""

import hmac
from datetime import datetime

from scoring.cards.actions.locking import (
    hold,
    own_card,
    read_again,
    refuse_unless_open,
    refuse_unless_taken,
    scorers_only,
)
from scoring.cards.models import Card, CardRevision, CardStep, Certificate
from scoring.cards.queries import other_scorers
from scoring.cards.rules.words import Capacity, CardDeed, Means
from society.audit.actions import Deed, deed
from society.entries.models import DigitsTry, Start
from society.members.models import Player
from society.members.queries import cards_signed
from society.members.rules import Signing
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import SCORERS, Who

WRONG_TRIES = 5
ON_PAPER = (
    "This society’s cards are signed on paper. Sign the paper card and hand it in; an officer "
    "looks at the signatures."
)
ON_PHONES = (
    "This society’s cards are signed on phones, so signatures on paper do not count. An "
    "officer’s word can stand for one that is missing."
)


class _Signed(Exception):  # noqa: N818 - no error: it takes the deed back, so no line is written
    def __init__(self, certificate: Certificate) -> None:
        super().__init__()
        self.certificate = certificate


def certify(
    *,
    card: Card | Start,
    capacity: Capacity,
    digest: str,
    means: Means,
    signer: Player,
    digits: str = "",
    words: str = "",
    witness: str = "",
    by: Who,
    at: datetime,
) -> Certificate:
    """One player certifies, in one capacity, the figures with this digest.

    OWN_SIGN_IN and, of a guest, OWN_LINK: `by` acts for the signer. HANDED_OVER: the signer
    writes their own four `digits` on the other one's phone. OFFICERS_WORD: an officer vouches,
    with `words`. Certified already: the row there is given back. Raises WrongState if the figures
    changed or still differ, or where cards are signed on paper, NotYours for the wrong person,
    BadInput for wrong digits.
    """
    start = _start(card)
    if means is not Means.OFFICERS_WORD and cards_signed() is Signing.PAPER:
        raise WrongState(ON_PAPER)
    _refuse_wrong_signer(start, capacity, signer)
    if means in (Means.OWN_SIGN_IN, Means.OWN_LINK):
        if not by.is_player(signer.public_id):
            raise NotYours(f"Only {signer.name} can certify that.")
        by = by.acting_as(signer.public_id)
    elif means is Means.HANDED_OVER:
        _refuse_strangers_phone(start, by)
        try_digits(start=start, signer=signer, digits=digits, by=by, at=at)
    elif means is Means.OFFICERS_WORD:
        scorers_only(by)
        words = own_card(by, at, start, words, witness)
        if not words:
            raise BadInput("Say why your word stands for the signature.", field="words")
    else:
        raise ValueError("Paper is certified by see_signatures.")
    about = f"card:{start.public_id}"
    try:
        with deed(by=by, at=at, what=f"certified as {capacity}", about=about) as d:
            held_start, locked = hold(start)
            refuse_unless_taken(held_start)
            refuse_unless_open(held_start)
            _refuse_wrong_signer(held_start, capacity, signer)
            _refuse_other_digest(held_start, digest)
            _refuse_signed_already(held_start, capacity, signer)
            return _put(d, held_start, locked, capacity, digest, means, signer, words)
    except _Signed as found:
        return found.certificate


def try_digits(*, start: Start, signer: Player, digits: str, by: Who, at: datetime) -> None:
    """Count a try at the signer's four digits, in a transaction of its own, right or wrong.

    Raises BadInput for wrong digits and WrongState after five wrong ones: from then on only an
    officer's word certifies.
    """
    wanted = Start.objects.get(round=start.round_id, entry__player=signer)
    with deed(by=by, at=at, what="four digits tried", about=f"start:{wanted.public_id}") as d:
        locked = Start.objects.select_for_update().get(pk=wanted.pk)
        wrong = DigitsTry.objects.filter(start=locked, right=False).count()
        if wrong >= WRONG_TRIES:
            raise WrongState(
                f"The digits of {signer.name} were wrong five times. Only an officer’s word "
                "certifies this card now."
            )
        right = hmac.compare_digest(digits.strip().encode(), locked.digits.encode())
        DigitsTry.objects.create(start=locked, right=right, at=d.at, by=d.by.as_json())
        d.change(f"start:{wanted.public_id}", {"right": right})
    if not right:
        left = WRONG_TRIES - wrong - 1
        more = f"{left} more {'try' if left == 1 else 'tries'}" if left else "No more tries"
        raise BadInput(
            f"Those are not the four digits of {signer.name}. {more}.",
            field="digits",
        )


def see_signatures(*, card: Card | Start, digest: str, by: Who, at: datetime) -> None:
    """An officer saw both signatures on the paper: both certificates, in one deed."""
    scorers_only(by)
    refuse_paper_signatures()
    start = _start(card)
    about = f"card:{start.public_id}"
    with deed(by=by, at=at, what="both signatures seen", about=about) as d:
        held_start, locked = hold(start)
        refuse_unless_taken(held_start)
        refuse_unless_open(held_start)
        _refuse_other_digest(held_start, digest)
        if by.is_player(held_start.entry.player.public_id) and other_scorers(by, at):
            raise NotYours("This is your own card: another officer looks at its signatures.")
        put_paper_signatures(d, held_start, _standing_revision(held_start, locked))


def take_signatures_back(*, card: Card | Start, words: str = "", by: Who, at: datetime) -> None:
    """The officer takes it back: the signatures were not on this paper after all."""
    scorers_only(by)
    start = _start(card)
    about = f"card:{start.public_id}"
    with deed(by=by, at=at, what="signatures taken back", about=about) as d:
        held_start, locked = hold(start)
        refuse_unless_open(held_start)
        reading = read_again(held_start)
        if not reading.signatures_seen:
            raise WrongState("No signatures on paper are counted for this card.")
        CardStep.objects.create(
            card=locked,
            kind=CardDeed.SIGNATURES_BACK,
            revision=_standing_revision(held_start, locked),
            at=d.at,
            by=d.by.as_json(),
            words=d.words(words),
        )
        d.change(about, {"signatures": "taken back", "digest": reading.standing_digest})


def refuse_paper_signatures() -> None:
    """WrongState where the society's cards are signed on phones alone."""
    if cards_signed() is Signing.PHONE:
        raise WrongState(ON_PHONES)


def put_paper_signatures(d: Deed, start: Start, revision: CardRevision) -> None:
    """Both certificates by paper seen, for the figures of this revision, inside a deed."""
    marker = start.marker.player if start.marker else None
    player = start.entry.player
    for capacity, signer in ((Capacity.PLAYER, player), (Capacity.MARKER, marker)):
        _put(d, start, revision.card, capacity, revision.digest, Means.PAPER_SEEN, signer, "")
    CardStep.objects.create(
        card=revision.card,
        kind=CardDeed.SIGNATURES_SEEN,
        revision=revision,
        at=d.at,
        by=d.by.as_json(),
    )
    d.change(f"card:{start.public_id}", {"signatures": "seen", "digest": revision.digest})


def _put(
    d: Deed,
    start: Start,
    card: Card,
    capacity: Capacity,
    digest: str,
    means: Means,
    signer: Player | None,
    words: str,
) -> Certificate:
    """The certificate, or the one that is there: nobody signs the same figures twice."""
    found = Certificate.objects.filter(card=card, capacity=capacity, signer=signer, digest=digest)
    there = found.first()
    if there is not None:
        return there
    d.change(
        f"card:{start.public_id}",
        {"certified as": capacity.value, "by": means.value, "digest": digest},
    )
    return Certificate.objects.create(
        card=card,
        capacity=capacity,
        digest=digest,
        means=means,
        subject=start.entry.player,
        signer=signer,
        at=d.at,
        by=d.by.as_json(),
        words=d.words(words),
    )


def _start(card: Card | Start) -> Start:
    if isinstance(card, Start):
        return card
    return Start.objects.get(round=card.round_id, entry=card.entry_id)


def _refuse_signed_already(start: Start, capacity: Capacity, signer: Player) -> None:
    """Takes the deed back if this signer certified these figures before."""
    reading = read_again(start)
    there = Certificate.objects.filter(
        card=reading.card, capacity=capacity, signer=signer, digest=reading.standing_digest
    ).first()
    if there is None:
        return
    if reading.sign_of(capacity) is None:
        raise WrongState(
            "An officer took back the signatures on these figures. Ask an officer to look at "
            "the paper again."
        )
    raise _Signed(there)


def _standing_revision(start: Start, card: Card) -> CardRevision:
    standing = read_again(start).standing
    if standing is None:
        raise WrongState("Nothing is written on this card yet.")
    return CardRevision.objects.get(card=card, uuid=standing.uuid)


def _refuse_wrong_signer(start: Start, capacity: Capacity, signer: Player) -> None:
    player = start.entry.player
    if capacity is Capacity.PLAYER:
        if signer != player:
            raise NotYours(f"Only {player.name} certifies this card as the player.")
        return
    if start.marker is None:
        raise WrongState("Name the marker first; nobody is named on this card yet.")
    if signer == player:
        raise NotYours("Nobody marks their own card.")
    if signer != start.marker.player:
        raise NotYours(f"Only {start.marker.player.name} certifies this card as the marker.")


def _refuse_strangers_phone(start: Start, by: Who) -> None:
    near = [start.entry.player.public_id]
    if start.marker is not None:
        near.append(start.marker.player.public_id)
    if not by.may(SCORERS) and not any(by.is_player(one) for one in near):
        raise NotYours("A card is signed on the player’s or the marker’s phone.")


def _refuse_other_digest(start: Start, digest: str) -> None:
    reading = read_again(start)
    if reading.standing_digest is None:
        raise WrongState("Nothing is written on this card yet.")
    if reading.differences:
        raise WrongState("Settle the holes that differ first; then certify the card.")
    if reading.standing_digest != digest:
        raise WrongState("The figures have changed since you read them. Read the card again.")
