"""Beside the standing: side contests with who won them, and the twos with what they pay."""

from dataclasses import dataclass
from datetime import datetime

from scoring.results.models import SideContest, SideWinner
from scoring.results.queries.side import contests_of, pot_now, pots_of
from scoring.results.queries.standings import Standing, fixture_name, people_of
from scoring.results.rules import CONTEST_WORDS
from scoring.rules.divisions import scheme_of, scheme_sentences
from scoring.rules.twos import Pot, Share, pot_of


@dataclass(frozen=True, slots=True)
class ContestLine:
    """One side contest. `winner` empty: nobody yet, or nobody at all where `decided`.

    `written`: when the line was typed; `earlier`: what it said before, with why it changed.
    """

    public_id: str
    kind: str
    hole: int
    category: str
    winner: str
    entry: str
    distance: str
    decided: bool
    written: datetime | None
    why: str
    earlier: tuple[str, ...]


def division_words(standing: Standing) -> list[str]:
    """How the field was divided, where the result has divisions and the fixture says how."""
    text = standing.competition.fixture.divisions
    if not text or not standing.answer["divisions"]:
        return []
    return scheme_sentences(scheme_of(text))


def contest_lines(standing: Standing) -> list[ContestLine]:
    """The side contests of a fixture as everyone reads them."""
    return [contest_line(row) for row in contests_of(standing.competition.fixture)]


def contest_line(contest: SideContest) -> ContestLine:
    """One side contest, its winners loaded."""
    rows = list(contest.winners.all())
    last = rows[-1] if rows else None
    return ContestLine(
        public_id=contest.public_id,
        kind=CONTEST_WORDS[contest.kind],
        hole=contest.hole,
        category=contest.category,
        winner=last.entry.player.name if last and last.entry else "",
        entry=last.entry.public_id if last and last.entry else "",
        distance=last.distance if last else "",
        decided=last is not None,
        written=last.at if last else None,
        why=last.reason if last else "",
        earlier=tuple(_said(row) for row in reversed(rows[:-1])),
    )


def _said(row: SideWinner) -> str:
    name = row.entry.player.name if row.entry else "nobody"
    return f"{name}, {row.distance}" if row.distance else name


@dataclass(frozen=True, slots=True)
class TwosLine:
    """One player's twos: the holes and what they pay; `counts` is false for who is not in."""

    name: str
    count: int
    holes: str
    amount: int
    counts: bool


@dataclass(frozen=True, slots=True)
class TwosShown:
    """The pot as everyone reads it. Money in whole minor units; `shared_at`: None so far."""

    pot: Pot
    lines: tuple[TwosLine, ...]
    source: str
    shared_at: datetime | None

    @property
    def remainder(self) -> int:
        """What did not divide, where there is a good two."""
        return self.pot.onward if self.pot.count else 0


def twos_shown(standing: Standing) -> TwosShown | None:
    """The twos of a fixture: as they were shared, or by the cards so far; None without a pot."""
    fixture = standing.competition.fixture
    rows = pots_of(fixture) if standing.is_final else []
    pot = pot_of(rows[0].pot) if rows else None if standing.is_final else pot_now(fixture)
    if pot is None:
        return None
    people = people_of(standing.competition)

    def line(share: Share, counts: bool) -> TwosLine:
        name = people[share.key].name if share.key in people else share.key
        holes = ", ".join(map(str, share.holes))
        return TwosLine(name, len(share.holes), holes, share.amount, counts)

    lines = [line(share, True) for share in pot.shares]
    lines += [line(share, False) for share in pot.ignored]
    return TwosShown(
        pot=pot,
        lines=tuple(sorted(lines, key=lambda one: (not one.counts, -one.amount, one.name))),
        source=fixture_name(pot.source) if pot.source else "",
        shared_at=rows[0].at if rows else None,
    )
