"""Making final: open cards get their ruling, two reckonings agree, the seal stands, all in one."""

from dataclasses import replace

import pytest

from scoring.results.actions.ruling import rule
from scoring.results.actions.sealing import seal
from scoring.results.bridge import event_document
from scoring.results.models import ResultVersion, Ruling
from scoring.results.queries.standings import final_version, sealed
from scoring.results.queries.versions import verify_seals
from scoring.rules.strict_json import canonical
from society.audit.models import AuditLine
from society.desk.actions.final import Fate, make_final
from society.desk.queries.final import readiness
from society.entries.models import EntryStep
from society.fixtures.models import Fixture
from society.web.refusals import BadInput, NotYours, Refusal, WrongState
from tests.factories.cards import FIVES, FOURS
from tests.factories.members import AccountFactory, OfficeFactory
from tests.factories.results import AT, OFFICER, competition_of, paper, played

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(society: object) -> Fixture:
    """Two typed cards, one out, one written on a phone and not signed."""
    fixture = played([FOURS, FIVES, None, None])
    paper(fixture.rounds.get().starts.order_by("pk").last(), FIVES, record="player")
    return fixture


def ids(day: Fixture) -> list[str]:
    return list(day.entries.order_by("pk").values_list("public_id", flat=True))


def final(day: Fixture, **values: object) -> list[ResultVersion]:
    given = {"fixture": day, "no_return": [ids(day)[2]], "accept": [ids(day)[3]],
             "by": OFFICER, "at": AT}  # fmt: skip
    return make_final(**(given | values))


def test_what_is_open_is_listed(day: Fixture) -> None:
    ready = readiness(competition_of(day), OFFICER, AT)
    assert [(card.name, card.words) for card in ready.out] == [("Player C002", "no card")]
    assert [(card.name, card.words) for card in ready.unsettled] == [
        ("Player D003", "written, nobody has signed")
    ]
    assert (ready.cards_in, ready.field_size) == (3, 4)


@pytest.mark.parametrize("state", ["planned", "open", "closed", "drawn", "reviewing"])
def test_it_works_from_any_state(day: Fixture, state: str) -> None:
    day.state = state
    day.save()
    lines = AuditLine.objects.count()
    (version,) = final(day)
    day.refresh_from_db()
    assert day.state == "final"
    assert version.number == 1
    assert AuditLine.objects.count() == lines + 1
    kinds = dict(Ruling.objects.values_list("entry__public_id", "kind"))
    assert kinds == {ids(day)[2]: "no_return", ids(day)[3]: "accepted as written"}
    answer = sealed(version, competition_of(day)).answer
    assert len(answer["standings"]) == 3  # the accepted card has a place
    assert [row["status"] for row in answer["unplaced"]] == ["no_return"]
    assert list(verify_seals()) == []


def test_the_officer_may_choose_otherwise(day: Fixture) -> None:
    otherwise = {ids(day)[2]: Fate.ABSENT, ids(day)[3]: Fate.DISQUALIFIED}
    (version,) = final(day, otherwise=otherwise)
    answer = sealed(version, competition_of(day)).answer
    assert EntryStep.objects.filter(entry__public_id=ids(day)[2]).last().kind == "absent"
    assert len(answer["standings"]) == 2
    (gone,) = answer["unplaced"]  # who did not turn up is not in the field
    assert (gone["status"], gone["rule"]) == ("disqualified", "3.3b(2)")


@pytest.mark.parametrize(
    ("values", "error", "words"),
    [
        ({"no_return": []}, BadInput, "the card of Player C002"),
        ({"accept": []}, BadInput, "the card of Player D003"),
        ({"no_return": [], "accept": []}, BadInput, "Player C002 and Player D003"),
        ({"by": replace(OFFICER, roles=frozenset({"scorer"}))}, NotYours, "secretary or the cap"),
    ],
)
def test_nothing_is_sealed_while_something_is_left_open(
    day: Fixture, values: dict[str, object], error: type[Refusal], words: str
) -> None:
    lines = AuditLine.objects.count()
    with pytest.raises(error, match=words):
        final(day, **values)
    assert not ResultVersion.objects.exists()
    assert not Ruling.objects.exists()
    assert AuditLine.objects.count() == lines
    day.refresh_from_db()
    assert day.state == "open"


def test_a_card_that_is_out_cannot_be_accepted(day: Fixture) -> None:
    with pytest.raises(WrongState, match="no card to accept"):
        final(day, no_return=[], accept=ids(day)[2:])


def test_before_handicaps_are_taken_there_is_nothing_to_seal(day: Fixture) -> None:
    day.competitions.update(frozen_at=None)
    with pytest.raises(WrongState, match="Handicaps are not taken yet"):
        final(day)


