"""Cards as written, compared and certified. All but Card itself is append-only."""

from enum import StrEnum

from django.db import models
from django.db.models import F, Q

from scoring.cards.rules.words import Capacity, CardDeed, Channel, Means, Record
from society.audit.models import AppendOnly
from society.entries.models import Entry, Side, Start
from society.fixtures.models import Round
from society.members.models import Player
from society.web.ids import public_id


def _choices(words: type[StrEnum]) -> list[tuple[str, str]]:
    return [(word.value, word.value) for word in words]


class Card(models.Model):
    """The card of one entry (own ball) or one side (one ball) for a round."""

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    round = models.ForeignKey(Round, on_delete=models.PROTECT, related_name="cards")
    entry = models.ForeignKey(
        Entry, null=True, blank=True, on_delete=models.PROTECT, related_name="cards"
    )
    side = models.ForeignKey(
        Side, null=True, blank=True, on_delete=models.PROTECT, related_name="cards"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["round", "entry"], condition=Q(entry__isnull=False), name="one_own_card"
            ),
            models.UniqueConstraint(
                fields=["round", "side"], condition=Q(side__isnull=False), name="one_side_card"
            ),
            models.CheckConstraint(
                condition=Q(entry__isnull=False, side__isnull=True)
                | Q(entry__isnull=True, side__isnull=False),
                name="card_of_entry_or_side",
            ),
        ]

    def __str__(self) -> str:
        return f"card {self.public_id}"


class CardRevision(AppendOnly):
    """One writing of a card in one of its three records. `number` is empty for a held one.

    `uuid` is made by the client and unique for ever; `payload` is canonical JSON with its own
    version; `digest` covers the card's public id and that payload alone. `parent_uuid` names the
    revision of the same record that it replaces. `at` is the time received.
    """

    card = models.ForeignKey(Card, on_delete=models.PROTECT, related_name="revisions")
    record = models.CharField(max_length=10, choices=_choices(Record))
    number = models.PositiveIntegerField(null=True, blank=True)
    uuid = models.UUIDField(unique=True)
    parent_uuid = models.UUIDField(null=True, blank=True)
    payload = models.TextField()
    digest = models.CharField(max_length=64)
    channel = models.CharField(max_length=10, choices=_choices(Channel))
    claimed_at = models.DateTimeField(null=True, blank=True)
    held_because = models.CharField(max_length=30, blank=True)
    author = models.ForeignKey(
        Player, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["card", "record", "number"], name="revision_once"),
            models.CheckConstraint(
                condition=Q(number__isnull=True, held_because__gt="")
                | Q(number__isnull=False, held_because=""),
                name="held_says_why",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.record} {self.number or 'held'}"


class GuestLink(AppendOnly):
    """A link by which a guest without an account opens their own card; the latest one counts.

    Only the hash of its secret is kept. Ends by itself some days after the round.
    """

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    start = models.ForeignKey(Start, on_delete=models.PROTECT, related_name="guest_links")
    token_hash = models.CharField(max_length=64, unique=True)
    ends_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"link {self.public_id}"


class CardStep(AppendOnly):
    """A question, an answer, a check, signatures seen or taken back, a held revision decided."""

    card = models.ForeignKey(Card, on_delete=models.PROTECT, related_name="steps")
    kind = models.CharField(max_length=24, choices=_choices(CardDeed))
    revision = models.ForeignKey(
        CardRevision, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    def __str__(self) -> str:
        return self.kind


class Certificate(AppendOnly):
    """One player certified, in one capacity, one digest, by some means.

    It counts as long as the standing figures have that digest; nothing is ever marked void.
    """

    card = models.ForeignKey(Card, on_delete=models.PROTECT, related_name="certificates")
    capacity = models.CharField(max_length=10, choices=_choices(Capacity))
    digest = models.CharField(max_length=64)
    means = models.CharField(max_length=24, choices=_choices(Means))
    subject = models.ForeignKey(Player, on_delete=models.PROTECT, related_name="+")
    signer = models.ForeignKey(
        Player, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["card", "capacity", "signer", "digest"], name="certificate_once"
            ),
            models.UniqueConstraint(
                fields=["card", "capacity", "digest"],
                condition=Q(signer__isnull=True),
                name="unnamed_certificate_once",
            ),
            models.CheckConstraint(
                condition=~Q(capacity="player") | Q(signer__isnull=False, signer=F("subject")),
                name="player_signs_own_card",
            ),
            models.CheckConstraint(
                condition=~Q(capacity="marker") | Q(signer__isnull=True) | ~Q(signer=F("subject")),
                name="marker_is_not_the_player",
            ),
            models.CheckConstraint(
                condition=Q(signer__isnull=False) | Q(capacity="marker", means="paper seen"),
                name="unnamed_marker_on_paper_only",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.capacity} by {self.means}"
