"""A course as people type it: its name, and one block for each card of a tee and category."""

from datetime import date
from typing import Any

from django import forms

from society.courses.models import CATEGORIES
from society.courses.rules import (
    LONGEST_TEE,
    CardData,
    CourseData,
    RatedHoles,
    TeeData,
    Typed,
    rating_field,
    read_card,
)

MOST_CARDS = 20
RATED = {
    RatedHoles.EIGHTEEN: "18 holes",
    RatedHoles.FIRST_NINE: "First nine",
    RatedHoles.SECOND_NINE: "Second nine",
}
HOLES = [("18", "Eighteen"), ("9", "Nine")]


class CourseForm(forms.Form):
    name = forms.CharField(
        label="Name", max_length=100, error_messages={"required": "A course needs a name."}
    )
    place = forms.CharField(label="Place", max_length=100, required=False)
    holes = forms.ChoiceField(label="Holes", choices=HOLES, initial="18", widget=forms.RadioSelect)


def _figures_box() -> forms.Textarea:
    """Two lines on a phone, so that eighteen figures are seen together."""
    return forms.Textarea(attrs={"autocomplete": "off", "rows": 2, "class": "figs"})


def _short_box() -> forms.TextInput:
    return forms.TextInput(attrs={"autocomplete": "off", "class": "input-short"})


