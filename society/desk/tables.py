"""The tables people browse, sort and page."""

from collections.abc import Mapping
from typing import Any

import django_tables2 as tables
from django.db.models import Case, DecimalField, F, QuerySet, Value, When
from django.db.models.functions import Lower
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from society.desk.queries.players import PlayedOff, TakenToday
from society.handicaps.rules.figures import KIND_NAMES
from society.members.models import Player
from society.web.templatetags.look import handicap

MARGIN = {"th": {"class": "m"}, "td": {"class": "m"}}
WIDE = {"th": {"class": "wide"}, "td": {"class": "wide"}}


class PlayersTable(tables.Table):
    """Players for officers: the handicap in the margin, then the name and what is kept.

    `played_off`: what the present season takes; without a season the newest line of the record
    is shown.
    """

    handicap = tables.Column(verbose_name="H’cap", attrs=MARGIN, empty_values=())
    name = tables.Column(order_by=("name_sort", "pk"))
    number = tables.Column(order_by=("number_length", "number"))
    kind = tables.Column(verbose_name="Member or guest", attrs=WIDE)
    category = tables.Column(attrs=WIDE)
    email = tables.Column(verbose_name="E-mail", attrs=WIDE)

    class Meta:
        orderable = True
        order_by = "name"
        default = "–"

    caption = "Players"

    def __init__(self, *args: Any, played_off: PlayedOff | None = None, **values: Any) -> None:
        super().__init__(*args, **values)
        self._played_off = played_off
        self._taken: Mapping[int, TakenToday] = {}

    def look_up(self) -> None:
        """Work out what those on the page are taken at, all at once."""
        if self._played_off is not None:
            self._taken = self._played_off.of(row.record for row in self.page.object_list)

    def render_name(self, value: str, record: Player) -> SafeString:
        """The name, and under it what the figure in the margin is and where it comes from."""
        address = reverse("desk:player", args=[record.public_id])
        name = format_html('<a class="name" href="{}">{}</a>', address, value)
        taken = self._taken.get(record.pk)
        if taken is None or not taken.words:
            return name
        return format_html('{}<span class="small quiet under">{}</span>', name, taken.words)

    def render_handicap(self, record: Player) -> SafeString:
        """The figure, and under it what kind it is when it is no index."""
        if self._played_off is not None:
            taken = self._taken.get(record.pk)
            return format_html(
                '<span class="n">{}</span>', handicap(taken.value if taken else None)
            )
        value, kind = record.handicap, record.handicap_kind  # type: ignore[attr-defined]
        shown = format_html('<span class="n">{}</span>', handicap(value))
        if kind in (None, "index"):
            return shown
        return format_html('{}<span class="d">{}</span>', shown, KIND_NAMES[kind].split()[0])

    def order_handicap(
        self, queryset: QuerySet[Player], is_descending: bool
    ) -> tuple[QuerySet[Player], bool]:
        """Best or highest first; those without a handicap last either way."""
        figure: Any = F("handicap")
        if self._played_off is not None:
            figure = _by_figure(self._played_off.of(queryset))
        ordered = figure.desc(nulls_last=True) if is_descending else figure.asc(nulls_last=True)
        return queryset.order_by(ordered, Lower("name"), "pk"), True

    def render_kind(self, value: str) -> str:
        return value.lower()


def _by_figure(taken: Mapping[int, TakenToday]) -> Case:
    """The figure of each player for the database to sort by; those with the same one at once."""
    players: dict[Any, list[int]] = {}
    for player, today in taken.items():
        players.setdefault(today.value, []).append(player)
    players.pop(None, None)
    return Case(
        *(When(pk__in=listed, then=Value(value)) for value, listed in players.items()),
        default=None,
        output_field=DecimalField(max_digits=4, decimal_places=1),
    )
