"""The one way anything is changed: inside a deed, which writes its audit line last."""

import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import datetime

from django.db import connection, transaction
from django.db.models import QuerySet

from scoring.rules.strict_json import canonical
from society.audit.models import AuditAbout, AuditLine, Words
from society.audit.rules import FIRST, hash_words, line_digest
from society.web.who import Who

_LOCK = 7_418_002_026  # any fixed number: PostgreSQL's advisory lock for the end of the chain


@dataclass(slots=True)
class Deed:
    """A deed under way: actions report what they change; the outermost writes the line.

    `by`, `at`: who and when, the same for every row of the deed.
    """

    by: Who
    at: datetime
    what: str
    about: list[str]
    changes: list[dict[str, object]] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)

    def change(self, about: str, new: object, old: object = None) -> None:
        """Report one change. `about` is "kind:public id"; values must fit canonical JSON."""
        entry: dict[str, object] = {"about": about, "new": new}
        if old is not None:
            entry["old"] = old
        self.changes.append(entry)
        if about not in self.about:
            self.about.append(about)

    def note(self, text: str) -> None:
        """Bind free text into the audit line alone, where no row of the deed keeps it."""
        if text.strip():
            self.texts.append(text.strip())

    def words(self, text: str) -> Words | None:
        """Keep free text for a row of this deed and bind it into the audit line; None if empty."""
        text = text.strip()
        if not text:
            return None
        self.texts.append(text)
        return Words.objects.create(text=text, salt=secrets.token_hex(16))


_open: ContextVar[Deed | None] = ContextVar("open_deed", default=None)


@contextmanager
def deed(*, by: Who, at: datetime, what: str, about: str) -> Iterator[Deed]:
    """Do one deed in one transaction: `with deed(by=by, at=at, what="entered", about="entry:x")`.

    The outermost opens the transaction and writes the one audit line last; an inner one only
    adds its name and its changes to it. An exception undoes all of it and writes no line.
    """
    outer = _open.get()
    if outer is not None:
        outer.changes.append({"about": about, "deed": what})
        if about not in outer.about:
            outer.about.append(about)
        yield outer
        return
    mine = Deed(by=by, at=at, what=what, about=[about])
    with transaction.atomic():
        token = _open.set(mine)
        try:
            yield mine
        finally:
            _open.reset(token)
        _write(mine)


def blank_words(rows: QuerySet[Words]) -> int:
    """Empty free text for good, as part of a deed; the chain holds only its salted hash."""
    return rows.exclude(text="").update(text="")


def _write(mine: Deed) -> AuditLine:
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_LOCK])
    last = AuditLine.objects.order_by("-number").values_list("number", "digest").first()
    number, previous = (last[0] + 1, last[1]) if last else (1, FIRST)
    words, words_hash = None, ""
    if mine.texts:
        words = Words.objects.create(text="\n".join(mine.texts), salt=secrets.token_hex(16))
        words_hash = hash_words(words.salt, words.text)
    by, changes = mine.by.as_json(), canonical(mine.changes)
    line = AuditLine.objects.create(
        number=number,
        previous=previous,
        digest=line_digest(
            number=number,
            previous=previous,
            at=mine.at,
            by=by,
            deed=mine.what,
            about=mine.about[0],
            changes=changes,
            words_hash=words_hash,
        ),
        at=mine.at,
        by=by,
        deed=mine.what,
        about=mine.about[0],
        changes=changes,
        words=words,
        words_hash=words_hash,
    )
    AuditAbout.objects.bulk_create(
        AuditAbout(line=line, about=about, at=mine.at, by=by) for about in mine.about[1:]
    )
    return line
