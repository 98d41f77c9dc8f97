"""Setting up a season table, its rules, how ties are settled, and sealing a season."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal

from scoring.rules.strict_json import canonical, read_json
from society.audit.actions import Deed, deed
from society.audit.queries import head
from society.fixtures.models import Season
from society.members.models import Player
from society.members.queries import officers_to_seal
from society.merit.bridge import Fixture
from society.merit.models import (
    MeritAgreed,
    MeritDecision,
    MeritGiven,
    MeritSource,
    MeritTable,
    MeritVersion,
)
from society.merit.queries import (
    MeritStanding,
    agreements,
    given_to,
    next_seal,
    standing_of,
    tables_of,
    version_of,
)
from society.merit.rules.reading import rules_as_json
from society.merit.rules.values import DECIDED, MeritRules, SeasonTie
from society.merit.rules.words import joined
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.rules import clean_text
from society.web.who import ORGANISERS, Who

MOST_GIVEN = 1000


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
    *,
    table: MeritTable,
    name: str,
    rules: MeritRules,
    words: str = "",
    by: Who,
    at: datetime,
) -> MeritTable:
    """Other rules for a table; what they change shows at once, except in a sealed season.

    `words`: why, which a sealed season asks for. Raises NotYours, BadInput.
    """
    _organisers_only(by)
    name = _named(name)
    about = f"merit:{table.public_id}"
    with deed(by=by, at=at, what="merit rules set", about=about) as d:
        now = _held(table)
        if version_of(now) and not words.strip():
            raise BadInput("This season is sealed: say why its rules change.", field="words")
        d.words(words)
        old = {"name": now.name, "rules": read_json(now.rules)}
        now.name, now.rules = name, rules_as_json(rules)
        now.save()
        d.change(about, {"name": name, "rules": read_json(now.rules)}, old)
    return now


def settle(
    *,
    table: MeritTable,
    way: SeasonTie,
    players: Sequence[str],
    words: str,
    by: Who,
    at: datetime,
) -> MeritDecision:
    """Put those who share a place in order, as the lot or the committee had it.

    `players`: public ids, the first one first: exactly one group that is level now. Raises
    NotYours, BadInput, WrongState.
    """
    _organisers_only(by)
    if not words.strip():
        raise BadInput("Say how it was settled and who was there.", field="words")
    about = f"merit:{table.public_id}"
    with deed(by=by, at=at, what="merit tie settled", about=about) as d:
        standing = standing_of(_held(table))
        if way not in DECIDED or way not in standing.rules.season_ties:
            raise BadInput("The rules of this table know no such way.")
        groups = [set(group) for group in standing.level_groups()]
        if len(set(players)) != len(players) or set(players) not in groups:
            raise WrongState("Those are not a group that is level now. Look at the table again.")
        row = MeritDecision.objects.create(
            table=table,
            way=way.value,
            players=canonical(list(players)),
            at=d.at,
            by=d.by.as_json(),
            words=d.words(words),
        )
        d.change(about, {"settled": way.value, "players": list(players)})
    return row


def give_points(
    *,
    table: MeritTable,
    player: str,
    points: Decimal,
    words: str,
    listed: int | None = None,
    by: Who,
    at: datetime,
) -> MeritGiven:
    """Give a player points, or take some away below nought, with a reason everyone may read.

    `player`: public id of somebody with a line in the table. Who gave too many takes them away
    again. `listed`: how many such lines of the player the giver has seen, so that a press sent
    twice gives once. Raises NotYours, BadInput, and WrongState for a player without a line or
    with more lines than were seen.
    """
    _organisers_only(by)
    if not points or abs(points) >= MOST_GIVEN or points != round(points, 2):
        raise BadInput(f"Points above or below nought, less than {MOST_GIVEN}.", field="points")
    if not words.strip():
        raise BadInput("Say why: it stands on the player's line.", field="words")
    about = f"merit:{table.public_id}"
    with deed(by=by, at=at, what="points given by hand", about=about) as d:
        now = _held(table)
        if standing_of(now).row_of(player) is None:
            raise WrongState("This player has no score in this table yet.")
        if listed is not None and listed != len(given_to(now, player)):
            raise WrongState(
                "Points were given here since this form was opened, perhaps by the same press "
                "sent twice. Look at the player's line before giving more."
            )
        row = MeritGiven.objects.create(
            table=now,
            player=Player.objects.get(public_id=player),
            points=points,
            at=d.at,
            by=d.by.as_json(),
            words=d.words(words),
        )
        d.change(about, {"given": str(points), "player": player})
    return row


def seal_table(
    *,
    table: MeritTable,
    left_out: Mapping[str, str] | None = None,
    words: str = "",
    by: Who,
    at: datetime,
) -> MeritVersion | None:
    """Seal a season's table as its next version, before the title is given.

    Where the society wants two officers, the first press keeps that this one agrees to exactly
    this table and gives None; the same table sealed by another officer is sealed.

    `left_out`: why each fixture that is not finished is left out, by the public id of its
    competition. A result that is being looked at again stands there too; the version that
    stands counts. `words`: why, wanted from the second version on. Raises NotYours, BadInput,
    and WrongState while a fixture is neither finished nor said to be left out.
    """
    _organisers_only(by)
    reasons = {key: why.strip() for key, why in (left_out or {}).items() if why.strip()}
    about = f"merit:{table.public_id}"
    with deed(by=by, at=at, what="season sealed", about=about) as d:
        standing = standing_of(_held(table))
        last = version_of(table)
        if last and not words.strip():
            raise BadInput("Say why the season is sealed again.", field="words")
        unfinished = _unfinished(standing, reasons)
        seal = next_seal(standing, last)
        if last and (last.inputs, last.outputs) == (seal.inputs, seal.outputs):
            raise WrongState("Nothing has changed since this season was sealed.")
        said = "; ".join(
            f"{f.name} {'left out' if f.event is None else 'as it was sealed'}: {reasons[f.key]}"
            for f in unfinished
        )
        because = "; ".join(text for text in (words.strip(), said) if text)
        if not _enough_agree(d, table, seal.digest, because):
            return None
        version = MeritVersion.objects.create(
            table=table,
            number=seal.number,
            inputs=seal.inputs,
            outputs=seal.outputs,
            digest=seal.digest,
            audit_head=head(),
            at=d.at,
            by=d.by.as_json(),
            words=d.words(because),
        )
        MeritSource.objects.bulk_create(
            MeritSource(version=version, result_id=source, at=d.at, by=version.by)
            for source in _sources(standing)
        )
        said_of_it = {"version": version.number, "digest": version.digest}
        d.change(about, said_of_it | {"merit": version.public_id})
    return version


def _enough_agree(d: Deed, table: MeritTable, digest: str, because: str) -> bool:
    """Note that this officer agrees to the table as it stands; whether that is enough to seal.

    Raises WrongState for a command where two officers are wanted: a program is no officer.
    """
    if officers_to_seal() < 2:
        return True
    if d.by.account is None:
        raise WrongState("Two officers seal a season here; a program cannot be one of them.")
    accounts = {row.account for row in agreements(table, digest)}
    if d.by.account not in accounts:
        MeritAgreed.objects.create(
            table=table,
            digest=digest,
            account=d.by.account,
            at=d.at,
            by=d.by.as_json(),
            words=d.words(because),
        )
        d.change(f"merit:{table.public_id}", {"agreed to seal": digest})
    return bool(accounts - {d.by.account})


def _unfinished(standing: MeritStanding, reasons: Mapping[str, str]) -> list[Fixture]:
    """What is not finished, each with a reason. Raises WrongState where one has none."""
    if not standing.rows:
        raise WrongState("There is nothing to seal yet: no final result counts in this table.")
    silent = [fixture.name for fixture in standing.unfinished if fixture.key not in reasons]
    if silent:
        raise WrongState(
            f"Not finished: {joined(silent)}. Make it final, cancel it, or say why the season is "
            "sealed without it."
        )
    return standing.unfinished


def _sources(standing: MeritStanding) -> list[int]:
    return [
        fixture.source.pk
        for fixture in standing.results.fixtures
        if fixture.event is not None and fixture.source is not None
    ]


def _held(table: MeritTable) -> MeritTable:
    """The table as it is now, held until the deed ends."""
    rows = MeritTable.objects.select_related("season").select_for_update(of=("self",))
    return rows.get(pk=table.pk)


def _organisers_only(by: Who) -> None:
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain sets the rules of the season.")


def _named(name: str) -> str:
    try:
        kept = clean_text(name, what="The name")
    except ValueError as wrong:
        raise BadInput(str(wrong), field="name") from wrong
    if not kept:
        raise BadInput("Give the table a name.", field="name")
    return kept
