"""Rulings are tried on the engine before they stand; a seal keeps all it was made from."""

import json
from dataclasses import replace

import pytest

from scoring.results.actions.ruling import rule, rule_all, withdraw_ruling
from scoring.results.actions.sealing import seal
from scoring.results.bridge import event_document
from scoring.results.models import ResultVersion, Ruling
from scoring.results.queries.standings import final_version, provisional, sealed
from scoring.results.queries.versions import verify_seals
from scoring.results.rules import ACCEPTED
from scoring.rules.engine import score
from scoring.rules.event import read_event
from scoring.rules.strict_json import canonical
from society.audit.models import AuditLine
from society.audit.queries import breaks_in_chain
from society.entries.models import Entry
from society.fixtures.models import Competition
from society.web.refusals import BadInput, NotYours, Refusal, WrongState
from society.web.who import Who
from tests.factories.cards import FIVES, FOURS
from tests.factories.members import AccountFactory, OfficeFactory
from tests.factories.results import AT, OFFICER, competition_of, played

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(society: object) -> Competition:
    """Three players: fives twice, all fours once."""
    return competition_of(played([FIVES, FIVES, FOURS]))


def entries(day: Competition) -> list[Entry]:
    return list(Entry.objects.filter(fixture=day.fixture).order_by("pk"))


def totals(day: Competition) -> list[int]:
    return [row["total"] for row in provisional(day).answer["standings"]]


def penalty(day: Competition, **values: object) -> Ruling:
    given = {
        "competition": day, "kind": "penalty", "entry": entries(day)[0], "hole": 2, "strokes": 2,
        "rule": "14.7a", "words": "played from a wrong place", "by": OFFICER, "at": AT,
    }  # fmt: skip
    return rule(**(given | values))


def test_a_penalty_moves_the_score_and_can_be_taken_back(day: Competition) -> None:
    before = totals(day)
    made = penalty(day)
    row = provisional(day).answer["standings"][-1]
    # hole 2, stroke index 3: 5 with a shot is net par, 2 points; 7 is worth nothing
    assert row["total"] == before[-1] - 2
    assert event_document(day)["rulings"] == [
        {"kind": "penalty", "player": entries(day)[0].key, "hole": 2, "strokes": 2,
         "rule": "14.7a", "reason": "played from a wrong place"}
    ]  # fmt: skip
    line = AuditLine.objects.latest("number")
    assert line.deed == "ruling made"
    assert f"ruling:{made.public_id}" in line.changes
    assert f"entry:{entries(day)[0].public_id}" in line.changes

    withdraw_ruling(ruling=made, words="the wrong player", by=OFFICER, at=AT)
    assert totals(day) == before
    assert Ruling.objects.count() == 1
    with pytest.raises(WrongState, match="withdrawn already"):
        withdraw_ruling(ruling=made, words="again", by=OFFICER, at=AT)
    assert list(breaks_in_chain()) == []


@pytest.mark.parametrize(
    ("values", "field", "words"),
    [
        ({"words": " "}, "words", "Say why"),
        ({"words": "x" * 201}, "words", "200 characters"),
        ({"words": "two\nlines"}, "words", "control character"),
        ({"hole": 19}, None, "no such hole"),
        ({"strokes": 21}, None, "wants a whole number from 1 to 20"),
        ({"entry": None}, "entry", "whose card"),
        ({"kind": ACCEPTED, "hole": None, "strokes": None}, None, ""),
    ],
)
def test_what_cannot_be_ruled_is_refused_and_leaves_nothing(
    day: Competition, values: dict[str, object], field: str | None, words: str
) -> None:
    if values.get("kind") == ACCEPTED:
        gone = competition_of(played([None]))
        day, values = gone, values | {"entry": entries(gone)[0]}
        field, words = "entry", "no card to accept"
    lines = AuditLine.objects.count()
    with pytest.raises(BadInput, match=words) as refused:
        penalty(day, **values)
    assert refused.value.field == field
    assert not Ruling.objects.exists()
    assert AuditLine.objects.count() == lines


def test_points_come_off_only_where_points_are_counted() -> None:
    medal = competition_of(played([FIVES], terms='{"format":"medal"}'))
    with pytest.raises(BadInput, match="Points come off only"):
        penalty(medal, kind="points_off", points=2, hole=None, strokes=None)


def test_a_second_status_is_refused_in_words(day: Competition) -> None:
    status = {"hole": None, "strokes": None}
    penalty(day, kind="disqualified", **status)
    with pytest.raises(BadInput, match="Player A000 has such a ruling already"):
        penalty(day, kind="no_return", **status)


def test_a_ruling_on_somebody_elses_day(day: Competition) -> None:
    other = competition_of(played([FIVES]))
    with pytest.raises(BadInput, match="not in the field"):
        penalty(day, entry=entries(other)[0])


