"""Rulings as people read them, and who may make one."""

from dataclasses import dataclass
from datetime import datetime

from scoring.results.bridge import (
    detail_of,
)
from scoring.results.models import (
    Ruling,
)
from scoring.results.queries.standings import people_of, rulings_of
from scoring.results.queries.versions import accounts_behind
from scoring.results.rules import (
    ruling_words,
)
from society.fixtures.models import Competition
from society.members.queries import another_holds
from society.web.who import ORGANISERS, Who


@dataclass(frozen=True, slots=True)
class RulingShown:
    """One ruling as its page lists it, with whoever made it and took it back."""

    public_id: str
    name: str
    what: str
    rule: str
    reason: str
    at: datetime
    by: str
    withdrawn_at: datetime | None
    withdrawn_by: str
    withdrawn_why: str


def rulings_shown(competition: Competition) -> list[RulingShown]:
    """Every ruling for its page, the latest first."""
    rows = rulings_of(competition)
    people = people_of(competition)
    gone = {row.pk: row.withdrawn for row in rows if hasattr(row, "withdrawn")}
    names = accounts_behind([row.by for row in rows] + [back.by for back in gone.values()])
    return [
        RulingShown(
            public_id=row.public_id,
            name=", ".join(people[key].name for key in subjects_of(row) if key in people),
            what=ruling_words(row.kind, detail_of(row)),
            rule=row.rule,
            reason=row.reason,
            at=row.at,
            by=names.get(row.by, ""),
            withdrawn_at=gone[row.pk].at if row.pk in gone else None,
            withdrawn_by=names.get(gone[row.pk].by, "") if row.pk in gone else "",
            withdrawn_why=gone[row.pk].reason if row.pk in gone else "",
        )
        for row in rows
    ]


def subjects_of(ruling: Ruling) -> list[str]:
    """The keys of those a ruling is about."""
    return [ruling.entry.key] if ruling.entry else list(detail_of(ruling).get("players", []))


def another_officer(by: Who, at: datetime) -> bool:
    """Whether anyone else who can sign in holds an office that may rule."""
    return another_holds(ORGANISERS, by, at)
