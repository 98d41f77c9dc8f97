"""Who may import what: the part of the layout that the import contracts cannot say.

The contracts in pyproject.toml forbid by name and hold one direction. Here stand the other halves:
the short list of what a rules module may import at all, that every package of ours has its place in
the arrows, that every `__init__.py` is empty, that starting the program loads nothing heavy, and
the bans that a file exempted for one reason could otherwise break for another.
"""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
CONFIG = tomllib.loads((ROOT / "pyproject.toml").read_text())
CONTRACTS = {c["id"]: c for c in CONFIG["tool"]["importlinter"]["contracts"]}
PACKAGES = ("society", "scoring")
HEAVY = {"weasyprint", "openpyxl", "pygal", "segno"}

ALLOWED_IN_RULES = {
    "__future__", "bisect", "collections", "collections.abc", "dataclasses", "decimal", "enum",
    "fractions", "functools", "hashlib", "itertools", "json", "re", "typing",
}  # fmt: skip
# Golf knows days. What an app decides by a deadline takes moments too, as values it is given: that
# no rules module reads the clock is held below and by ruff.
DAYS = {"date"}
MOMENTS = {"date", "datetime", "UTC"}


def modules() -> list[Path]:
    """All Python files of the program, migrations left out."""
    files = [path for package in PACKAGES for path in (ROOT / package).rglob("*.py")]
    return sorted(path for path in files if "migrations" not in path.parts)


def name_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def is_rules(path: Path) -> bool:
    return path.name == "rules.py" or "rules" in path.relative_to(ROOT).parts[:-1]


def imports(tree: ast.AST) -> Iterator[tuple[str, str | None]]:
    """Every import in the file, wherever it stands: (module, name taken from it or None)."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((alias.name, None) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from (("." * node.level + (node.module or ""), a.name) for a in node.names)


def allowed_in_rules(module: str, name: str | None, of_golf: bool = True) -> bool:
    if module == "datetime":
        return name in (DAYS if of_golf else MOMENTS)
    parts = module.split(".")
    ours = parts[0] in PACKAGES and ("rules" in parts[1:] or name == "rules")
    return ours or module in ALLOWED_IN_RULES


RULES = [path for path in modules() if is_rules(path)]


@pytest.mark.parametrize("path", RULES, ids=name_of)
def test_rules_import_only_plain_values(path: Path) -> None:
    of_golf = name_of(path).startswith("scoring.rules")
    taken = imports(ast.parse(path.read_text()))
    assert [pair for pair in taken if not allowed_in_rules(*pair, of_golf)] == []


def test_rules_modules_are_found() -> None:
    assert {"scoring.rules.values", "scoring.rules.ties", "society.entries.rules"} <= set(
        map(name_of, RULES)
    )


@pytest.mark.parametrize(
    ("line", "fine"),
    [
        ("import json", True),
        ("from datetime import date", True),
        ("from collections.abc import Sequence", True),
        ("from scoring.rules.values import Hole", True),
        ("from society.entries import rules", True),
        ("from datetime import datetime", False),
        ("import datetime", False),
        ("import random", False),
        ("from django.db import models", False),
        ("from society.entries.models import Entry", False),
        ("from . import values", False),
    ],
)
def test_the_reading_of_imports_can_tell(line: str, fine: bool) -> None:
    assert all(allowed_in_rules(*pair) for pair in imports(ast.parse(line))) is fine


def test_recount_shares_nothing_with_the_engine_but_values() -> None:
    files = sorted((ROOT / "scoring/rules").glob("recount*.py"))
    own = set(map(name_of, files))
    assert "scoring.rules.recount" in own
    taken = [pair for path in files for pair in imports(ast.parse(path.read_text()))]
    ours = {module for module, _ in taken if module.split(".")[0] in PACKAGES}
    assert ours <= own | {"scoring.rules.values"}


def test_every_package_stands_in_the_arrows() -> None:
    arrows = {name.strip() for layer in CONTRACTS["arrows"]["layers"] for name in layer.split("|")}
    packages = {
        f"{package}.{folder.name}"
        for package in PACKAGES
        for folder in (ROOT / package).iterdir()
        if folder.is_dir() and any(folder.glob("*.py"))
    }
    assert packages == arrows - {"society.urls"}


def test_every_app_keeps_the_rooms() -> None:
    """The apps of the contract on rooms are those of the arrows, but for web and the pure rules."""
    arrows = {name.strip() for layer in CONTRACTS["arrows"]["layers"] for name in layer.split("|")}
    assert set(CONTRACTS["rooms"]["containers"]) == arrows - {
        "society.urls",
        "society.web",
        "scoring.rules",
    }


def test_every_init_is_empty() -> None:
    inits = [path for package in PACKAGES for path in (ROOT / package).rglob("__init__.py")]
    assert inits
    assert [name_of(path) for path in inits if path.read_text().strip()] == []


def test_starting_loads_nothing_heavy() -> None:
    """Pages come up with every view imported; PDFs and sheets are loaded when one is made."""
    code = (
        "import sys, django; django.setup(); "
        "from django.urls import get_resolver; get_resolver().url_patterns; "
        f"print([name for name in {sorted(HEAVY)!r} if name in sys.modules])"
    )
    answer = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert answer.stdout.strip() == "[]"


def test_lint_knows_what_is_heavy() -> None:
    lint = CONFIG["tool"]["ruff"]["lint"]["flake8-tidy-imports"]
    assert set(lint["banned-module-level-imports"]) == HEAVY


# Ruff lifts all its bans in a file that is exempt from one. What is not meant to be lifted is held
# here: who may read the clock may not look objects up or draw by chance, and the other way round.
CLOCK = re.compile(
    r"\b(?:datetime|date|timezone)\.(?:now|today|utcnow)\(|\btime\.time\(|\blocal(?:date|time)\(\)"
)
LOOK_UP = re.compile(r"\bget_(?:object|list)_or_404\b")
CHANCE = re.compile(r"^\s*(?:import|from) random\b", re.MULTILINE)


def may_read_the_clock(path: Path) -> bool:
    rooms = {"views", "commands"} & set(path.parts)
    return bool(rooms) or path.stem in {"views", "middleware", "clock"}


@pytest.mark.parametrize("path", modules(), ids=name_of)
def test_bans_hold_in_exempt_files(path: Path) -> None:
    text = path.read_text()
    assert not CHANCE.search(text)
    assert may_read_the_clock(path) or not CLOCK.search(text)
    assert path.stem == "access" or not LOOK_UP.search(text)


@pytest.mark.parametrize(
    "line", ["timezone.now()", "datetime.now(UTC)", "date.today()", "localdate()", "time.time()"]
)
def test_the_reading_of_the_clock_is_seen(line: str) -> None:
    assert CLOCK.search(f"    at = {line}")


def test_every_noqa_gives_its_reason() -> None:
    bare = re.compile(r"# noqa: [A-Z0-9, ]+$")
    files = [*modules(), *(ROOT / "tests").rglob("*.py")]
    lines = [(name_of(path), line) for path in files for line in path.read_text().splitlines()]
    assert [pair for pair in lines if bare.search(pair[1])] == []
