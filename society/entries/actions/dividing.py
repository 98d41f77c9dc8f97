"""Divisions of a field: how it is divided, and the division each entry stands in.

Nobody stands in a division by handicap before the handicap is taken; from then on it is written
on the entry, so that what a result was divided by is kept with it.
"""

from collections.abc import Iterable
from datetime import datetime
from fractions import Fraction

from scoring.rules.divisions import DivideBy, Scheme, scheme_of, scheme_text
from scoring.rules.strict_json import canonical, read_json
from scoring.rules.values import Terms
from society.audit.actions import Deed, deed
from society.entries.bridge.handicaps import HandicapLine, engine_terms_of, handicap_lines
from society.entries.models import Entry
from society.entries.queries import handicaps_taken, in_the_field
from society.fixtures.actions.holding import locked
from society.fixtures.models import Fixture
from society.fixtures.queries import the_round
from society.fixtures.rules import ENDED, STATE_WORDS, FixtureState
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import ORGANISERS, Who


def set_divisions(
    *, fixture: Fixture, scheme: Scheme | None, words: str = "", by: Who, at: datetime
) -> int:
    """Divide a fixture's field so, or not at all (None); returns how many players move.

    Equal parts are cut from the field as it is taken. Once handicaps are taken a change needs a
    reason. Raises NotYours, WrongState where the result stands, BadInput.
    """
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain sets divisions.")
    if scheme is not None and scheme.faults:
        raise BadInput(scheme.faults[0], field="divisions")
    named = f"fixture:{fixture.public_id}"
    with deed(by=by, at=at, what="divisions set", about=named) as d:
        now = locked(fixture)
        state = FixtureState(now.state)
        if state in ENDED:
            raise WrongState(f"This fixture is {STATE_WORDS[state].lower()}; divisions stand.")
        taken = handicaps_taken(now)
        if taken and not words.strip():
            raise BadInput("Handicaps are taken. Say why the divisions change.", field="words")
        if words.strip():
            d.texts.append(words.strip())
        return _set(d, now, scheme.uncut() if scheme else None, taken)


def _set(d: Deed, now: Fixture, scheme: Scheme | None, taken: bool) -> int:
    old = scheme_of(now.divisions) if now.divisions else None
    _keep(d, now, scheme)
    if not taken:
        return 0
    if scheme is None and old is not None:
        entries = in_the_field(now)
        return sum(_write(d, entry, []) for entry in entries)
    return divide(d, now, cut=True)


def divide(d: Deed, now: Fixture, *, cut: bool = False, only: Iterable[int] = ()) -> int:
    """Write the division of everybody taken; part of a deed that holds the fixture.

    `cut`: equal parts are cut afresh for whoever is taken now. `only`: these entry ids alone.
    Returns how many entries stand in another division than before.
    """
    if not now.divisions:
        return 0  # whatever an entry brought with it from elsewhere stays
    scheme = scheme_of(now.divisions)
    lines = [line for line in handicap_lines(now) if line.frozen is not None]
    terms = engine_terms_of(the_round(now))[0][1]
    if cut and scheme.equal:
        scheme = scheme.cut(figure_of(line, scheme.by, terms) for line in lines)
        _keep(d, now, scheme)
    wanted = set(only)
    moved = 0
    for line in lines:
        if wanted and line.entry.pk not in wanted:
            continue
        moved += _write(d, line.entry, divisions_of(line, scheme, terms))
    return moved


def divisions_of(line: HandicapLine, scheme: Scheme, terms: Terms) -> list[str]:
    """The divisions a line of the field stands in."""
    names = [scheme.division_of(figure_of(line, scheme.by, terms))]
    if scheme.categories and line.frozen is not None:
        names.append(line.frozen.category.capitalize())
    return [name for name in dict.fromkeys(names) if name]


def figure_of(line: HandicapLine, by: DivideBy, terms: Terms) -> Fraction:
    """The figure a division goes by: as brought, or the playing handicap without Rule 6.2b.

    The strokes for a tee of higher par are no skill, and move with the tees in use.
    """
    if by is DivideBy.BROUGHT or line.plays is None:
        return Fraction(line.value or 0)
    extra = 0
    if terms.net and terms.stroke_total and terms.different_par and terms.reference_par:
        extra = line.par - terms.reference_par
    return Fraction(line.plays.playing - extra)


def _keep(d: Deed, now: Fixture, scheme: Scheme | None) -> None:
    text = scheme_text(scheme) if scheme else ""
    if text != now.divisions:
        old = now.divisions
        now.divisions = text
        now.save(update_fields=["divisions"])
        d.change(f"fixture:{now.public_id}", {"divisions": text}, {"divisions": old})


def _write(d: Deed, entry: Entry, names: list[str]) -> bool:
    text = canonical(names)
    old = Entry.objects.values_list("divisions", flat=True).get(pk=entry.pk)
    if old == text:
        return False
    Entry.objects.filter(pk=entry.pk).update(divisions=text)
    entry.divisions = text
    d.change(f"entry:{entry.public_id}", {"divisions": names}, {"divisions": read_json(old)})
    return True
