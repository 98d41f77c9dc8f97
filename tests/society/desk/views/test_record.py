"""The record page: every figure with its source, its sum and its day, down to the card.

Sums against Rules of Handicapping 2024 (Rule named at each); story 10 of the practice study.
"""

import re
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from scoring.rules.strict_json import canonical
from society.fixtures.models import Fixture, SeasonHandicaps
from society.handicaps.models import CutAnswer, CutProposal
from society.handicaps.rules.cuts.presets import PRESETS
from society.handicaps.rules.cuts.reading import cuts_object
from society.handicaps.rules.season import Basis, HandicapRules, written_rules
from society.members.models import Player
from tests.conftest import signed_in
from tests.factories.courses import TeeFactory, rated_tee
from tests.factories.entries import BY, THEN, entered, handicap
from tests.factories.fixtures import saturday
from tests.factories.members import AccountFactory, PlayerFactory
from tests.factories.records import card, cut, differentials, moved, score, written_again

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("society")]

FIRST = date(2025, 1, 4)
EIGHT = ("15.3", "15.2", "16.6", "14.0", "18.1", "12.4", "17.0", "16.2")


def words_of(client: Client, player: Player, query: str = "", status: int = 200) -> str:
    response = client.get(reverse("desk:record", args=[player.public_id]) + query)
    assert response.status_code == status
    return said(response.content.decode())


def said(html: str) -> str:
    plain = re.sub(r"<style.*?</style>|<[^>]+>", " ", html, flags=re.S)
    return re.sub(r"\s+([.,:;])", r"\1", " ".join(plain.split())).replace("&#x27;", "'")


@pytest.fixture
def ida() -> Player:
    return PlayerFactory(name="Ida Low")


def own_basis(fixture: Fixture, *, cuts: bool = False, maximum: int | None = None) -> None:
    """The season of a fixture plays off the figure worked out from cards."""
    rules = HandicapRules(
        Basis.CARDS,
        maximum={} if maximum is None else {"men": maximum},
        cuts=cuts_object(PRESETS[2].rules) if cuts else None,
    )
    SeasonHandicaps.objects.create(
        season=fixture.season,
        number=1,
        valid_from=date(2020, 1, 1),
        rules=written_rules(rules),
        at=THEN,
        by=BY,
    )


# the figure and its sum -----------------------------------------------------------------------


def test_an_empty_record_says_so(member: Client, ida: Player) -> None:
    page = words_of(member, ida)
    assert "No handicap is kept for Ida yet." in page
    assert "No score is in the record yet." in page
    assert "0 of 54" in page
    assert "Nothing has changed yet." in page
    assert "No official index." in page


def test_the_sum_of_eight_scores(member: Client, ida: Player) -> None:
    """Rule 5.2a: of eight scores the lowest two, no adjustment: (12.4 + 14.0) ÷ 2 = 13.2."""
    differentials(ida, *EIGHT, first=FIRST)
    page = words_of(member, ida)
    assert "How 13.2 is worked out" in page
    assert "(14.0 + 12.4) ÷ 2 = 13.2" in page
    assert "The 2 framed differentials make the figure." in page
    assert page.count("counts") == 2


def test_two_scores_make_no_figure_yet(member: Client, ida: Player) -> None:
    differentials(ida, "15.3", "15.2", first=FIRST)
    page = words_of(member, ida)
    assert "2 scores so far. From the third on" in page
    assert "How " not in page


def test_scores_before_the_latest_twenty_are_apart(member: Client, ida: Player) -> None:
    differentials(ida, *[f"{12 + at % 5}.0" for at in range(23)], first=FIRST)
    page = words_of(member, ida)
    assert "3 older scores" in page
    assert page.count("Older than the latest 20") == 3


def test_nine_holes_that_wait_and_two_that_were_joined(member: Client, ida: Player) -> None:
    for at in range(3):
        nine = card(*[5] * 9, holes=9)
        score(ida, nine, FIRST + timedelta(days=at), holes=9)
    page = words_of(member, ida)
    assert "Two nines, joined" in page
    assert "Nine holes, waiting for the next nine" in page
    assert "1 score so far" in page
    assert "27 of 54" in page  # association guidance: 54 holes, in eighteens and nines


