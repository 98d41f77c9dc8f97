"""Entries with their comings and goings, what is frozen when handicaps are taken, the draw."""

from enum import StrEnum

from django.db import models

from scoring.rules.values import Category, HandicapKind
from society.audit.models import AppendOnly
from society.courses.models import Tee
from society.entries.rules.groups import DrawDeed
from society.entries.rules.words import PaperShape, Step, TimeWish
from society.fixtures.models import Competition, Fixture, Round
from society.handicaps.models import HandicapEntry
from society.members.models import Player
from society.web import ids
from society.web.ids import four_digits, public_id


def _choices(words: type[StrEnum]) -> list[tuple[str, str]]:
    return [(word.value, word.value) for word in words]


class EntryQuerySet(models.QuerySet["Entry"]):
    """Entries described by their last step, which is never stored on the entry."""

    def with_step(self) -> "EntryQuerySet":
        """Adds `step`, the kind of the last coming or going."""
        last = EntryStep.objects.filter(entry=models.OuterRef("pk")).order_by("-pk")
        return self.annotate(step=models.Subquery(last.values("kind")[:1]))


class Entry(models.Model):
    """A player's entry into a fixture. `place_at` is the server time of the present stay.

    `step` is there on entries read by `with_step`.
    """

    step: str

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    key = models.CharField(max_length=40, default=ids.public_id)  # `public_id` is a field here
    fixture = models.ForeignKey(Fixture, on_delete=models.PROTECT, related_name="entries")
    player = models.ForeignKey(Player, on_delete=models.PROTECT, related_name="entries")
    as_member = models.BooleanField()
    host = models.ForeignKey(
        Player, null=True, blank=True, on_delete=models.PROTECT, related_name="hosted"
    )
    category = models.CharField(max_length=10, choices=_choices(Category))
    divisions = models.TextField(default="[]")  # canonical JSON: a list of names
    place_at = models.DateTimeField()

    # what was asked on entering; the diet is for organisers only, and goes with the person
    answered = models.BooleanField(default=False)  # entered by others, nobody was asked yet
    meal = models.CharField(max_length=60, blank=True)  # empty: none
    diet = models.CharField(max_length=200, blank=True)
    buggy = models.BooleanField(default=False)
    buggy_with = models.ForeignKey(
        Player, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    partner = models.ForeignKey(
        Player, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    time_wish = models.CharField(max_length=10, blank=True, choices=_choices(TimeWish))
    twos = models.BooleanField(default=False)  # in the twos pot

    objects = EntryQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "entries"
        constraints = [
            models.UniqueConstraint(fields=["fixture", "player"], name="one_entry_a_player"),
            models.UniqueConstraint(fields=["fixture", "key"], name="entry_key_once_a_fixture"),
        ]
        indexes = [models.Index(fields=["fixture", "place_at", "id"])]

    def __str__(self) -> str:
        return f"{self.player} in {self.fixture}"


class EntryStep(AppendOnly):
    """A coming or going of an entry; the last one says how it stands."""

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="steps")
    kind = models.CharField(max_length=10, choices=_choices(Step))
    until = models.DateTimeField(null=True, blank=True)  # of an offer
    late = models.BooleanField(default=False)  # withdrawn after the free time was over

    class Meta:
        indexes = [models.Index(fields=["entry", "-id"])]

    def __str__(self) -> str:
        return self.kind


class CourseCard(AppendOnly):
    """The card of the course taken over once for everybody on a tee; a correction is n+1.

    `card` is canonical JSON: name, par, stroke_index, yards, course_rating, slope_rating.
    """

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    key = models.CharField(max_length=40, default=ids.public_id)
    round = models.ForeignKey(Round, on_delete=models.PROTECT, related_name="course_cards")
    tee = models.ForeignKey(Tee, on_delete=models.PROTECT, related_name="+")
    category = models.CharField(max_length=10, choices=_choices(Category))
    number = models.PositiveSmallIntegerField()
    card = models.TextField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["round", "tee", "category", "number"], name="course_card_number_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.tee} {self.category} {self.number}"


class Start(models.Model):
    """Where and with whom an entry starts a round; group, place and marker may be empty."""

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    round = models.ForeignKey(Round, on_delete=models.PROTECT, related_name="starts")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="starts")
    tee = models.ForeignKey(Tee, on_delete=models.PROTECT, related_name="+")
    group = models.PositiveSmallIntegerField(null=True, blank=True)
    place = models.PositiveSmallIntegerField(null=True, blank=True)
    time = models.TimeField(null=True, blank=True)
    first_hole = models.PositiveSmallIntegerField(default=1)
    marker = models.ForeignKey(
        Entry, null=True, blank=True, on_delete=models.PROTECT, related_name="marks"
    )
    digits = models.CharField(max_length=4, default=four_digits)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["round", "entry"], name="one_start_a_round")]

    def __str__(self) -> str:
        return f"start of {self.entry}"


