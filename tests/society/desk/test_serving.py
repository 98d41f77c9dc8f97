"""The server and the clock live and die together, whichever of them ends and however."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.serving import ROOT, _wait_for, environment, free_port, migrated


def children(pid: int) -> dict[str, int]:
    """The processes a process has started, by the word that tells them apart."""
    found = {}
    for entry in Path("/proc").iterdir():
        if not entry.name.isdigit():
            continue
        try:
            parent = int((entry / "stat").read_text().rsplit(")", 1)[1].split()[1])
            line = (entry / "cmdline").read_bytes().decode().split("\0")
        except OSError:  # it ended while we looked
            continue
        if parent == pid:
            found["clock" if "due" in line else "server"] = int(entry.name)
    return found


def gone(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] == "Z"
    except OSError:
        return True


def ends(pid: int) -> bool:
    until = time.monotonic() + 25
    while not gone(pid) and time.monotonic() < until:
        time.sleep(0.1)
    return gone(pid)


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="reads Linux's list of processes")
@pytest.mark.parametrize(
    ("who", "how"),
    [
        ("serve", signal.SIGTERM),
        ("serve", signal.SIGINT),
        ("serve", signal.SIGKILL),
        ("clock", signal.SIGKILL),
        ("server", signal.SIGKILL),
    ],
)
def test_when_one_ends_all_end(tmp_path, who, how):
    file = migrated(tmp_path / "society.sqlite3", tmp_path / "template.sqlite3")
    port = free_port()
    log = tmp_path / "log"
    with log.open("w") as out:
        serve = subprocess.Popen(
            [sys.executable, "manage.py", "serve", "--port", str(port), "--workers", "1"],
            cwd=ROOT,
            env=environment(file),
            stdout=out,
            stderr=out,
        )
    family = {}
    try:
        _wait_for(f"http://127.0.0.1:{port}", serve, log)
        family = {**children(serve.pid), "serve": serve.pid}
        assert set(family) == {"serve", "server", "clock"}
        (family["worker"],) = children(family["server"]).values()
        os.kill(family[who], how)
        if who == "serve":
            serve.wait(25)
        assert {name: ends(pid) for name, pid in family.items()} == dict.fromkeys(family, True)
    finally:
        for pid in family.values():
            if not gone(pid):
                os.kill(pid, signal.SIGKILL)
        serve.wait(25)
