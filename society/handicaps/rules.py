"""The plain words of handicaps: where a figure comes from."""

from enum import StrEnum


class Source(StrEnum):
    """Who says a handicap; `stated` is a guest's own figure."""

    ASSOCIATION = "association"
    SOCIETY = "society"
    COMMITTEE = "committee"
    STATED = "stated"
