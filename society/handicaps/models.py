"""The handicap record of each player: append-only, each line with its source and date."""

from django.db import models

from scoring.rules.values import HandicapKind
from society.audit.models import AppendOnly
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

    class Meta:
        verbose_name_plural = "handicap entries"
        indexes = [models.Index(fields=["player", "kind", "source", "valid_from"])]

    def __str__(self) -> str:
        return f"{self.kind} {self.value} from {self.valid_from}"
