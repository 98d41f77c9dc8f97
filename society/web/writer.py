"""The engine that lays out paper. The library is heavy, so it is imported where it is used.

Its URL fetcher gets nothing but our own stylesheet: no address in a page ever leaves the machine.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "static" / "web"
NO_PANGO = (
    "This machine cannot make PDF files: the library Pango is missing. "
    "Whoever keeps the program can install it; everything else works without."
)


class NoPaper(Exception):  # noqa: N818 - the machine lacks something; nothing went wrong
    """The machine has no Pango."""


def pdf_available() -> bool:
    """Whether this machine can make PDF files."""
    try:
        import weasyprint  # noqa: F401 - only whether it loads
    except OSError:
        return False
    return True


def writer(html: str) -> Any:
    """The page ready to be laid out. Raises NoPaper where Pango is missing."""
    try:
        from weasyprint import HTML
        from weasyprint.urls import URLFetcher
    except OSError as missing:
        raise NoPaper(NO_PANGO) from missing
    base = f"{FOLDER.as_uri()}/"

    class OwnFiles(URLFetcher):
        def fetch(self, url: str, headers: Mapping[str, str] | None = None) -> object:
            if not url.startswith(base) or ".." in url:
                raise ValueError(f"no outside address on paper: {url[:80]}")
            return super().fetch(url, headers)

    return HTML(string=html, base_url=base, url_fetcher=OwnFiles())


def pdf_bytes(html: str) -> bytes:
    """The PDF of a page that extends print/base.html. Raises NoPaper where Pango is missing."""
    return bytes(writer(html).write_pdf())
