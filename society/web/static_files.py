"""Addresses of style sheets and scripts that change with the program."""

from django.contrib.staticfiles.storage import StaticFilesStorage

from society.web.version import code_version


class VersionedFiles(StaticFilesStorage):
    """Static files as they stand; the address names the running code.

    So a browser may keep them for long, and after an upgrade asks for the new ones at once.
    """

    def url(self, name: str | None, force: bool = False) -> str:
        """The address of a file with the version of the code behind it."""
        return f"{super().url(name)}?v={code_version()}"
