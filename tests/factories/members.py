"""Least valid rows of the members app."""

from datetime import UTC, date, datetime

import factory
from factory.django import DjangoModelFactory

from society.members.models import Account, Office, Player, Society

THEN = datetime(2026, 4, 18, 8, 0, tzinfo=UTC)


class SocietyFactory(DjangoModelFactory):
    class Meta:
        model = Society
        django_get_or_create = ("pk",)

    pk = 1
    name = "Testers' Golf Society"


class PlayerFactory(DjangoModelFactory):
    class Meta:
        model = Player

    kind = "member"
    name = factory.Sequence(lambda n: f"Player Number{n:03d}")
    category = "men"
    added_at = THEN


class AccountFactory(DjangoModelFactory):
    class Meta:
        model = Account
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Account Holder{n:03d}")
    email = factory.Sequence(lambda n: f"holder{n:03d}@example.org")
    added_at = THEN
    password = factory.django.Password("a long enough word")

    @factory.post_generation
    def players(self, create: bool, extracted: object, **kwargs: object) -> None:
        if extracted:
            self.players.set(extracted)


class OfficeFactory(DjangoModelFactory):
    class Meta:
        model = Office

    account = factory.SubFactory(AccountFactory)
    role = "secretary"
    starts = date(2000, 1, 1)
