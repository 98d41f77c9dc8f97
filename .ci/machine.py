"""What this machine must have besides the Python packages, and what does not work without it.

    python3 .ci/machine.py ready venv pdf   look for it; as root install what is missing
    python3 .ci/machine.py lacking pdf      say in one line what is missing, if anything
    python3 .ci/machine.py environment      make .venv, or make it anew if it does not start

Run by the Makefile before any package is there, and read by the tests: standard library only.
"""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
CHROMIUM_NAMES = ("chromium", "chromium-browser")
PYTHON_NAMES = ("python3", "python3.13", "python3.12", "python3.11")
FIT = "import ensurepip, sys, venv; sys.exit(not (3, 11) <= sys.version_info[:2] <= (3, 13))"
PANGO = (
    ("libpango-1.0.so.0", "libpangoft2-1.0.so.0"),
    ("libpango-1.0.dylib", "libpangoft2-1.0.dylib"),
)
FONTS = (
    Path("/usr/share/fonts"),
    Path("/usr/local/share/fonts"),
    Path("/Library/Fonts"),
    Path.home() / ".fonts",
    Path.home() / ".local/share/fonts",
)


class Need(NamedTuple):
    """One thing to have: how to see it, what it is called, Debian's packages, what it is for."""

    present: Callable[[], bool]
    name: str
    packages: tuple[str, ...]
    without: str


def chromium() -> str | None:
    """Return the path of the browser to drive: CHROMIUM in the environment, else one on PATH."""
    given = os.environ.get("CHROMIUM")
    return given or next(filter(None, map(shutil.which, CHROMIUM_NAMES)), None)


def python() -> str | None:
    """Return a Python 3.11 to 3.13 that can make environments: PYTHON, else the first found."""
    given = os.environ.get("PYTHON")
    return next(filter(_fit, (given,) if given else PYTHON_NAMES), None)


def postgresql() -> Path | None:
    """Return the folder with initdb and postgres: the newest of Debian's, else the one on PATH."""
    kept = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: p.parts[-3])
    found = kept[-1] if kept else shutil.which("initdb")
    return Path(found).parent if found else None


def _fit(interpreter: str) -> bool:
    try:
        return subprocess.run([interpreter, "-c", FIT], stderr=subprocess.DEVNULL).returncode == 0
    except OSError:
        return False


def _loads(*libraries: str) -> bool:
    try:
        for library in libraries:
            ctypes.CDLL(library)
    except OSError:
        return False
    return True


def _has_pango() -> bool:
    fonts = (found for folder in FONTS for found in folder.rglob("*.[ot]tf"))
    return any(_loads(*libraries) for libraries in PANGO) and any(fonts)


def _has_browser() -> bool:
    driver_starts = sys.platform != "linux" or _loads("libatomic.so.1")
    return chromium() is not None and driver_starts


NEEDS = {
    "venv": Need(
        lambda: python() is not None,
        "a Python 3.11, 3.12 or 3.13 that can make virtual environments",
        ("python3-venv",),
        "nothing can be set up",
    ),
    "pdf": Need(
        _has_pango,
        "Pango and a font",
        ("libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0", "fonts-dejavu-core"),
        "no PDF can be made, and the tests that make one do not run",
    ),
    "pdftotext": Need(
        lambda: shutil.which("pdftotext") is not None,
        "pdftotext",
        ("poppler-utils",),
        "the tests that read a PDF back do not run",
    ),
    "browser": Need(
        _has_browser,
        "Chromium and libatomic",
        ("chromium", "libatomic1"),
        "the journeys in a browser do not run",
    ),
    "postgres": Need(
        lambda: postgresql() is not None,
        "PostgreSQL's server",
        ("postgresql",),
        "the tests cannot run on PostgreSQL",
    ),
}


def missing(names: Iterable[str]) -> list[Need]:
    """Return those of the needs that this machine does not meet."""
    return [NEEDS[name] for name in names if not NEEDS[name].present()]


def install(needs: list[Need]) -> None:
    """Install with apt, each need by itself so that one package not to be had stops no other.

    What fails is seen by looking again.
    """
    _apt_get("update")
    for need in needs:
        print(f"Installing {need.name} with apt: {' '.join(need.packages)}", flush=True)
        _apt_get("install", "-y", "--no-install-recommends", *need.packages)


def _apt_get(*words: str) -> None:
    subprocess.run(
        ["apt-get", "-qq", "-o", "DPkg::Lock::Timeout=300", *words],
        env={**os.environ, "DEBIAN_FRONTEND": "noninteractive"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
    )


def ready(names: list[str]) -> int:
    """See to the needs as far as we may and name all that is still missing.

    The exit code is 1 where nothing can be set up, else 0.
    """
    gaps = missing(names)
    if gaps and os.geteuid() == 0 and shutil.which("apt-get"):
        install(gaps)
    gaps = missing(names)
    for need in gaps:
        print(f"Missing: {need.name}. Without it {need.without}.")
    if gaps:
        packages = " ".join(package for need in gaps for package in need.packages)
        print("On Debian this brings it, as root:")
        print(f"  apt-get update && apt-get install -y --no-install-recommends {packages}")
    return 1 if NEEDS["venv"] in gaps else 0


def lacking(names: list[str]) -> int:
    """Say in one line what is missing; say nothing where all is there."""
    if gaps := missing(names):
        words = "; ".join(f"{need.name}, so {need.without}" for need in gaps)
        print(f"Missing on this machine: {words}.")
    return 0


def environment(_: list[str]) -> int:
    """Make .venv unless it is there and starts with a Python that fits."""
    if _fit(str(ENVIRONMENT / "bin" / "python")):
        return 0
    interpreter = python()
    if interpreter is None:
        return ready(["venv"])
    print(f"Making the environment in .venv with {interpreter}.", flush=True)
    return subprocess.run([interpreter, "-m", "venv", "--clear", str(ENVIRONMENT)]).returncode


def main(arguments: list[str]) -> int:
    """Run one of the words this file knows."""
    words = {"ready": ready, "lacking": lacking, "environment": environment}
    if not arguments or arguments[0] not in words or not set(arguments[1:]) <= set(NEEDS):
        print(__doc__)
        return 2
    return words[arguments[0]](arguments[1:])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
