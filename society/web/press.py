"""Paper is made by a process of its own, so that nobody's card waits for it.

A web process has one thread (docs/decisions/0012): a file that takes a second would hold up every
request behind it. So the values are loaded and the page is written, the answer leads to a page that
says how far it is, and a child process lays the paper out into a folder of its own. One child works
at a time, at low priority. The files hold names and digits: they are for the account that asked,
and they go after an hour.
"""

import fcntl
import json
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings

from society.web.ids import public_id
from society.web.refusals import WrongState
from society.web.stamp import Sheets, sheets_from, sheets_json, stamped
from society.web.writer import NoPaper, pdf_bytes

KEPT = timedelta(hours=1)
LONGEST = timedelta(minutes=2)  # after that the child is taken for dead
MOST_WAITING = 12
MOST_OF_ONE = 4  # so that one who presses on and on does not keep everybody else waiting
BROKEN = "The file could not be made. Whoever keeps the program finds the reason in its log."

_children: list[subprocess.Popen[bytes]] = []  # asked after now and then, or they stay as zombies


@dataclass(frozen=True, slots=True)
class Job:
    """A file that was asked for. `state`: making, ready or failed; `words`: why it failed."""

    id: str
    filename: str
    asked_at: datetime
    state: str
    words: str
    file: Path


def folder() -> Path:
    """Where the files lie; nobody but the program's own user may look in."""
    place = Path(settings.DATA_DIR) / "papers"
    place.mkdir(mode=0o700, parents=True, exist_ok=True)
    return place


def ask(html: str, filename: str, sheets: Sheets | None, *, owner: str, at: datetime) -> str:
    """Have a file made; gives the id of the job. Raises WrongState where too many wait."""
    _children[:] = [child for child in _children if child.poll() is None]
    clear(at=at)
    waiting = [place for place in folder().iterdir() if _waits(place, at)]
    if len(waiting) >= MOST_WAITING:
        raise WrongState("Many files are being made just now. Try again in a minute.")
    if len(waiting) >= MOST_OF_ONE and sum(_asked(p, owner) for p in waiting) >= MOST_OF_ONE:
        raise WrongState("Some of your files are still being made. Try again in a minute.")
    job = public_id()
    place = folder() / job
    place.mkdir(mode=0o700)
    order = {
        "owner": owner,
        "filename": filename,
        "asked_at": at.isoformat(),
        "html": html,
        "sheets": None if sheets is None else sheets_json(sheets),
    }
    (place / "order.json").write_text(json.dumps(order))
    _children.append(
        subprocess.Popen(
            [sys.executable, "-m", "society.web.press", str(place)],
            cwd=settings.BASE_DIR,
            stdin=subprocess.DEVNULL,
            start_new_session=True,
        )
    )
    return job


def job_of(job: str, *, owner: str, at: datetime) -> Job | None:
    """How a job stands, for the account that asked; None for anybody else and after an hour."""
    place = folder() / job
    try:
        order = json.loads((place / "order.json").read_text())
    except OSError:
        return None
    asked_at = datetime.fromisoformat(order["asked_at"])
    if order["owner"] != owner or at - asked_at > KEPT:
        return None
    failed = place / "failed.txt"
    state, words = "making", ""
    if (place / "paper.pdf").exists():
        state = "ready"
    elif failed.exists():
        state, words = "failed", failed.read_text()
    elif at - asked_at > LONGEST:
        state, words = "failed", BROKEN
    return Job(job, order["filename"], asked_at, state, words, place / "paper.pdf")


def clear(*, at: datetime) -> int:
    """Remove what is older than an hour; how many."""
    gone = 0
    for place in folder().iterdir():
        if place.is_dir() and at.timestamp() - place.stat().st_mtime > KEPT.total_seconds():
            shutil.rmtree(place, ignore_errors=True)
            gone += 1
    return gone


def _waits(place: Path, at: datetime) -> bool:
    """Whether a child is still at work for it, or about to be; a dead one is not waited for."""
    if not place.is_dir() or any((place / name).exists() for name in ("paper.pdf", "failed.txt")):
        return False
    return at.timestamp() - place.stat().st_mtime <= LONGEST.total_seconds()


def _asked(place: Path, owner: str) -> bool:
    try:
        return bool(json.loads((place / "order.json").read_text())["owner"] == owner)
    except (OSError, ValueError):
        return False  # just being written, or just gone


def make(place: Path) -> None:
    """Lay one paper out, in the child. Whatever goes wrong is written beside it."""
    order = json.loads((place / "order.json").read_text())
    made = place / "paper.part"
    try:
        if order["sheets"] is None:
            made.write_bytes(pdf_bytes(order["html"]))
        else:
            made.write_bytes(stamped(order["html"], sheets_from(order["sheets"])))
    except NoPaper as missing:
        (place / "failed.txt").write_text(str(missing))
    except BaseException:
        (place / "failed.txt").write_text(BROKEN)
        raise
    else:
        made.rename(place / "paper.pdf")
        told = {name: order[name] for name in ("owner", "filename", "asked_at")}
        part = place / "order.part"
        part.write_text(json.dumps(told))  # the names need not lie there twice
        part.rename(place / "order.json")


def _main(place: Path) -> None:
    os.nice(10)
    with (place.parent / "one-at-a-time").open("w") as turn:
        fcntl.flock(turn, fcntl.LOCK_EX)
        make(place)


if __name__ == "__main__":
    _main(Path(sys.argv[1]))
