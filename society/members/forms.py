"""What people type about players, accounts and offices: shape checked, nothing saved."""

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db.models import QuerySet

from society.members.models import Account, Player, categories
from society.members.rules import LONGEST_NUMBER, PlayerKind, clean_email
from society.web.rules import LONGEST_NAME, clean_text
from society.web.who import ROLE_NAMES

LONGEST_PASSWORD = 256


def password_box(autocomplete: str) -> forms.PasswordInput:
    return forms.PasswordInput(attrs={"autocomplete": autocomplete})


def choose_from(form: forms.BaseForm, **rows: QuerySet[Any]) -> None:
    """Give the choice fields of a form the rows one may choose from."""
    for name, choices in rows.items():
        field: Any = form.fields[name]
        field.queryset = choices


def day_box() -> forms.DateInput:
    """The browser's own calendar."""
    return forms.DateInput(attrs={"type": "date", "class": "input-mid"}, format="%Y-%m-%d")


class SignInForm(forms.Form):
    email = forms.CharField(
        label="E-mail",
        max_length=254,
        widget=forms.EmailInput(attrs={"autocomplete": "username"}),
        error_messages={"required": "Write the e-mail you sign in with."},
    )
    password = forms.CharField(
        label="Password",
        max_length=LONGEST_PASSWORD,
        strip=False,
        widget=password_box("current-password"),
        error_messages={"required": "Write your password."},
    )


class LinkForm(forms.Form):
    email = forms.CharField(
        label="E-mail",
        max_length=254,
        widget=forms.EmailInput(attrs={"autocomplete": "username"}),
        error_messages={"required": "Write the e-mail you sign in with."},
    )


class NewPasswordForm(forms.Form):
    """A new password, typed twice."""

    password = forms.CharField(
        label="New password",
        help_text="Ten letters or more. Several words are good; a common one is not taken.",
        max_length=LONGEST_PASSWORD,
        strip=False,
        widget=password_box("new-password"),
        error_messages={"required": "Write the new password."},
    )
    again = forms.CharField(
        label="The same again",
        max_length=LONGEST_PASSWORD,
        strip=False,
        widget=password_box("new-password"),
        error_messages={"required": "Write the new password a second time."},
    )

    def __init__(self, *args: Any, account: Account | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.account = account

    def clean_password(self) -> str:
        password = self.cleaned_data["password"]
        validate_password(password, user=self.account)
        return password

    def clean(self) -> None:
        one, other = self.cleaned_data.get("password"), self.cleaned_data.get("again")
        if one and other and one != other:
            self.add_error("again", "The two are not the same. Write it again.")


class OwnPasswordForm(NewPasswordForm):
    """The present password, asked for before a new one is taken."""

    old = forms.CharField(
        label="Password now",
        max_length=LONGEST_PASSWORD,
        strip=False,
        widget=password_box("current-password"),
        error_messages={"required": "Write the password you have now."},
    )
    field_order = ("old", "password", "again")

    def clean_old(self) -> str:
        if self.account is None or not self.account.check_password(self.cleaned_data["old"]):
            raise ValidationError("That is not your password.")
        return self.cleaned_data["old"]


class AcceptForm(NewPasswordForm):
    """Spending an invitation; the name is asked only where an account is made."""

    name = forms.CharField(
        label="Your name",
        max_length=LONGEST_NAME,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        error_messages={"required": "Write your name."},
    )
    field_order = ("name", "password", "again")

    def __init__(self, *args: Any, known: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if known:
            del self.fields["name"]


class InviteForm(forms.Form):
    """Whom a link is for: one player, or several on one e-mail."""

    email = forms.CharField(
        label="E-mail they will sign in with",
        max_length=254,
        widget=forms.EmailInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Write the e-mail they will sign in with."},
    )
    players: Any = forms.ModelMultipleChoiceField(
        label="Who acts through this account",
        queryset=None,
        widget=forms.CheckboxSelectMultiple,
        to_field_name="public_id",
        error_messages={"required": "Choose at least one player."},
    )
    another: Any = forms.ModelChoiceField(
        label="Another player on the same account",
        help_text="For a couple, or a parent with a child.",
        queryset=None,
        required=False,
        to_field_name="public_id",
        empty_label="Nobody else",
    )

    def __init__(
        self, *args: Any, sharing: QuerySet[Player], everyone: QuerySet[Player], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        choose_from(self, players=sharing, another=everyone)

    def clean_email(self) -> str:
        try:
            return clean_email(self.cleaned_data["email"])
        except ValueError as wrong:
            raise ValidationError(str(wrong)) from wrong

    def chosen(self) -> list[Player]:
        """The players ticked, and the other one, each once."""
        ticked = list(self.cleaned_data["players"])
        another = self.cleaned_data["another"]
        return ticked if another is None or another in ticked else [*ticked, another]


class OfficeForm(forms.Form):
    account: Any = forms.ModelChoiceField(
        label="Who",
        queryset=None,
        to_field_name="public_id",
        empty_label="Choose a person",
        help_text="Only someone with an account can hold an office. Invite the player first.",
        error_messages={"required": "Choose a person."},
    )
    role = forms.ChoiceField(label="Office", choices=list(ROLE_NAMES.items()))
    starts = forms.DateField(label="First day", widget=day_box())
    ends = forms.DateField(
        label="Last day",
        required=False,
        widget=day_box(),
        help_text="Empty: until further notice.",
    )

    def __init__(self, *args: Any, accounts: QuerySet[Account], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose_from(self, account=accounts)


class EndOfficeForm(forms.Form):
    last_day = forms.DateField(
        label="Last day",
        widget=day_box(),
        help_text="The office is held to the end of that day. A day before today ends it at once.",
    )


class PlayerForm(forms.Form):
    """What is kept about a player, but for the handicap."""

    name = forms.CharField(label="Name", error_messages={"required": "A player needs a name."})
    kind = forms.ChoiceField(
        label="Member or guest",
        choices=[(PlayerKind.MEMBER.value, "Member"), (PlayerKind.GUEST.value, "Guest")],
        initial=PlayerKind.MEMBER.value,
        widget=forms.RadioSelect,
    )
    category = forms.ChoiceField(
        label="Category",
        help_text="Whose course rating and stroke indexes are used.",
        choices=categories(),
        widget=forms.RadioSelect,
        error_messages={"required": "Choose the category for ratings."},
    )
    number = forms.CharField(
        label="Number",
        help_text="The society's own, if it gives one. No two players have the same.",
        required=False,
        widget=forms.TextInput(attrs={"class": "input-short", "autocomplete": "off"}),
    )
    email = forms.CharField(
        label="E-mail",
        help_text="Seen by officers and by the player alone. A couple may share one.",
        required=False,
        widget=forms.EmailInput(attrs={"autocomplete": "off"}),
    )
    home_club = forms.CharField(label="Home club", required=False)

    def _clean_line(self, field: str, what: str, longest: int = LONGEST_NAME) -> str:
        try:
            return clean_text(self.cleaned_data[field], what=what, longest=longest)
        except ValueError as wrong:
            raise ValidationError(str(wrong)) from wrong

    def clean_name(self) -> str:
        return self._clean_line("name", "The name")

    def clean_number(self) -> str:
        return self._clean_line("number", "The number", LONGEST_NUMBER)

    def clean_home_club(self) -> str:
        return self._clean_line("home_club", "The home club")

    def clean_email(self) -> str:
        try:
            return clean_email(self.cleaned_data["email"])
        except ValueError as wrong:
            raise ValidationError(str(wrong)) from wrong
