"""The newcomer's page: how a format is scored, with the reader's own shots on a card."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.http import HttpResponse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from scoring.rules.values import Format, HandicapKind
from society.courses.rules import RatedHoles
from society.desk.forms.learn import LearnForm, PracticeForm
from society.desk.printing.lessons import chart_html, lessons_html
from society.desk.queries.learn import (
    CardChoice,
    Chosen,
    Told,
    by_course,
    cards_to_choose,
    first_card,
    fixture_lessons,
    newest_figure,
    plain_terms,
    told,
    worked_out,
)
from society.desk.queries.mine import own_players
from society.fixtures.access import fixture_to_read
from society.fixtures.queries import played_off_words, terms_sentences_of, the_competition
from society.fixtures.rules import FORMAT_NAMES
from society.handicaps.rules.figures import written
from society.web import clock, errors
from society.web.access import SIGNED_IN, access
from society.web.pages import show
from society.web.pdf import pdf_response
from society.web.refusals import BadInput
from society.web.request import Request
from society.web.who import SCORERS

if TYPE_CHECKING:
    from datetime import date

    from society.members.models import Player


@dataclass
class Asked:
    """What the address asks for: whose, the form, and what it comes to (None: not yet)."""

    player: Player | None
    players: list[Player]
    form: LearnForm
    card: CardChoice | None
    any_card: bool
    chosen: Chosen | None = None
    given: bool = False

    @property
    def status(self) -> int:
        """422 where something was asked for that cannot be; 200 where nothing was."""
        return 422 if self.given and self.form.errors else 200

    @property
    def pairs(self) -> list[tuple[str, str]]:
        """The same choice again, as names and values of an address."""
        names = ("card", "holes", "format", "handicap", "kind")
        found = [(name, self.form.data.get(name, "")) for name in names if name in self.form.fields]
        if self.player is not None and len(self.players) > 1:
            found.append(("player", self.player.public_id))
        return found

    @property
    def query(self) -> str:
        """The same choice again, for a link."""
        return urlencode(self.pairs)

    @property
    def plus_query(self) -> str:
        """The same card for a player who gives two shots back."""
        return urlencode(dict(self.pairs) | {"handicap": "+2", "kind": HandicapKind.PLAYING.value})


@access(SIGNED_IN, "GET")
@require_safe
def learn(request: Request) -> HttpResponse:
    """The reader's own handicap on the next course, or whatever the form asks for."""
    asked = read_asked(request, LearnForm)
    return _page(request, asked, asked.status)


def _page(request: Request, asked: Asked, status: int) -> HttpResponse:
    context = {
        "asked": asked,
        "form": asked.form,
        "told": told(asked.chosen, asked.player) if asked.chosen else None,
        "wrong": status != 200,
    }
    return show(request, "desk/learn.html", context, status=status)


@access(SIGNED_IN, "GET")
@require_safe
def how_scored(request: Request, public_id: str) -> HttpResponse:
    """A fixture as it is scored, with the shots of each player of the reader's own account."""
    fixture = fixture_to_read(request.who, public_id)
    lessons = fixture_lessons(fixture)
    context = {
        "fixture": fixture,
        "competition": the_competition(fixture),
        "sentences": terms_sentences_of(the_competition(fixture)),
        "played_off": played_off_words(the_competition(fixture)),
        "lessons": _own(request, lessons),
        "field": len(lessons),
        "runs": request.who.may(SCORERS),
    }
    return show(request, "desk/how_scored.html", context)


@access(SIGNED_IN, "GET")
@require_safe
def sheet_pdf(request: Request) -> HttpResponse:
    """The page on one A4, for a professional to hand out."""
    asked = read_asked(request, LearnForm)
    if asked.chosen is None:
        return _page(request, asked, 422)
    what = FORMAT_NAMES[asked.chosen.terms.format]
    html = lessons_html([told(asked.chosen, asked.player)], at=clock.now(), what=what)
    return pdf_response(request, html, f"{named('how-scored', asked.chosen)}.pdf")


