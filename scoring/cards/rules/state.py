"""How a card stands, worked out from what was written, certified, asked and checked.

Nothing of it is stored. A committee record stands above the player's and the marker's. A card
agrees when the player's and the marker's figures have one digest; if only one of the two wrote,
it is enough once the other has certified it. A signature counts as long as the standing figures
have its digest, and paper seen as long as it was not taken back.

>>> state_of(Facts(player="d1"))
<CardState.STARTED: 'started'>
>>> state_of(Facts(player="d1", signed_by_player=frozenset({"d1"})))
<CardState.WAITING: 'waiting'>
>>> state_of(Facts(player="d1", marker="d2"))
<CardState.QUERIED: 'queried'>
>>> state_of(Facts(committee="d1"))
<CardState.RETURNED: 'returned'>
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from scoring.cards.rules.words import CardDeed, CardState, Means, Record


@dataclass(frozen=True, slots=True)
class Facts:
    """What the state depends on: digests of the three records and who certified which digest.

    `question_open`: an officer asked and nobody answered yet. `checked`: digests that an officer
    has checked.
    """

    player: str | None = None
    marker: str | None = None
    committee: str | None = None
    signed_by_player: frozenset[str] = frozenset()
    signed_by_marker: frozenset[str] = frozenset()
    question_open: bool = False
    checked: frozenset[str] = frozenset()


def standing_record(facts: Facts) -> Record | None:
    """Whose figures stand: the committee's, else the player's, else the marker's, else none."""
    if facts.committee is not None:
        return Record.COMMITTEE
    if facts.player is not None:
        return Record.PLAYER
    return Record.MARKER if facts.marker is not None else None


def standing_digest(facts: Facts) -> str | None:
    """The digest that signatures must be bound to, None while nothing is written."""
    return facts.committee or facts.player or facts.marker


def differ(facts: Facts) -> bool:
    """Whether player and marker wrote different figures and no committee record settles it."""
    return (
        facts.committee is None
        and facts.player is not None
        and facts.marker is not None
        and facts.player != facts.marker
    )


def state_of(facts: Facts) -> CardState:
    """The state of a card: out, started, waiting, returned, checked or queried."""
    digest = standing_digest(facts)
    if digest is None:
        return CardState.OUT
    if facts.question_open or differ(facts):
        return CardState.QUERIED
    signatures = (digest in facts.signed_by_player) + (digest in facts.signed_by_marker)
    if facts.committee is None and signatures < 2:
        return CardState.WAITING if signatures else CardState.STARTED
    return CardState.CHECKED if digest in facts.checked else CardState.RETURNED


def signature_counts(means: str, digest: str, taken_back: frozenset[str]) -> bool:
    """Whether a certificate counts: paper seen no longer does once it was taken back."""
    return means != Means.PAPER_SEEN or digest not in taken_back


def taken_back(steps: Iterable[tuple[str, str]]) -> frozenset[str]:
    """Digests whose paper signatures were taken back last, from (kind, digest) in order.

    >>> taken_back([("signatures seen", "a"), ("signatures taken back", "a")])
    frozenset({'a'})
    """
    back: set[str] = set()
    for kind, digest in steps:
        if kind == CardDeed.SIGNATURES_BACK:
            back.add(digest)
        elif kind == CardDeed.SIGNATURES_SEEN:
            back.discard(digest)
    return frozenset(back)


def differences(
    holes: Sequence[int], player: Sequence[int | None], marker: Sequence[int | None]
) -> tuple[tuple[int, int | None, int | None], ...]:
    """Hole, the player's score and the marker's score, for each hole where they differ.

    >>> differences((10, 11), (5, 4), (5, None))
    ((11, 4, None),)
    """
    return tuple(
        (hole, own, other)
        for hole, own, other in zip(holes, player, marker, strict=True)
        if own != other
    )
