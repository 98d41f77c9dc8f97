"""One fixture of the invented society, from its plan to its result, as deeds in a diary."""

import hashlib
from collections.abc import Mapping, Sequence
from datetime import datetime, time, timedelta
from decimal import Decimal
from functools import partial
from uuid import UUID

from django.db.models import QuerySet

from scoring.cards.actions.signing import certify
from scoring.cards.actions.submit import submit_card
from scoring.cards.queries import tables_of
from scoring.cards.rules.table import CardTable
from scoring.cards.rules.words import Capacity, Channel, Means, Record
from scoring.rules.values import Format, HandicapKind
from society.courses.models import Course, Tee
from society.desk.actions.demo.diary import Diary, account_of, acting
from society.desk.actions.demo.plan import Guest, Plan
from society.desk.actions.drawing import draw_fixture
from society.desk.rules.chance import chance, made_up_card
from society.entries.actions.drawing import publish_draw, swap
from society.entries.actions.entering import close_entries, enter, mark_absent, withdraw
from society.entries.actions.freezing import take_handicaps
from society.entries.actions.twos import join_twos
from society.entries.actions.wishing import ANY_MEAL, Wished
from society.entries.models import Entry, Start
from society.entries.queries import in_the_field
from society.entries.rules.words import TimeWish
from society.fixtures.actions.planning import plan_fixture
from society.fixtures.actions.states import open_entries
from society.fixtures.models import Fixture, Season
from society.fixtures.queries import the_round
from society.fixtures.rules import Extra, preset
from society.handicaps.actions.record import record
from society.members.actions.players import add_player
from society.members.models import Account, Player

MISREAD_HOLE = 9  # where a figure of one card is typed wrong
DIETS = ("No nuts, please.", "Vegetarian.", "No milk or cream.")


def both_have_phones(start: Start) -> bool:
    """Whether player and marker sign in as two different accounts."""
    own = account_of(start.entry.player)
    other = account_of(start.marker.player) if start.marker else None
    return bool(own and other and own != other)


