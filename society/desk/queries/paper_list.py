"""Every paper of a fixture, with one sentence on each, in the order of the day."""

from dataclasses import dataclass

from django.urls import reverse

from scoring.results.queries.side import contests_of
from society.desk.queries.learn import fixture_lessons
from society.entries.bridge.draws import the_draw
from society.entries.queries import handicaps_taken
from society.fixtures.models import Fixture
from society.fixtures.queries import the_round
from society.merit.queries import the_table


@dataclass(frozen=True, slots=True)
class PaperLine:
    """One paper. `address` is empty while it waits; `waits` says for what."""

    name: str
    words: str
    address: str
    waits: str = ""
    private: bool = False
    mark: str = "A4"
    change: str = ""


@dataclass(frozen=True, slots=True)
class PaperPart:
    """The papers of one part of the day."""

    name: str
    lines: tuple[PaperLine, ...]


_UNSAID = "Signals or who decides are not written down yet: the sheet has lines to write on."


def papers_of(fixture: Fixture, *, organises: bool) -> list[PaperPart]:
    """All papers, by the part of the day they are for."""
    draw = the_draw(the_round(fixture))
    taken = handicaps_taken(fixture)
    lessons = bool(fixture_lessons(fixture))
    sheet = _to(fixture, "desk:start_sheet")
    contests = bool(contests_of(fixture))
    table = the_table(fixture.season)
    before = (
        PaperLine(
            "Start sheet by group" if draw else "List of players",
            "Tee times, groups, what everyone plays off and whose card they mark; one A4 to pin up."
            if draw
            else "Everyone in the field by name, with what they play off; one A4 to pin up.",
            sheet,
        ),
        PaperLine(
            "Officers’ sheet",
            "The same with everyone’s four digits. Keep it to yourselves.",
            f"{sheet}?digits=1",
            private=True,
        ),
        PaperLine(
            "Players by name",
            "Who looks for a name finds time, group and what they play off.",
            _to(fixture, "desk:paper_names"),
        ),
        PaperLine(
            "For the venue",
            "Numbers, tee times, tees, buggies and meals for the club; diets as numbers, no names.",
            _to(fixture, "desk:paper_venue"),
        ),
        PaperLine(
            "The day’s terms",
            "The rules of play, local conditions, the signals for lightning and who decides.",
            _to(fixture, "desk:paper_terms"),
            change=_to(fixture, "desk:day_terms") if organises else "",
            waits="" if fixture.signals and fixture.decides else _UNSAID,
        ),
        PaperLine(
            "Side-contest cards",
            "A card for each nearest the pin and longest drive, with lines to write on.",
            _to(fixture, "desk:paper_contests") if contests else "",
            waits="" if contests else "This fixture has no side contest.",
            mark="A5",
        ),
    )
    after = (
        PaperLine(
            "Card box",
            "By group, with boxes to tick: card in, both signed, typed.",
            _to(fixture, "desk:paper_box"),
        ),
        PaperLine(
            "Result",
            "Places, scores, how ties fell, the terms; sealed with its fingerprint once final.",
            _to(fixture, "results:pdf") if taken else "",
            waits="" if taken else "Take handicaps first.",
        ),
        PaperLine(
            "To read out",
            "For the prize-giving, in large letters: side contests, twos, then third to first.",
            _to(fixture, "desk:paper_read_out") if taken else "",
            waits="" if taken else "Take handicaps first.",
        ),
        PaperLine(
            "Season table",
            "The order of merit for the notice-board, with every score that counts.",
            reverse("merit:pdf", args=[table.public_id]) if table else "",
            waits="" if table else "The season has no table.",
        ),
    )
    cards = (
        PaperLine(
            "Cards, slips and labels",
            "For the whole field, one group or what changed: dots, a code that opens the card on a "
            "phone, lines to sign; blank spares.",
            _to(fixture, "desk:print_cards") if taken else "",
            waits="" if taken else "Take handicaps first.",
        ),
        PaperLine(
            "How the card is scored",
            "One A4 for each player: their shots, what each score is worth, and what to do with "
            "the card. For newcomers, or for everybody.",
            _to(fixture, "desk:field_sheets") if lessons else "",
            waits="" if lessons else "Nobody is in the field with a handicap yet.",
        ),
    )
    return [
        PaperPart("For each player", cards),
        PaperPart("Before they go out", before),
        PaperPart("When they come in", after),
    ]


def _to(fixture: Fixture, name: str) -> str:
    return reverse(name, args=[fixture.public_id])
