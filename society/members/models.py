"""The society itself, its players, their accounts and their offices."""

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from scoring.rules.values import Category
from society.audit.models import AppendOnly, ContentOnce
from society.members.rules import LetterKind, PlayerKind, Signing, SubscriptionState
from society.web.ids import public_id
from society.web.rules import DateStyle
from society.web.who import ROLE_NAMES


def categories() -> list[tuple[str, str]]:
    """The rating categories as choices for a column or a form."""
    return [(category.value, category.value.capitalize()) for category in Category]


class Society(models.Model):
    """The one row: one database is one society, for good."""

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    name = models.CharField(max_length=100)
    time_zone = models.CharField(max_length=60, default="Europe/London")
    currency = models.CharField(max_length=3, default="GBP")
    date_style = models.CharField(
        max_length=12,
        choices=[(s.value, s.value) for s in DateStyle],
        default=DateStyle.DAY_FIRST.value,
    )
    season_is_public = models.BooleanField(default=False)
    results_are_public = models.BooleanField(default=False)
    cards_signed = models.CharField(
        max_length=10, choices=[(s.value, s.value) for s in Signing], default=Signing.EITHER.value
    )
    officers_to_seal = models.PositiveSmallIntegerField(default=1)
    label_sheet = models.TextField(blank=True)  # canonical JSON: how labels lie on a sheet
    made_by_demo_on = models.DateField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "societies"
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="one_society"),
            models.CheckConstraint(condition=Q(officers_to_seal__in=(1, 2)), name="one_or_two"),
        ]

    def __str__(self) -> str:
        return self.name


class Player(models.Model):
    """A member or a guest: someone who plays. Need not have an account."""

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    kind = models.CharField(max_length=10, choices=[(k.value, k.value) for k in PlayerKind])
    name = models.CharField(max_length=100)
    category = models.CharField(max_length=10, choices=categories())
    email = models.EmailField(blank=True)
    number = models.CharField(max_length=20, blank=True)
    home_club = models.CharField(max_length=100, blank=True)
    joined_on = models.DateField(null=True, blank=True)  # as a member; none: long ago
    left_on = models.DateField(null=True, blank=True)
    merged_into = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="merged"
    )
    added_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                "number", condition=~Q(number=""), name="player_number_unique_if_given"
            ),
        ]
        indexes = [models.Index(Lower("email"), name="player_email"), models.Index(fields=["name"])]

    def __str__(self) -> str:
        return self.name

    @property
    def first_name(self) -> str:
        return self.name.split(" ", 1)[0]

    @property
    def is_member(self) -> bool:
        return self.kind == PlayerKind.MEMBER.value


class Subscription(AppendOnly):
    """How a member's subscription of one season stands; the latest row says.

    `period` is the public id of the season, told from above as a plain value. `on` is the day
    from which the state holds.
    """

    player = models.ForeignKey(Player, on_delete=models.PROTECT, related_name="subscriptions")
    period = models.CharField(max_length=40)
    state = models.CharField(max_length=10, choices=[(s.value, s.value) for s in SubscriptionState])
    on = models.DateField()

    class Meta:
        indexes = [models.Index(fields=["period", "player"], name="subscription_of_period")]

    def __str__(self) -> str:
        return f"{self.player}: {self.state}"


class AccountManager(BaseUserManager["Account"]):
    """Finds an account by its e-mail, whatever the case it is typed in."""

    def get_by_natural_key(self, username: str | None) -> "Account":
        return self.get(email=(username or "").strip().lower())


class Account(AbstractBaseUser):
    """Signs in by e-mail. May act for several players (a couple, a parent)."""

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    email = models.EmailField(unique=True)
    name = models.CharField(max_length=100)
    is_active = models.BooleanField(default=True)
    added_at = models.DateTimeField()
    players = models.ManyToManyField(Player, related_name="accounts", blank=True)

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS = ["name"]
    objects = AccountManager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(email=Lower("email")), name="account_email_lower"),
        ]

    def __str__(self) -> str:
        return self.name


