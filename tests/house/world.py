"""A small society on a Saturday, for the sweep of permissions: every kind of person is in it."""

from dataclasses import dataclass, field

from django.test import Client

from scoring.results.bridge import event_document
from scoring.results.models import ResultVersion, Ruling, SideContest
from scoring.rules.strict_json import canonical
from society.entries.models import Entry, EntryStep, Start
from society.members.models import Account, Office, Player
from society.merit.models import MeritTable, MeritVersion
from society.merit.rules.reading import rules_as_json
from society.merit.rules.sealing import Sealed, document_of
from society.merit.rules.values import Facts, MeritRules
from tests.factories.cards import FIVES, FOURS, start_of
from tests.factories.entries import BY, THEN, entered
from tests.factories.fixtures import saturday
from tests.factories.members import AccountFactory, OfficeFactory, SocietyFactory
from tests.factories.records import cut, score
from tests.factories.results import paper

OFFICES = ("secretary", "captain", "treasurer", "handicap_secretary", "scorer")


@dataclass
class World:
    """`clients` by kind of person; `things`: what fills the routes, by the name used in args."""

    clients: dict[str, Client] = field(default_factory=dict)
    things: dict[str, str] = field(default_factory=dict)


def _client(account: Account) -> Client:
    client = Client(raise_request_exception=False)
    client.force_login(account)
    return client


def _player_client(player: Player) -> Client:
    return _client(AccountFactory(name=player.name, players=[player]))


def build() -> World:
    """One society, one fixture with four players in two groups, everyone with an account."""
    SocietyFactory()
    fixture = saturday()
    entries: dict[str, Entry] = {
        kind: entered(fixture, name=f"{kind.capitalize()} Person", number=str(n))
        for n, kind in enumerate(("player", "marker", "entered", "playing"), 1)
    }
    world = World()
    world.clients["out"] = Client(raise_request_exception=False)
    world.clients["outsider"] = _client(AccountFactory(name="Odd Outsider"))
    for kind, entry in entries.items():
        world.clients[kind] = _player_client(entry.player)
    OfficeFactory(account=entries["playing"].player.accounts.get(), role="secretary")
    for role in OFFICES:
        account = AccountFactory(name=f"{role.replace('_', ' ').capitalize()} Only")
        OfficeFactory(account=account, role=role)
        world.clients[role] = _client(account)
    _things(world, fixture, entries)
    _cards(world, entries)
    _results(world, entries["player"])
    contest = SideContest.objects.create(round=fixture.rounds.get(), kind="pin", hole=3)
    world.things["contest"] = contest.public_id
    world.things["record_score"] = score(entries["player"].player, "12.0", THEN.date()).public_id
    world.things["cut"] = cut(entries["player"].player, THEN.date(), ("-1.0", None)).public_id
    world.things["competition"] = fixture.competitions.get().public_id
    return world


def _cards(world: World, entries: dict[str, Entry]) -> None:
    """A second fixture of the same four, with handicaps taken and a card both wrote and differ on.

    The marker marks the player and is marked back; the others are their own pair.
    """
    fixture = saturday()
    starts = {}
    for kind, entry in entries.items():
        again = Entry.objects.create(
            fixture=fixture,
            player=entry.player,
            as_member=True,
            category=entry.category,
            place_at=THEN,
        )
        EntryStep.objects.create(entry=again, kind="entered", at=THEN, by=BY)
        starts[kind] = start_of(fixture.rounds.get(), again)
    for kind, other in (("player", "marker"), ("entered", "playing")):
        starts[kind].marker, starts[other].marker = starts[other].entry, starts[kind].entry
        starts[kind].save()
        starts[other].save()
    paper(starts["player"], FOURS, record="player")
    paper(starts["player"], FIVES, record="marker")
    world.things |= {"card": starts["player"].public_id, "cards_fixture": fixture.public_id}


def _results(world: World, entry: Entry) -> None:
    """A ruling on the player's card, and a season table in which the player has one result."""
    start = Start.objects.get(public_id=world.things["card"])
    competition = start.round.fixture.competitions.get()
    ruling = Ruling.objects.create(
        competition=competition,
        round=start.round,
        entry=start.entry,
        kind="no_return",
        at=THEN,
        by=BY,
    )
    sealed = saturday(name="Sealed Plate", state="final")
    played = Entry.objects.create(
        fixture=sealed, player=entry.player, as_member=True, category="men", place_at=THEN
    )
    EntryStep.objects.create(entry=played, kind="entered", at=THEN, by=BY)
    paper(start_of(sealed.rounds.get(), played), FOURS)
    counted = sealed.competitions.get()
    ResultVersion.objects.create(
        competition=counted,
        number=1,
        inputs=canonical(event_document(counted, names=False)),
        outputs=canonical(
            {
                "standings": [
                    {
                        "place": 1,
                        "tied": False,
                        "player": played.key,
                        "total": 36,
                        "settled": "",
                    }
                ],
                "unplaced": [],
            }
        ),
        engine="none",
        rules="2024",
        digest="0" * 64,
        audit_head="0" * 64,
        at=THEN,
        by=BY,
    )
    table = MeritTable.objects.create(
        season=sealed.season, number=1, name="Merit", rules=rules_as_json(MeritRules())
    )
    other = MeritTable.objects.create(
        season=sealed.season, number=2, name="Sealed", rules=rules_as_json(MeritRules())
    )
    facts = Facts(starts_on=sealed.season.starts_on)
    version = MeritVersion.objects.create(
        table=other,
        number=1,
        inputs=canonical(document_of(Sealed(MeritRules(), (), (), facts, ()))),
        outputs=canonical({"standings": []}),
        digest="0" * 64,
        audit_head="0" * 64,
        at=THEN,
        by=BY,
    )
    world.things |= {
        "ruling": ruling.public_id,
        "card_key": start.entry.key,
        "merit": table.public_id,
        "merit_sealed": other.public_id,
        "merit_version": str(version.number),
    }


def _things(world: World, fixture: object, entries: dict[str, Entry]) -> None:
    round_ = fixture.rounds.get(number=1)  # type: ignore[attr-defined]
    world.things |= {
        "fixture": fixture.public_id,  # type: ignore[attr-defined]
        "season": fixture.season.public_id,  # type: ignore[attr-defined]
        "round": round_.public_id,
        "course": round_.course.public_id,
        "competition": fixture.competitions.get(number=1).public_id,  # type: ignore[attr-defined]
        "player": entries["player"].player.public_id,
        "entry": entries["player"].public_id,
        "office": Office.objects.get(role="scorer").public_id,
        "one": "1",
        "nobody": "nosuchthing22",
    }
