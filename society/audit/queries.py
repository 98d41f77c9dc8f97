"""Reading the chain: what happened to a thing, and whether the chain still holds."""

from collections.abc import Iterator

from django.db.models import Q, QuerySet

from society.audit.models import AuditLine
from society.audit.rules import FIRST, hash_words, line_digest


def lines_about(*abouts: str) -> QuerySet[AuditLine]:
    """All lines that concern any of the things ("card:ab12…"), oldest first."""
    return (
        AuditLine.objects.filter(Q(about__in=abouts) | Q(abouts__about__in=abouts))
        .select_related("words")
        .distinct()
        .order_by("number")
    )


def head() -> str:
    """The digest of the last line: printed on seals, so that a rewritten chain is found out."""
    return AuditLine.objects.order_by("-number").values_list("digest", flat=True).first() or FIRST


def breaks_in_chain() -> Iterator[str]:
    """A sentence for each line that does not fit; nothing for a whole chain."""
    previous, expected = FIRST, 1
    for line in AuditLine.objects.select_related("words").order_by("number").iterator():
        if line.number != expected:
            yield f"Audit: line {expected} is missing; the next one found is {line.number}."
        if line.previous != previous:
            yield f"Audit line {line.number}: does not follow the line before it."
        worked_out = line_digest(
            number=line.number,
            previous=line.previous,
            at=line.at,
            by=line.by,
            deed=line.deed,
            about=line.about,
            changes=line.changes,
            words_hash=line.words_hash,
        )
        if worked_out != line.digest:
            yield f"Audit line {line.number}: what it says does not give its digest."
        if line.words and line.words.text:
            if hash_words(line.words.salt, line.words.text) != line.words_hash:
                yield f"Audit line {line.number}: its words were changed."
        elif bool(line.words_hash) != bool(line.words):
            yield f"Audit line {line.number}: its words are gone."
        previous, expected = line.digest, line.number + 1
