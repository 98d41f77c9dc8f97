"""The tables people browse, sort and page."""

import django_tables2 as tables
from django.db.models import F, QuerySet
from django.db.models.functions import Lower
from django.utils.html import format_html
from django.utils.safestring import SafeString

from society.handicaps.rules.figures import KIND_NAMES
from society.members.models import Player
from society.web.templatetags.look import handicap

MARGIN = {"th": {"class": "m"}, "td": {"class": "m"}}
WIDE = {"th": {"class": "wide"}, "td": {"class": "wide"}}


class PlayersTable(tables.Table):
    """Players for officers: the handicap in the margin, then the name and what is kept."""

    handicap = tables.Column(verbose_name="H’cap", attrs=MARGIN, empty_values=())
    name = tables.Column(
        linkify=("desk:player", {"public_id": tables.A("public_id")}),
        order_by=("name_sort", "pk"),
        attrs={"td": {"class": "name"}},
    )
    number = tables.Column(order_by=("number_length", "number"))
    kind = tables.Column(verbose_name="Member or guest", attrs=WIDE)
    category = tables.Column(attrs=WIDE)
    email = tables.Column(verbose_name="E-mail", attrs=WIDE)

    class Meta:
        orderable = True
        order_by = "name"
        default = "–"

    caption = "Players"

    def render_handicap(self, record: Player) -> SafeString:
        """The figure, and under it what kind it is when it is no index."""
        value, kind = record.handicap, record.handicap_kind  # type: ignore[attr-defined]
        shown = format_html('<span class="n">{}</span>', handicap(value))
        if kind in (None, "index"):
            return shown
        return format_html('{}<span class="d">{}</span>', shown, KIND_NAMES[kind].split()[0])

    def order_handicap(
        self, queryset: QuerySet[Player], is_descending: bool
    ) -> tuple[QuerySet[Player], bool]:
        """Best or highest first; those without a handicap last either way."""
        figure = F("handicap")
        ordered = figure.desc(nulls_last=True) if is_descending else figure.asc(nulls_last=True)
        return queryset.order_by(ordered, Lower("name"), "pk"), True

    def render_kind(self, value: str) -> str:
        return value.lower()
