"""The order of merit: tables whose rules are data. Standings are worked out when read.

Only a sealed season is kept: a version says what it was made from and who stood where.
"""

from django.db import models

from scoring.results.models import ResultVersion
from society.audit.models import AppendOnly
from society.fixtures.models import Season
from society.members.models import Player
from society.merit.rules.values import DECIDED
from society.web.ids import public_id


class MeritTable(models.Model):
    """A season table; `rules` is canonical JSON read by society.merit.rules."""

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    season = models.ForeignKey(Season, on_delete=models.PROTECT, related_name="merit_tables")
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=100)
    rules = models.TextField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["season", "number"], name="merit_table_number_once")
        ]

    def __str__(self) -> str:
        return self.name


class MeritDecision(AppendOnly):
    """How those level at the end were parted by lot or by the committee; the latest stands.

    `players` is canonical JSON: their public ids, the first one first. `words` says why.
    """

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    table = models.ForeignKey(MeritTable, on_delete=models.PROTECT, related_name="decisions")
    way = models.CharField(max_length=12, choices=[(way.value, way.value) for way in DECIDED])
    players = models.TextField()

    def __str__(self) -> str:
        return f"{self.way}, {self.table}"


class MeritGiven(AppendOnly):
    """Points that the committee gave a player or took away; `words` say why. They add up."""

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    table = models.ForeignKey(MeritTable, on_delete=models.PROTECT, related_name="given")
    player = models.ForeignKey(Player, on_delete=models.PROTECT, related_name="merit_given")
    points = models.DecimalField(max_digits=6, decimal_places=2)

    class Meta:
        verbose_name_plural = "merit given"

    def __str__(self) -> str:
        return f"{self.points} in {self.table}"


class MeritVersion(AppendOnly):
    """A sealed season: what it was made from and how all stood, by public ids and not by names."""

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    table = models.ForeignKey(MeritTable, on_delete=models.PROTECT, related_name="versions")
    number = models.PositiveSmallIntegerField()
    inputs = models.TextField()
    outputs = models.TextField()
    digest = models.CharField(max_length=64)
    audit_head = models.CharField(max_length=64)  # the chain's last line when it was sealed

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["table", "number"], name="merit_version_number_once")
        ]

    def __str__(self) -> str:
        return f"{self.table}, version {self.number}"


class MeritAgreed(AppendOnly):
    """One officer agreed to seal exactly this season as this version; a seal may need two."""

    table = models.ForeignKey(MeritTable, on_delete=models.PROTECT, related_name="seals_agreed")
    digest = models.CharField(max_length=64)
    account = models.CharField(max_length=40)  # public id

    class Meta:
        verbose_name_plural = "merit agreed"
        constraints = [
            models.UniqueConstraint(
                fields=["table", "digest", "account"], name="merit_agreed_once_each"
            )
        ]

    def __str__(self) -> str:
        return f"agreed to seal {self.digest[:8]}"


class MeritSource(AppendOnly):
    """One sealed result that a sealed season was made from."""

    version = models.ForeignKey(MeritVersion, on_delete=models.PROTECT, related_name="sources")
    result = models.ForeignKey(ResultVersion, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["version", "result"], name="merit_source_once")
        ]

    def __str__(self) -> str:
        return f"{self.version}: {self.result}"
