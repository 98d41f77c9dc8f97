"""No nonsense ends in an error page: every address is sent bad figures, days and names.

Which names a view reads is seen while it reads them, in the address and in the form, so a new
field is in the sweep by itself. The forms of a page are also sent filled in as they stand, with
a few of their fields spoilt.
"""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from copy import deepcopy
from html.parser import HTMLParser
from typing import Any

import pytest
from django.db import transaction
from django.http import HttpResponse, QueryDict
from django.test import Client
from django.urls import reverse
from django.utils.datastructures import MultiValueDict

from society.web.checks import every_url
from tests.house.test_who_may import ROUTES, TABLE
from tests.house.world import World, build

KINDS = ("playing", "player", "out")  # an officer who plays, a member, nobody signed in
# All that a view reads is one of these at once …
EVERYWHERE = (
    "9" * 5000,  # more digits than Python reads, longer than any column
    "99999999999999999999",  # more than a column holds
    "²",  # a digit by isdigit(), none by int()
    "0001-01-01",
)
# … and a form filled in as it stands has one of these in a few of its fields.
HERE_AND_THERE = ("99999999999999999999", "9999-12-31T23:59", "NaN", "[[1, {}]]")


@pytest.fixture
def world(db: None, monkeypatch: pytest.MonkeyPatch) -> World:
    """The house's small society; nothing is laid out on paper, which would take minutes."""
    monkeypatch.setattr("society.web.pdf.pdf_bytes", lambda html: b"%PDF-")
    monkeypatch.setattr("society.web.pdf.stamped", lambda html, sheets: b"%PDF-")
    return build()


class _Forms(HTMLParser):
    """Every form of a page: where it goes, how, and its fields as they are filled in."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, str, dict[str, list[str]]]] = []
        self.select = self.area = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            where = told.get("action", "").partition("?")[0]
            self.found.append((where, told.get("method", "get").upper(), {}))
        if not self.found:
            return
        fields, name = self.found[-1][2], told.get("name", "")
        if tag == "input" and name:
            boxes = told.get("type") in ("checkbox", "radio")
            if not boxes or "checked" in told:
                fields.setdefault(name, []).append(told.get("value", "on"))
        elif tag in ("select", "textarea") and name:
            self.select, self.area = (name, "") if tag == "select" else ("", name)
            fields.setdefault(name, [])
        elif tag == "option" and self.select and ("selected" in told or not fields[self.select]):
            fields[self.select] = [told.get("value", "")]

    def handle_data(self, data: str) -> None:
        if self.area and self.found and data.strip():
            self.found[-1][2][self.area] = [data.strip()]

    def handle_endtag(self, tag: str) -> None:
        if tag in ("select", "textarea"):
            self.select = self.area = ""


@contextmanager
def read_names(monkeypatch: pytest.MonkeyPatch) -> Iterator[set[str]]:
    """The names that are asked of any address or form meanwhile."""
    names: set[str] = set()

    def noting(way: str) -> Any:
        ask = getattr(MultiValueDict, way)

        def noted(self: QueryDict, name: str, *more: Any, **options: Any) -> Any:
            names.add(name)
            return ask(self, name, *more, **options)

        return noted

    with monkeypatch.context() as patch:
        for way in ("get", "getlist", "__getitem__", "__contains__"):
            patch.setattr(QueryDict, way, noting(way), raising=False)
        yield names


class Sweep:
    """Sends things as one kind of person and keeps what ended in an error page."""

    def __init__(self, client: Client) -> None:
        self.client = client
        self.wrong: dict[str, str] = {}
        self.sent = 0

    def send(self, name: str, method: str, where: str, data: Mapping[str, object]) -> HttpResponse:
        """One request; whatever it changed is undone."""
        self.sent += 1
        cookies = deepcopy(self.client.cookies)
        with transaction.atomic():
            ask = self.client.post if method == "POST" else self.client.get
            response = ask(where, data)
            transaction.set_rollback(True)
        self.client.cookies = cookies  # who signed out is signed in for the next
        if response.status_code >= 500:
            fault = getattr(response, "exc_info", None)
            told = f"{type(fault[1]).__name__}: {str(fault[1])[:100]}" if fault else ""
            fields = {key: str(value)[:30] for key, value in data.items()}
            self.wrong.setdefault(f"{method} {name} {told}", f"{where} {fields}"[:400])
        return response


def addresses(world: World) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Each route with its address in the world, and its methods."""
    for name in ROUTES:
        row = TABLE[name]
        args = [world.things[thing] for thing in row.get("args", [])]
        yield name, reverse(name, args=args), tuple(m for m in ("GET", "POST") if m in row)


def forms_in(response: HttpResponse) -> list[tuple[str, str, dict[str, list[str]]]]:
    if "html" not in response.headers.get("Content-Type", ""):
        return []
    parser = _Forms()
    parser.feed(response.content.decode())
    return parser.found


def sweep_as(client: Client, world: World, monkeypatch: pytest.MonkeyPatch) -> Sweep:
    """Every address with every name it reads spoilt at once; then the forms of its page."""
    sweep = Sweep(client)
    known = {where: name for name, where, _ in addresses(world)}
    filled: dict[tuple[str, str], dict[str, list[str]]] = {}
    for name, where, methods in addresses(world):
        for method in methods:
            with read_names(monkeypatch) as names:
                first = sweep.send(name, method, where, {})
            if method == "GET":
                for action, how, fields in forms_in(first):
                    filled.setdefault((action or where, how), fields)
            for nonsense in EVERYWHERE if names else ():
                sweep.send(name, method, where, dict.fromkeys(names, nonsense))
    for (where, method), fields in filled.items():
        for data in spoilt(fields) if where in known else ():
            sweep.send(known[where], method, where, data)
    return sweep


def spoilt(fields: Mapping[str, list[str]]) -> Iterator[dict[str, object]]:
    """A form filled in as it stands, each piece of nonsense in a few of its fields."""
    names = [name for name in fields if name != "csrfmiddlewaretoken"]
    few = -(-len(names) // len(HERE_AND_THERE))
    for at, nonsense in enumerate(HERE_AND_THERE):
        worse = names[at * few : (at + 1) * few]
        yield {**fields, **dict.fromkeys(worse, nonsense)}


@pytest.mark.parametrize("kind", KINDS)
def test_no_nonsense_ends_in_an_error(
    kind: str, world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    sweep = sweep_as(world.clients[kind], world, monkeypatch)
    assert sweep.sent > 200
    assert sweep.wrong == {}


def test_an_error_would_be_seen(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """A view that reads a figure as Python does falls over, by a name it alone asks for."""
    found = next(url for name, url in every_url() if name == "desk:words")
    asks = found.callback

    def careless(request: Any) -> HttpResponse:
        int(request.GET.get("of_no_other_view", "0"))
        return HttpResponse()

    careless.access = asks.access  # type: ignore[attr-defined]
    monkeypatch.setattr(found, "callback", careless)
    sweep = sweep_as(world.clients["out"], world, monkeypatch)
    assert [key for key in sweep.wrong if key.startswith("GET desk:words ValueError")]