def test_what_the_season_uses_is_said_with_cuts_and_maximum(member: Client, ida: Player) -> None:
    fixture = saturday(name="Lantern Plate")
    own_basis(fixture, cuts=True, maximum=10)
    differentials(ida, *EIGHT, first=FIRST)
    written_again(ida)
    cut(ida, date(2025, 6, 1), ("-2.0", None))
    page = words_of(member, ida)
    assert "Society handicap 13.2 worked out from cards" in page
    # The size is said once, as it is on the day.
    assert "2 shots off: first with 41 points" in page
    assert "3 off" not in page.partition("Changes By the day")[0]
    assert "11.2 becomes 10" in page


def test_a_plus_handicap_and_a_differential_below_zero(member: Client, ida: Player) -> None:
    differentials(ida, "-1.0", "-2.0", "-1.5", "-0.5", "0.2", first=FIRST)
    written_again(ida)
    page = words_of(member, ida)
    assert "How +2.0 is worked out" in page
    assert "−2.0" in page
    assert "none → +4.0" in page  # of three scores the lowest, less 2.0


# down to the card -----------------------------------------------------------------------------


def test_a_score_opens_down_to_what_was_written(member: Client, ida: Player) -> None:
    """Rule 3.1b: off 12.0 the course handicap is 12.0 × 120 ÷ 113 + (70.1 − 72) = 10.84, so 11.

    Hole 2 has stroke index 3: par 4 + 2 + 1 shot, at most 7 of the 9 written.
    """
    differentials(ida, "12.0", "12.0", "12.0", "12.0", "12.0", first=FIRST)
    strokes = [5, 9, 3, 5, 4, 4, 3, 4, 5, 4, 3, 4, 5, 4, 4, None, 4, 5]
    found = score(ida, card(*strokes), date(2025, 6, 7), cause=cause_of(saturday(name="Elm Cup")))
    response = member.get(reverse("desk:record_score", args=[ida.public_id, found.public_id]))
    page = said(response.content.decode())
    assert "Figure on the day" in page
    assert "12.0 × 120 ÷ 113 + (70.1 − 72) = 10.84, rounded 11" in page
    assert "2 holes count otherwise than written." in page
    # 73 written on seventeen holes: one over par on hole 1, hole 2 held at 7, hole 16 counts 5
    assert "113 ÷ 120 × (81 − 70.1)" not in page
    gross = 5 + 7 + sum(s or 5 for s in strokes[2:])
    assert f"113 ÷ 120 × ({gross} − 70.1)" in page
    assert "Elm Cup" in page
    part = member.get(
        reverse("desk:record_score", args=[ida.public_id, found.public_id]),
        headers={"HX-Request": "true"},
    ).content.decode()
    assert part.lstrip().startswith('<div class="working" id="record-working">')


def cause_of(fixture: Fixture) -> dict[str, str]:
    return {"kind": "fixture", "id": fixture.public_id, "words": fixture.name}


def test_a_score_leads_to_the_card_of_the_player(member: Client) -> None:
    fixture = saturday(name="Elm Cup")
    entry = entered(fixture)
    found = score(entry.player, "12.0", date(2026, 4, 18), cause=cause_of(fixture))
    other = score(entry.player, "13.0", date(2026, 4, 19), cause={"words": "added by hand"})
    html = member.get(reverse("desk:record", args=[entry.player.public_id])).content.decode()
    assert reverse("results:card", args=[fixture.public_id, entry.key]) in html
    assert "Added by hand" in html
    for each in (found, other):
        assert reverse("desk:record_score", args=[entry.player.public_id, each.public_id]) in html


def test_a_score_that_is_not_there(member: Client, ida: Player) -> None:
    gone = score(ida, "12.0", FIRST, origin="one")
    score(ida, {}, FIRST, origin="one", number=2)
    for wanted in ("nosuch", gone.public_id):
        response = member.get(reverse("desk:record_score", args=[ida.public_id, wanted]))
        assert response.status_code == 404


# changes --------------------------------------------------------------------------------------


