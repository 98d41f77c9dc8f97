"""Score an event document: a file in, the standings out."""

from scoring.rules import cli
from society.desk.management.documents import DocumentCommand


class Command(DocumentCommand):
    """The event engine on a file."""

    help = (
        "Score an event document (one competition over one round). The answer goes to standard "
        "output; a document that is wrong gives one line, the place and why, and exit status 2. "
        "Example: manage.py score april.json --format text"
    )
    document = "event document"

    def work_out(self, data: bytes, output: str) -> tuple[str, str, int]:
        """The standings."""
        return cli.main(data, output)
