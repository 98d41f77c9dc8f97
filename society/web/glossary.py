"""The words of the trade in plain sentences: the one place they are kept for pages and papers.

`docs/glossary.md` has the same table, and a test holds that both say the same. A page explains a
word where it first appears, with the tag `word` (``{% load words %}``).

>>> meaning_of("Gross").term, meaning_of("playing handicap").term
('Gross, net', 'Playing handicap')
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Word:
    """A word, what it means here, and the other forms it is met in (small letters)."""

    term: str
    meaning: str
    forms: tuple[str, ...] = ()


GLOSSARY = (
    Word(
        "Adjusted gross",
        (
            "Strokes with each hole at most net double bogey; with par + 5, while there is no "
            "handicap yet."
        ),
        ("adjusted gross score",),
    ),
    Word(
        "Allowance",
        (
            "The percentage of the course handicap that a format gives. Appendix C of the Rules "
            "of Handicapping recommends them; the committee states them."
        ),
    ),
    Word(
        "Card",
        (
            "What was written for each hole of one round. A card has up to three records: the "
            "player's, the marker's and the committee's."
        ),
        ("cards", "scorecard"),
    ),
    Word(
        "Certify",
        (
            "To declare that the figures are right, as the player or as the marker; bound to "
            "those very figures."
        ),
        ("certified",),
    ),
    Word(
        "Competition",
        "What is competed for over the rounds of a fixture, under its terms.",
        ("competitions",),
    ),
    Word(
        "Countback",
        (
            "Settling a tie by comparing the last nine holes, the last six, and so on, as the "
            "terms say."
        ),
    ),
    Word(
        "Course handicap",
        "A handicap index turned into strokes for one set of tees, by slope and course rating.",
        ("course handicaps",),
    ),
    Word(
        "Course Rating, Slope Rating",
        (
            "What a scratch player is expected to score from a tee, and how much harder it is for"
            " others; 113 is the standard slope."
        ),
        ("course rating", "slope rating", "slope"),
    ),
    Word(
        "Differential",
        "What one round says, whatever the course: 113 ÷ slope × (adjusted gross − course rating).",
        ("differentials",),
    ),
    Word("Draw", "Who plays with whom, when, and who marks whose card."),
    Word(
        "Exceptional score",
        (
            "A round 7.0 or more better than the handicap it was played off; it takes 1.0, or from "
            "10.0 on 2.0, off each of the latest 20 differentials."
        ),
    ),
    Word("Fixture", "A golf date of the society, with one competition or more.", ("fixtures",)),
    Word(
        "Frozen",
        (
            "What an entry plays off, taken once at a stated moment; a correction is a new number"
            " with a reason."
        ),
        ("handicap taken",),
    ),
    Word(
        "Gross, net",
        "Gross is the strokes taken; net is gross less the shots received.",
        ("gross", "net"),
    ),
    Word("Guest", "Someone who plays with the society but is no member.", ("guests",)),
    Word(
        "Handicap index",
        (
            "The figure an authorised association issues. This program keeps it with its source "
            "and date and never issues one."
        ),
        ("index",),
    ),
    Word(
        "Held",
        (
            "A revision of a card that came too late or crossed another; kept, and decided by an "
            "officer."
        ),
    ),
    Word(
        "Letter",
        (
            "One message to one person, written as part of the deed it tells of and sent by "
            "e-mail afterwards, or handed over."
        ),
        ("letters",),
    ),
    Word(
        "Low index",
        "The lowest figure of a record in the 365 days before its latest score.",
    ),
    Word(
        "Marker",
        "The player who writes down another player's scores and certifies them.",
        ("marks", "markers"),
    ),
    Word(
        "Maximum score",
        "Stroke play in which no hole counts more than a maximum; a hole not finished counts it.",
    ),
    Word(
        "Medal",
        "Stroke play: every stroke on every hole counts, so every hole is holed out.",
        ("stroke play",),
    ),
    Word("Net double bogey", "Two over par, plus the shots received on the hole."),
    Word("No return", "The status of an entry that handed in no complete card."),
    Word("Order of merit", "The season's table, made from final results."),
    Word("Par", "What a scratch player needs on a hole, as the card of the course prints it."),
    Word("Par competition", "Each hole is won, halved or lost against par."),
    Word(
        "Pick up",
        (
            "To stop playing a hole and write a dash, because no score from there is better than "
            "none. In a medal nobody may."
        ),
        ("picks up",),
    ),
    Word(
        "Place",
        "A position in a standing. Those nothing separates share it: 1, 2, 2, 4.",
        ("places",),
    ),
    Word(
        "Playing handicap",
        (
            "What a player plays off in this competition: course handicap times allowance, "
            "rounded once."
        ),
        ("plays off", "playing handicaps", "play off"),
    ),
    Word("Plus handicap", "A player better than scratch, who gives strokes back: +1.2.", ("plus",)),
    Word(
        "Points",
        "Stableford: one under your net par 3, net par 2, one over 1, worse or no score 0.",
        ("point",),
    ),
    Word(
        "Provisional",
        "Worked out from the cards as they stand; can still change.",
        ("scores so far",),
    ),
    Word(
        "Recount",
        "A second, independent reading of the rules that must agree before a result is sealed.",
    ),
    Word("Round", "One round of a fixture: course, day, start, holes in play.", ("rounds",)),
    Word(
        "Ruling",
        "A decision of the committee on a score, with its rule number and reason.",
        ("rulings",),
    ),
    Word("Scratch", "A player or a score off a handicap of 0."),
    Word(
        "Seal",
        (
            "To make a result final: inputs, outputs and their fingerprint are stored and cannot "
            "be changed."
        ),
        ("sealed",),
    ),
    Word(
        "Shots",
        (
            "The strokes of the handicap that are received on a hole: a dot for each on the card."
            " They come off the gross score there."
        ),
        ("shot", "dots"),
    ),
    Word(
        "Society handicap",
        "A figure worked out or decided by the society itself. It is not an official index.",
        ("society handicaps",),
    ),
    Word(
        "Soft cap",
        (
            "Of what a figure would rise beyond 3.0 above the low index, half counts; the hard cap "
            "stops it at 5.0."
        ),
        ("hard cap",),
    ),
    Word("Stableford", "The format in which each hole earns points, and the most points win."),
    Word(
        "Stroke index",
        "The order in which the holes give shots, 1 first and 18 last.",
        ("stroke indexes",),
    ),
    Word(
        "Terms",
        "Everything that is settled before play: format, allowance, countback and the rest.",
    ),
)

_BY_FORM = {form: word for word in GLOSSARY for form in (word.term.lower(), *word.forms)}


def meaning_of(form: str) -> Word:
    """The word behind a form as it stands in a sentence.

    KeyError if the glossary does not have it: a page then explains what nobody wrote down.
    """
    return _BY_FORM[form.lower()]


def known(form: str) -> bool:
    """Whether the glossary has a word for this form."""
    return form.lower() in _BY_FORM
