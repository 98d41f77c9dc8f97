"""The handicap record of each player: append-only, each line with its source and date."""

from django.db import models

from scoring.rules.values import HandicapKind
from society.audit.models import AppendOnly
from society.handicaps.rules.answers import CutAnswerKind
from society.handicaps.rules.figures import Source
from society.members.models import Player
from society.web.ids import public_id


class HandicapEntry(AppendOnly):
    """One figure of a player's record.

    `index` is converted by rating and slope; `course` stands as it is and the allowance is
    applied; `playing` stands as it is. A plus handicap is negative: +1.2 is kept as -1.2.
    """

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    player = models.ForeignKey(Player, on_delete=models.PROTECT, related_name="handicaps")
    kind = models.CharField(max_length=10, choices=[(k.value, k.value) for k in HandicapKind])
    value = models.DecimalField(max_digits=4, decimal_places=1)
    source = models.CharField(max_length=12, choices=[(s.value, s.value) for s in Source])
    valid_from = models.DateField()
    cause = models.TextField(blank=True)  # canonical JSON: kind, public id, words
    ended = models.BooleanField(default=False)  # from that day no figure of this kind and source

    class Meta:
        verbose_name_plural = "handicap entries"
        indexes = [models.Index(fields=["player", "kind", "source", "valid_from"])]

    def __str__(self) -> str:
        return f"{self.kind} {self.value} from {self.valid_from}"


class Score(AppendOnly):
    """One score of a player's record; a correction is number n+1 of the same origin.

    `origin`: what it comes from, such as the round and the entry, or its own id where an officer
    typed it. `said`: canonical JSON, the score as the handicap record document has it, without
    the day; `{}` where it counts no longer. `holes`: 18, or 9 for one that waits to be joined.
    """

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    player = models.ForeignKey(Player, on_delete=models.PROTECT, related_name="scores")
    origin = models.CharField(max_length=120)
    number = models.PositiveSmallIntegerField()
    played = models.DateField()
    holes = models.PositiveSmallIntegerField(default=18)
    said = models.TextField()
    cause = models.TextField(blank=True)  # canonical JSON: kind, public id, words

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["player", "origin", "number"], name="score_once"),
            models.CheckConstraint(condition=models.Q(holes__in=(9, 18)), name="score_holes"),
        ]

    def __str__(self) -> str:
        return f"score of {self.played}"


class Adjustment(AppendOnly):
    """A committee moves a record worked out from cards: each of the latest 20 differentials.

    Rules of Handicapping 2024, Rule 7.1a. `shots` below zero lowers the figure. `resets_low`: of
    the figures only those from this day on can be the low index; after a rise alone.
    """

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    player = models.ForeignKey(Player, on_delete=models.PROTECT, related_name="adjustments")
    on = models.DateField()
    shots = models.DecimalField(max_digits=4, decimal_places=1)
    resets_low = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(resets_low=False) | models.Q(shots__gt=0),
                name="low_anew_after_a_rise",
            )
        ]

    def __str__(self) -> str:
        return f"{self.shots} on {self.on}"


class SocietyCut(AppendOnly):
    """A change by the society's own rule that lies on top of a player's figure.

    `steps`: canonical JSON, a list of {"shots": "-3.0", "until": "2025-05-10"}, the first from
    `valid_from`, each from the end of the one before up to and without its own `until`; null is
    without end. Shots below zero cut, above zero give back. `because`: the sentence for the record,
    without anybody's name. A cut that another one `replaces` counts no longer.
    """

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    player = models.ForeignKey(Player, on_delete=models.PROTECT, related_name="cuts")
    valid_from = models.DateField()
    steps = models.TextField()
    because = models.TextField()
    cause = models.TextField(blank=True)  # canonical JSON: kind, public id, words
    replaces = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by"
    )

    class Meta:
        indexes = [models.Index(fields=["player", "valid_from"], name="cut_of_player")]

    def __str__(self) -> str:
        return f"cut from {self.valid_from}"


class CutProposal(AppendOnly):
    """What the rule of the season makes of a final result for one player; moves nothing by itself.

    `event` and `version`: public id of the competition and the number of the sealed version it was
    made from, told from above. `old` and `new`: what the player plays off before and after.
    `steps`, `because`: as in the cut it would become. `replaces`: the confirmed cut of an earlier
    version that this one takes the place of.
    """

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    player = models.ForeignKey(Player, on_delete=models.PROTECT, related_name="cut_proposals")
    event = models.CharField(max_length=40)
    version = models.PositiveSmallIntegerField()
    day = models.DateField()
    old = models.DecimalField(max_digits=4, decimal_places=1)
    new = models.DecimalField(max_digits=4, decimal_places=1)
    steps = models.TextField()
    because = models.TextField()
    cause = models.TextField(blank=True)  # canonical JSON: kind, public id, words
    replaces = models.ForeignKey(
        SocietyCut, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["event", "version", "player"], name="proposal_once")
        ]

    def __str__(self) -> str:
        return f"{self.old} becomes {self.new}"


class CutAnswer(AppendOnly):
    """What became of a proposal; a confirmed or changed one names the cut it made."""

    proposal = models.OneToOneField(CutProposal, on_delete=models.PROTECT, related_name="answer")
    answer = models.CharField(max_length=12, choices=[(a.value, a.value) for a in CutAnswerKind])
    cut = models.OneToOneField(
        SocietyCut, null=True, blank=True, on_delete=models.PROTECT, related_name="answer"
    )

    def __str__(self) -> str:
        return self.answer
