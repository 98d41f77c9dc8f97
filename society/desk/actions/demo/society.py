"""The beginnings of the invented society: officers, players, courses, accounts."""

from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from pathlib import Path

from django.conf import settings

from scoring.rules.values import HandicapKind
from society.courses.actions import import_text as import_courses
from society.desk.actions.demo.diary import acting
from society.desk.actions.importing import import_text as import_players
from society.desk.rules.chance import chance
from society.handicaps.actions.record import record
from society.handicaps.queries.record import in_force
from society.members.actions.accounts import accept_invitation, invite
from society.members.actions.offices import hold_office
from society.members.actions.society import first_officer
from society.members.models import Account, Player, Society
from society.web.who import NOBODY, Who

FILES = Path(settings.BASE_DIR) / "fixtures" / "demo"
PASSWORD = "lantern-and-kettle"  # noqa: S105 - printed on the screen; opens invented people only
SECRETARY = "Wilf Acornby"
OFFICES = {
    "Hester Quillfeather": "captain",
    "Dorrick Pennywhisk": "handicap_secretary",
    "Constance Merrigold": "treasurer",
    "Mercy Larkspindle": "scorer",
}
# Some members keep to paper: they have no account.
NO_ACCOUNT = {"Etta Pudlark", "Cuthbert Gooseacre", "Basil Thistlepot", "Silas Brambleknot"}


@dataclass(frozen=True, slots=True)
class SignIn:
    """One account to try, with what there is to see under it."""

    role: str
    email: str
    words: str


SIGN_INS = (
    SignIn("secretary", "wilf@tarn-hollow.example", "runs everything, and plays"),
    SignIn("captain", "hester@tarn-hollow.example", "fixtures, draw, results"),
    SignIn("scorer", "mercy@tarn-hollow.example", "types paper cards"),
    SignIn("handicap secretary", "dorrick@tarn-hollow.example", "keeps the handicap records"),
    SignIn("member", "ivo@tarn-hollow.example", "playing today"),
    SignIn("couple", "underbough@tarn-hollow.example", "Nan and Piet share one e-mail"),
    SignIn("newcomer", "augusta@tarn-hollow.example", "off 54"),
    SignIn("plus player", "rufus@tarn-hollow.example", "gives a stroke back"),
)


def begin(at: datetime) -> Account:
    """The first officer, the courses and the players; the secretary's account."""
    account, _ = first_officer(
        society="Tarn Hollow",
        time_zone="Europe/London",
        currency="GBP",
        name=SECRETARY,
        email=SIGN_INS[0].email,
        password=PASSWORD,
        by=replace(Who.command("demo"), means="demo"),
        at=at,
    )
    by = acting(account, at)
    import_courses(text=(FILES / "courses.csv").read_text(), by=by, at=at)
    # Nan and Piet share an e-mail.
    import_players(text=_players("players.csv", at), unsure="new", by=by, at=at)
    return account


def invite_everybody(at: datetime, secretary: Account) -> None:
    """An invitation for every e-mail, accepted the same evening; a couple shares one account."""
    by = acting(secretary, at)
    by_email: dict[str, list[Player]] = {}
    for player in Player.objects.order_by("pk"):
        if player.name not in NO_ACCOUNT:
            by_email.setdefault(player.email, []).append(player)
    for email, players in by_email.items():
        secret = invite(players=players, email=email, by=by, at=at)
        accept_invitation(secret=secret, password=PASSWORD, by=replace(NOBODY, means="demo"), at=at)


def give_offices(at: datetime, secretary: Account) -> None:
    """The offices of the season; the secretary's own is held already."""
    for name, role in OFFICES.items():
        account = Account.objects.get(name=name)
        hold_office(account=account, role=role, starts=at.date(), by=acting(secretary, at), at=at)


def newcomers(at: datetime, secretary: Account, names: tuple[str, ...]) -> None:
    """Some who join for the new season, or in it, invited the same evening."""
    by = acting(secretary, at)
    known = set(Player.objects.values_list("pk", flat=True))
    head, *lines = _players("newcomers.csv", at).splitlines(keepends=True)
    text = "".join([head, *(line for line in lines if line.split(",")[1] in names)])
    import_players(text=text, unsure="new", by=by, at=at)
    for player in Player.objects.exclude(pk__in=known).order_by("pk"):
        secret = invite(players=[player], email=player.email, by=by, at=at)
        accept_invitation(secret=secret, password=PASSWORD, by=replace(NOBODY, means="demo"), at=at)


def handicaps_of_the_month(at: datetime) -> None:
    """The handicap secretary writes the association's new figures of a few members."""
    keeper = Account.objects.get(name="Dorrick Pennywhisk")
    by = acting(keeper, at)
    members = Player.objects.filter(kind="member").exclude(pk__in=keeper.players.values("pk"))
    moved = [p for p in members.order_by("pk") if not chance(p.name, at.date(), below=6)]
    standing = in_force(
        [player.pk for player in moved], on=at.date(), kind="index", source="association"
    )
    for player in moved:
        step = Decimal(chance(player.name, at.date(), "step", below=15) - 8) / 10
        old = standing[player.pk].value
        value = min(max(old + step, Decimal("-2.0")), Decimal("54.0"))
        if value != old and not Decimal("0") > value > Decimal("-0.1"):
            record(
                player=player,
                kind=HandicapKind.INDEX,
                value=value,
                source="association",
                valid_from=at.date(),
                words="The association's list of the month.",
                by=by,
                at=at,
            )


def _players(file: str, at: datetime) -> str:
    """A list whose handicaps are of that evening; the file has a day to replace."""
    return (FILES / file).read_text().replace("2026-01-05", at.date().isoformat())


def mark_as_ours(society: Society, day: object) -> None:
    """Write the day on the society's row: `demo` touches no database without it."""
    Society.objects.filter(pk=society.pk).update(made_by_demo_on=day)
