"""The plain words of members: kinds of player, ways of signing, and names as they are kept."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import date
from enum import StrEnum
from typing import Any

from scoring.rules.values import Category
from society.web.rules import SheetLine, clean_text

LONGEST_NUMBER = 20
LONGEST_EMAIL = 254

# ISO 4217: the codes of money that people pay with, written down from memory.
_CODES = """
    AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL BSD BTN BWP BYN
    BZD CAD CDF CHF CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL
    GHS GIP GMD GNF GTQ GYD HKD HNL HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF
    KPW KRW KWD KYD KZT LAK LBP LKR LRD LSL LYD MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN
    MYR MZN NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON RSD RUB RWF SAR SBD
    SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND TOP TRY TTD TWD TZS UAH
    UGX USD UYU UZS VES VND VUV WST XAF XCD XOF XPF YER ZAR ZMW ZWG
"""
CURRENCIES = frozenset(_CODES.split())

_EMAIL = re.compile(r"[^@\s,;<>\"]+@[^@\s,;<>\".]+(\.[^@\s,;<>\".]+)+")


class PlayerKind(StrEnum):
    """A member of the society, or a guest of one."""

    MEMBER = "member"
    GUEST = "guest"


class SubscriptionState(StrEnum):
    """How a member's subscription of a season stands."""

    OPEN = "open"
    PAID = "paid"
    EXCUSED = "excused"


@dataclass(frozen=True, slots=True)
class SubscriptionShown:
    """What was noted last of one member's subscription."""

    state: SubscriptionState
    on: date

    @property
    def counts_from(self) -> date | None:
        """The first day that counts as paid: all days for who is excused, None while open."""
        if self.state is SubscriptionState.EXCUSED:
            return date.min
        return self.on if self.state is SubscriptionState.PAID else None


class Signing(StrEnum):
    """How this society's cards are signed."""

    PAPER = "paper"
    PHONE = "phone"
    EITHER = "either"


class LetterKind(StrEnum):
    """What a letter is about."""

    INVITATION = "invitation"
    SIGN_IN = "sign in"
    ENTERED = "entered"
    WAITING = "waiting"
    WITHDRAWN = "withdrawn"
    OFFERED = "offered"
    LAPSED = "lapsed"
    PLACE = "place"  # moved in from the waiting list
    NO_PLACE = "no place"  # moved out of the field
    CANCELLED = "cancelled"
    MOVED = "moved"  # the day, the course or the time
    DRAW = "draw"
    DRAW_CHANGED = "draw changed"
    CARD_MISSING = "card missing"
    RESULT = "result"
    RESULT_CHANGED = "result changed"
    NOTICE = "notice"  # anything else an officer's deed has to tell


LETTER_WORDS = {
    LetterKind.INVITATION: "invitation",
    LetterKind.SIGN_IN: "sign-in link",
    LetterKind.ENTERED: "entry confirmed",
    LetterKind.WAITING: "on the waiting list",
    LetterKind.WITHDRAWN: "withdrawal confirmed",
    LetterKind.OFFERED: "a place offered",
    LetterKind.LAPSED: "an offer that lapsed",
    LetterKind.PLACE: "a place from the waiting list",
    LetterKind.NO_PLACE: "a place lost",
    LetterKind.CANCELLED: "fixture cancelled",
    LetterKind.MOVED: "fixture moved",
    LetterKind.DRAW: "the draw",
    LetterKind.DRAW_CHANGED: "a change to the draw",
    LetterKind.CARD_MISSING: "card missing",
    LetterKind.RESULT: "the result",
    LetterKind.RESULT_CHANGED: "a changed result",
    LetterKind.NOTICE: "notice",
}


def clean_email(text: str) -> str:
    """An e-mail address in small letters, or nothing. ValueError with a sentence if it is none.

    >>> clean_email(" Ivo@Example.org ")
    'ivo@example.org'
    """
    line = clean_text(text, what="The e-mail", longest=LONGEST_EMAIL).lower()
    if line and not _EMAIL.fullmatch(line):
        raise ValueError(f"“{line}” is no e-mail address. Write it like ivo@example.org.")
    return line


