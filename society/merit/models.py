"""The order of merit: tables whose rules are data. Standings are worked out when read."""

from django.db import models

from society.fixtures.models import Season
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
