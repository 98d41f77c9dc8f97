"""What the machine must have for some tests, and a plain word on those that did not run.

A pytest plugin (see addopts in pyproject.toml). A test says what it needs with a marker: `pdf`,
`pdftotext`, `browser` or `postgres`; every test under tests/browser has `browser`. Where the
machine lacks it the test is skipped with the reason. The end of the run lists what did not run and
why, and a run in which nothing ran is a failure. With TESTS_NEED=pdf,browser in the environment a
lack of one of these is an error at once, for a machine that is expected to have it.
"""

from __future__ import annotations

import importlib.util
import os
import sys
from collections import defaultdict
from functools import cache
from pathlib import Path

import pytest

# .ci is no package: it must work before anything is installed.
_spec = importlib.util.spec_from_file_location(
    "machine", Path(__file__).resolve().parent.parent / ".ci" / "machine.py"
)
machine = importlib.util.module_from_spec(_spec)
sys.modules["machine"] = machine
_spec.loader.exec_module(machine)
NEEDS, chromium = machine.NEEDS, machine.chromium

MISSING = {
    "pdf": f"{NEEDS['pdf'].name}: not installed",
    "pdftotext": f"{NEEDS['pdftotext'].name}: not installed",
    "browser": f"{NEEDS['browser'].name}: not installed",
    "postgres": "DATABASE_URL names no PostgreSQL server",
}


@cache
def have(need: str) -> bool:
    """Say whether this run has what the marker `need` stands for."""
    if need == "postgres":
        return os.environ.get("DATABASE_URL", "").startswith("postgres")
    return NEEDS[need].present()


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
    listing_only = session.config.option.collectonly
    if exitstatus == pytest.ExitCode.OK and not listing_only and not reporter.stats.get("passed"):
        session.exitstatus = pytest.ExitCode.NO_TESTS_COLLECTED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say which tests did not run, by reason."""
    files_by_reason: dict[str, list[str]] = defaultdict(list)
    for report in terminalreporter.stats.get("skipped", []):
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else report.longrepr
        files_by_reason[str(reason).removeprefix("Skipped: ")].append(report.nodeid.split("::")[0])
    if files_by_reason:
        terminalreporter.section("did not run")
    for reason, files in files_by_reason.items():
        terminalreporter.line(f"{len(files)} not run ({reason}): {', '.join(sorted(set(files)))}")