def same_name(one: str, other: str) -> bool:
    """Whether two names read the same, whatever their capitals and spaces.

    >>> same_name("Ivo  Marrable", "ivo marrable")
    True
    """
    return plain_name(one) == plain_name(other)


# players in a file --------------------------------------------------------------------------

# With the wrong column as the name every line resembles every other: nobody reads them all.
MOST_ALIKE = 8

PERSON_COLUMNS = {
    "name": ("name", "player", "full name", "member name"),
    "first_name": ("first name", "forename", "given name"),
    "last_name": ("last name", "surname", "family name"),
    "number": ("number", "no", "member number", "membership number", "member no", "membership no"),
    "email": ("e-mail", "mail", "e-mail address"),
    "category": ("category", "gender", "sex"),
    "member": ("member or guest", "membership", "status"),
    "home_club": ("home club", "club"),
    "id": ("id", "player id"),
}
_CATEGORY_WORDS = {
    Category.MEN: ("men", "man", "m", "male", "gentleman", "gentlemen", "gents"),
    Category.WOMEN: ("women", "woman", "w", "f", "female", "lady", "ladies", "l"),
}
_KIND_WORDS = {
    PlayerKind.MEMBER: ("member",),
    PlayerKind.GUEST: ("guest", "visitor"),
}
FIELD_NAMES = {
    "name": "name",
    "kind": "member or guest",
    "category": "category",
    "number": "number",
    "email": "e-mail",
    "home_club": "home club",
}


@dataclass(frozen=True, slots=True)
class Person:
    """A player as kept, or what a line of a file says of one; "" is not said.

    `id`: the public id of a player who is kept. `line`: of the file, 0 for one who is kept.
    """

    name: str = ""
    kind: str = ""
    category: str = ""
    number: str = ""
    email: str = ""
    home_club: str = ""
    id: str = ""
    line: int = 0

    @property
    def shown(self) -> str:
        """The name, and what tells two of the same name apart."""
        more = [f"number {self.number}" if self.number else "", self.email]
        return ", ".join(filter(None, [self.name, *more]))


def _from_words(text: str, words: Mapping[Any, tuple[str, ...]], what: str) -> str:
    for value, names in words.items():
        if text.lower().rstrip(".'s") in names or text.lower() in names:
            return str(value)
    known = " or ".join(str(value) for value in words)
    raise ValueError(f"{what} “{text}” is not known. Write {known}.")


def read_person(line: SheetLine) -> tuple[Person, list[str]]:
    """What a line says of a player, and a sentence for each thing that cannot be kept."""
    names = [line.get("first_name"), line.get("last_name")]
    name = line.get("name") or " ".join(filter(None, names))
    readers: dict[str, tuple[str, Callable[[str], str]]] = {
        "name": (name, lambda text: clean_text(text, what="The name")),
        "kind": (line.get("member"), lambda text: _from_words(text, _KIND_WORDS, "Kind")),
        "category": (
            line.get("category"),
            lambda text: _from_words(text, _CATEGORY_WORDS, "Category"),
        ),
        "number": (
            line.get("number"),
            lambda text: clean_text(text, what="The number", longest=LONGEST_NUMBER),
        ),
        "email": (line.get("email"), clean_email),
        "home_club": (
            line.get("home_club"),
            lambda text: clean_text(text, what="The home club"),
        ),
        "id": (line.get("id"), lambda text: clean_text(text, what="The id", longest=40)),
    }
    told, wrong = {}, []
    for field, (text, reader) in readers.items():
        try:
            told[field] = reader(text) if text else ""
        except ValueError as sentence:
            wrong.append(str(sentence))
    if not name:
        wrong.append("There is no name.")
    return Person(**told, line=line.number), wrong


