"""Who did what to a fixture: the audit read out in plain sentences."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from society.audit.models import AuditLine
from society.audit.queries import lines_about
from society.entries.models import Entry, Start
from society.entries.rules.words import Step
from society.fixtures.models import Fixture
from society.members.models import Account, Player
from society.web.templatetags.look import day_clock, day_long
from society.web.who import Who

# One line for each deed, after the name of who did it; `{players}` are the players it concerned,
# `{cards}` their cards.
# A deed without a line here is shown under the name it has in the audit.
SAID: dict[str, str] = {
    "fixture planned": "planned this fixture",
    "fixture changed": "changed this fixture",
    "fixture moved": "moved this fixture to another day",
    "calendar kept": "kept this fixture with the whole year",
    "fixture open": "opened entries",
    "fixture planned again": "took entries back",
    "fixture closed": "closed entries",
    "fixture cancelled": "cancelled this fixture",
    "fixture void": "declared this fixture void",
    "entries closed": "closed entries",
    "entries reopened": "opened entries again",
    "entered": "entered {players}",
    "guest entered": "entered {players} as a guest",
    "withdrawn": "withdrew {players}",
    "absent": "noted that {players} did not turn up",
    "offer taken": "took the offered place for {players}",
    "offer declined": "declined the offered place for {players}",
    "offer lapsed": "let an offer pass",
    "guests moved in": "gave places that were left to guests",
    "wishes changed": "changed what {players} asked for",
    "walked up": "entered {players}, who turned up",
    "list of who played": "ticked who played: {players}",
    "free places given out": "gave free places out: {players}",
    "handicaps taken": "took handicaps: {players}",
    "handicap given": "wrote down a handicap for {players}",
    "tee chosen": "chose another tee for {players}",
    "handicap corrected": "put right what {players} plays off",
    "course card corrected": "took the card of the course over again",
    "reference par set": "set another reference par",
    "day's terms written": "wrote the day’s terms",
    "cards printed": "printed cards",
    "draw made": "made a draw",
    "draw swapped": "swapped {players} in the draw",
    "draw moved": "moved {players} in the draw",
    "draw change undone": "undid a change of the draw",
    "draw published": "published the draw",
    "draw withdrawn": "withdrew the draw",
    "marker named": "named who marks {players}",
    "player figures written": "wrote {cards}",
    "marker figures written": "wrote {cards} as marker",
    "committee figures written": "typed {cards}",
    "certified as player": "certified {cards} as player",
    "certified as marker": "certified {cards} as marker",
    "both signatures seen": "saw both signatures on {cards}",
    "signatures taken back": "took back the signatures seen on {cards}",
    "four digits tried": "tried the four digits of {players}, which were wrong",
    "question asked": "asked about {cards}",
    "question answered": "answered the question on {cards}",
    "card checked": "checked {cards}",
    "held figures taken": "took figures kept beside {cards}",
    "held figures left out": "left out figures kept beside {cards}",
    "ruling made": "made a ruling: {players}",
    "rulings made": "made rulings: {players}",
    "ruling withdrawn": "withdrew a ruling: {players}",
    "result sealed": "sealed the result",
    "result made final": "made the result final",
    "result to be opened again": "asked to open the result again",
    "result opening agreed": "agreed to open the result again",
    "result opening dropped": "left the result closed",
    "result sealed again": "sealed the result again",
}
# What of a plan was changed, by its name in the audit.
CHANGED: dict[str, str] = {
    "name": "the name",
    "course": "the course",
    "tees": "the tees",
    "holes": "the holes",
    "terms": "the terms",
    "places": "the number of places",
    "first_time": "the first tee time",
    "interval": "the minutes between groups",
    "group_size": "the size of the groups",
    "guests_welcome": "whether guests are welcome",
    "entries_open_at": "when entries open",
    "entries_close_at": "when entries close",
    "guest_places": "how members and guests share the places",
    "offer_until": "until when a free place is offered",
    "free_until": "until when one withdraws freely",
    "late_words": "what a late withdrawal means",
    "asks": "what is asked on entering",
    "meals": "the meals to choose from",
    "fees": "what it costs",
    "about": "what members should know",
    "counts_for_merit": "whether it counts for the order of merit",
}
SAID_OF_ONESELF: dict[str, str] = {
    "entered": "entered",
    "withdrawn": "withdrew",
    "offer taken": "took the offered place",
    "offer declined": "declined the offered place",
    "wishes changed": "changed what they asked for",
    "marker named": "named a marker",
    "player figures written": "wrote their card",
    "committee figures written": "typed their own card",
    "certified as player": "certified their card",
    "question answered": "answered the question on their card",
}


@dataclass(frozen=True, slots=True)
class Said:
    """One line of the list: when, and the sentence; `reason` are the words written with it."""

    at: datetime
    words: str
    reason: str


def who_did_what(fixture: Fixture, who: Who, *, most: int | None = None) -> list[Said]:
    """The deeds that concern a fixture, the latest first. A constant number of queries."""
    entries = list(Entry.objects.filter(fixture=fixture).select_related("player"))
    starts = list(Start.objects.filter(round__fixture=fixture).values_list("public_id", "entry"))
    names = _players(entries, starts)
    lines = lines_about(*_abouts(fixture, entries, starts)).order_by("-number")
    listed = list(lines[:most] if most else lines)
    actors = {line.pk: json.loads(line.by) for line in listed}
    accounts = dict(
        Account.objects.filter(
            public_id__in={by["account"] for by in actors.values() if by["account"]}
        ).values_list("public_id", "name")
    )
    return [
        Said(
            at=line.at,
            words=_sentence(line, actors[line.pk], accounts, names, who),
            # one deed may write the same reason beside several rows
            reason="; ".join(dict.fromkeys(line.reason.splitlines())),
        )
        for line in listed
    ]


def _abouts(fixture: Fixture, entries: list[Entry], starts: list[tuple[str, int]]) -> list[str]:
    return [
        f"fixture:{fixture.public_id}",
        *(f"round:{found}" for found in fixture.rounds.values_list("public_id", flat=True)),
        *(
            f"competition:{found}"
            for found in fixture.competitions.values_list("public_id", flat=True)
        ),
        *(f"entry:{entry.public_id}" for entry in entries),
        *(f"start:{found}" for found, _ in starts),
        *(f"card:{found}" for found, _ in starts),  # a card's lines name its start
    ]


def _players(entries: list[Entry], starts: list[tuple[str, int]]) -> dict[str, Player]:
    """What a line may be about → the player it concerns."""
    by_entry = {entry.pk: entry.player for entry in entries}
    found = {f"entry:{entry.public_id}": entry.player for entry in entries}
    found |= {f"player:{entry.player.public_id}": entry.player for entry in entries}
    for public_id, entry in starts:
        found[f"start:{public_id}"] = found[f"card:{public_id}"] = by_entry[entry]
    return found


def _sentence(
    line: AuditLine,
    by: Mapping[str, str | None],
    accounts: Mapping[str, str],
    names: Mapping[str, Player],
    who: Who,
) -> str:
    phrase = SAID.get(line.deed, line.deed)
    concerned, beside = _concerned(line, names, about_players="{" in phrase)
    actor = _actor(by, accounts, names, who)
    then = "".join(f"; {said}" for said in beside)
    oneself = len(concerned) == 1 and by["player"] == concerned[0].public_id
    if oneself and line.deed in SAID_OF_ONESELF:
        return f"{actor} {SAID_OF_ONESELF[line.deed]}{then}."
    if line.deed in ("fixture changed", "fixture moved"):
        phrase = _changed(line)
    return f"{actor} {phrase.format(players=_listed(concerned), cards=_cards(concerned))}{then}."


def _changed(line: AuditLine) -> str:
    """What of a fixture was changed; a new day by name."""
    moved, parts = "", []
    for change in json.loads(line.changes):
        new, old = change.get("new"), change.get("old")
        if not change["about"].startswith("fixture:") or not isinstance(new, dict) or not old:
            continue
        for key in sorted(new):
            if key == "day":
                moved = f"moved the day to {day_long(date.fromisoformat(new[key]))}"
            elif key in CHANGED:
                parts.append(CHANGED[key])
    parts = list(dict.fromkeys(parts))
    if not moved and not parts:
        return SAID[line.deed]
    changed = f"changed {_and(parts)}" if parts else ""
    return " and ".join(filter(None, (moved, changed)))


# What a deed did to somebody else's entry beside it, by the step that was written.
_BESIDE: dict[str, str] = {
    Step.BUMPED: "{players} made room and heads the waiting list",
    Step.LAPSED: "the offer to {players} passed",
    Step.TAKEN: "{players} got the place",
    Step.OFFERED: "the place is offered to {players}",
}


def _concerned(
    line: AuditLine, names: Mapping[str, Player], *, about_players: bool
) -> tuple[list[Player], list[str]]:
    """The players a line is about, and in words what it did beside that to those who wait.

    `about_players`: whether the sentence names anybody; if nobody else is left, it is about
    those who were moved.
    """
    changes = json.loads(line.changes)
    # what else a deed moved: entries and players; of starts and cards a leaver's whole group
    moved = [change.get("about", "") for change in changes]
    abouts = [line.about, *(a for a in moved if not a.startswith(("start:", "card:")))]
    every = list(dict.fromkeys(names[about] for about in abouts if about in names))
    moved_by: dict[str, list[Player]] = {step: [] for step in _BESIDE}
    until = ""
    for change in changes:
        new, about = change.get("new"), change.get("about", "")
        if isinstance(new, str) and new in moved_by and about in names:
            moved_by[new].append(names[about])
        elif isinstance(new, dict) and "until" in new:
            until = f" until {day_clock(datetime.fromisoformat(new['until']))}"
    aside = [player for players in moved_by.values() for player in players]
    others = [player for player in every if player not in aside]
    if not others and about_players:
        moved_by[Step.TAKEN] = []
        others = every
    return others, [
        words.format(players=_listed(moved_by[step])) + (until if step == Step.OFFERED else "")
        for step, words in _BESIDE.items()
        if moved_by[step]
    ]


def _actor(
    by: Mapping[str, str | None],
    accounts: Mapping[str, str],
    names: Mapping[str, Player],
    who: Who,
) -> str:
    """Who did it: of an account with several players, the one it acted as."""
    account = by["account"]
    if account is None:
        return f"The program ({by['command']})"
    if account == who.account:
        return "You"
    player = names.get(f"player:{by['player']}")
    return player.name if player else accounts.get(account, "Someone")


def _listed(players: list[Player]) -> str:
    shown = [player.name for player in players[:3]]
    if len(players) > 3:
        return f"{', '.join(shown)} and {len(players) - 3} more"
    return _and(shown) or "nobody"


def _cards(players: list[Player]) -> str:
    """The card of one by its name, of several in a row."""
    return f"{players[0].name}’s card" if len(players) == 1 else f"the cards of {_listed(players)}"


def _and(words: list[str]) -> str:
    return f"{', '.join(words[:-1])} and {words[-1]}" if len(words) > 1 else "".join(words)
