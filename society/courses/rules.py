"""Courses in plain values: what stands on a card, what may be rated, what a change would do."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import StrEnum

from scoring.rules.values import Category
from society.web.rules import Outcome, SheetLine, clean_text, day_words, read_day

LONGEST_TEE = 40
# Par 3 to 6 and the figures of a rating are those of the event document. Lengths are what golf
# holes have, common practice, no source.
PARS = range(3, 7)
YARDS = range(40, 901)
COURSE_RATINGS = (Decimal(10), Decimal(100))
SLOPE_RATINGS = range(55, 156)
# A course rating far from par is a slip of the pen, most often nine holes for eighteen: common
# practice, no source.
FROM_PAR = {18: 25, 9: 13}


class RatedHoles(StrEnum):
    """Which holes of a course a rating is for, and which a round is played over."""

    EIGHTEEN = "18"
    FIRST_NINE = "first 9"
    SECOND_NINE = "second 9"

    @property
    def count(self) -> int:  # type: ignore[override]
        """How many holes."""
        return 18 if self is RatedHoles.EIGHTEEN else 9

    @property
    def numbers(self) -> range:
        """The hole numbers on the card of the course."""
        return {"18": range(1, 19), "first 9": range(1, 10), "second 9": range(10, 19)}[self.value]


HOLES_IN_WORDS = {
    RatedHoles.EIGHTEEN: "18 holes",
    RatedHoles.FIRST_NINE: "the first nine",
    RatedHoles.SECOND_NINE: "the second nine",
}


@dataclass(frozen=True, slots=True)
class RatingData:
    """Course Rating and Slope Rating of a tee for a category, for some holes, from a day."""

    holes: RatedHoles
    course_rating: Decimal
    slope_rating: int
    valid_from: date

    @property
    def in_words(self) -> str:
        """The rating with its holes and its day."""
        day = day_words(self.valid_from)
        what = HOLES_IN_WORDS[self.holes]
        return f"rated {self.course_rating} / {self.slope_rating} for {what} from {day}"


@dataclass(frozen=True, slots=True)
class CardData:
    """What stands on the card of a tee for a category, hole by hole; no yards: not measured."""

    category: Category
    par: tuple[int, ...]
    stroke_index: tuple[int, ...]
    yards: tuple[int, ...] = ()
    ratings: tuple[RatingData, ...] = ()

    @property
    def in_words(self) -> str:
        """Par, and the length where it is known."""
        length = f", {sum(self.yards):,} yards" if self.yards else ""
        return f"par {sum(self.par)}{length}"


@dataclass(frozen=True, slots=True)
class TeeData:
    """A tee with its cards. `key`: the public id of one that is kept, so that it can be renamed."""

    name: str
    cards: tuple[CardData, ...]
    key: str = ""


@dataclass(frozen=True, slots=True)
class CourseData:
    """A course of eighteen or nine holes with its tees."""

    name: str
    holes: int
    tees: tuple[TeeData, ...]
    place: str = ""


@dataclass(frozen=True, slots=True)
class Typed:
    """A card as people type it: figures in lines, ratings as pairs of course and slope rating."""

    tee: str
    category: str
    par: str
    stroke_index: str
    yards: str = ""
    ratings: Mapping[RatedHoles, tuple[str, str]] = field(default_factory=dict)
    valid_from: str = ""
    key: str = ""

    @property
    def named(self) -> str:
        """What begins a sentence about it: "Yellow, men"."""
        return f"{self.tee.strip() or 'A tee without a name'}, {self.category or 'no category'}"


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a card: the field of the form, and a sentence naming tee and hole."""

    field: str
    words: str


# reading ------------------------------------------------------------------------------------


def read_card(typed: Typed, holes: int) -> tuple[CardData | None, list[Fault]]:
    """The card in values, or every fault in it. `holes`: 18 or 9.

    A stroke index is given once to each hole: 1 to 18 for eighteen holes, nine different ones of
    them for a course of nine (common practice, no source).
    """
    reading = _Reading(typed, holes)
    card = reading.card()
    return (None, reading.faults) if reading.faults else (card, [])


