"""Two versions of a result side by side: who gains a place, who loses one, whose figures moved."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from scoring.results.queries.standings import Standing
from scoring.results.tables.board import format_of, status_words, total_words
from society.web.templatetags.look import ordinal


class Effect(StrEnum):
    """What a new version does to one player."""

    GAINS = "gains"
    LOSES = "loses"
    FIGURES = "figures"  # the same place, other figures


@dataclass(frozen=True, slots=True)
class Changed:
    """One player, or one player in a division, in the old version and in the new one.

    `was` and `now`: "joint 2nd, 41", or why there is no place. `division` is "" for the whole
    field.
    """

    key: str
    name: str
    division: str
    was: str
    now: str
    effect: Effect


def changes(old: Standing, new: Standing) -> list[Changed]:
    """Everyone whose place or figures differ, the whole field first, by the new places."""
    found = list(_in_list(old, new, ""))
    for division in sorted({*old.answer["divisions"], *new.answer["divisions"]}):
        found += [one for one in _in_list(old, new, division) if one.effect is not Effect.FIGURES]
    return found


def _in_list(old: Standing, new: Standing, division: str) -> Iterator[Changed]:
    before, after = _rows(old, division), _rows(new, division)
    keys = sorted({*before, *after}, key=lambda key: _order(after.get(key), before.get(key)))
    for key in keys:
        was, now = before.get(key), after.get(key)
        if _figures(was) == _figures(now):
            continue
        yield Changed(
            key=key,
            name=new.name_of(key) if key in new.people else old.name_of(key),
            division=division,
            was=_words(old, was),
            now=_words(new, now),
            effect=_effect(_place(was), _place(now)),
        )


def _rows(standing: Standing, division: str) -> dict[str, Mapping[str, Any]]:
    answer = standing.answer
    empty: dict[str, Any] = {"standings": [], "unplaced": []}
    lists = answer["divisions"].get(division, empty) if division else answer
    return {row["player"]: row for row in (*lists["standings"], *lists["unplaced"])}


def _place(row: Mapping[str, Any] | None) -> int | None:
    return row.get("place") if row else None


def _figures(row: Mapping[str, Any] | None) -> tuple[object, ...]:
    if row is None:
        return ()
    return tuple(row.get(name) for name in ("place", "tied", "total", "status"))


def _order(*rows: Mapping[str, Any] | None) -> tuple[tuple[bool, int], ...]:
    return tuple((_place(row) is None, _place(row) or 0) for row in rows)


def _effect(was: int | None, now: int | None) -> Effect:
    if was == now:
        return Effect.FIGURES
    better = now is not None and (was is None or now < was)
    return Effect.GAINS if better else Effect.LOSES


def _words(standing: Standing, row: Mapping[str, Any] | None) -> str:
    if row is None:
        return "not in it"
    if row.get("place") is None:
        return status_words(row)
    format_, _ = format_of(standing.document)
    joint = "joint " if row["tied"] else ""
    return f"{joint}{ordinal(row['place'])}, {total_words(row['total'], format_)}"


def said_of(one: Changed) -> str:
    """One change in a sentence: "Ivo Marrable: 1st, 42 (was: no return)."."""
    where = f" in {one.division}" if one.division else ""
    return f"{one.name}{where}: {one.now} (was: {one.was[:1].lower()}{one.was[1:]})."


def notice_of(
    *, name: str, day: str, version: int, reason: str, words: str, changed: Sequence[Changed]
) -> str:
    """A draft for the notice board: which result, why, and what became of each place.

    `day` and `reason` as they are read; `words` of the officer, who may leave them out.
    """
    told = [said_of(one) for one in changed]
    because = f"{reason}: {words.rstrip('.')}." if words else f"{reason}."
    first = f"The result of {name} on {day} has been corrected."
    last = f"Version {version} takes the place of version {version - 1}; both can be read."
    return "\n".join([first, because, *told, last])