class CardForm(forms.Form):
    """The card of a tee for a category. A block whose tee and figures are empty is passed over."""

    key = forms.CharField(required=False, widget=forms.HiddenInput)
    tee = forms.CharField(label="Tee", required=False, max_length=LONGEST_TEE)
    category = forms.ChoiceField(label="Category", choices=CATEGORIES, required=False)
    par = forms.CharField(
        label="Par, hole by hole",
        help_text="All in one line, hole 1 first: 4 4 3 5 …",
        required=False,
        widget=_figures_box(),
    )
    stroke_index = forms.CharField(
        label="Stroke index, hole by hole", required=False, widget=_figures_box()
    )
    yards = forms.CharField(label="Yards, hole by hole", required=False, widget=_figures_box())
    valid_from = forms.CharField(
        label="Ratings valid from",
        required=False,
        help_text="Days before it are played without a rating.",
        widget=forms.DateInput(attrs={"type": "date", "class": "input-mid"}, format="%Y-%m-%d"),
    )
    rating_18 = forms.CharField(
        label="Course rating, 18 holes", required=False, widget=_short_box()
    )
    slope_18 = forms.CharField(label="Slope rating, 18 holes", required=False, widget=_short_box())
    rating_first = forms.CharField(
        label="Course rating, first nine", required=False, widget=_short_box()
    )
    slope_first = forms.CharField(
        label="Slope rating, first nine", required=False, widget=_short_box()
    )
    rating_second = forms.CharField(
        label="Course rating, second nine", required=False, widget=_short_box()
    )
    slope_second = forms.CharField(
        label="Slope rating, second nine", required=False, widget=_short_box()
    )
    FIGURES = ("par", "stroke_index", "yards")
    RATINGS = tuple(
        name for holes in RATED for name in (rating_field(holes), f"slope{rating_field(holes)[6:]}")
    )

    NEEDED = ("tee", "category", "par", "stroke_index")
    rated: tuple[str, ...] = ()
    card: CardData | None = None

    def mark_needed(self) -> None:
        """Label what a card needs. Only the rules judge it, since a blank block is passed over."""
        for name in self.NEEDED:
            self.fields[name].required = True

    @property
    def is_blank(self) -> bool:
        """Nothing was written in it."""
        told = self.cleaned_data
        return not any(told.get(name) for name in ("tee", *self.FIGURES, *self.RATINGS))

    def typed(self) -> Typed:
        """The block as the rules read it."""
        told = self.cleaned_data
        return Typed(
            tee=told["tee"],
            category=told["category"],
            par=told["par"],
            stroke_index=told["stroke_index"],
            yards=told["yards"],
            ratings={
                holes: (told[rating_field(holes)], told[f"slope{rating_field(holes)[6:]}"])
                for holes in RATED
            },
            valid_from=told["valid_from"],
            key=told["key"],
        )

    def read(self, holes: int) -> None:
        """Read the card; every fault stands at its field."""
        self.card, wrong = read_card(self.typed(), holes)
        for fault in wrong:
            self.add_error(fault.field, fault.words)

    def rating_pairs(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """Course and slope rating side by side."""
        return [
            (self[rating_field(holes)], self[f"slope{rating_field(holes)[6:]}"]) for holes in RATED
        ]


class CoursePage:
    """The course form and its blocks together, as one thing that is valid or not."""

    def __init__(self, data: Any = None, *, kept: CourseData | None = None, today: date) -> None:
        self.kept = kept
        blocks = _blocks(kept)
        asked = _count(data.get("blocks", "")) if data is not None else len(blocks) + (not kept)
        more = data is not None and "more" in data
        count = max(1, min(asked + more, MOST_CARDS))
        self.can_grow = count < MOST_CARDS
        self.more = more
        first = {"name": kept.name, "place": kept.place, "holes": str(kept.holes)} if kept else {}
        self.course = self._form(CourseForm, data, "", first)
        if kept:
            del self.course.fields["holes"]
        # A rating printed on a card was valid before today: cards of last week are typed with it.
        year_first = {} if kept else {"valid_from": today.replace(month=1, day=1).isoformat()}
        self.cards = []
        for number in range(count):
            shown, rated = blocks[number] if number < len(blocks) else ({}, ())
            sent = data if number < asked else None
            card = self._form(CardForm, sent, f"c{number}", shown | year_first)
            card.rated = rated
            self.cards.append(card)

    def _form(self, kind: type[Any], data: Any, prefix: str, initial: dict[str, str]) -> Any:
        """A form filled with what was sent. One more block asked for: shown again, not judged."""
        if data is None or not self.more:
            return kind(data, prefix=prefix or None, initial=initial)
        place = f"{prefix}-" if prefix else ""
        typed = {name: data.get(f"{place}{name}") for name in kind.base_fields}
        kept = {name: text for name, text in typed.items() if text is not None}
        return kind(prefix=prefix or None, initial=initial | kept)

    @property
    def is_bound(self) -> bool:
        return self.course.is_bound

    def is_valid(self) -> bool:
        """Every block read; the faults stand at their fields."""
        fine = self.course.is_valid()
        holes = self.kept.holes if self.kept else int(self.course.cleaned_data.get("holes") or 18)
        for card in self.cards:
            if not card.is_valid():
                fine = False
            elif not card.is_blank:
                card.read(holes)
                fine = fine and card.card is not None
        if fine and not any(card.card for card in self.cards):
            self.cards[0].add_error("tee", "A course needs one tee with its card.")
            fine = False
        return fine

    def data(self) -> CourseData:
        """The whole course in values; the cards of one tee together."""
        told = self.course.cleaned_data
        tees: dict[str, TeeData] = {}
        for block in self.cards:
            if block.card is None:
                continue
            name, key = block.cleaned_data["tee"], block.cleaned_data["key"]
            same = key or name.casefold()
            before = tees.get(same, TeeData(name, (), key))
            tees[same] = TeeData(before.name, (*before.cards, block.card), before.key)
        return CourseData(
            name=told["name"],
            holes=self.kept.holes if self.kept else int(told["holes"]),
            tees=tuple(tees.values()),
            place=told["place"],
        )

    def mark_needed(self) -> None:
        """To be called once everything is judged."""
        for card in self.cards:
            _ = card.errors  # judged before the labels change
            card.mark_needed()

    def problems(self) -> list[dict[str, str]]:
        """What stands in the summary for the blocks, each linked to its field."""
        return [
            {"words": str(words), "href": f"#{card[name].id_for_label}"}
            for card in self.cards
            if card.is_bound
            for name, listed in card.errors.items()
            for words in listed
        ]


def _count(text: str) -> int:
    """How many blocks a page said it had; nothing else is believed."""
    return int(text) if text in {str(number) for number in range(MOST_CARDS + 1)} else 1


def _blocks(kept: CourseData | None) -> list[tuple[dict[str, str], tuple[str, ...]]]:
    """What each block shows at first, and the ratings there are, in words."""
    return [
        (
            {
                "key": tee.key,
                "tee": tee.name,
                "category": card.category.value,
                "par": " ".join(map(str, card.par)),
                "stroke_index": " ".join(map(str, card.stroke_index)),
                "yards": " ".join(map(str, card.yards)),
            },
            tuple(rating.in_words for rating in card.ratings),
        )
        for tee in (kept.tees if kept else ())
        for card in tee.cards
    ]