def test_every_change_says_old_new_why_where_and_who(member: Client, ida: Player) -> None:
    fixture = saturday(name="Elm Cup")
    for value, day in (("12.3", 1), ("11.8", 9)):
        handicap(ida, value, valid_from=date(2026, 4, day))
    score(ida, "14.0", date(2026, 3, 1), origin="one", cause=cause_of(fixture))
    score(
        ida, "12.9", date(2026, 3, 1), origin="one", number=2, why="The 7th was a five, not a six"
    )
    page = words_of(member, ida)
    assert "none → 12.3 Index, from the association" in page
    assert "12.3 → 11.8 Index, from the association" in page
    assert "14.0 → 12.9 Score put right" in page
    assert "The 7th was a five, not a six" in page
    assert "Written by the program" in page


def test_a_score_taken_off_and_back(member: Client, ida: Player) -> None:
    score(ida, "14.0", date(2026, 3, 1), origin="one")
    score(ida, {}, date(2026, 3, 1), origin="one", number=2, why="not a qualifying round")
    score(ida, "14.0", date(2026, 3, 1), origin="one", number=3)
    page = words_of(member, ida)
    assert "14.0 → none Score taken off the record" in page
    assert "none → 14.0 Score back on the record" in page


def test_an_adjustment_says_what_it_did_to_the_figure(member: Client, ida: Player) -> None:
    """Rule 7.1a: each of the latest differentials is moved, 13.2 → 12.2."""
    differentials(ida, *EIGHT, first=FIRST)
    moved(ida, "-1.0", date(2025, 4, 1), why="three wins away")
    page = words_of(member, ida)
    assert "13.2 → 12.2 Adjustment by the committee" in page
    assert "Each of the latest 20 differentials: 1 shot off. It counts from the next day." in page
    assert "three wins away" in page
    assert "How 12.2 is worked out" in page
    assert "12.4 when made, 11.4 as it now stands" in page


def test_a_low_index_that_starts_anew_is_told(member: Client, ida: Player) -> None:
    """Rules 5.8 and 7.1a: +4.0 on a level 10.0 is 13.5 by the soft cap, and 14.0 with a new low.

    The next score's figure is held against the new low: the lowest eight of nineteen 14.0 and
    an 18.0 are 14.0.
    """
    differentials(ida, *["10.0"] * 30, first=FIRST, step=14)
    moved(ida, "4.0", date(2026, 3, 1), why="a long illness", resets_low=True)
    page = words_of(member, ida)
    assert "10.0 → 14.0 Adjustment by the committee" in page
    assert "The low index starts anew: no figure from before this day counts for it." in page
    assert "no cap is in the way" in page
    score(ida, "18.0", date(2026, 3, 14))
    page = words_of(member, ida)
    assert "How 14.0 is worked out" in page
    assert "It began anew on 1 March 2026, by the committee." in page


def test_a_figure_that_ended_says_so(member: Client, ida: Player) -> None:
    line = handicap(ida, "12.3", source="society", valid_from=date(2026, 1, 1))
    type(line).objects.create(
        player=ida,
        kind="index",
        value=Decimal("12.3"),
        source="society",
        valid_from=date(2026, 2, 1),
        ended=True,
        at=THEN,
        by=BY,
    )
    page = words_of(member, ida)
    assert "12.3 → none Society handicap, written down by the society" in page
    assert "From that day there is none." in page
    assert "12.3 Society handicap" not in page.partition("Changes By the day")[0]


