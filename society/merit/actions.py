"""Setting up a season table and changing its rules. Standings are worked out when read."""

from datetime import datetime

from scoring.rules.strict_json import read_json
from society.audit.actions import deed
from society.fixtures.models import Season
from society.merit.models import MeritTable
from society.merit.queries import tables_of
from society.merit.rules.reading import rules_as_json
from society.merit.rules.values import MeritRules
from society.web.refusals import BadInput, NotYours
from society.web.who import ORGANISERS, Who


def start_table(
    *, season: Season, name: str, rules: MeritRules, by: Who, at: datetime
) -> MeritTable:
    """A new table of a season. Raises NotYours, and BadInput with the field that is wrong."""
    _organisers_only(by)
    name = _named(name)
    with deed(by=by, at=at, what="merit table started", about=f"season:{season.public_id}") as d:
        last = tables_of(season).last()
        table = MeritTable.objects.create(
            season=season,
            number=last.number + 1 if last else 1,
            name=name,
            rules=rules_as_json(rules),
        )
        said = {"name": name, "rules": read_json(table.rules), "season": season.name}
        d.change(f"merit:{table.public_id}", said)
    return table


def set_rules(
    *, table: MeritTable, name: str, rules: MeritRules, by: Who, at: datetime
) -> MeritTable:
    """Other rules for a table; what they change shows at once. Raises NotYours, BadInput."""
    _organisers_only(by)
    name = _named(name)
    about = f"merit:{table.public_id}"
    with deed(by=by, at=at, what="merit rules set", about=about) as d:
        now = MeritTable.objects.select_for_update(of=("self",)).get(pk=table.pk)
        old = {"name": now.name, "rules": read_json(now.rules)}
        now.name, now.rules = name, rules_as_json(rules)
        now.save()
        d.change(about, {"name": name, "rules": read_json(now.rules)}, old)
    return now


def _organisers_only(by: Who) -> None:
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain sets the rules of the season.")


def _named(name: str) -> str:
    if not name.strip():
        raise BadInput("Give the table a name.", field="name")
    return name.strip()
