"""Side contests, and the pot for twos as it stands."""

from django.db.models import Prefetch

from scoring.cards.queries import cards_of
from scoring.results.bridge import (
    detail_of,
)
from scoring.results.models import (
    Ruling,
    SideContest,
    SideWinner,
    TwosPot,
)
from scoring.rules.twos import Pot, is_two, pot_of, share_pot
from scoring.rules.values import RulingKind
from society.courses.rules import RatedHoles
from society.entries.rules.words import IN
from society.fixtures.models import Fixture


def contests_of(fixture: Fixture) -> list[SideContest]:
    """The side contests of a fixture by hole, each with its winners, the first one first."""
    winners = SideWinner.objects.select_related("entry__player", "words").order_by("number")
    rows = SideContest.objects.filter(round__fixture=fixture)
    return list(
        rows.order_by("hole", "kind", "category").prefetch_related(
            Prefetch("winners", queryset=winners)
        )
    )


def pots_of(fixture: Fixture) -> list[TwosPot]:
    """How the twos of a fixture were shared, the latest first."""
    return list(TwosPot.objects.filter(fixture=fixture).select_related("words").order_by("-number"))


def pot_now(fixture: Fixture) -> Pot | None:
    """The twos of a fixture by the cards as they stand; None where there is no pot.

    Every card of the round counts, whatever competition its player is in; a disqualified
    player's twos do not.
    """
    if fixture.twos_stake is None:
        return None
    round_ = fixture.rounds.order_by("number")[0]
    numbers = RatedHoles(round_.holes).numbers
    penalties, out = _ruled_strokes(fixture)
    players, twos = [], {}
    for reading in cards_of(round_).values():
        entry = reading.start.entry
        if reading.start.step not in IN:  # type: ignore[attr-defined]
            continue
        if entry.twos:
            players.append(entry.key)
        if reading.strokes is None or entry.pk in out:
            continue
        added = penalties.get(entry.pk, {})
        twos[entry.key] = [
            hole
            for hole, strokes in zip(numbers, reading.strokes, strict=True)
            if is_two(None if strokes is None else strokes + added.get(hole, 0))
        ]
    brought, source = pot_before(fixture)
    return share_pot(
        stake=fixture.twos_stake, players=players, twos=twos, brought=brought, source=source
    )


def _ruled_strokes(fixture: Fixture) -> tuple[dict[int, dict[int, int]], set[int]]:
    """Entry id → hole → penalty strokes, and the entry ids of the disqualified.

    The same ruling may stand in several competitions over one card: it counts once.
    """
    rows = Ruling.objects.filter(
        competition__fixture=fixture,
        withdrawn__isnull=True,
        kind__in=(RulingKind.PENALTY.value, RulingKind.DISQUALIFIED.value),
    )
    sums: dict[tuple[int, int, int], int] = {}
    out: set[int] = set()
    for row in rows:
        if row.entry_id is None:
            continue
        if row.kind == RulingKind.DISQUALIFIED:
            out.add(row.entry_id)
            continue
        detail = detail_of(row)
        at = (row.competition_id, row.entry_id, detail["hole"])
        sums[at] = sums.get(at, 0) + detail["strokes"]
    found: dict[int, dict[int, int]] = {}
    for (_, entry, hole), strokes in sums.items():
        holes = found.setdefault(entry, {})
        holes[hole] = max(holes.get(hole, 0), strokes)
    return found, out


def pot_before(fixture: Fixture) -> tuple[int, str]:
    """What comes over from the last shared pot before a fixture, and that fixture's public id.

    A pot that another fixture took over already does not come twice.
    """
    rows = TwosPot.objects.exclude(fixture=fixture).select_related("fixture").order_by("number")
    standing = {row.fixture_id: row for row in rows}
    pots = {pk: pot_of(row.pot) for pk, row in standing.items()}
    taken = {pot.source for pot in pots.values()}
    before = sorted(
        (row.fixture.starts_on, row.fixture_id)
        for row in standing.values()
        if (row.fixture.starts_on, row.fixture_id) < (fixture.starts_on, fixture.pk)
        and row.fixture.public_id not in taken
    )
    if not before:
        return 0, ""
    last = before[-1][1]
    onward = pots[last].onward
    return (onward, standing[last].fixture.public_id) if onward else (0, "")