def test_fading_cuts_are_listed_line_by_line_with_their_ends(member: Client, ida: Player) -> None:
    """Story 10: a win on 10 May 2024, second on 14 September 2024; each line and its end date."""
    won = cut(
        ida,
        date(2024, 5, 10),
        ("-3.0", date(2025, 5, 10)),
        ("-2.0", date(2026, 5, 10)),
        ("-1.0", date(2027, 5, 10)),
        cause=cause_of(saturday(name="May Plate")),
    )
    second = cut(
        ida,
        date(2024, 9, 14),
        ("-2.0", date(2025, 9, 14)),
        ("-1.0", date(2026, 9, 14)),
        because="second",
    )
    for each, old, new in ((won, "18.0", "15.0"), (second, "15.0", "13.0")):
        proposal = CutProposal.objects.create(
            player=ida,
            event=f"event{each.pk}",
            version=1,
            day=each.valid_from,
            old=Decimal(old),
            new=Decimal(new),
            steps=each.steps,
            because=each.because,
            at=THEN,
            by=BY,
        )
        CutAnswer.objects.create(proposal=proposal, answer="confirmed", cut=each, at=THEN, by=BY)
    page = words_of(member, ida)
    for line in (
        "18 → 15 Society cut, May Plate",
        "15 → 13 Society cut",
        "3 shots off from Fri 10 May 2024, until Sat 10 May 2025",
        "2 shots off from Sat 10 May 2025, until Sun 10 May 2026",
        "1 shot off from Sun 10 May 2026, until Mon 10 May 2027",
        "2 shots off from Sat 14 Sep 2024, until Sun 14 Sep 2025",
        "1 shot off from Sun 14 Sep 2025, until Mon 14 Sep 2026",
        "First with 41 points.",
        "Second.",
    ):
        assert line in page, line
    # The lines say the size, so the sentence does not.
    assert "3 off" not in page


@pytest.mark.parametrize(
    ("day", "running"),
    [
        ("2024-10-01 10:00:00", ["3 shots off", "2 shots off"]),
        ("2025-06-01 10:00:00", ["2 shots off", "2 shots off"]),
        ("2025-10-01 10:00:00", ["2 shots off", "1 shot off"]),
        ("2026-10-01 10:00:00", ["1 shot off"]),
        ("2027-06-01 10:00:00", []),
    ],
)
def test_the_lines_that_count_on_a_day_are_marked(
    ida: Player, day: str, running: list[str], time_machine: object
) -> None:
    """Story 10, on each of its days: −5, −4, −3, −1, nothing."""
    cut(
        ida,
        date(2024, 5, 10),
        ("-3.0", date(2025, 5, 10)),
        ("-2.0", date(2026, 5, 10)),
        ("-1.0", date(2027, 5, 10)),
    )
    cut(ida, date(2024, 9, 14), ("-2.0", date(2025, 9, 14)), ("-1.0", date(2026, 9, 14)))
    time_machine.move_to(day)  # type: ignore[attr-defined]
    page = words_of(signed_in(AccountFactory(players=[ida])), ida)
    found = re.findall(r"([0-9] shots? off) from [^%]{0,60}? counts today", page)
    assert sorted(found) == sorted(running)


def test_a_cut_that_was_replaced_counts_no_longer(member: Client, ida: Player) -> None:
    first = cut(ida, date(2026, 4, 1), ("-3.0", None))
    cut(ida, date(2026, 4, 1), ("-2.0", None), replaces=first, because="second")
    page = words_of(member, ida)
    assert "Another one took its place; it counts no longer." in page
    assert "It takes the place of an earlier one." in page
    assert page.count("counts today") == 1


# elsewhere ------------------------------------------------------------------------------------


def test_what_would_be_played_off_with_every_step(member: Client, ida: Player) -> None:
    """Story 11: 12.3 × 120 ÷ 113 + (70.1 − 71) is 12.16; here par 72: 11.16, 95 %: 10.60, so 11."""
    saturday()
    tee = rated_tee(course__name="Story Links", name="white")
    handicap(ida, "12.3")
    page = words_of(member, ida, f"?card={tee.public_id}.men&holes=18&allowance=95")
    assert "the white tee of Story Links, 18 holes, at 95 %" in page.replace("\u00a0", " ")
    assert "12.3 × 120 ÷ 113 + (70.1 − 72) = 11.16" in page
    assert "11 course handicap, exactly 11.16" in page or "exactly 11.16 11" in page
    assert "10.6 to the nearest whole number" in page


def test_the_part_alone_is_given_to_htmx(member: Client, ida: Player) -> None:
    saturday()
    handicap(ida, "12.3")
    response = member.get(
        reverse("desk:record", args=[ida.public_id]) + "?allowance=50",
        headers={"HX-Request": "true"},
    )
    assert response.content.decode().lstrip().startswith('<div class="stack" id="elsewhere">')
    assert "html" not in response.content.decode()[:200]