class Office(models.Model):
    """An office held by an account from one day to another, or until further notice."""

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    account = models.ForeignKey(Account, on_delete=models.PROTECT, related_name="offices")
    role = models.CharField(max_length=20, choices=list(ROLE_NAMES.items()))
    starts = models.DateField()
    ends = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(ends__isnull=True) | Q(ends__gte=models.F("starts")),
                name="office_ends_after_start",
            ),
        ]

    def __str__(self) -> str:
        return f"{ROLE_NAMES.get(self.role, self.role)}: {self.account}"


class Invitation(models.Model):
    """A link an officer hands over, once: it makes an account or sets a new password.

    Only the hash of the link's secret is kept.
    """

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    email = models.EmailField()
    players = models.ManyToManyField(Player, related_name="invitations", blank=True)
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    made_by = models.TextField()
    expires_at = models.DateTimeField()
    spent_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"invitation {self.public_id}"


class SignInTry(models.Model):
    """A failed sign-in: counted for each address, so that guessing is slow."""

    email_hash = models.CharField(max_length=64)
    at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["email_hash", "at"])]

    def __str__(self) -> str:
        return f"{self.email_hash[:8]} {self.at}"


class SignInLink(models.Model):
    """Somebody asked for a link to sign in with; the row is the same for an unknown address.

    Only the hash of the link's secret is kept. The rows of an hour say when it is enough.
    """

    email_hash = models.CharField(max_length=64)
    account = models.ForeignKey(
        Account, null=True, blank=True, on_delete=models.CASCADE, related_name="sign_in_links"
    )
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    spent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["email_hash", "made_at"])]

    def __str__(self) -> str:
        return f"sign-in link of {self.made_at}"


class CalendarLink(models.Model):
    """An account has a secret address for its calendar program; without the row there is none.

    The secret is worked out from `salt` and the site's own key, so it stands in no backup. A new
    salt ends the old address.
    """

    account = models.OneToOneField(
        Account, on_delete=models.CASCADE, related_name="calendar_link", primary_key=True
    )
    salt = models.CharField(max_length=32)
    made_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"calendar link of {self.account_id}"


class Letter(ContentOnce):
    """One message to one person: written in the deed's own transaction, delivered afterwards.

    `player` is whom it is about, or None for one to an account alone. An empty `address` means
    that none was known: it waits for nothing and somebody hands the news over. `about` is
    "kind:public id". `link` is a path on our own site; one with a secret in it is emptied once
    the letter is gone or given up, and so are text and address when a person is erased.
    """

    CONTENT = (
        "public_id",
        "kind",
        "player",
        "account",
        "about",
        "made_at",
        "made_by",
        "send_until",
        "holds_secret",
    )
    EMPTIABLE = ("address", "subject", "text", "link")
    ONCE = ("gone_at", "given_up_at")

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    kind = models.CharField(max_length=16, choices=[(k.value, k.value) for k in LetterKind])
    player = models.ForeignKey(
        Player, null=True, blank=True, on_delete=models.PROTECT, related_name="letters"
    )
    account = models.ForeignKey(
        Account, null=True, blank=True, on_delete=models.PROTECT, related_name="letters"
    )
    address = models.EmailField(blank=True)
    subject = models.CharField(max_length=200, blank=True)
    text = models.TextField(blank=True)
    link = models.CharField(max_length=200, blank=True)
    holds_secret = models.BooleanField(default=False)
    about = models.CharField(max_length=120)
    made_at = models.DateTimeField()
    made_by = models.TextField()
    send_until = models.DateTimeField()  # older than that it is not sent any more
    not_before = models.DateTimeField()  # of the next try; a sender at work puts it off
    tries = models.PositiveSmallIntegerField(default=0)
    last_error = models.CharField(max_length=300, blank=True)
    gone_at = models.DateTimeField(null=True, blank=True)
    given_up_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [
            models.Index(fields=["about", "kind"]),
            models.Index(
                fields=["not_before"],
                condition=Q(gone_at=None, given_up_at=None) & ~Q(address=""),
                name="letters_that_wait",
            ),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(gone_at=None) | Q(given_up_at=None), name="letter_gone_or_given_up"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.public_id}"
