"""What a final result proposes of cuts, and what an officer's word makes of it."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from scoring.rules.strict_json import canonical
from society.audit.models import Words
from society.desk.actions.final import make_final
from society.desk.actions.forgetting import make_anonymous
from society.desk.actions.reopening import ask_to_reopen, seal_again
from society.desk.queries.cuts import waiting_cuts
from society.desk.queries.record_changes import changes_of
from society.desk.queries.reopening import made_from
from society.desk.queries.soundness import unsound
from society.fixtures.models import Fixture, SeasonHandicaps
from society.handicaps.actions.cuts import Decision, answer_proposals, end_cut, write_cut
from society.handicaps.models import CutAnswer, CutProposal, HandicapEntry, SocietyCut
from society.handicaps.queries.cuts import cuts_of_player, shots_of
from society.handicaps.queries.figures import figures_on
from society.handicaps.queries.scores import own_of
from society.handicaps.rules.answers import CutAnswerKind
from society.handicaps.rules.cuts.presets import PRESETS
from society.handicaps.rules.cuts.reading import cuts_object
from society.handicaps.rules.cuts.values import Expiry
from society.handicaps.rules.season import Basis, HandicapRules
from society.members.models import Letter, Player
from society.web.refusals import BadInput, NotYours, Refusal, WrongState
from society.web.who import HANDICAP_SECRETARY, SECRETARY, Who
from tests.factories.cards import FIVES
from tests.factories.entries import BY
from tests.factories.members import AccountFactory, OfficeFactory
from tests.factories.results import AT, OFFICER, competition_of, paper, played

pytestmark = pytest.mark.usefixtures("society")

KEEPER = Who(account="keeper", roles=frozenset({HANDICAP_SECRETARY}), name="A Keeper")
CONFIRM = Decision(CutAnswerKind.CONFIRMED)
RULES = {preset.key: preset.rules for preset in PRESETS}


def running_on(players: list[int], on: date) -> dict[int, Decimal]:
    """The shots that all standing cuts of a player make together on a day."""
    return {
        pk: sum(
            (shots_of(one.cut, on) for one in cuts_of_player(Player.objects.get(pk=pk))
             if not one.ended),
            Decimal(0),
        )
        for pk in players
    }  # fmt: skip


def with_rules(fixture: Fixture, key: str = "three-two-one") -> HandicapRules:
    rules = HandicapRules(basis=Basis.WITH_CUTS, cuts=cuts_object(RULES[key]))
    SeasonHandicaps.objects.create(
        season=fixture.season,
        number=1,
        valid_from=date(2026, 1, 1),
        rules=canonical({"basis": rules.basis.value, "cuts": rules.cuts}),
        at=AT,
        by=BY,
    )
    return rules


def day_of_four(better: int = 0) -> Fixture:
    """Four cards, each a stroke worse than the one before; the field is small: one rises."""
    cards = [[4] * (better + 3 - n) + FIVES[better + 3 - n :] for n in range(4)]
    fixture = played(cards)
    with_rules(fixture)
    return fixture


def final(fixture: Fixture) -> None:
    make_final(fixture=fixture, by=OFFICER, at=AT)


def proposals(fixture: Fixture) -> list[CutProposal]:
    event = competition_of(fixture).public_id
    return list(CutProposal.objects.filter(event=event, answer__isnull=True).order_by("-new", "pk"))


def answer(fixture: Fixture, rows: Sequence[CutProposal], decision: Decision = CONFIRM) -> None:
    answer_proposals(
        event=competition_of(fixture).public_id,
        decisions={row.public_id: decision for row in rows},
        by=KEEPER,
        at=AT,
    )


def changes(rows: Sequence[CutProposal]) -> dict[str, tuple[str, str]]:
    return {row.player.name[-1]: (str(row.old), str(row.new)) for row in rows}


def test_a_final_result_proposes_and_nothing_moves() -> None:
    fixture = day_of_four()
    final(fixture)
    found = changes(proposals(fixture))
    assert found == {
        "0": ("18.0", "15.0"),
        "1": ("18.0", "16.0"),
        "2": ("18.0", "17.0"),
        "3": ("18.0", "19.0"),
    }
    assert not SocietyCut.objects.exists()
    players = list(Player.objects.order_by("name"))
    rules = HandicapRules(basis=Basis.WITH_CUTS)
    later = figures_on(players, rules, date(2026, 12, 1))
    assert {used.value for used in later.values()} == {Decimal("18.0")}


def test_what_is_confirmed_counts_from_the_day_after_play_and_the_player_is_told() -> None:
    fixture = day_of_four()
    final(fixture)
    first = next(row for row in proposals(fixture) if row.new == 15)
    answer(fixture, [first])
    cut = SocietyCut.objects.get()
    day = fixture.rounds.get().day
    assert (cut.valid_from - day).days == 1
    assert cut.because.startswith("first with ")
    assert len(proposals(fixture)) == 3  # the rest wait
    rules = HandicapRules(basis=Basis.WITH_CUTS)
    assert figures_on([first.player], rules, day)[first.player_id].value == 18
    assert figures_on([first.player], rules, cut.valid_from)[first.player_id].value == 15
    assert running_on([first.player_id], cut.valid_from) == {first.player_id: Decimal(-3)}
    letter = Letter.objects.get(player=first.player, kind="notice")
    assert "from 18 to 15" in letter.text
    assert reverse("desk:record", args=[first.player.public_id]) == letter.link


def test_one_is_changed_and_one_is_left_each_with_a_reason() -> None:
    fixture = day_of_four()
    final(fixture)
    first, second = sorted(proposals(fixture), key=lambda row: row.new)[:2]
    with pytest.raises(BadInput, match="say why"):
        answer(fixture, [first], Decision(CutAnswerKind.CHANGED, Decimal("17")))
    with pytest.raises(BadInput, match="that is what is proposed"):
        answer(fixture, [first], Decision(CutAnswerKind.CHANGED, Decimal(15), "why"))
    with pytest.raises(BadInput, match="write the new figure"):
        answer(fixture, [first], Decision(CutAnswerKind.CHANGED, None, "why"))
    assert not CutAnswer.objects.exists()
    answer(fixture, [first], Decision(CutAnswerKind.CHANGED, Decimal("16.5"), "a soft day"))
    answer(fixture, [second], Decision(CutAnswerKind.DROPPED, None, "new to the game"))
    cut = SocietyCut.objects.get()
    assert running_on([first.player_id], cut.valid_from)[first.player_id] == Decimal("-1.5")
    assert cut.because.endswith("set to 16.5 instead of 15")
    assert cut.reason == "a soft day"
    (change,) = [
        one for one in changes_of(first.player, own_of(first.player), date(2026, 12, 1)) if one.cut
    ]
    assert (change.old, change.new, change.why) == ("18", "16.5", "a soft day")
    assert CutAnswer.objects.get(proposal=second).reason == "new to the game"
    with pytest.raises(WrongState, match="answered already"):
        answer(fixture, [first])


def test_all_or_nothing() -> None:
    fixture = day_of_four()
    final(fixture)
    first, second = proposals(fixture)[:2]
    answer(fixture, [first])
    with pytest.raises(WrongState):
        answer(fixture, [second, first])
    assert not hasattr(CutProposal.objects.get(pk=second.pk), "answer")


def test_only_a_keeper_answers_and_not_about_their_own() -> None:
    fixture = day_of_four()
    final(fixture)
    row = proposals(fixture)[0]
    event = competition_of(fixture).public_id
    with pytest.raises(NotYours):
        answer_proposals(
            event=event, decisions={row.public_id: CONFIRM}, by=Who(account="x"), at=AT
        )
    own = Who(
        account="own",
        roles=frozenset({HANDICAP_SECRETARY}),
        players=(row.player.public_id,),
    )
    with pytest.raises(BadInput, match="name a witness"):
        answer_proposals(event=event, decisions={row.public_id: CONFIRM}, by=own, at=AT)
    other = AccountFactory(name="Another", password="x" * 12)
    other.set_password("lantern-and-kettle")
    other.save()
    OfficeFactory(account=other, role="handicap_secretary")
    with pytest.raises(NotYours, match="another officer"):
        answer_proposals(
            event=event, decisions={row.public_id: CONFIRM}, witness="Ann", by=own, at=AT
        )
    assert not CutAnswer.objects.exists()


# a corrected result -------------------------------------------------------------------------


def reopen(fixture: Fixture) -> None:
    ask_to_reopen(
        fixture=fixture, reason_class="wrong figures", words="a missed card", by=OFFICER, at=AT
    )


def overtaken(fixture: Fixture) -> None:
    """The last of the day is found to have the best card."""
    start = fixture.rounds.get().starts.order_by("-entry__player__name")[0]
    paper(start, [4] * 12 + FIVES[12:])


def again(fixture: Fixture) -> None:
    fixture.refresh_from_db()
    reopen(fixture)
    overtaken(fixture)
    fixture.refresh_from_db()
    assert seal_again(fixture=fixture, by=OFFICER, at=AT)


def test_what_nobody_answered_falls_away_with_the_old_version() -> None:
    fixture = day_of_four()
    final(fixture)
    old = proposals(fixture)
    again(fixture)
    answers = CutAnswer.objects.filter(proposal__in=old)
    assert [one.answer for one in answers] == ["fell away"] * 4
    now = proposals(fixture)
    assert {row.version for row in now} == {2}
    assert changes(now)["3"][0] == "18.0"
    assert changes(now)["3"][1] in ("15.0", "14.0")


def test_a_confirmed_cut_comes_back_as_a_proposal_that_replaces_it() -> None:
    fixture = day_of_four()
    final(fixture)
    answer(fixture, proposals(fixture))
    before = {cut.player.name[-1]: cut for cut in SocietyCut.objects.all()}
    again(fixture)
    now = {row.player.name[-1]: row for row in proposals(fixture)}
    # first is now second, second third, third last: each of them comes back
    assert {name: (str(row.old), str(row.new)) for name, row in now.items() if name != "3"} == {
        "0": ("15.0", "16.0"),
        "1": ("16.0", "17.0"),
        "2": ("17.0", "19.0"),
    }
    assert {name: row.replaces for name, row in now.items()} == before
    answer(fixture, list(now.values()))
    rules = HandicapRules(basis=Basis.WITH_CUTS)
    on = before["0"].valid_from
    found = figures_on([row.player for row in now.values()], rules, on)
    assert {row.player.name[-1]: found[row.player_id].value for row in now.values()} == {
        name: row.new for name, row in now.items()
    }


def test_who_gets_no_cut_any_more_goes_back() -> None:
    cards = [[4] * 6 + FIVES[6:], *[[4] * n + FIVES[n:] for n in (5, 4, 3, 2, 1)]]
    fixture = played(cards)
    with_rules(fixture)
    final(fixture)
    third = next(row for row in proposals(fixture) if row.new == 17)
    answer(fixture, [third])
    again(fixture)
    back = CutProposal.objects.get(player=third.player, answer__isnull=True)
    assert (back.old, back.new, back.steps) == (Decimal("17.0"), Decimal("18.0"), "[]")
    assert back.because == "by the corrected result there is no change"
    answer(fixture, [back])
    assert running_on([third.player_id], third.day.replace(year=2027)) == {third.player_id: 0}
    assert [shown.ended for shown in cuts_of_player(third.player)] == [False, True]


def test_what_is_the_same_is_not_asked_twice() -> None:
    fixture = day_of_four()
    final(fixture)
    rows = {row.player.name[-1]: row for row in proposals(fixture)}
    answer(fixture, [rows["0"]])
    answer(fixture, [rows["1"]], Decision(CutAnswerKind.DROPPED, None, "left"))
    fixture.refresh_from_db()
    reopen(fixture)
    worse = fixture.rounds.get().starts.order_by("-entry__player__name")[0]
    paper(worse, [6] * 18)
    fixture.refresh_from_db()
    seal_again(fixture=fixture, by=OFFICER, at=AT)
    assert set(changes(proposals(fixture))) == {"2", "3"}


# by hand ------------------------------------------------------------------------------------


def test_a_cut_written_by_hand_and_ended_leaves_the_past_as_it_was() -> None:
    fixture = day_of_four()
    player = Player.objects.order_by("name")[0]
    with pytest.raises(BadInput, match="Say why"):
        write_cut(
            player=player, shots=Decimal(-2), valid_from=date(2026, 4, 1), words="", by=KEEPER,
            at=AT,
        )  # fmt: skip
    cut = write_cut(
        player=player, shots=Decimal(-2), valid_from=date(2026, 4, 1), words="three wins",
        by=KEEPER, at=AT,
    )  # fmt: skip
    end_cut(cut=cut, on=date(2026, 5, 1), words="a long winter", by=KEEPER, at=AT)
    assert running_on([player.pk], date(2026, 4, 30)) == {player.pk: Decimal(-2)}
    assert running_on([player.pk], date(2026, 5, 1)) == {player.pk: Decimal(0)}
    with pytest.raises(WrongState):
        end_cut(cut=cut, on=date(2026, 6, 1), words="again", by=KEEPER, at=AT)
    assert fixture.state


def test_a_cut_by_hand_that_is_sent_again_is_one_cut() -> None:
    played([FIVES])
    player = Player.objects.get()

    def once() -> None:
        write_cut(
            player=player, shots=Decimal(-2), valid_from=date(2026, 4, 1), words="three wins",
            by=KEEPER, at=AT,
        )  # fmt: skip

    once()
    with pytest.raises(BadInput, match="stands on the record already"):
        once()
    cut = SocietyCut.objects.get()
    end_cut(cut=cut, on=date(2026, 4, 1), words="a mistake", by=KEEPER, at=AT)
    once()  # what was ended can be written again
    assert running_on([player.pk], date(2026, 4, 2)) == {player.pk: Decimal(-2)}


def test_a_cut_that_ends_by_then_is_not_ended_later() -> None:
    played([FIVES])
    cut = write_cut(
        player=Player.objects.get(), shots=Decimal(-2), valid_from=date(2026, 4, 1),
        until=date(2026, 6, 1), words="three wins", by=KEEPER, at=AT,
    )  # fmt: skip
    with pytest.raises(BadInput, match="nothing would change") as refused:
        end_cut(cut=cut, on=date(2199, 12, 31), words="longer", by=KEEPER, at=AT)
    assert refused.value.field == "on"
    assert SocietyCut.objects.get() == cut


def test_what_explains_a_handicap_goes_with_the_name_and_the_figures_stay() -> None:
    fixture = day_of_four()
    final(fixture)
    first, second = sorted(proposals(fixture), key=lambda row: row.new)[:2]
    answer(fixture, [first], Decision(CutAnswerKind.CHANGED, Decimal(17), "a bad knee since May"))
    answer(fixture, [second], Decision(CutAnswerKind.DROPPED, None, "a soft day"))
    write_cut(
        player=first.player, shots=Decimal(-1), valid_from=date(2026, 4, 1), words="poor sight",
        by=KEEPER, at=AT,
    )  # fmt: skip
    lines = [
        HandicapEntry.objects.create(
            player=one.player, kind="index", value=18, source="committee",
            valid_from=date(2026, 4, 1), at=AT, by=BY, words=words,
        )
        for words in [Words.objects.create(text="the list of April", salt="a" * 32)]
        for one in (first, second)
    ]  # fmt: skip
    make_anonymous(
        player=first.player,
        words="asked for it",
        by=Who(account="s", roles=frozenset({SECRETARY})),
        at=AT + timedelta(days=400),
    )
    texts = "\n".join(Words.objects.values_list("text", flat=True))
    assert "bad knee" not in texts
    assert "poor sight" not in texts
    assert "a soft day" in texts  # of somebody else
    assert lines[1].words.text == "the list of April"
    assert "the list of April" in texts  # explains somebody else as well
    assert SocietyCut.objects.filter(player=first.player).count() == 2
    assert [*unsound()] == []


@pytest.mark.parametrize("shots", ["0", "0.25", "55"])
def test_shots_that_cannot_be(shots: str) -> None:
    played([FIVES])
    with pytest.raises(Refusal):
        write_cut(
            player=Player.objects.get(), shots=Decimal(shots), valid_from=date(2026, 4, 1),
            words="why", by=KEEPER, at=AT,
        )  # fmt: skip


def test_without_cut_rules_nothing_is_proposed() -> None:
    fixture = played([FIVES, FIVES])
    final(fixture)
    assert not CutProposal.objects.exists()


# the page -----------------------------------------------------------------------------------


def keeper_client() -> Client:
    account = AccountFactory(name="A Keeper")
    OfficeFactory(account=account, role="handicap_secretary")
    client = Client()
    client.force_login(account)
    return client


def test_the_page_lists_confirms_and_says_what_became_of_it() -> None:
    fixture = day_of_four()
    client = keeper_client()
    where = reverse("desk:proposals", args=[fixture.public_id])
    assert "Once the result is final" in client.get(where).content.decode()
    final(fixture)
    page = client.get(where).content.decode()
    assert "Four wait for your word" in page
    assert "18 → 15" in page
    assert "First place: 3 shots off." in page
    rows = sorted(proposals(fixture), key=lambda row: row.new)
    post = reverse("desk:proposals_answer", args=[fixture.public_id])
    assert client.post(post, {"deed": "confirm"}).status_code == 422
    assert client.post(post, {"deed": "confirm", "tick": "nothing"}).status_code == 409
    assert client.post(post, {"deed": "wild"}).status_code == 422
    refused = client.post(
        post, {"deed": "change", "one": rows[0].public_id, "new": "-3", "words": "so"}
    )
    assert refused.status_code == 422
    assert "minus sign" in refused.content.decode()
    assert not CutAnswer.objects.exists()
    for deed, new, box in (("change", "-3", "new"), ("leave", "", "words"), ("change", "", "new")):
        told = {"deed": deed, "one": rows[0].public_id, "new": new, "words": "so" * (box == "new")}
        refused = client.post(post, told)
        html = refused.content.decode()
        assert refused.status_code == 422
        # The form of one row has no ticks: all four stay as they were, and the box is named.
        assert html.count(" checked>") == 4
        assert f'<a href="#{box}-{rows[0].public_id}">' in html
        assert html.count("field-wrong") == html.count('class="wrong"') == 1
        assert f'id="{box}-{rows[0].public_id}-error"' in html
    assert not CutAnswer.objects.exists()
    none = client.post(post, {"deed": "confirm", "tick": "nothing"}).content.decode()
    assert " checked>" not in none
    ticked = [row.public_id for row in rows[:2]]
    done = client.post(post, {"deed": "confirm", "tick": ticked}, follow=True)
    assert "2 handicaps are changed" in done.content.decode()
    left = client.post(
        post, {"deed": "leave", "one": rows[2].public_id, "words": "new here"}, follow=True
    ).content.decode()
    assert "left as it was" in left
    assert "“new here”" in left
    changed = client.post(
        post,
        {"deed": "change", "one": rows[3].public_id, "new": "18.5", "words": "half"},
        follow=True,
    ).content.decode()
    assert "Every proposal is answered." in changed
    assert "18 → 18.5" in changed


def test_who_keeps_handicaps_sees_what_waits() -> None:
    fixture = day_of_four()
    final(fixture)
    assert [one.words for one in waiting_cuts(KEEPER)] == ["4 cuts wait for your word"]
    assert waiting_cuts(Who(account="x")) == []
    client = keeper_client()
    assert (
        "4</span> cuts wait for your word"
        in client.get(reverse("results:show", args=[fixture.public_id])).content.decode()
    )
    assert "4 cuts wait for your word" in client.get(reverse("desk:season")).content.decode()


def test_the_number_of_reads_does_not_grow_with_the_field() -> None:
    counts = []
    for size in (3, 9):
        fixture = played([[4] * n + FIVES[n:] for n in range(size)])
        with_rules(fixture)
        final(fixture)
        client = keeper_client()
        where = reverse("desk:proposals", args=[fixture.public_id])
        client.get(where)
        with CaptureQueriesContext(
            connection,
        ) as seen:
            client.get(where)
        counts.append(len(seen))
    assert counts[0] == counts[1]


def test_the_page_that_opens_a_result_says_what_becomes_of_its_cuts() -> None:
    fixture = day_of_four()
    final(fixture)
    answer(fixture, proposals(fixture)[:1])
    made = {one.what: one.happens for one in made_from(fixture)}
    assert made["1\xa0confirmed cut"] == (
        "Each that the new version gives otherwise comes back as a proposal."
    )
    assert made["3\xa0cuts nobody has answered"] == "Fall away; the new version proposes afresh."


def test_a_cut_is_written_and_ended_on_its_page() -> None:
    fixture = played([FIVES])
    player = Player.objects.get()
    client = keeper_client()
    where = reverse("desk:cut_new", args=[player.public_id])
    assert "No cut stands on this record." in client.get(where).content.decode()
    sent = {"way": "off", "shots": "2.5", "valid_from": "2026-04-01", "last": "2027-03-31"}
    assert client.post(where, sent).status_code == 422
    assert client.post(where, sent | {"words": "x", "shots": "0"}).status_code == 422
    assert client.post(where, sent | {"words": "\u200b"}).status_code == 422  # nothing to be seen
    none = client.post(where, sent | {"words": "x", "shots": ""})
    assert none.context["form"].errors["shots"] == ["Write how many shots."]
    early = client.post(where, sent | {"words": "x", "last": "2026-03-01"})
    assert early.status_code == 422
    assert early.context["form"].errors["last"] == ["A cut ends after the day it begins."]
    assert not SocietyCut.objects.exists()
    assert client.post(where, sent | {"words": "three wins"}).status_code == 302
    cut = SocietyCut.objects.get()
    assert cut.steps == '[{"shots":"-2.5","until":"2027-04-01"}]'
    end = reverse("desk:cut_end", args=[player.public_id, cut.public_id])
    refused = client.post(end, {"on": "2026-05-01"})
    assert refused.status_code == 422
    assert "Say why" in refused.content.decode()
    assert client.post(end, {"on": "2026-05-01", "words": "so"}).status_code == 302
    assert client.post(end, {"on": "2026-06-01", "words": "so"}).status_code == 422
    assert running_on([player.pk], date(2026, 4, 30)) == {player.pk: Decimal("-2.5")}
    assert running_on([player.pk], date(2026, 5, 1)) == {player.pk: Decimal(0)}
    page = client.get(where).content.decode()
    assert "2.5 off from 1 April 2026, until 1 May 2026." in page
    assert client.post(reverse("desk:cut_end", args=[player.public_id, "none"])).status_code == 404
    assert fixture.state


def test_the_page_of_a_players_cuts_names_the_event_of_each_and_says_a_size_once() -> None:
    fixture = day_of_four(better=1)
    final(fixture)
    first = next(row for row in proposals(fixture) if row.because.startswith("first"))
    answer(fixture, [first])
    write_cut(
        player=first.player,
        shots=Decimal(-1),
        valid_from=date(2026, 5, 1),
        words="three wins",
        by=KEEPER,
        at=AT,
    )
    assert first.because == "first with 38 points"
    said = first.because.capitalize()
    page = keeper_client().get(reverse("desk:cut_new", args=[first.player.public_id]))
    html = page.content.decode()
    assert [cut.event.words for cut in page.context["cuts"]] == ["", fixture.name]
    entry = fixture.entries.get(player=first.player)
    link = reverse("results:card", args=[fixture.public_id, entry.key])
    assert f'From <a href="{link}">{fixture.name}</a>' in html
    assert f"<b>{said}.</b>" in html
    assert "3 off from" in html
    assert html.count("3 off") == 1


def test_the_reads_of_the_page_of_a_players_cuts_do_not_grow() -> None:
    fixture = day_of_four(better=1)
    final(fixture)
    row = proposals(fixture)[0]
    answer(fixture, [row])
    client = keeper_client()
    where = reverse("desk:cut_new", args=[row.player.public_id])
    client.get(where)
    counts = []
    for day in (1, 2, 3):
        with CaptureQueriesContext(connection) as seen:
            client.get(where)
        counts.append(len(seen))
        write_cut(
            player=row.player,
            shots=Decimal(-day),
            valid_from=date(2026, 5, day),
            words="so",
            by=KEEPER,
            at=AT,
        )
    assert counts[0] == counts[1] == counts[2]


def test_a_size_that_stands_in_the_lines_of_a_proposal_is_not_said_in_its_sentence() -> None:
    fixture = day_of_four(better=1)
    rules = replace(RULES["three-two-one"], expiry=Expiry.STEPS, months=(12, 12, 12))
    SeasonHandicaps.objects.create(
        season=fixture.season,
        number=2,
        valid_from=date(2026, 1, 1),
        rules=canonical({"basis": Basis.WITH_CUTS.value, "cuts": cuts_object(rules)}),
        at=AT,
        by=BY,
    )
    final(fixture)
    first = next(row for row in proposals(fixture) if row.because.startswith("first"))
    assert first.because == "first with 38 points"
    where = reverse("desk:proposals", args=[fixture.public_id])
    said = first.because
    for answered in (False, True):
        if answered:
            answer(fixture, [first])
        html = keeper_client().get(where).content.decode()
        assert "3 off until 19 April 2027; 2 off until 19 April 2028" in html
        assert said.capitalize() in html
        assert html.count("3 off") == 1
    letter = Letter.objects.get(player=first.player, kind="notice")
    assert f"The reason: {said}.\n\n3 off until 19 April 2027." in letter.text
