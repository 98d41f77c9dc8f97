"""The plain words of members: kinds of player, ways of signing, and names as they are kept."""

import re
from enum import StrEnum

LONGEST_NAME = 100
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

# Control characters, and the invisible ones that turn the direction of writing or have no width.
_UNSEEN = re.compile(
    "[\x00-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]",
)
_EMAIL = re.compile(r"[^@\s,;<>\"]+@[^@\s,;<>\".]+(\.[^@\s,;<>\".]+)+")


class PlayerKind(StrEnum):
    """A member of the society, or a guest of one."""

    MEMBER = "member"
    GUEST = "guest"


class Signing(StrEnum):
    """How this society's cards are signed."""

    PAPER = "paper"
    PHONE = "phone"
    EITHER = "either"


def clean_text(text: str, *, what: str, longest: int = LONGEST_NAME) -> str:
    """The text on one line with single spaces. ValueError, with a sentence, if it cannot be kept.

    `what` begins the sentence: "The name". A text that begins like a formula is an ordinary
    text here; it is made harmless where it is written out.

    >>> clean_text("  Ivo   Marrable ", what="The name")
    'Ivo Marrable'
    """
    line = " ".join(text.split())
    if unseen := _UNSEEN.search(line):
        raise ValueError(
            f"{what} has a character in it that cannot be seen (U+{ord(unseen[0]):04X}). "
            "Type it again by hand."
        )
    if len(line) > longest:
        raise ValueError(f"{what} is longer than {longest} letters.")
    return line


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
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()
