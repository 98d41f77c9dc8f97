"""The permission sweep: every URL of the resolver × every method × every kind of person.

The URLs come from the resolver, the expected answers from who_may.toml, written by hand.
"""

import tomllib
from copy import deepcopy
from pathlib import Path

import pytest
from django.db import transaction
from django.urls import reverse

from society.web.access import declared
from society.web.checks import every_url
from tests.house.world import World, build

TABLE = tomllib.loads((Path(__file__).parent / "who_may.toml").read_text())
KINDS: list[str] = TABLE.pop("kinds")
METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")
LET_IN = {200, 302, 303, 409, 422}
ROUTES = sorted({name for name, _ in every_url()})
PDFS = {name for name, url in every_url() if str(url.pattern).endswith(".pdf")}


@pytest.fixture
def world(db: None) -> World:
    return build()


def test_every_route_has_its_line_and_no_line_is_idle() -> None:
    """An address without expected answers fails, and so does a line for no address."""
    assert sorted(TABLE) == ROUTES


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.pdf) if name in PDFS else name for name in ROUTES]
)
def test_each_kind_of_person_gets_what_is_written(name: str, world: World) -> None:
    row = TABLE[name]
    address = reverse(name, args=[world.things[thing] for thing in row.get("args", [])])
    wrong = []
    for method in METHODS:
        for kind, expected in zip(KINDS, _expected(name, row, method), strict=True):
            status, where = _answer(world, kind, method, address)
            if not _fits(expected, status, where):
                wrong.append(f"{method} {name} as {kind}: {status} {where}, expected {expected}")
    assert wrong == []


def _expected(name: str, row: dict[str, object], method: str) -> list[str]:
    line = row.get("GET" if method == "HEAD" else method)
    if line is not None:
        return str(line).split()
    return ["405" if row.get("public") else "302", *["405"] * (len(KINDS) - 1)]


def _answer(world: World, kind: str, method: str, address: str) -> tuple[int, str]:
    """The status and where it leads; whatever the request changed is undone."""
    client = world.clients[kind]
    cookies = deepcopy(client.cookies)
    with transaction.atomic():
        response = client.generic(
            method, address, "", content_type="application/x-www-form-urlencoded"
        )
        if response.streaming:
            b"".join(response.streaming_content)
        transaction.set_rollback(True)
    client.cookies = cookies  # who signs out or in is, for the next question, who they were
    return response.status_code, response.headers.get("Location", "")


def _fits(expected: str, status: int, where: str) -> bool:
    to_sign_in = where.startswith(reverse("members:sign_in"))
    if expected == "in":
        return status in LET_IN and not to_sign_in
    return status == int(expected) and (status != 302 or to_sign_in)


def test_the_sweep_can_fail() -> None:
    """The judge says no to a wrong status, to a way in for the signed out, and to a 500."""
    assert not _fits("403", 200, "")
    assert not _fits("in", 302, reverse("members:sign_in") + "?next=/")
    assert not _fits("in", 500, "")
    assert not _fits("302", 302, "/somewhere/")


def test_no_view_is_undeclared() -> None:
    assert [name for name, pattern in every_url() if declared(pattern.callback) is None] == []
