"""Which code is running: part of every ETag, so that no old page hides a new release."""

import hashlib
from functools import cache
from pathlib import Path

from django.conf import settings

_FOLDERS = ("society", "scoring", "templates")
_KINDS = frozenset({".py", ".html", ".css", ".js"})


@cache
def code_version() -> str:
    """A short digest of the program's own files: equal in every process that runs the same code."""
    known = hashlib.sha256()
    for folder in _FOLDERS:
        for path in sorted(Path(settings.BASE_DIR, folder).rglob("*")):
            if path.suffix in _KINDS:
                found = path.stat()
                known.update(f"{path.name} {found.st_size} {found.st_mtime_ns}\n".encode())
    return known.hexdigest()[:12]
