"""Work a handicap record out: a file in, the history of the index out."""

from scoring.rules.record import cli
from society.desk.management.documents import DocumentCommand


class Command(DocumentCommand):
    """The handicap engine on a file."""

    help = (
        "Work out a handicap record (one player's scores): after each score the differential, "
        "which scores count, the average, the caps and the index. The answer goes to standard "
        "output; a document that is wrong gives one line, the place and why, and exit status 2. "
        "The index is a society's own figure by the published method, not an official one. "
        "Example: manage.py handicap record.json --format text"
    )
    document = "handicap record"

    def work_out(self, data: bytes, output: str) -> tuple[str, str, int]:
        """The history."""
        return cli.main(data, output)
