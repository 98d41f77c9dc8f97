"""Where and when each group starts: one tee, two tees, or every hole at once."""

from dataclasses import dataclass

from society.fixtures.rules import StartKind

EIGHTEEN = tuple(range(1, 19))


@dataclass(frozen=True, slots=True)
class GroupStart:
    """`minute`: after midnight, None without tee times. `letter`: A or B, where two share a hole.

    The group with the letter A plays off first.
    """

    minute: int | None
    hole: int
    letter: str = ""


@dataclass(frozen=True, slots=True)
class Opening:
    """How a round begins. `holes`: the numbers in play. `interval`: minutes between two starts."""

    kind: StartKind = StartKind.ONE_TEE
    first_minute: int | None = None
    interval: int = 0
    holes: tuple[int, ...] = EIGHTEEN

    def __post_init__(self) -> None:
        if self.kind is StartKind.TWO_TEES and len(self.holes) != 18:
            raise ValueError("draw: two tees want eighteen holes")

    @property
    def most(self) -> int | None:
        """How many groups can start; None for any number."""
        return 2 * len(self.holes) if self.kind is StartKind.SHOTGUN else None

    def waves(self, groups: int) -> tuple[int, ...]:
        """Which start time each group has, counted from 0."""
        if self.kind in (StartKind.SHOTGUN, StartKind.ARRANGED):
            return (0,) * groups
        at_once = 2 if self.kind is StartKind.TWO_TEES else 1
        return tuple(at // at_once for at in range(groups))

    def starts(self, groups: int) -> list[GroupStart]:
        """Time and hole of each group.

        Two tees: by turns from the first hole and the tenth. Shotgun: a group to a hole, all at
        one time; past the last hole a second group (B) behind the first (A), from the first hole
        of each nine by turns. Common practice, no source.

        >>> [s.hole for s in Opening(StartKind.TWO_TEES, 570, 10).starts(4)]
        [1, 10, 1, 10]
        >>> [f"{s.hole}{s.letter}" for s in Opening(StartKind.SHOTGUN, 570).starts(20)][-3:]
        ['18', '1B', '10B']
        """
        count = len(self.holes)
        if self.most is not None and groups > self.most:
            raise ValueError(f"draw: {groups} groups are too many for {count} holes at once")
        if self.kind is StartKind.SHOTGUN:
            order = _by_turns(self.holes)[: max(groups - count, 0)]
            shared = set(order)
            ahead = [
                GroupStart(self.first_minute, h, "A" if h in shared else "") for h in self.holes
            ]
            return (ahead + [GroupStart(self.first_minute, h, "B") for h in order])[:groups]
        waves = self.waves(groups)
        first = None if self.kind is StartKind.ARRANGED else self.first_minute
        tees = (0, 9) if self.kind is StartKind.TWO_TEES else (0,)
        return [
            GroupStart(
                None if first is None else first + self.interval * wave,
                self.holes[tees[at % len(tees)]],
            )
            for at, wave in enumerate(waves)
        ]


def _by_turns(holes: tuple[int, ...]) -> list[int]:
    half = len(holes) // 2 if len(holes) == 18 else len(holes)
    pairs = zip(holes[:half], holes[half:], strict=True) if half < len(holes) else ()
    return [hole for pair in pairs for hole in pair] or list(holes)
