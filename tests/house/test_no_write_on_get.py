"""No GET changes anything: every readable address is opened and its statements are read."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.house.test_who_may import KINDS, ROUTES, TABLE
from tests.house.world import World, build

WRITES = re.compile(r"^\s*(INSERT|UPDATE|DELETE|REPLACE|CREATE|DROP|ALTER)\b", re.IGNORECASE)
READABLE = [name for name in ROUTES if "GET" in TABLE.get(name, {})]


@pytest.fixture
def world(db: None) -> World:
    return build()


@pytest.mark.parametrize("name", READABLE)
def test_get_writes_nothing(name: str, world: World) -> None:
    address = reverse(name, args=[world.things[thing] for thing in TABLE[name].get("args", [])])
    for kind in KINDS:
        with CaptureQueriesContext(connection) as said:
            world.clients[kind].get(address)
        writes = [q["sql"] for q in said.captured_queries if WRITES.match(q["sql"])]
        assert writes == [], f"GET {name} as {kind} wrote"


def test_a_write_would_be_seen(world: World) -> None:
    """The judge notices an ordinary save."""
    from society.members.models import Society

    with CaptureQueriesContext(connection) as said:
        Society.objects.update(name="Renamed")
    assert any(WRITES.match(q["sql"]) for q in said.captured_queries)