@dataclass(slots=True)
class Directory:
    """Everybody kept and everybody new in the file so far, to find a line's player in."""

    people: list[Person]
    _by: dict[tuple[str, str], list[Person]] = dataclass_field(default_factory=dict)

    def __post_init__(self) -> None:
        for person in self.people:
            self._index(person)

    def _index(self, person: Person) -> None:
        for key in self._keys(person):
            self._by.setdefault(key, []).append(person)

    @staticmethod
    def _keys(person: Person) -> list[tuple[str, str]]:
        email, name = person.email.lower(), plain_name(person.name)
        keys = [("id", person.id), ("number", person.number), ("email", email), ("name", name)]
        both = [("both", f"{email} {name}")] if email else []
        return [key for key in keys if key[1]] + both

    def add(self, person: Person) -> None:
        """Someone new from the file, whom later lines may resemble."""
        self.people.append(person)
        self._index(person)

    def same(self, kind: str, text: str) -> list[Person]:
        """All with the same id, number, e-mail, name, or both of the last two."""
        return self._by.get((kind, text), [])


@dataclass(frozen=True, slots=True)
class Found:
    """Whom a line is about: one who is kept, nobody yet, or those who must be asked about.

    `near` names those who are kept before those of earlier lines; `more`: there are others still.
    """

    same: Person | None = None
    near: tuple[Person, ...] = ()
    more: bool = False
    wrong: str = ""


def find(person: Person, known: Directory) -> Found:
    """The same player has the same id or number, else the same e-mail and name.

    A name alone or an e-mail alone never decides: those are `near`, and the officer is asked.
    A line about someone who is new in the same file is wrong.
    """
    if person.id:
        by_id = known.same("id", person.id)
        wrong = "There is no player with this id. Leave the cell empty for a new player."
        return Found(same=by_id[0]) if by_id else Found(wrong=wrong)
    email, name = person.email.lower(), plain_name(person.name)
    sure = known.same("number", person.number)
    if not sure and email:
        both = known.same("both", f"{email} {name}")
        sure = [one for one in both if not (one.number and person.number)]
    if len(sure) == 1:
        if sure[0].line:
            return Found(wrong=f"Line {sure[0].line} is about the same player.")
        return Found(same=sure[0])
    by_name, by_email = known.same("name", name), known.same("email", email) if email else []
    alike = dict.fromkeys((*by_name[:MOST_ALIKE], *by_email[:MOST_ALIKE]))
    return Found(near=tuple(alike), more=max(len(by_name), len(by_email)) > MOST_ALIKE)


def plain_name(name: str) -> str:
    """A name for comparing: without capitals and further spaces."""
    return " ".join(name.split()).casefold()


def differences(person: Person, kept: Person) -> dict[str, tuple[str, str]]:
    """What a line would change: field → (as kept, as in the file). What it leaves empty stays."""
    changes = {}
    for field in FIELD_NAMES:
        new, old = getattr(person, field), getattr(kept, field)
        same = new.lower() == old.lower() if field == "email" else new == old
        if new and not same:
            changes[field] = (old, new)
    return changes


# letters ------------------------------------------------------------------------------------

INVITATION_DAYS = 14
LINK_MINUTES = 30  # a link to sign in with is good for so long
LINKS_AN_HOUR = 3  # asked for at one address
LETTERS_KEPT_DAYS = 400  # after that a letter's address and text are emptied
LETTER_DAYS = 3  # a letter that could not be sent for so long is not sent any more
_LONGEST_LINE = 190


def mail_line(text: str) -> str:
    r"""A text fit for one line of a letter's head: no line breaks, no control characters.

    RFC 5322, section 2.2: a header field's body holds no CR or LF of its own.

    >>> mail_line("The draw\r\nBcc: all@example.org")
    'The draw Bcc: all@example.org'
    """
    seen = "".join(sign if sign.isprintable() else " " for sign in text)
    line = " ".join(seen.split())
    return line if len(line) <= _LONGEST_LINE else line[: _LONGEST_LINE - 1] + "…"


def retry_minutes(tries: int) -> int:
    """How many minutes to wait after so many tries: one, doubling, two hours at most.

    >>> [retry_minutes(tries) for tries in (0, 1, 4, 20)]
    [1, 2, 16, 120]
    """
    return min(1 << min(tries, 7), 120)
