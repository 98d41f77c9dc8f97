"""The real server on a database file of its own, for journeys, races and pictures."""

import contextlib
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator, Mapping
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def environment(file: Path, **more: str) -> dict[str, str]:
    """What a command of ours must be told to work on that file and on nothing else."""
    return {
        **os.environ,
        "DATABASE_URL": f"sqlite:///{file}",
        "DATA_DIR": str(file.parent),
        "DJANGO_SETTINGS_MODULE": "society.settings",
        "PYTHONUNBUFFERED": "1",
        **more,
    }


def manage(file: Path, *words: str, given: str | None = None) -> subprocess.CompletedProcess[str]:
    """Run one command of ours on that database file, as a person at a terminal would."""
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=ROOT,
        env=environment(file),
        input=given,
        capture_output=True,
        text=True,
        check=False,
    )


def migrated(file: Path, template: Path) -> Path:
    """An empty society file at `file`: copied from `template`, which is made the first time."""
    if not template.exists():
        fresh = template.with_suffix(".making")
        told = manage(fresh, "migrate")
        if told.returncode:
            raise RuntimeError(told.stderr)
        fresh.rename(template)
    return Path(shutil.copy(template, file))


def free_port() -> int:
    """A port on this machine that nobody listens on."""
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        return int(door.getsockname()[1])


@contextlib.contextmanager
def serving(
    file: Path, *, command: tuple[str, ...] = ("serve",), env: Mapping[str, str] | None = None
) -> Iterator[str]:
    """The address of the real server on that file; it is ended, by its own id, afterwards."""
    port = free_port()
    log = file.parent / f"server-{port}.log"
    with log.open("w") as out:
        server = subprocess.Popen(
            [sys.executable, "manage.py", *command, "--port", str(port)],
            cwd=ROOT,
            env=dict(env) if env is not None else environment(file),
            stdout=out,
            stderr=subprocess.STDOUT,
        )
    url = f"http://127.0.0.1:{port}"
    try:
        _wait_for(url, server, log)
        yield url
    finally:
        server.terminate()
        server.wait(timeout=20)


def _wait_for(url: str, server: subprocess.Popen[bytes], log: Path) -> None:
    for _ in range(480):
        if server.poll() is not None:
            raise RuntimeError(f"The server ended early:\n{log.read_text()}")
        with contextlib.suppress(OSError), urllib.request.urlopen(f"{url}/sign-in/", timeout=2):
            return
        time.sleep(0.25)
    raise RuntimeError(f"The server did not answer:\n{log.read_text()}")
