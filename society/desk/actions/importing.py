"""Importing a list of players: exactly what the preview promised, in one deed, or nothing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from society.audit.actions import deed
from society.desk.queries.importing import preview
from society.handicaps.actions.record import record
from society.handicaps.rules.promises import COLUMNS, Promise, settle
from society.members.actions.players import add_player, change_player
from society.members.models import Player, Society
from society.members.queries import society_day, the_society
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.rules import DateStyle, Outcome, SheetLine
from society.web.sheets import read_sheet
from society.web.who import HANDICAPPERS, KEEPERS, Who

# With more questions than this nobody reads them.
MOST_QUESTIONS = 1000


class OutOfDate(WrongState):
    """Since the preview was made something changed: what would happen now is not what it said."""


class Unanswered(BadInput):
    """Lines that cannot be taken as they were answered: `lines` is line number → why."""

    def __init__(self, lines: Mapping[int, str]) -> None:
        super().__init__("Some lines still need your choice.")
        self.lines = dict(lines)


@dataclass(frozen=True, slots=True)
class Tally:
    """How many lines came to what."""

    new: int
    changed: int
    unchanged: int
    left_out: int

    @property
    def in_words(self) -> str:
        return (
            f"{self.new} new, {self.changed} changed, {self.unchanged} unchanged, "
            f"{self.left_out} left out."
        )


def import_players(
    *,
    lines: Sequence[SheetLine],
    digest: str,
    choices: Mapping[int, str],
    handicaps_alone: bool = False,
    style: DateStyle | None = None,
    by: Who,
    at: datetime,
) -> Tally:
    """Do what a preview promised. `choices`: line → "new", "leave" or the public id of a player.

    Works everything out again and does it only if the fingerprint is still `digest`. Refused
    lines are left out. `handicaps_alone`: a list of handicaps, which the handicap secretary may
    import too; `style`: in which order its days are written, None as the society writes them.
    Raises OutOfDate, Unanswered, NotYours.
    """
    if handicaps_alone and not by.may(HANDICAPPERS):
        raise NotYours("Handicap records are kept by the handicap secretary and the secretary.")
    if not handicaps_alone and not by.may(KEEPERS):
        raise NotYours("Only the secretary imports players.")
    society = the_society()
    about = f"society:{society.public_id if society else ''}"
    what = "imported handicaps" if handicaps_alone else "imported players"
    why = "From a list of handicaps." if handicaps_alone else "From a list of players."
    with deed(by=by, at=at, what=what, about=about):
        Society.objects.select_for_update().filter(pk=1).first()  # one import at a time
        now = preview(lines, society_day(at), handicaps_alone=handicaps_alone, style=style)
        if now.digest != digest:
            raise OutOfDate(
                "Something changed since this was shown: a player, a handicap or the day. "
                "Here is what would happen now. Nothing was saved."
            )
        settled = settle(now.promises, choices)
        if wrong := _unanswered(now.promises, settled):
            raise Unanswered(wrong)
        for promise in settled:
            if promise.outcome in (Outcome.NEW, Outcome.CHANGED):
                _keep(promise, why, by, at)
    return _tally(settled)


def _unanswered(made: Sequence[Promise], settled: Sequence[Promise]) -> dict[int, str]:
    """The questions without an answer, and the answers that lead to a refusal."""
    return {
        before.line: " ".join(after.words)
        if after.outcome is Outcome.REFUSED
        else f"Choose what happens with {before.name}."
        for before, after in zip(made, settled, strict=True)
        if before.outcome is not Outcome.REFUSED
        and after.outcome in (Outcome.ASKS, Outcome.REFUSED)
    }


def _keep(promise: Promise, why: str, by: Who, at: datetime) -> None:
    if promise.player:
        player = Player.objects.get(public_id=promise.player)
        if promise.values:
            player = change_player(player=player, by=by, at=at, **promise.values)
    else:
        player = add_player(**promise.values, by=by, at=at)
    if figure := promise.figure:
        record(
            player=player,
            kind=figure.kind.value,
            value=figure.value,
            source=figure.source.value,
            valid_from=figure.valid_from,
            words=why,
            by=by,
            at=at,
        )


def _tally(settled: Sequence[Promise]) -> Tally:
    def count(*outcomes: Outcome) -> int:
        return sum(promise.outcome in outcomes for promise in settled)

    return Tally(
        new=count(Outcome.NEW),
        changed=count(Outcome.CHANGED),
        unchanged=count(Outcome.UNCHANGED),
        left_out=count(Outcome.REFUSED, Outcome.LEFT_OUT),
    )


def import_text(*, text: str, unsure: str = "", by: Who, at: datetime) -> Tally:
    """Import the text of a CSV file without showing it first: for a file that is known to be good.

    `unsure`: the answer to every question, "new" or "leave"; without one they are refused.
    Raises BadInput for a line that is refused, naming it, and what `import_players` raises.
    """
    lines = read_sheet(text, COLUMNS, ()).lines
    shown = preview(lines, society_day(at))
    for promise in shown.of(Outcome.REFUSED):
        raise BadInput(f"Line {promise.line}, {promise.name}: {' '.join(promise.words)}")
    choices = {promise.line: unsure for promise in shown.of(Outcome.ASKS)}
    return import_players(lines=lines, digest=shown.digest, choices=choices, by=by, at=at)
