"""What players are taken at on a day, read from the rows."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from scoring.rules.values import HandicapKind
from society.fixtures.models import SeasonHandicaps
from society.fixtures.queries import rules_of, season_rules_on
from society.handicaps.models import HandicapEntry, SocietyCut
from society.handicaps.queries.figures import figures_on
from society.handicaps.queries.record import in_force
from society.handicaps.rules.season import Basis, HandicapRules, written_rules
from tests.factories.entries import BY, THEN, handicap
from tests.factories.fixtures import saturday
from tests.factories.members import PlayerFactory

pytestmark = pytest.mark.django_db
DAY = date(2026, 6, 1)
WITH_CUTS = HandicapRules(Basis.WITH_CUTS, maximum={"men": 28})


def a_cut(player, shots="-2.0", *, replaces=None, day=date(2026, 5, 10), at=THEN):
    return SocietyCut.objects.create(
        player=player,
        valid_from=day,
        steps=f'[{{"shots":"{shots}","until":"2027-05-10"}}]',
        because="Won the Spring Plate.",
        replaces=replaces,
        at=at,
        by=BY,
    )


def test_the_line_the_cuts_and_the_maximum(at):
    player, high, bare = PlayerFactory(), PlayerFactory(), PlayerFactory()
    handicap(player, "14.2")
    handicap(high, "30.5")
    a_cut(player)
    found = figures_on([player, high, bare], WITH_CUTS, DAY)
    assert {pk: used.value for pk, used in found.items()} == {
        player.pk: Decimal("12.2"),
        high.pk: Decimal(28),
    }
    assert found[player.pk].base.row == HandicapEntry.objects.get(player=player).pk


def test_a_cut_that_another_takes_the_place_of_counts_no_longer():
    player = PlayerFactory()
    handicap(player, "14.2")
    a_cut(player, "-1.0", replaces=a_cut(player))
    assert figures_on([player], WITH_CUTS, DAY)[player.pk].value == Decimal("13.2")


def test_an_ended_line_is_no_figure():
    player = PlayerFactory()
    handicap(player, "14.2", source="cards")
    last = HandicapEntry.objects.create(
        player=player, kind="index", value=Decimal("14.2"), source="cards",
        valid_from=date(2026, 5, 1), ended=True, at=THEN, by=BY,
    )  # fmt: skip
    assert figures_on([player], HandicapRules(Basis.CARDS), DAY) == {}
    assert figures_on([player], HandicapRules(Basis.CARDS), date(2026, 4, 30)) != {}
    assert in_force([player.pk], on=DAY, kind="index", source="cards") == {}
    assert last.ended


def test_a_figure_from_cards_stays_out_where_any_written_line_is_taken():
    player = PlayerFactory()
    line = handicap(player, "14.2", source="society")
    handicap(player, "11.0", source="cards", valid_from=date(2026, 5, 1))
    assert figures_on([player], HandicapRules(), DAY)[player.pk].base.row == line.pk
    assert in_force([player.pk], on=DAY, kind="index", source="")[player.pk] == line


@pytest.mark.parametrize("many", [1, 5])
def test_so_many_queries_for_any_number(django_assert_num_queries, many):
    players = [PlayerFactory() for _ in range(many)]
    for player in players:
        handicap(player, "14.2")
        a_cut(player)
    with django_assert_num_queries(2):
        assert len(figures_on(players, WITH_CUTS, DAY)) == many


def rules_from(season, number, day, **values):
    return SeasonHandicaps.objects.create(
        season=season,
        number=number,
        valid_from=day,
        rules=written_rules(HandicapRules(**values)),
        at=datetime(2026, 1, 1, tzinfo=UTC),
        by=BY,
    )


def test_the_rules_of_a_season_hold_from_their_day():
    fixture = saturday()
    season = fixture.season
    season.handicap_source = "association"
    season.save()
    first = season_rules_on(season, season.starts_on)
    assert (first.basis, first.kind, first.source) == (Basis.WRITTEN, "index", "association")
    rules_from(season, 1, date(2026, 4, 1), basis=Basis.LOWER)
    rules_from(season, 2, date(2026, 6, 1), basis=Basis.FIXED)
    rules_from(season, 3, date(2026, 6, 1), basis=Basis.CARDS)  # put right on the same day
    found = [
        season_rules_on(season, day).basis
        for day in (date(2026, 3, 31), date(2026, 4, 1), date(2026, 5, 31), date(2026, 6, 1))
    ]
    assert found == [Basis.WRITTEN, Basis.LOWER, Basis.LOWER, Basis.CARDS]
    assert rules_of(fixture).basis is Basis.LOWER  # 18 April


def test_a_fixture_of_its_own_kind_and_source_stands_above_the_season():
    fixture = saturday(handicap_kind="playing", handicap_source="society")
    rules_from(fixture.season, 1, date(2026, 1, 1), basis=Basis.LOWER, maximum={"men": 28})
    rules = rules_of(fixture)
    assert (rules.basis, rules.kind, rules.source) == (
        Basis.WRITTEN,
        HandicapKind.PLAYING,
        "society",
    )
    assert rules.maximum == {"men": 28}
