"""The plain words of courses."""

from enum import StrEnum


class RatedHoles(StrEnum):
    """Which holes of a course a rating is for, and which a round is played over."""

    EIGHTEEN = "18"
    FIRST_NINE = "first 9"
    SECOND_NINE = "second 9"

    @property
    def count(self) -> int:
        """How many holes."""
        return 18 if self is RatedHoles.EIGHTEEN else 9

    @property
    def numbers(self) -> range:
        """The hole numbers on the card of the course."""
        return {"18": range(1, 19), "first 9": range(1, 10), "second 9": range(10, 19)}[self.value]
