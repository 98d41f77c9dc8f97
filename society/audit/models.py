"""Who changed what, when and why: append-only rows, chained by digests."""

from typing import ClassVar

from django.db import models


class Words(models.Model):
    """The free text of an append-only row, kept apart so that it can be blanked lawfully.

    The chain covers a salted hash of the text, so blanking leaves it whole. These are the only
    rows beside an append-only table that may change, and only to become empty.
    """

    text = models.TextField()
    salt = models.CharField(max_length=32)

    class Meta:
        verbose_name_plural = "words"

    def __str__(self) -> str:
        return self.text


class AppendOnly(models.Model):
    """A row that is written once. Guard triggers refuse UPDATE and DELETE on both databases.

    `by` is the canonical JSON of `Who`; `words` holds the free text, if any.
    """

    at = models.DateTimeField()
    by = models.TextField()
    words = models.ForeignKey(
        Words, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        abstract = True

    @property
    def reason(self) -> str:
        """The free text of the row, empty if there is none or it was blanked."""
        return self.words.text if self.words else ""


class ContentOnce(models.Model):
    """A row whose content is written once, while its own state goes on (a letter on its way).

    Guard triggers refuse DELETE, and UPDATE of these columns: `CONTENT` stays for good,
    `EMPTIABLE` may only become empty, `ONCE` may be filled and then stays.
    """

    CONTENT: ClassVar[tuple[str, ...]] = ()
    EMPTIABLE: ClassVar[tuple[str, ...]] = ()
    ONCE: ClassVar[tuple[str, ...]] = ()

    class Meta:
        abstract = True


class AuditLine(AppendOnly):
    """One deed: who, when, about what, old → new. Chained: each digest covers the one before."""

    number = models.PositiveBigIntegerField(unique=True)
    previous = models.CharField(max_length=64)
    digest = models.CharField(max_length=64, unique=True)
    deed = models.CharField(max_length=80)
    about = models.CharField(max_length=120, db_index=True)
    changes = models.TextField()
    words_hash = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return f"{self.number} {self.deed} {self.about}"


class AuditAbout(AppendOnly):
    """The further objects a line is about (one deed may concern several)."""

    line = models.ForeignKey(AuditLine, on_delete=models.PROTECT, related_name="abouts")
    about = models.CharField(max_length=120, db_index=True)

    def __str__(self) -> str:
        return f"{self.line_id} {self.about}"
