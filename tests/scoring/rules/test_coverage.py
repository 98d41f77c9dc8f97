"""The table of rules: every case it names runs, every module stands in it, none is left out."""

from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.scoring.rules.test_cases import all_cases, run

TOP = Path(__file__).resolve().parents[3]
RULES = TOP / "scoring" / "rules"
COLUMNS = ["Rule", "Section", "Edition", "Module", "State", "Cases"]


@dataclass(frozen=True)
class Row:
    rule: str
    section: str
    edition: str
    module: str
    state: str
    cases: tuple[str, ...]


def rows() -> list[Row]:
    lines = (TOP / "docs" / "rules-coverage.md").read_text(encoding="utf-8").splitlines()
    table = [line.strip("|").split("|") for line in lines if line.startswith("|")]
    head, _, *body = [[cell.strip() for cell in row] for row in table]
    assert head == COLUMNS
    return [Row(*row[:3], row[3].strip("`"), row[4], tuple(row[5].split())) for row in body]


ROWS = rows()


@pytest.mark.parametrize("row", ROWS, ids=[f"{row.module}: {row.section}" for row in ROWS])
def test_what_a_row_names_is_there_and_its_cases_run(row):
    assert row.rule
    assert row.edition
    if row.state != "done":
        assert row.state.startswith("not done")
        assert (row.module, row.cases) == ("–", ("–",))
        return
    assert (RULES / f"{row.module}.py").is_file()
    assert row.cases
    for name in row.cases:
        if name.startswith("`"):
            assert (TOP / name.strip("`")).is_file()
        else:
            run(all_cases()[name])


def test_every_module_of_the_rules_stands_in_the_table():
    modules = {
        path.relative_to(RULES).with_suffix("").as_posix()
        for path in RULES.rglob("*.py")
        if path.name != "__init__.py"
    }
    assert modules == {row.module for row in ROWS} - {"–"}


def test_every_worked_example_is_named_by_some_row():
    named = {name for row in ROWS for name in row.cases if not name.startswith("`")}
    assert set(all_cases()) == named - {"–"}