@dataclass(slots=True)
class _Reading:
    typed: Typed
    holes: int
    faults: list[Fault] = field(default_factory=list)

    def wrong(self, name: str, words: str) -> None:
        self.faults.append(Fault(name, f"{self.typed.named}{words}"))

    def card(self) -> CardData | None:
        self._tee()
        category = self._category()
        par = self._figures("par", "par", PARS)
        index = self._figures("stroke_index", "stroke index", range(1, 19))
        if index:
            self._permutation(index)
        yards = self._figures("yards", "yards", YARDS) if self.typed.yards.strip() else ()
        ratings = self._ratings(sum(par))
        if category is None:
            return None
        return CardData(category, par, index, yards, ratings)

    def _tee(self) -> None:
        try:
            if not clean_text(self.typed.tee, what="The tee", longest=LONGEST_TEE):
                self.wrong("tee", ": name the tee.")
        except ValueError as sentence:
            self.faults.append(Fault("tee", str(sentence)))

    def _category(self) -> Category | None:
        try:
            return Category(self.typed.category.lower())
        except ValueError:
            self.wrong("category", ": the category is men or women.")
            return None

    def _figures(self, name: str, what: str, limits: range) -> tuple[int, ...]:
        """One figure a hole, each within its limits; nothing if one of them is wrong."""
        words = re.split(r"[\s,;|]+", getattr(self.typed, name).strip(" \t\r\n,;|"))
        words = [word for word in words if word]
        if len(words) != self.holes:
            told = f"{len(words)} {'figure' if len(words) == 1 else 'figures'}"
            self.wrong(name, f": {what} has {told}, and {self.holes} are needed.")
            return ()
        before = len(self.faults)
        for hole, word in enumerate(words, 1):
            if not re.fullmatch(r"[0-9]{1,4}", word):
                self.wrong(name, f", hole {hole}: {what} “{word[:20]}” is no whole number.")
            elif int(word) not in limits:
                span = f"{limits.start} to {limits.stop - 1}"
                self.wrong(name, f", hole {hole}: {what} {word} is not from {span}.")
        return () if len(self.faults) > before else tuple(map(int, words))

    def _permutation(self, index: Sequence[int]) -> None:
        seen: dict[int, int] = {}
        for hole, figure in enumerate(index, 1):
            if figure in seen:
                missing = [str(n) for n in range(1, self.holes + 1) if n not in index]
                needs = f"; {missing[0]} is missing" if missing else ""
                self.wrong(
                    "stroke_index",
                    f", hole {hole}: stroke index {figure} stands on hole "
                    f"{seen[figure]} already{needs}.",
                )
                return
            seen[figure] = hole

    def _ratings(self, par: int) -> tuple[RatingData, ...]:
        told = {holes: pair for holes, pair in self.typed.ratings.items() if pair[0] or pair[1]}
        if not told:
            return ()
        valid_from = self._valid_from()
        read = [self._rating(holes, *pair, par) for holes, pair in told.items()]
        if valid_from is None:
            return ()
        return tuple(
            RatingData(holes, *pair, valid_from)
            for holes, pair in zip(told, read, strict=True)
            if pair is not None
        )

    def _valid_from(self) -> date | None:
        try:
            return read_day(self.typed.valid_from)
        except ValueError:
            self.wrong("valid_from", ": say from which day the rating is valid, like 2026-04-01.")
            return None

    def _rating(
        self, holes: RatedHoles, course: str, slope: str, par: int
    ) -> tuple[Decimal, int] | None:
        name, what = rating_field(holes), HOLES_IN_WORDS[holes]
        if self.holes == 9 and holes is not RatedHoles.FIRST_NINE:
            self.wrong(name, f": a course of nine holes has no rating for {what}.")
            return None
        if not (course and slope):
            self.wrong(name, f": course rating and slope rating for {what} go together.")
            return None
        rating = _decimal(course)
        low, high = COURSE_RATINGS
        if rating is None or not low <= rating <= high:
            self.wrong(
                name, f": course rating {course} for {what} is not from {low} to {high}, like 70.1."
            )
        elif par and abs(rating - par * holes.count // self.holes) > FROM_PAR[holes.count]:
            self.wrong(
                name, f": course rating {course} for {what} is far from par. Is it for other holes?"
            )
        if not (re.fullmatch(r"[0-9]{1,3}", slope) and int(slope) in SLOPE_RATINGS):
            span = f"{SLOPE_RATINGS.start} to {SLOPE_RATINGS.stop - 1}"
            self.wrong(
                name, f": slope rating {slope} for {what} is not a whole number from {span}."
            )
            return None
        return None if rating is None else (rating, int(slope))


def rating_field(holes: RatedHoles) -> str:
    """The form's name for the course rating of some holes: "rating_18", "rating_first"."""
    return f"rating_{holes.value.split()[0]}"


def _decimal(text: str) -> Decimal | None:
    found = re.fullmatch(r"([0-9]{1,3})(?:[.,]([0-9]))?", text.strip())
    return Decimal(f"{found[1]}.{found[2] or 0}") if found else None


# a file -------------------------------------------------------------------------------------

COLUMNS = {
    "course": ("course", "course name"),
    "place": ("place", "town"),
    "tee": ("tee", "tees", "tee colour"),
    "category": ("category", "gender"),
    "hole": ("hole", "hole number"),
    "par": ("par",),
    "stroke_index": ("stroke index", "si", "index"),
    "yards": ("yards", "length"),
    "rating_18": ("course rating", "cr"),
    "slope_18": ("slope rating", "slope", "sr"),
    "rating_first": ("first 9 course rating", "front 9 course rating"),
    "slope_first": ("first 9 slope rating", "front 9 slope rating"),
    "rating_second": ("second 9 course rating", "back 9 course rating"),
    "slope_second": ("second 9 slope rating", "back 9 slope rating"),
    "valid_from": ("rating from", "valid from", "rated from"),
}
NEEDED = ("course", "tee", "category", "hole", "par", "stroke_index")
_ONCE_A_CARD = tuple(name for name in COLUMNS if name.startswith(("rating", "slope", "valid")))


@dataclass(frozen=True, slots=True)
class CoursePromise:
    """What will happen with one course of a file. `data` is None for one that is refused."""

    line: int
    name: str
    outcome: Outcome
    words: tuple[str, ...] = ()
    data: CourseData | None = None


def promises(
    lines: Iterable[SheetLine], kept: Mapping[str, CourseData], today: date
) -> list[CoursePromise]:
    """What will happen with each course of a file that has a line for each tee, category and hole.

    `kept`: the courses there are, by their name in small letters. Tees, cards and ratings that
    are not in the file stay as they are.
    """
    by_course: dict[str, list[SheetLine]] = {}
    for line in lines:
        by_course.setdefault(line.get("course").casefold(), []).append(line)
    return [_promise(group, kept.get(name), today) for name, group in by_course.items()]


def _promise(group: list[SheetLine], kept: CourseData | None, today: date) -> CoursePromise:
    first = group[0]
    name = kept.name if kept else first.get("course")
    data, wrong = _course(group, kept, today)
    if data is None or wrong:
        return CoursePromise(first.number, name or "no name", Outcome.REFUSED, tuple(wrong))
    words = tuple(changes(kept, data))
    outcome = Outcome.UNCHANGED if kept and not words else Outcome.CHANGED if kept else Outcome.NEW
    return CoursePromise(first.number, name, outcome, words, data)


def _course(
    group: list[SheetLine], kept: CourseData | None, today: date
) -> tuple[CourseData | None, list[str]]:
    """The course that the lines describe, and a sentence for everything wrong in them."""
    wrong: list[str] = []
    names = {}
    for column, what in (("course", "The name of the course"), ("place", "The place")):
        try:
            names[column] = clean_text(group[0].get(column), what=what)
        except ValueError as sentence:
            wrong.append(str(sentence))
    if not group[0].get("course"):
        wrong.append(f"Line {group[0].number} names no course.")
    by_card: dict[tuple[str, str], list[SheetLine]] = {}
    for line in group:
        key = (line.get("tee").casefold(), line.get("category").lower())
        by_card.setdefault(key, []).append(line)
    numbers = {line.get("hole") for line in group}
    holes = kept.holes if kept else 9 if numbers <= {str(n) for n in range(1, 10)} else 18
    tees: dict[str, list[CardData]] = {}
    spelled: dict[str, str] = {}
    for (tee, _), rows in by_card.items():
        card, faults = _card(rows, holes, today)
        wrong += faults
        spelled.setdefault(tee, rows[0].get("tee"))
        tees.setdefault(tee, []).extend([card] if card else [])
    if wrong:
        return None, wrong
    made = tuple(TeeData(spelled[tee], tuple(cards)) for tee, cards in tees.items())
    place = names["place"] or (kept.place if kept else "")
    name = kept.name if kept else names["course"]
    return CourseData(name, holes, made, place), []


def _card(rows: list[SheetLine], holes: int, today: date) -> tuple[CardData | None, list[str]]:
    """One card from its lines, one for each hole, in any order."""
    named = f"{rows[0].get('tee') or 'A tee without a name'}, {rows[0].get('category')}"
    by_hole: dict[str, SheetLine] = {}
    for row in rows:
        if row.get("hole") in by_hole:
            return None, [f"{named}, line {row.number}: hole {row.get('hole')} stands there twice."]
        by_hole[row.get("hole")] = row
    order = [str(number) for number in range(1, holes + 1)]
    if lacking := [number for number in order if number not in by_hole]:
        return None, [f"{named}: hole {lacking[0]} is missing."]
    if further := [row for hole, row in by_hole.items() if hole not in order]:
        return None, [
            f"{named}, line {further[0].number}: there is no hole “{further[0].get('hole')}”."
        ]
    once, wrong = _once_a_card(rows, named)
    if wrong:
        return None, wrong

    def line_of(column: str) -> str:
        cells = [by_hole[number].get(column) for number in order]
        return " ".join(cell or "none" for cell in cells) if any(cells) else ""

    typed = Typed(
        tee=rows[0].get("tee"),
        category=rows[0].get("category"),
        par=line_of("par"),
        stroke_index=line_of("stroke_index"),
        yards=line_of("yards"),
        ratings={
            rated: (once[f"rating_{place}"], once[f"slope_{place}"])
            for rated, place in zip(RatedHoles, ("18", "first", "second"), strict=True)
        },
        valid_from=once["valid_from"] or today.isoformat(),
    )
    card, faults = read_card(_for_nine(typed, holes), holes)
    return card, [fault.words for fault in faults]


def _for_nine(typed: Typed, holes: int) -> Typed:
    """On a course of nine the plain rating columns are those of its nine holes."""
    if holes == 18 or any(typed.ratings[RatedHoles.FIRST_NINE]):
        return typed
    ratings = {RatedHoles.FIRST_NINE: typed.ratings[RatedHoles.EIGHTEEN]}
    return Typed(
        typed.tee,
        typed.category,
        typed.par,
        typed.stroke_index,
        typed.yards,
        ratings,
        typed.valid_from,
    )


def _once_a_card(rows: list[SheetLine], named: str) -> tuple[dict[str, str], list[str]]:
    """What stands on one line of a card, or the same on several: the ratings and their day."""
    once: dict[str, str] = {}
    for column in _ONCE_A_CARD:
        told = {row.get(column) for row in rows} - {""}
        if len(told) > 1:
            what = COLUMNS[column][0]
            return {}, [f"{named}: {what} differs from hole to hole ({', '.join(sorted(told))})."]
        once[column] = next(iter(told), "")
    return once, []


# what a change would do -----------------------------------------------------------------------


def changes(kept: CourseData | None, wanted: CourseData) -> list[str]:
    """A sentence for each thing that would be written; none for what is kept already."""
    words = []
    if kept is None:
        words.append(f"New course of {wanted.holes} holes")
    else:
        words += [f"Name: {kept.name} becomes {wanted.name}"] if kept.name != wanted.name else []
        if kept.place != wanted.place:
            words.append(f"Place: {kept.place or 'none'} becomes {wanted.place or 'none'}")
    known = kept.tees if kept else ()
    for tee in wanted.tees:
        same = find_tee(known, tee)
        if same and tee.key and same.name != tee.name:
            words.append(f"Tee {same.name} becomes {tee.name}")
        for card in tee.cards:
            old = (
                next((c for c in same.cards if c.category is card.category), None) if same else None
            )
            words += _card_changes(f"{tee.name}, {card.category.value}", old, card)
    return words


def find_tee(tees: Iterable[TeeData], wanted: TeeData) -> TeeData | None:
    """The same tee: by its key, or without one by its name."""
    for tee in tees:
        if tee.key == wanted.key if wanted.key else tee.name.casefold() == wanted.name.casefold():
            return tee
    return None


def _card_changes(named: str, old: CardData | None, new: CardData) -> list[str]:
    if old is None:
        words = [f"New card for {named}: {new.in_words}"]
    else:
        words = [
            f"{named}: {what} changes on {_holes(getattr(old, name), getattr(new, name))}"
            for name, what in (("par", "par"), ("stroke_index", "stroke index"), ("yards", "yards"))
            if getattr(new, name) and getattr(old, name) != getattr(new, name)
        ]
    known = old.ratings if old else ()
    return words + [f"{named}: {rating.in_words}" for rating in new.ratings if rating not in known]


def _holes(old: Sequence[int], new: Sequence[int]) -> str:
    if len(old) != len(new):
        return "all holes"
    numbers = [str(n) for n, (a, b) in enumerate(zip(old, new, strict=True), 1) if a != b]
    return f"{'hole' if len(numbers) == 1 else 'holes'} {', '.join(numbers)}"