@access(SIGNED_IN, "GET")
@require_safe
def chart_pdf(request: Request) -> HttpResponse:
    """The shots of every handicap on one card."""
    asked = read_asked(request, LearnForm, nobody=True)
    if asked.chosen is None:
        return _page(request, asked, 422)
    html = chart_html(asked.chosen, at=clock.now())
    return pdf_response(request, html, f"{named('shots', asked.chosen)}.pdf")


def named(what: str, chosen: Chosen) -> str:
    return "-".join([what, slugify(chosen.card.tee.course.name), slugify(chosen.card.tee.name)])


@access(SIGNED_IN, "GET")
@require_safe
def field_sheets(request: Request, public_id: str) -> HttpResponse:
    """A sheet for everyone in the field; `?own=1` for the reader's own players alone.

    Whoever is no officer gets their own.
    """
    fixture = fixture_to_read(request.who, public_id)
    lessons = fixture_lessons(fixture)
    if "own" in request.GET or not request.who.may(SCORERS):
        lessons = [
            one for one in lessons if one.player and request.who.is_player(one.player.public_id)
        ]
    if not lessons:
        return errors.page(
            request, 409, "Nobody to print for is in this field with a handicap yet."
        )
    html = lessons_html(
        lessons, at=clock.now(), what=the_competition(fixture).name, day=fixture.starts_on
    )
    return pdf_response(request, html, f"how-scored-{fixture.starts_on:%Y-%m-%d}.pdf")


def _own(request: Request, lessons: list[Told]) -> list[Told]:
    is_own = request.who.is_player
    return [one for one in lessons if one.player and is_own(one.player.public_id)]


def read_asked(
    request: Request, kind: type[LearnForm | PracticeForm], *, nobody: bool = False
) -> Asked:
    """The form as the address fills it, the reader's own record where it says nothing.

    `nobody`: what is asked for is the same for every handicap, so none is needed.
    """
    today = timezone.localdate(clock.now())
    players = own_players(request.who)
    named = request.GET.get("player", "")
    player = next((p for p in players if p.public_id == named), None) or next(iter(players), None)
    cards = cards_to_choose()
    data = {**_defaults(cards, player, today), **_given(request)}
    if nobody:
        data |= {"handicap": "0", "kind": HandicapKind.PLAYING.value}
    card = next((card for card in cards if card.value == data.get("card")), None)
    if card is not None and card.holes == 9:
        data["holes"] = RatedHoles.FIRST_NINE.value
    form = kind(data, groups=by_course(cards), auto_id="learn-%s")
    found = Asked(player, players, form, card, bool(cards), given=bool(request.GET))
    if form.is_valid() and card is not None and form.value is not None:
        _work_out(found, card, today)
    return found


def _defaults(cards: list[CardChoice], player: Player | None, today: date) -> dict[str, str]:
    card = first_card(cards, player, today)
    figure = newest_figure(player, today) if player else None
    found = {
        "card": card.value if card else "",
        "holes": RatedHoles.EIGHTEEN.value,
        "format": Format.STABLEFORD.value,
        "kind": HandicapKind.INDEX.value,
        "seed": str(today.toordinal()),
    }
    return found if figure is None else found | {"kind": figure[0], "handicap": written(figure[1])}


def _given(request: Request) -> dict[str, str]:
    """What the address says. An empty handicap means the record's, with the kind it has there."""
    given = {name: value for name, value in request.GET.items() if isinstance(value, str) and value}
    if "handicap" not in given:
        given.pop("kind", None)
    return given


def _work_out(found: Asked, card: CardChoice, today: date) -> None:
    form = found.form
    holes = form.rated_holes
    terms = plain_terms(form.cleaned_data.get("format") or Format.STABLEFORD.value, holes)
    kind = HandicapKind(form.cleaned_data["kind"])
    assert form.value is not None  # noqa: S101 - the form is valid
    try:
        found.chosen = worked_out(card, holes, terms, kind, form.value, on=today)
    except BadInput as refusal:
        form.add_error(refusal.field, refusal.words)
