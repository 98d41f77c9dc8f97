"""The sentences that more than one of these pages says after a deed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from society.entries import queries
from society.entries.rules.words import IN, Step
from society.web.templatetags.look import day_clock, names

if TYPE_CHECKING:
    from collections.abc import Iterable

    from society.entries.actions.entering import Left
    from society.entries.models import Entry
    from society.fixtures.models import Fixture
    from society.web.request import Request


def entered(request: Request, fixture: Fixture, entry: Entry) -> str:
    """Whether somebody is in or waits, and who made room for it."""
    mine = request.who.players == (entry.player.public_id,)
    who, be = ("You", "are") if mine else (entry.player.name, "is")
    if entry.step in IN:
        return f"{who} {be} in for {fixture.name}."
    place = list(queries.waiting(fixture).values_list("pk", flat=True)).index(entry.pk) + 1
    return f"{who} {be} on the waiting list for {fixture.name}, number {place}."


def left(name: str, gone: Left) -> str:
    """What a leaver set off, for the organiser."""
    said = f"{name} is out."
    if gone.late:
        said += " It is kept as a late withdrawal."
    if gone.moved:
        said += f" {names([entry.player.name for entry in gone.moved])} got the place; tell them."
    said += offered(gone.offered)
    if gone.redrawn:
        said += f" {gone.redrawn.words}"
    return said


def offered(entries: Iterable[Entry]) -> str:
    """To whom a place is offered, and until when; empty for nobody."""
    listed = [entry for entry in entries if entry.step == Step.OFFERED]
    if not listed:
        return ""
    until = max(queries.offers_of(listed).values())
    people = names([entry.player.name for entry in listed])
    return f" The place is offered to {people} until {day_clock(until)}."