def test_where_engine_and_recount_differ_everything_is_undone(
    day: Fixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "scoring.results.actions.sealing.differences", lambda *_: ["place 3 is wrong"]
    )
    with pytest.raises(WrongState, match="nothing was sealed. place 3 is wrong"):
        final(day)
    assert not Ruling.objects.exists()
    day.refresh_from_db()
    assert day.state == "open"


def test_a_standing_ruling_needs_no_other(day: Fixture) -> None:
    entry = day.entries.order_by("pk")[2]
    rule(
        competition=competition_of(day), kind="withdrawn", entry=entry, words="went home ill",
        by=OFFICER, at=AT,
    )  # fmt: skip
    final(day, no_return=[])
    assert Ruling.objects.filter(entry=entry).count() == 1


def test_later_figures_are_not_what_was_accepted(day: Fixture) -> None:
    entry, start = day.entries.order_by("pk")[3], day.rounds.get().starts.order_by("pk").last()
    rule(
        competition=competition_of(day), kind="accepted as written", entry=entry,
        words="both are away", by=OFFICER, at=AT,
    )  # fmt: skip
    assert not readiness(competition_of(day), OFFICER, AT).unsettled
    paper(start, FOURS, record="player")
    assert readiness(competition_of(day), OFFICER, AT).unsettled


def playing(day: Fixture, at: int) -> object:
    player = day.entries.order_by("pk")[at].player
    return replace(OFFICER, players=(player.public_id,))


def test_ones_own_open_card_needs_another_officer(day: Fixture) -> None:
    OfficeFactory(account=AccountFactory(), role="captain")
    with pytest.raises(NotYours, match="another officer"):
        final(day, by=playing(day, 2))
    assert not ResultVersion.objects.exists()


def test_alone_a_witness_stands_with_the_ruling_and_the_seal(day: Fixture) -> None:
    with pytest.raises(BadInput, match="Name a witness"):
        final(day, by=playing(day, 2))
    (version,) = final(day, by=playing(day, 2), witness="Ida Clamberfoot")
    own = Ruling.objects.get(entry__public_id=ids(day)[2])
    assert "witness: Ida Clamberfoot" in own.reason
    assert "witness: Ida Clamberfoot" in version.inputs
    assert "witness" not in Ruling.objects.get(entry__public_id=ids(day)[3]).reason


def test_the_plain_society_seals_its_own_typed_cards(society: object) -> None:
    """One secretary who plays and types every card, own card too; nobody else can act."""
    from scoring.cards.models import CardRevision

    day = played([None, FIVES])
    start = day.rounds.get().starts.order_by("pk").first()
    who = playing(day, 0)
    card = paper(start, FOURS)
    written = CardRevision.objects.get(card=card)
    CardRevision.objects.create(
        card=card, record="committee", number=2, uuid="7d4e9d0e-0000-4000-8000-000000000001",
        payload=written.payload, digest=written.digest, channel="paper", author=start.entry.player,
        at=AT, by=who.as_json(),
    )  # fmt: skip
    (version,) = make_final(fixture=day, by=who, at=AT)
    assert version.reason == ("Typed by its own player and confirmed by nobody else: Player A000.")


# after it ------------------------------------------------------------------------------------


def test_every_write_against_a_sealed_result_is_refused(day: Fixture) -> None:
    (version,) = final(day)
    before = (version.inputs, version.outputs, version.digest)
    entry = day.entries.first()
    competition = competition_of(day)
    for write in (
        lambda: final(day),
        lambda: seal(competition=competition, by=OFFICER, at=AT),
        lambda: rule(competition=competition, kind="no_return", entry=entry, words="x",
                     by=OFFICER, at=AT),
    ):  # fmt: skip
        with pytest.raises(WrongState) as refused:
            write()
        assert refused.value.status == 409
    kept = ResultVersion.objects.get()
    assert (kept.inputs, kept.outputs, kept.digest) == before


def test_a_card_after_final_is_held_and_changes_nothing(day: Fixture) -> None:
    from uuid import uuid4

    from scoring.cards.actions.submit import submit_card
    from scoring.cards.rules.words import Channel, Record

    (version,) = final(day)
    start = day.rounds.get().starts.order_by("pk")[2]
    sent = submit_card(
        card_of=start, record=Record.COMMITTEE, uuid=uuid4(), parent_uuid=None, strokes=FOURS,
        channel=Channel.PAPER, by=OFFICER, at=AT,
    )  # fmt: skip
    assert sent.outcome == "held"
    assert canonical(event_document(competition_of(day), names=False)) == version.inputs
    assert list(verify_seals()) == []
    assert final_version(competition_of(day)) == version
