"""How the invented society cuts, and what its handicap secretary says to each proposal."""

from dataclasses import replace
from datetime import datetime
from decimal import Decimal

from society.desk.actions.demo.diary import acting
from society.desk.actions.demo.saturday import Saturday
from society.fixtures.actions.seasons import set_season_handicaps
from society.fixtures.models import Season
from society.fixtures.queries import the_competition
from society.handicaps.actions.cuts import Decision, answer_proposals
from society.handicaps.models import CutProposal
from society.handicaps.queries.cuts import waiting
from society.handicaps.rules.answers import CutAnswerKind
from society.handicaps.rules.cuts.presets import PRESETS
from society.handicaps.rules.cuts.reading import cuts_object
from society.handicaps.rules.cuts.values import PointsRise
from society.handicaps.rules.season import Basis, HandicapRules
from society.members.models import Account

KEEPER, STAND_IN = "Dorrick Pennywhisk", "Wilf Acornby"  # who answers what is Dorrick's own
NEWCOMER = "Augusta Rushlight"
CHANGED_AT, LEFT_AT = "Captain's Day", "Beck Medal"
_ONE_MORE = PointsRise(Decimal(24), (Decimal(1),))


def cut_rules() -> HandicapRules:
    """The index with cuts on top, a shot less of each every year; a shot back for a poor day."""
    fading = next(one.rules for one in PRESETS if one.key == "fading")
    cuts = replace(fading, rises=(_ONE_MORE,))
    maximum = {"men": 36, "women": 54}
    return HandicapRules(
        basis=Basis.WITH_CUTS, maximum=maximum, guest_maximum=28, cuts=cuts_object(cuts)
    )


def set_cut_rules(season: Season, secretary: Account, at: datetime) -> None:
    """The rules of the season, from its first day."""
    set_season_handicaps(
        season=season,
        rules=cut_rules(),
        valid_from=season.starts_on,
        words="Agreed at the general meeting: whoever wins gives the others a chance.",
        by=acting(secretary, at),
        at=at,
    )


def answer(day: Saturday, at: datetime) -> None:
    """The handicap secretary confirms; one is changed in the season, and some are left."""
    event = the_competition(day.standing).public_id
    rows = list(waiting().filter(event=event).select_related("player").order_by("pk"))
    for name, whose in ((KEEPER, False), (STAND_IN, True)):
        told = [row for row in rows if (row.player.name == KEEPER) is whose]
        decisions = {row.public_id: _decision(day, told.index(row), row) for row in told}
        if decisions:
            by = acting(Account.objects.get(name=name), at)
            answer_proposals(event=event, decisions=decisions, by=by, at=at)


def _decision(day: Saturday, place: int, row: CutProposal) -> Decision:
    """The second proposal of one day is changed, of another left; a newcomer's always is."""
    if row.player.name == NEWCOMER:
        return Decision(CutAnswerKind.DROPPED, words="No cut off a first handicap.")
    if place == 1 and day.plan.name == CHANGED_AT:
        half = (row.old + row.new) / 2
        return Decision(CutAnswerKind.CHANGED, round(half, 1), "Played off a new index that day.")
    if place == 1 and day.plan.name == LEFT_AT:
        return Decision(CutAnswerKind.DROPPED, words="Back after an injury; nobody minded.")
    return Decision(CutAnswerKind.CONFIRMED)