def test_no_rating_is_a_sentence(member: Client, ida: Player) -> None:
    saturday()
    tee = rated_tee(rating=None, course__name="Bare Moor", name="red")
    handicap(ida, "12.3")
    page = words_of(member, ida, f"?card={tee.public_id}.men&holes=18&allowance=95")
    assert "The red tee of Bare Moor, 18 holes, has no rating" in page
    playing = PlayerFactory(name="Pat Fixed")
    handicap(playing, "14", kind="playing", source="society")
    assert "no rating" not in words_of(member, playing)


@pytest.mark.parametrize(
    ("query", "sentence"),
    [
        ("?allowance=ninety", "An allowance is a whole number of percent"),
        ("?allowance=900", "An allowance is from 0 to 200 percent."),
        ("?allowance=", "Write how many percent are given"),
        ("?card=nosuch.men", "That is not one of the choices."),
        ("?holes=7", "That is not one of the choices."),
    ],
)
def test_what_cannot_be_asked_is_refused_beside_its_box(
    member: Client, ida: Player, query: str, sentence: str
) -> None:
    saturday()
    handicap(ida, "12.3")
    assert sentence in words_of(member, ida, query, status=422)


def test_nobody_can_ask_without_a_course_or_a_figure(member: Client, ida: Player) -> None:
    assert "Once the secretary has added a course" in words_of(member, ida)
    TeeFactory()
    saturday()
    assert "There is no figure yet that the season can use." in words_of(member, ida)


# the next score --------------------------------------------------------------------------------


def test_what_the_next_score_must_be(member: Client, ida: Player) -> None:
    """Rule 5.2a, by hand: (seven of 10.0 and the new one) ÷ 8; see test_index_next."""
    saturday()
    tee = rated_tee(course__name="Story Links", name="white")
    handicap(ida, "10.0")
    differentials(ida, "10.0", *["19.0"] * 12, *["10.0"] * 7, first=FIRST)
    page = words_of(member, ida, f"?card={tee.public_id}.men&holes=18&allowance=95")
    for sentence in (
        "9.5 or a better differential lowers it; 9.5 makes 9.9",
        "10.4 or a worse one raises it, from 10.1 to 11.1 at most",
        "In between nothing moves.",
        "White tee of Story Links 80 or fewer adjusted strokes lower it: 37 points or more",
        "82 or more raise it: 35 points or fewer",
        "points off the whole course handicap",
    ):
        assert sentence in page, sentence
    nine = words_of(member, ida, f"?card={tee.public_id}.men&holes=first+9&allowance=95")
    assert "9.5 or a better differential" in nine
    assert "adjusted strokes lower it" not in nine


def test_what_brings_the_first_figure(member: Client, ida: Player) -> None:
    assert "Three more scores of 18 holes make the first figure." in words_of(member, ida)
    differentials(ida, "10.0", "12.0", first=FIRST)
    assert "The next score of 18 holes makes the first figure." in words_of(member, ida)


def test_no_score_raises_where_none_that_counts_goes(member: Client, ida: Player) -> None:
    differentials(ida, *["16.0"] * 12, *["10.0"] * 8, first=FIRST)
    page = words_of(member, ida)
    assert "No score raises it: any other leaves it as it is." in page


# the way --------------------------------------------------------------------------------------


def test_the_way_is_drawn_with_its_table(member: Client, ida: Player) -> None:
    own_basis(saturday(), cuts=True)
    differentials(ida, *EIGHT, first=FIRST)
    written_again(ida)
    cut(ida, date(2025, 6, 1), ("-2.0", date(2026, 1, 1)))
    response = member.get(reverse("desk:record", args=[ida.public_id]))
    html = response.content.decode()
    page = said(html)
    assert "What is played off" in page
    assert "8 differentials" in page
    assert html.count('class="dot"') == 2
    assert html.count('class="ring"') == 6
    assert 'class="level"' in html
    assert "Figure, from 13.2 11.2" in page
    assert "Differential, counts 12.4" in page


