"""What the machine must have for some tests, and a plain word on those that did not run.

A pytest plugin (see addopts in pyproject.toml). A test says what it needs with a marker: `pdf`,
`browser` or `postgres`; every test under tests/browser has `browser`. Where the machine lacks it the
test is skipped with the reason. The end of the run lists what did not run and why, and a run in
which nothing ran is a failure. With TESTS_NEED=pdf,browser in the environment a lack of one of
these is an error at once, for a machine that is expected to have it.
"""

from __future__ import annotations

import ctypes
import os
import shutil
from collections import Counter
from functools import cache

import pytest

CHROMIUM_NAMES = ("chromium", "chromium-browser")
PANGO = (
    ("libpango-1.0.so.0", "libpangoft2-1.0.so.0"),
    ("libpango-1.0.dylib", "libpangoft2-1.0.dylib"),
)
MISSING = {
    "pdf": "Pango is not installed",
    "browser": "Chromium, or the libatomic that its driver needs, is not installed",
    "postgres": "DATABASE_URL names no PostgreSQL server",
}


def chromium() -> str | None:
    """Return the path of the browser to drive: CHROMIUM of the environment, else the first found."""
    given = os.environ.get("CHROMIUM")
    return given or next(filter(None, map(shutil.which, CHROMIUM_NAMES)), None)


def _loads(*libraries: str) -> bool:
    try:
        for library in libraries:
            ctypes.CDLL(library)
    except OSError:
        return False
    return True


@cache
def have(need: str) -> bool:
    """Say whether this machine has what the marker `need` stands for."""
    if need == "pdf":
        return any(_loads(*libraries) for libraries in PANGO)
    if need == "browser":
        driver = os.uname().sysname != "Linux" or _loads("libatomic.so.1")
        return chromium() is not None and driver
    return os.environ.get("DATABASE_URL", "").startswith("postgres")


def pytest_configure(config: pytest.Config) -> None:
    """Refuse to start where something is missing that must be there."""
    wanted = filter(None, os.environ.get("TESTS_NEED", "").split(","))
    if lacking := [MISSING[need] for need in wanted if not have(need)]:
        raise pytest.UsageError("; ".join(lacking))


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Skip what this machine cannot run."""
    browser_tests = config.rootpath / "tests" / "browser"
    for item in items:
        if item.path.is_relative_to(browser_tests):
            item.add_marker(pytest.mark.browser)
        for need, reason in MISSING.items():
            if item.get_closest_marker(need) and not have(need):
                item.add_marker(pytest.mark.skip(reason=reason))


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """Turn a run in which nothing passed into a failure."""
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    if hasattr(session.config, "workerinput") or reporter is None:
        return
    if exitstatus == pytest.ExitCode.OK and not session.config.option.collectonly:
        if not reporter.stats.get("passed"):
            session.exitstatus = pytest.ExitCode.NO_TESTS_COLLECTED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how many tests did not run, by reason."""
    reasons = Counter(
        str(report.longrepr[2]) if isinstance(report.longrepr, tuple) else str(report.longrepr)
        for report in terminalreporter.stats.get("skipped", [])
    )
    if not reasons:
        return
    terminalreporter.section("did not run")
    for reason, count in reasons.most_common():
        terminalreporter.line(f"{count:5} {reason.removeprefix('Skipped: ')}")
