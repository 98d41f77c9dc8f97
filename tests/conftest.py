"""The fixed cast and the frozen clock that all tests share."""

from datetime import UTC, datetime

import pytest
from django.test import Client
from hypothesis import HealthCheck, settings

from society.members.models import Account, Player, Society
from society.web.who import Who
from tests.factories.members import (
    AccountFactory,
    OfficeFactory,
    PlayerFactory,
    SocietyFactory,
)

# Property tests judge answers, not seconds: a busy machine is no failure.
settings.register_profile("house", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("house")


@pytest.fixture
def at() -> datetime:
    """The moment at which a test's deeds are done."""
    return datetime(2026, 4, 15, 10, 0, tzinfo=UTC)


@pytest.fixture
def society(db: None) -> Society:
    return SocietyFactory()


@pytest.fixture
def machine() -> Who:
    """A command at work: may do whatever an officer may."""
    return Who.command("test")


def _holding(role: str, **values: object) -> Account:
    account = AccountFactory(**values)
    OfficeFactory(account=account, role=role)
    return account


def signed_in(account: Account) -> Client:
    """A browser in which this account is signed in."""
    client = Client()
    client.force_login(account)
    return client


@pytest.fixture
def secretary(society: Society) -> Client:
    """The secretary's browser; the secretary is no player."""
    return signed_in(_holding("secretary", name="Wilf Tanglewood"))


@pytest.fixture
def captain(society: Society) -> Client:
    return signed_in(_holding("captain"))


@pytest.fixture
def scorer(society: Society) -> Client:
    return signed_in(_holding("scorer"))


@pytest.fixture
def player(society: Society) -> Player:
    """A member who has an account; `member` is that account's browser."""
    found = PlayerFactory(name="Ivo Marrable")
    AccountFactory(name="Ivo Marrable", players=[found])
    return found


@pytest.fixture
def member(player: Player) -> Client:
    return signed_in(player.accounts.get())


@pytest.fixture
def outsider(society: Society) -> Client:
    """An account that acts for nobody and holds no office."""
    return signed_in(AccountFactory(name="Odd Outsider"))


@pytest.fixture
def stranger(society: Society) -> Client:
    """A browser in which nobody is signed in."""
    return Client()