class Saturday:
    """The deeds of one fixture. `of(player)`: who does it, the player or the secretary."""

    def __init__(self, diary: Diary, season: Season, secretary: Account, plan: Plan) -> None:
        self.diary, self.season, self.secretary, self.plan = diary, season, secretary, plan
        self.fixture: Fixture | None = None
        self.tables: Mapping[int, CardTable] = {}

    @property
    def standing(self) -> Fixture:
        """The fixture as it is now in the database."""
        assert self.fixture is not None, "planned before it is played"  # noqa: S101 - true by the story
        return Fixture.objects.get(pk=self.fixture.pk)

    # before the day ---------------------------------------------------------------------------

    def announce(self, *, planned: int, opened: int, first_time: time) -> None:
        """Put the planning and the opening of entries into the diary, in days from today."""
        self.diary.put(self.diary.moment(planned, "10:00"), lambda at: self._plan(at, first_time))
        self.diary.put(
            self.diary.moment(opened, "20:00"),
            lambda at: open_entries(fixture=self.standing, by=acting(self.secretary, at), at=at),
        )

    def _plan(self, at: datetime, first_time: time) -> None:
        plan, days = self.plan, self.plan.days
        course = Course.objects.get(name=plan.course)
        tees = {
            category: Tee.objects.get(course=course, name=name)
            for category, name in plan.tees.items()
        }
        self.fixture = plan_fixture(
            season=self.season,
            name=plan.name,
            day=self.diary.moment(days).date(),
            course=course,
            tees=tees,
            terms=preset(plan.terms).terms,
            places=plan.places,
            first_time=first_time,
            entries_open_at=None,
            entries_close_at=self.diary.moment(days - 6, "18:00"),
            fees=(("Green fee and soup", 3600, "everybody"),),
            about=plan.about,
            start=plan.start.value if plan.start else None,
            guest_places=plan.guest_places.value,
            offer_until=plan.offer_until,
            free_until=self.diary.moment(days - plan.free_days, "18:00")
            if plan.free_days
            else None,
            late_words=plan.late_words,
            asks=tuple(plan.asks),
            meals=tuple(plan.meals),
            by=acting(self.secretary, at),
            at=at,
        )

    def gather(self, *, first: int, last: int) -> None:
        """Entries between two days, of whoever is a member on the first of them."""
        self.diary.put(
            self.diary.moment(first, "07:45"), lambda at: self._gather(first=first, last=last)
        )
        for guest in self.plan.guests:
            self.diary.put(self.diary.moment(last, "20:30"), partial(self.bring, guest))
        for name in self.plan.withdraws:
            self.diary.put(self.diary.moment(last, "21:00"), partial(self.leave, name))

    def _gather(self, *, first: int, last: int) -> None:
        """Each at an hour of their own, by the player or for them."""
        named = self.plan.named
        players = Player.objects.filter(kind="member").exclude(name__in=self.plan.stays_out)
        order = sorted(players, key=lambda p: (p.name not in named, self._chance(p)))
        for player in order[: self.plan.players]:
            day = first + chance(self.plan.seed, "day", player.name, below=last - first)
            minutes = chance(self.plan.seed, "hour", player.name, below=14 * 60)
            at = self.diary.moment(day, "08:00") + timedelta(minutes=minutes)
            self.diary.put(at, partial(self.take_place, player))

    def _chance(self, player: Player) -> int:
        return chance(self.plan.seed, player.name, below=10**9)

    def take_place(self, player: Player, at: datetime) -> None:
        """Somebody enters, says what they ask for, and goes into the twos or not."""
        account = account_of(player)
        by = acting(account, at, player) if account else acting(self.secretary, at)
        wished = self._wish(player) if self.plan.asks else None
        entry = enter(fixture=self.standing, player=player, wished=wished, by=by, at=at)
        if self.plan.stake and self._is_in_twos(player):
            join_twos(entry=entry, inside=True, by=by, at=at)

    def _is_in_twos(self, player: Player) -> bool:
        if self.plan.in_twos:
            return player.name in self.plan.in_twos
        return chance(self.plan.seed, "twos", player.name, below=3) > 0

    def _wish(self, player: Player) -> Wished:
        """What the player asks for: a dish mostly, and now and then something else."""

        def one_in(many: int, what: str) -> bool:
            return not chance(self.plan.seed, what, player.name, below=many)

        dishes = self.plan.meals or (ANY_MEAL,)
        dish = dishes[chance(self.plan.seed, "dish", player.name, below=len(dishes))]
        diet = DIETS[chance("diet", player.name, below=len(DIETS))]
        hour = TimeWish.EARLIER if one_in(2, "hour") else TimeWish.LATER
        asked = set(self.plan.asks)
        return Wished(
            meal=dish if Extra.MEAL in asked and not one_in(7, "no meal") else "",
            diet=diet if Extra.DIET in asked and one_in(6, "diet") else "",
            buggy=Extra.BUGGY in asked and one_in(5, "buggy"),
            time_wish=hour.value if Extra.TIME in asked and one_in(4, "time") else "",
        )

    def bring(self, guest: Guest, at: datetime) -> None:
        """The guest of a member, put on the list of players the first time."""
        by = acting(self.secretary, at)
        player = Player.objects.filter(name=guest.name).first()
        if player is None:
            player = add_player(
                kind="guest", name=guest.name, category=guest.category, by=by, at=at
            )
            record(
                player=player,
                kind=HandicapKind.INDEX,
                value=Decimal(guest.value),
                source="stated",
                valid_from=at.date(),
                words=f"As {player.name} told us.",
                by=by,
                at=at,
            )
        host = Player.objects.get(name=guest.host)
        enter(fixture=self.standing, player=player, host=host, by=by, at=at)

    def entry(self, name: str) -> Entry:
        """The entry of the player of that name."""
        return Entry.objects.get(fixture=self.standing, player__name=name)

    def leave(self, name: str, at: datetime) -> None:
        """Somebody gives the place up again."""
        entry = self.entry(name)
        account = account_of(entry.player)
        by = acting(account, at, entry.player) if account else acting(self.secretary, at)
        withdraw(entry=entry, words="Cannot come after all.", by=by, at=at)

    def draw(self, *, closed: datetime, taken: datetime, drawn: datetime) -> None:
        """Close entries, take handicaps, draw and publish; then a late withdrawal."""
        put, who = self.diary.put, self.secretary
        put(closed, lambda at: close_entries(fixture=self.standing, by=acting(who, at), at=at))
        put(taken, lambda at: take_handicaps(fixture=self.standing, by=acting(who, at), at=at))
        put(drawn, self._draw)
        if self.plan.leaves_late:
            put(
                drawn + timedelta(hours=11),
                lambda at: withdraw(
                    entry=self.entry(self.plan.leaves_late),
                    words="Telephoned: a bad back.",
                    by=acting(who, at),
                    at=at,
                ),
            )

    def _draw(self, at: datetime) -> None:
        by, plan = acting(self.secretary, at), self.plan
        round_ = the_round(self.standing)
        draw_fixture(
            fixture=self.standing,
            method=plan.method,
            group_size=round_.group_size,
            interval=round_.interval,
            first_time=round_.first_time,
            seed=f"{plan.name} {chance(plan.seed, 'seed', below=10**6):06d}",
            first=self.entry(plan.first).public_id if plan.first else "",
            back=plan.back,
            by=by,
            at=at,
        )
        publish_draw(fixture=self.standing, by=by, at=at)
        if self.plan.swaps_for:
            self.diary.put(at + timedelta(minutes=11), self._pair_by_phone)

    def _pair_by_phone(self, at: datetime) -> None:
        """A change by hand, if chance gave the one whose cards are to be seen no phone beside."""
        starts = self.starts()
        mine = next(s for s in starts if s.entry.player.name == self.plan.swaps_for)
        if both_have_phones(mine):
            return
        keep = {self.plan.first, *(guest.host for guest in self.plan.guests)}  # as was asked
        other = next(
            start
            for start in starts
            if start.group != mine.group
            and start.entry.player.is_member
            and start.entry.player.name not in keep
            and account_of(start.entry.player)
        )
        assert mine.marker is not None, "the draw gives everyone a marker"  # noqa: S101 - true by the story
        swap(
            fixture=self.standing,
            one=mine.marker,
            other=other.entry,
            words="They share a car.",
            by=acting(self.secretary, at),
            at=at,
        )

    # the day ----------------------------------------------------------------------------------

    def miss(self, at: datetime) -> None:
        """The one who does not turn up, if the plan has one."""
        if self.plan.absent:
            self.diary.put(
                at,
                lambda at: mark_absent(
                    entry=self.entry(self.plan.absent),
                    words="Did not come to the tee.",
                    by=acting(self.secretary, at),
                    at=at,
                ),
            )

    def starts(self) -> list[Start]:
        """Everyone who plays, in order of the draw."""
        playing = in_the_field(self.standing).values("pk")
        starts = self._starts.filter(round=the_round(self.standing), entry__in=playing)
        return list(starts.order_by("group", "place", "pk"))

    def start(self, pk: int) -> Start:
        """One start as it is by now: a late withdrawal may have changed its marker."""
        return self._starts.get(pk=pk)

    @property
    def _starts(self) -> QuerySet[Start]:
        return Start.objects.select_related("entry__player", "marker__player", "round__fixture")

    def score(self, start: Start) -> list[int | None]:
        """The made-up card of one player, off what the engine says they play off."""
        if start.entry_id not in self.tables:
            self.tables = tables_of(start.round)
        table = self.tables[start.entry_id]
        return made_up_card(
            f"{self.plan.seed} {start.entry.player.name}",
            table.tee.par,
            table.strokes,
            must_finish=table.terms.format is Format.MEDAL,
        )

    def hand_in(self, at: datetime, start: Start, scorer: Account) -> None:
        """A card comes in: on the phone where both have an account, else on paper."""
        player = start.entry.player
        on_phone = both_have_phones(start) and chance(self.plan.seed, player.name, below=3)
        if not on_phone:
            typist = self.secretary if account_of(player) == scorer else scorer
            self.type_paper(at, start, typist)
            return
        digest = self.write(at, start, self.score(start))
        self.sign(at + timedelta(seconds=40), start, Capacity.PLAYER, digest)
        self.sign(at + timedelta(minutes=3), start, Capacity.MARKER, digest)

    def type_paper(self, at: datetime, start: Start, typist: Account) -> None:
        """The committee's record, typed from a card on which both signatures were seen."""
        strokes = self.score(start)
        if start.entry.player.name == self.plan.misread:
            strokes[MISREAD_HOLE - 1] = (strokes[MISREAD_HOLE - 1] or 6) - 1
        submit_card(
            card_of=start,
            record=Record.COMMITTEE,
            uuid=self.uuid(start, "paper"),
            parent_uuid=None,
            strokes=strokes,
            channel=Channel.PAPER,
            signatures_seen=True,
            by=acting(typist, at),
            at=at,
        )

    def write(
        self,
        at: datetime,
        start: Start,
        strokes: Sequence[int | None],
        record: Record = Record.PLAYER,
    ) -> str:
        """The player's or the marker's own record from their phone; the digest of the figures."""
        writer = start.entry.player if record is Record.PLAYER else start.marker.player  # type: ignore[union-attr]
        account = account_of(writer)
        assert account is not None, "only those with an account write"  # noqa: S101 - true by the story
        sent = submit_card(
            card_of=start,
            record=record,
            uuid=self.uuid(start, record.value),
            parent_uuid=None,
            strokes=strokes,
            channel=Channel.PHONE,
            claimed_at=at,
            by=acting(account, at, writer),
            at=at,
        )
        return sent.revision.digest

    def sign(self, at: datetime, start: Start, capacity: Capacity, digest: str) -> None:
        """A signature on the signer's own phone, put into the diary."""
        signer = start.entry.player if capacity is Capacity.PLAYER else start.marker.player  # type: ignore[union-attr]
        account = account_of(signer)
        assert account is not None, "only those with an account sign so"  # noqa: S101 - true by the story
        self.diary.put(
            at,
            lambda at: certify(
                card=start,
                capacity=capacity,
                digest=digest,
                means=Means.OWN_SIGN_IN,
                signer=signer,
                by=acting(account, at, signer),
                at=at,
            ),
        )

    def uuid(self, start: Start, what: str) -> UUID:
        """A number for one writing, made as a phone would but the same on every build."""
        words = f"{start.public_id} {what}"
        return UUID(bytes=hashlib.sha256(words.encode()).digest()[:16], version=4)