class DigitsTry(AppendOnly):
    """A try at someone's four digits, right or wrong, in a transaction of its own."""

    start = models.ForeignKey(Start, on_delete=models.PROTECT, related_name="digit_tries")
    right = models.BooleanField()

    def __str__(self) -> str:
        return "right" if self.right else "wrong"


class Frozen(AppendOnly):
    """What an entry plays off in a round: taken once, corrected by number n+1 with a reason.

    Course and playing handicap are not stored: the engine works them out.
    """

    start = models.ForeignKey(Start, on_delete=models.PROTECT, related_name="frozen")
    number = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10, choices=_choices(HandicapKind))
    value = models.DecimalField(max_digits=4, decimal_places=1)
    source_entry = models.ForeignKey(
        HandicapEntry, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    tee = models.ForeignKey(Tee, on_delete=models.PROTECT, related_name="+")
    category = models.CharField(max_length=10, choices=_choices(Category))
    course_card = models.ForeignKey(CourseCard, on_delete=models.PROTECT, related_name="+")
    reason_class = models.CharField(max_length=30, default="taken")
    # canonical JSON: the base figure, the cuts on top, the maximum; empty: the figure of the row
    made_of = models.TextField(blank=True)

    class Meta:
        verbose_name_plural = "frozen"
        constraints = [
            models.UniqueConstraint(fields=["start", "number"], name="frozen_number_once")
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.value}"


class CardPrint(AppendOnly):
    """A card that went to the printer, and what stood on it, so that a change can be told.

    `shape`: card, slip or label. `said`: canonical JSON of the card's facts by their names; people
    stand in it by keys and digests, so that nothing in it needs to be erased.
    """

    start = models.ForeignKey(Start, on_delete=models.PROTECT, related_name="prints")
    shape = models.CharField(max_length=10, choices=_choices(PaperShape))
    said = models.TextField()

    class Meta:
        indexes = [models.Index(fields=["start", "-id"], name="card_print_latest")]

    def __str__(self) -> str:
        return f"{self.shape} of {self.start}"


class DrawRun(AppendOnly):
    """A draw as it fell: everything it was made from, so that it can be repeated years later.

    `inputs` and `groups` are canonical JSON; groups hold entry keys.
    """

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    round = models.ForeignKey(Round, on_delete=models.PROTECT, related_name="draw_runs")
    number = models.PositiveSmallIntegerField()
    method = models.CharField(max_length=20)
    method_version = models.PositiveSmallIntegerField()
    seed = models.CharField(max_length=64)
    inputs = models.TextField()
    groups = models.TextField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["round", "number"], name="draw_run_number_once")
        ]

    def __str__(self) -> str:
        return f"draw {self.number}"


class DrawStep(AppendOnly):
    """Publication, a swap, a move, an undo or a withdrawal of a run; `detail` is canonical JSON."""

    run = models.ForeignKey(DrawRun, on_delete=models.PROTECT, related_name="steps")
    kind = models.CharField(max_length=10, choices=_choices(DrawDeed))
    detail = models.TextField(default="{}")

    def __str__(self) -> str:
        return self.kind


class Side(models.Model):
    """A pair or team of a competition."""

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    key = models.CharField(max_length=40, default=ids.public_id)
    competition = models.ForeignKey(Competition, on_delete=models.PROTECT, related_name="sides")
    number = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["competition", "number"], name="side_number_once"),
            models.UniqueConstraint(fields=["competition", "key"], name="side_key_once"),
        ]

    def __str__(self) -> str:
        return f"side {self.number}"


class SideMember(models.Model):
    """An entry in a side from one time to another (a substitute is a row), or a drawn ghost."""

    side = models.ForeignKey(Side, on_delete=models.PROTECT, related_name="members")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="sides")
    place = models.PositiveSmallIntegerField()
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField(null=True, blank=True)
    ghost_seed = models.CharField(max_length=64, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["side", "entry", "starts_at"], name="side_member_once_a_time"
            )
        ]

    def __str__(self) -> str:
        return f"{self.entry} in {self.side}"
