"""The newcomer's page: how a format is scored, with the reader's own shots on a card."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.http import HttpResponse, QueryDict
from django.utils import timezone
from django.views.decorators.http import require_safe

from scoring.rules.values import Format, HandicapKind
from society.courses.rules import RatedHoles
from society.desk.forms.learn import LearnForm, PracticeForm
from society.desk.queries.learn import (
    CardChoice,
    Chosen,
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
from society.fixtures.queries import terms_sentences_of, the_competition
from society.handicaps.rules import written
from society.web import clock
from society.web.access import SIGNED_IN, access
from society.web.pages import show
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
    def query(self) -> str:
        """The same choice again, for a link."""
        query = QueryDict(mutable=True)
        for name in ("card", "holes", "format", "handicap", "kind"):
            if self.form.data.get(name):
                query[name] = self.form.data[name]
        if self.player is not None and len(self.players) > 1:
            query["player"] = self.player.public_id
        return query.urlencode()


@access(SIGNED_IN, "GET")
@require_safe
def learn(request: Request) -> HttpResponse:
    """The reader's own handicap on the next course, or whatever the form asks for."""
    asked = read_asked(request, LearnForm)
    context = {
        "asked": asked,
        "form": asked.form,
        "told": told(asked.chosen, asked.player) if asked.chosen else None,
        "courses": asked.any_card,
    }
    return show(request, "desk/learn.html", context, status=asked.status)


@access(SIGNED_IN, "GET")
@require_safe
def how_scored(request: Request, public_id: str) -> HttpResponse:
    """A fixture as it is scored, with the shots of each player of the reader's own account."""
    fixture = fixture_to_read(request.who, public_id)
    lessons = fixture_lessons(fixture)
    own = {player.public_id for player in own_players(request.who)}
    context = {
        "fixture": fixture,
        "competition": the_competition(fixture),
        "sentences": terms_sentences_of(the_competition(fixture)),
        "lessons": [one for one in lessons if one.player and one.player.public_id in own],
        "field": len(lessons),
        "runs": request.who.may(SCORERS),
    }
    return show(request, "desk/how_scored.html", context)


def read_asked(request: Request, kind: type[LearnForm | PracticeForm]) -> Asked:
    """The form as the address fills it, the reader's own record where it says nothing."""
    today = timezone.localdate(clock.now())
    players = own_players(request.who)
    named = request.GET.get("player", "")
    player = next((p for p in players if p.public_id == named), None) or next(iter(players), None)
    cards = cards_to_choose()
    data = {**_defaults(cards, player, today), **_given(request)}
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
