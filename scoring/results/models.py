"""Rulings and sealed results: append-only, so that a final result can be believed."""

from django.db import models
from django.db.models import Q

from scoring.results.rules import ACCEPTED, REASON_WORDS, Answer, ContestKind
from scoring.rules.values import Category, RulingKind
from society.audit.models import AppendOnly
from society.entries.models import Entry, Side
from society.fixtures.models import Competition, Fixture, Round
from society.web.ids import public_id


class Ruling(AppendOnly):
    """A decision of the committee on a player's or side's score, or on those still level.

    `detail` is canonical JSON: hole and strokes, points, or the keys in order. `accepted as
    written` is ours and never exported. `words` holds the reason.
    """

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    competition = models.ForeignKey(Competition, on_delete=models.PROTECT, related_name="rulings")
    round = models.ForeignKey(
        Round, null=True, blank=True, on_delete=models.PROTECT, related_name="rulings"
    )
    entry = models.ForeignKey(
        Entry, null=True, blank=True, on_delete=models.PROTECT, related_name="rulings"
    )
    side = models.ForeignKey(
        Side, null=True, blank=True, on_delete=models.PROTECT, related_name="rulings"
    )
    kind = models.CharField(
        max_length=20, choices=[(k.value, k.value) for k in RulingKind] + [(ACCEPTED, ACCEPTED)]
    )
    detail = models.TextField(default="{}")
    rule = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="order", entry__isnull=True, side__isnull=True)
                | (~Q(kind="order") & (Q(entry__isnull=False) | Q(side__isnull=False))),
                name="ruling_names_its_subject",
            )
        ]

    def __str__(self) -> str:
        return self.kind


class RulingWithdrawn(AppendOnly):
    """A ruling taken back: a row, never a deletion."""

    ruling = models.OneToOneField(Ruling, on_delete=models.PROTECT, related_name="withdrawn")

    class Meta:
        verbose_name_plural = "rulings withdrawn"

    def __str__(self) -> str:
        return f"{self.ruling} withdrawn"


class ResultVersion(AppendOnly):
    """A sealed result: inputs and outputs as canonical JSON, by keys and not by names."""

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    competition = models.ForeignKey(Competition, on_delete=models.PROTECT, related_name="versions")
    number = models.PositiveSmallIntegerField()
    inputs = models.TextField()
    outputs = models.TextField()
    engine = models.CharField(max_length=60)
    rules = models.CharField(max_length=20)
    digest = models.CharField(max_length=64)
    audit_head = models.CharField(max_length=64)  # the chain's last line when it was sealed
    reason_class = models.CharField(max_length=40, default="first")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["competition", "number"], name="version_number_once")
        ]

    def __str__(self) -> str:
        return f"version {self.number}"

    @property
    def fingerprint(self) -> str:
        """The short form of the digest, as printed: "7c41 9e0b"."""
        return f"{self.digest[:4]} {self.digest[4:8]}"


class Reopening(AppendOnly):
    """An officer wishes a final result opened again; `words` say why, beside the class of reason.

    Where the society wants two officers it waits for the answer of another one.
    """

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    fixture = models.ForeignKey(Fixture, on_delete=models.PROTECT, related_name="reopenings")
    number = models.PositiveSmallIntegerField()
    reason_class = models.CharField(max_length=40, choices=list(REASON_WORDS.items()))

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["fixture", "number"], name="reopening_number_once")
        ]

    def __str__(self) -> str:
        return f"reopening {self.number}"


class ReopeningAnswer(AppendOnly):
    """Another officer agreed, or one of them dropped it; with one officer it is the same deed."""

    reopening = models.OneToOneField(Reopening, on_delete=models.PROTECT, related_name="answer")
    answer = models.CharField(max_length=10, choices=[(a.value, a.value) for a in Answer])

    def __str__(self) -> str:
        return self.answer


class SealAgreed(AppendOnly):
    """One officer agreed to seal exactly these inputs; a seal may need two. `by` says who."""

    fixture = models.ForeignKey(Fixture, on_delete=models.PROTECT, related_name="seals_agreed")
    digest = models.CharField(max_length=64)
    account = models.CharField(max_length=40)  # public id

    class Meta:
        verbose_name_plural = "seals agreed"
        constraints = [
            models.UniqueConstraint(
                fields=["fixture", "digest", "account"], name="seal_agreed_once_each"
            )
        ]

    def __str__(self) -> str:
        return f"agreed to seal {self.digest[:8]}"


class SideContest(models.Model):
    """Nearest the pin or longest drive on one hole of a round, for everybody or one category."""

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="contests")
    kind = models.CharField(max_length=10, choices=[(k.value, k.value) for k in ContestKind])
    hole = models.PositiveSmallIntegerField()
    category = models.CharField(
        max_length=10, blank=True, choices=[(c.value, c.value) for c in Category]
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["round", "kind", "hole", "category"], name="side_contest_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind}, hole {self.hole}"


class SideWinner(AppendOnly):
    """Who won a side contest; the highest number stands. No entry: nobody won it."""

    contest = models.ForeignKey(SideContest, on_delete=models.PROTECT, related_name="winners")
    number = models.PositiveSmallIntegerField()
    entry = models.ForeignKey(
        Entry, null=True, blank=True, on_delete=models.PROTECT, related_name="side_wins"
    )
    distance = models.CharField(max_length=40, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["contest", "number"], name="side_winner_number_once")
        ]

    def __str__(self) -> str:
        return f"winner {self.number} of {self.contest}"


class TwosPot(AppendOnly):
    """The twos of a fixture as they were shared when its result was made final.

    `pot` is canonical JSON by entry keys: stake, who was in, what was brought over and from where,
    each share, what goes on to the next fixture. The highest number stands.
    """

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    fixture = models.ForeignKey(Fixture, on_delete=models.PROTECT, related_name="twos_pots")
    number = models.PositiveSmallIntegerField()
    pot = models.TextField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["fixture", "number"], name="twos_pot_number_once")
        ]

    def __str__(self) -> str:
        return f"twos pot {self.number}"