def test_the_society_s_own_figure_is_dotted_beside_the_basis(member: Client, ida: Player) -> None:
    saturday()
    handicap(ida, "14.0", valid_from=FIRST)
    differentials(ida, *EIGHT, first=FIRST)
    address = reverse("desk:record", args=[ida.public_id])
    assert 'class="apart"' not in member.get(address).content.decode()  # it has no line yet
    written_again(ida)
    own = [line.value for line in ida.handicaps.filter(source="cards").order_by("valid_from")]
    moves = [value for at, value in enumerate(own) if not at or value != own[at - 1]]
    assert len(moves) > 1
    html = member.get(address).content.decode()
    page = said(html)
    assert html.count('class="apart"') == 1
    assert f"Dotted: the society handicap worked out from cards, now {moves[-1]}." in page
    assert page.count("Society handicap, from cards") == len(moves)
    assert f"Society handicap, from cards {moves[0]}" in page


def test_the_own_figure_is_not_drawn_twice_where_it_is_the_basis(
    member: Client, ida: Player
) -> None:
    own_basis(saturday())
    handicap(ida, "14.0", valid_from=FIRST)
    differentials(ida, *EIGHT, first=FIRST)
    written_again(ida)
    html = member.get(reverse("desk:record", args=[ida.public_id])).content.decode()
    assert 'class="line"' in html
    assert 'class="apart"' not in html
    assert "Dotted" not in html


def test_a_figure_of_the_society_that_was_written_down_is_dotted_too(
    member: Client, ida: Player
) -> None:
    season = saturday().season
    season.handicap_source = "association"
    season.save()
    for at, value in enumerate(("12.3", "12.0")):
        handicap(ida, value, valid_from=FIRST + timedelta(days=9 * at))
        handicap(ida, f"{9 + at}.0", source="society", valid_from=FIRST + timedelta(days=9 * at))
    html = member.get(reverse("desk:record", args=[ida.public_id])).content.decode()
    assert html.count('class="apart"') == 1
    page = said(html)
    assert "Dotted: the society handicap written down by the society, now 10.0." in page
    assert page.count("Society handicap, written down 10.0") == 1


# who ------------------------------------------------------------------------------------------


def test_who_plays_reads_it_and_contact_data_are_not_on_it(
    member: Client, outsider: Client, client: Client
) -> None:
    ida = PlayerFactory(name="Ida Low", email="ida@example.org", number="Q-77")
    page = words_of(member, ida)
    assert "ida@example.org" not in page
    assert "Q-77" not in page
    address = reverse("desk:record", args=[ida.public_id])
    assert outsider.get(address).status_code == 404
    assert client.get(address).status_code == 302
    assert member.get(reverse("desk:record", args=["nosuch"])).status_code == 404


def test_the_players_page_and_the_front_page_lead_to_it(ida: Player) -> None:
    saturday()
    own = signed_in(AccountFactory(players=[ida]))
    address = reverse("desk:record", args=[ida.public_id])
    assert address in own.get(reverse("desk:player", args=[ida.public_id])).content.decode()
    front = own.get(reverse("desk:season")).content.decode()
    assert address in front
    assert "No figure yet that the season can use." in front
    handicap(ida, "12.3")
    assert "Index 12.3 of the association" in own.get(reverse("desk:season")).content.decode()


def test_a_long_record_asks_no_more(member: Client, ida: Player) -> None:
    own_basis(saturday(), cuts=True)

    def count() -> int:
        with CaptureQueriesContext(connection) as asked:
            words_of(member, ida)
        return len(asked)

    def more(day: date, first: int) -> None:
        for at in range(first, first + 4):
            fixture = saturday(name=f"Cup {at}")
            score(ida, "12.0", day + timedelta(days=at), cause=cause_of(fixture))
            handicap(ida, f"{10 + at}.0", valid_from=day + timedelta(days=at))
            cut(ida, day + timedelta(days=at), ("-1.0", None), cause=cause_of(fixture))
            moved(ida, "-1.0", day + timedelta(days=at))

    more(FIRST, 0)
    before = count()
    more(FIRST, 4)
    assert count() == before


def test_canonical_causes_of_other_kinds_are_told_in_words(member: Client, ida: Player) -> None:
    found = score(ida, "12.0", FIRST, cause={"kind": "typed", "id": "x", "words": "seen on paper"})
    assert found.cause == canonical({"id": "x", "kind": "typed", "words": "seen on paper"})
    assert "Seen on paper" in words_of(member, ida)