def order(day: Competition, *players: int, **values: object) -> Ruling:
    field = entries(day)
    return penalty(
        day, kind="order", entry=None, hole=None, strokes=None, rule="",
        keys=[field[at].key for at in players], **({"words": "drawn by lot"} | values),
    )  # fmt: skip


def test_an_order_parts_those_still_level(day: Competition) -> None:
    order(day, 1, 0)
    rows = provisional(day).answer["standings"]
    assert [(row["place"], row["name"]) for row in rows] == [
        (1, "Player C002"), (2, "Player B001"), (3, "Player A000"),
    ]  # fmt: skip
    assert rows[1]["settled"] == "drawn by lot"


def test_an_order_names_one_whole_group(day: Competition) -> None:
    with pytest.raises(BadInput, match="all of one group that is still level"):
        order(day, 0, 2)


def test_a_ruling_that_upsets_an_order_says_so(day: Competition) -> None:
    order(day, 1, 0)
    with pytest.raises(BadInput, match="Withdraw that order first"):
        penalty(day)


def test_an_order_the_cards_have_left_behind_is_shown_as_left_out(day: Competition) -> None:
    from tests.factories.results import paper

    order(day, 1, 0)
    start = day.rounds.get().starts.order_by("pk").first()
    paper(start, [*FIVES[:-1], 4])
    standing = provisional(day)
    assert standing.left_out == (
        "The order “drawn by lot” no longer fits the cards and is left out.",
    )
    assert [row["name"][-4:] for row in standing.answer["standings"]] == ["C002", "A000", "B001"]
    with pytest.raises(WrongState, match="An order names all of one group"):
        seal(competition=day, by=OFFICER, at=AT)


def playing_officer(day: Competition) -> Who:
    return replace(OFFICER, players=(entries(day)[0].player.public_id,))


def test_nobody_rules_on_a_card_of_their_own_while_another_can(day: Competition) -> None:
    OfficeFactory(account=AccountFactory(), role="captain")
    for deed in (penalty, lambda d, **v: order(d, 1, 0, **v)):
        with pytest.raises(NotYours, match="your own card"):
            deed(day, by=playing_officer(day))
    made = penalty(day)
    with pytest.raises(NotYours, match="your own card"):
        withdraw_ruling(ruling=made, words="mine", by=playing_officer(day), at=AT)


def test_alone_a_witness_is_named_and_said_everywhere(day: Competition) -> None:
    # an office whose account cannot sign in is nobody who could act
    idle = AccountFactory()
    idle.set_unusable_password()
    idle.save()
    OfficeFactory(account=idle, role="captain")
    with pytest.raises(BadInput, match="Name a witness") as refused:
        penalty(day, by=playing_officer(day))
    assert refused.value.field == "witness"
    made = penalty(day, by=playing_officer(day), witness="Ida Clamberfoot")
    said = "played from a wrong place (ruled alone on own card; witness: Ida Clamberfoot)"
    assert made.reason == said
    assert said in AuditLine.objects.latest("number").words.text
    version = seal(competition=day, by=OFFICER, at=AT)
    assert said in version.inputs


@pytest.mark.parametrize("roles", [set(), {"scorer"}, {"treasurer"}])
def test_rulings_and_seals_are_for_organisers(day: Competition, roles: set[str]) -> None:
    somebody = replace(OFFICER, roles=frozenset(roles))
    made = penalty(day)
    for deed in (
        lambda: penalty(day, by=somebody),
        lambda: withdraw_ruling(ruling=made, words="no", by=somebody, at=AT),
        lambda: seal(competition=day, by=somebody, at=AT),
        lambda: rule_all(
            competition=day, kind="no_return", entries=[], words="x", by=somebody, at=AT
        ),
    ):
        with pytest.raises(NotYours):
            deed()


def test_a_list_gets_its_ruling_in_one_deed(day: Competition) -> None:
    lines = AuditLine.objects.count()
    made = rule_all(
        competition=day, kind=ACCEPTED, entries=entries(day)[:2], words="unsigned", by=OFFICER,
        at=AT,
    )  # fmt: skip
    assert AuditLine.objects.count() == lines + 1
    digest = provisional(day).facts.readings[entries(day)[0].key].standing_digest
    assert json.loads(made[0].detail) == {"digest": digest}
    assert "rulings" not in event_document(day)  # ours, never exported
    with pytest.raises(BadInput, match="one card at a time"):
        rule_all(competition=day, kind="penalty", entries=[], words="x", by=OFFICER, at=AT)


# the seal ----------------------------------------------------------------------------------


def test_the_seal_keeps_what_it_was_made_from(day: Competition) -> None:
    penalty(day)
    version = seal(competition=day, by=OFFICER, at=AT)
    document = event_document(day, names=False)
    assert version.inputs == canonical(document)
    assert version.outputs == canonical(score(read_event(document)))
    assert (version.number, version.reason_class) == (1, "first")
    assert len(version.digest) == 64
    assert final_version(day) == version
    assert "Player A000" not in version.inputs + version.outputs
    line = AuditLine.objects.latest("number")
    assert version.digest in line.changes
    assert version.audit_head == line.previous
    again = sealed(version, day)
    assert again.people[entries(day)[0].key].name == "Player A000"
    assert list(verify_seals()) == []


def test_sealed_twice_is_refused(day: Competition) -> None:
    seal(competition=day, by=OFFICER, at=AT)
    with pytest.raises(WrongState, match="sealed already"):
        seal(competition=day, by=OFFICER, at=AT)


def test_where_engine_and_recount_differ_nothing_is_sealed(
    day: Competition, monkeypatch: pytest.MonkeyPatch
) -> None:
    def off_by_one(event: object) -> dict[str, object]:
        answer = score(event)
        answer["standings"][0]["total"] += 1
        return answer

    monkeypatch.setattr("scoring.results.actions.sealing.score", off_by_one)
    with pytest.raises(WrongState, match="do not agree, so nothing was sealed. overall"):
        seal(competition=day, by=OFFICER, at=AT)
    assert not ResultVersion.objects.exists()


def test_an_empty_field_cannot_be_sealed(society: object) -> None:
    day = competition_of(played([FIVES]))
    Entry.objects.filter(fixture=day.fixture).update(as_member=False)
    day.takes_part = "members"
    day.save()
    assert provisional(day).answer["standings"] == []
    with pytest.raises(WrongState, match="Nobody is in the field"):
        seal(competition=day, by=OFFICER, at=AT)


@pytest.mark.parametrize("state", ["final", "cancelled", "void"])
def test_nothing_is_ruled_once_it_is_over(day: Competition, state: str) -> None:
    made = penalty(day)
    rows = Ruling.objects.count()
    day.fixture.state = state
    day.fixture.save()
    for deed in (
        lambda: penalty(day),
        lambda: order(day, 1, 0),
        lambda: withdraw_ruling(ruling=made, words="late", by=OFFICER, at=AT),
        lambda: seal(competition=day, by=OFFICER, at=AT),
        lambda: rule_all(
            competition=day, kind="no_return", entries=entries(day), words="x", by=OFFICER, at=AT
        ),
    ):
        with pytest.raises(WrongState) as refused:
            deed()
        assert refused.value.status == 409
    assert Ruling.objects.count() == rows


def test_before_handicaps_are_taken_nothing_is_ruled(day: Competition) -> None:
    Competition.objects.update(frozen_at=None)
    with pytest.raises(Refusal, match="Handicaps are not taken yet"):
        penalty(day)


# verify --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("column", "old", "new"),
    [
        ("inputs", '"handicap_index":"18.0"', '"handicap_index":"17.0"'),
        ("inputs", "5,5,5", "5,5,4"),
        ("outputs", '"place":1', '"place":2'),
        ("outputs", "2024", "2023"),
        ("inputs", "{", ""),
        ("outputs", '"standings"', '"standing"'),
    ],
)
def test_a_changed_seal_is_found(day: Competition, column: str, old: str, new: str) -> None:
    version = seal(competition=day, by=OFFICER, at=AT)
    text = getattr(version, column)
    assert old in text
    version.pk, version.public_id = None, "another"
    _replace(version, column, text.replace(old, new, 1))
    assert any("does not give its fingerprint" in words for words in verify_seals())


def test_a_seal_with_a_new_fingerprint_is_found_by_scoring_it_again(day: Competition) -> None:
    from scoring.results.rules import seal_digest

    version = seal(competition=day, by=OFFICER, at=AT)
    outputs = version.outputs.replace('"place":1', '"place":2', 1)
    digest = seal_digest(
        competition=day.public_id, number=1, inputs=version.inputs, outputs=outputs
    )
    _replace(version, "outputs", outputs, digest=digest)
    said = " ".join(verify_seals())
    assert "does not give the sealed standings again" in said
    assert "the engine has place 2, the recount 1" in said


def test_a_missing_version_and_a_missing_audit_line_are_found(day: Competition) -> None:
    version = seal(competition=day, by=OFFICER, at=AT)
    _replace(version, "number", 2, audit_head="0" * 63 + "1")
    said = " ".join(verify_seals())
    assert "version 1 is missing" in said
    assert "not in the chain" in said


def _replace(version: ResultVersion, column: str, value: object, **more: object) -> None:
    """What the guards refuse: as if somebody had changed the file behind the program's back."""
    from django.db import connection

    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # else the table may not be altered
            cursor.execute("ALTER TABLE results_resultversion DISABLE TRIGGER USER")
        else:
            cursor.execute("DROP TRIGGER guard_results_resultversion_update")
        for name, new in {column: value, **more}.items():
            cursor.execute(
                f"UPDATE results_resultversion SET {name} = %s WHERE digest = %s",
                [new, version.digest],
            )
