"""Further competitions of a fixture, over the same cards as its first one.

The handicaps taken are shared; each competition has its own terms, its own allowance, and says
whom it is for and whether the order of merit counts it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from scoring.rules.strict_json import Refused
from society.audit.actions import Deed, deed
from society.courses.rules import RatedHoles
from society.entries.bridge.handicaps import engine_terms_of, handicap_lines
from society.entries.queries import handicaps_taken
from society.fixtures.actions.holding import locked
from society.fixtures.bridge import BadTerms, full_terms, parsed_terms, write_terms
from society.fixtures.models import Competition, Fixture
from society.fixtures.queries import the_round
from society.fixtures.rules import ENDED, STATE_WORDS, FixtureState, TakesPart
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import ORGANISERS, Who

_MOST = 4


@dataclass(frozen=True, slots=True)
class Contest:
    """What an officer decides about one competition. `terms` as in the event document."""

    name: str
    terms: Mapping[str, object]
    takes_part: str = TakesPart.EVERYBODY.value
    counts_for_merit: bool = False

    def values(self, written: str) -> dict[str, object]:
        """The same in values that canonical JSON can hold; `written`: the terms as kept."""
        return {
            "name": self.name,
            "terms": written,
            "takes_part": self.takes_part,
            "counts_for_merit": self.counts_for_merit,
        }


def add_competition(*, fixture: Fixture, contest: Contest, by: Who, at: datetime) -> Competition:
    """One more competition over the cards of a fixture.

    After handicaps are taken its terms are frozen at once. Raises NotYours, WrongState, BadTerms,
    BadInput.
    """
    _organisers_only(by)
    with deed(by=by, at=at, what="competition added", about=f"fixture:{fixture.public_id}") as d:
        now = _open(fixture)
        rows = list(now.competitions.order_by("number"))
        if len(rows) >= _MOST:
            raise WrongState(f"A fixture has at most {_MOST} competitions.")
        row = Competition(fixture=now, number=rows[-1].number + 1)
        _fill(d, now, row, contest)
        row.rounds.set(now.rounds.all())
    return row


def change_competition(
    *, competition: Competition, contest: Contest, words: str = "", by: Who, at: datetime
) -> Competition:
    """Other terms or another field for one competition.

    The name and terms of the first are the fixture's own and stay. Once handicaps are taken a
    reason is asked for (BadInput on `words`).
    """
    _organisers_only(by)
    about = f"fixture:{competition.fixture.public_id}"
    with deed(by=by, at=at, what="competition changed", about=about) as d:
        now = _open(competition.fixture)
        row = now.competitions.get(pk=competition.pk)
        if row.frozen_at is not None and not words.strip():
            raise BadInput("Handicaps are taken. Say why the competition changes.", field="words")
        if words.strip():
            d.texts.append(words.strip())
        if row.number == 1:
            contest = Contest(
                row.name, parsed_terms(row.terms), contest.takes_part, contest.counts_for_merit
            )
        _fill(d, now, row, contest)
    return row


def remove_competition(*, competition: Competition, by: Who, at: datetime) -> None:
    """Take a further competition out again, as long as handicaps are not taken."""
    _organisers_only(by)
    about = f"fixture:{competition.fixture.public_id}"
    with deed(by=by, at=at, what="competition removed", about=about) as d:
        now = _open(competition.fixture)
        row = now.competitions.get(pk=competition.pk)
        if row.number == 1:
            raise WrongState("The first competition is the fixture's own.")
        if row.frozen_at is not None:
            raise WrongState("Handicaps are taken, so this competition stays.")
        d.change(f"competition:{row.public_id}", {"removed": True}, {"name": row.name})
        row.rounds.clear()
        row.delete()


def _organisers_only(by: Who) -> None:
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain says what is played for.")


def _open(fixture: Fixture) -> Fixture:
    now = locked(fixture)
    state = FixtureState(now.state)
    if state in ENDED:
        raise WrongState(f"This fixture is {STATE_WORDS[state].lower()}; nothing in it changes.")
    return now


def _fill(d: Deed, now: Fixture, row: Competition, contest: Contest) -> None:
    name = contest.name.strip()
    others = now.competitions.exclude(pk=row.pk)
    if not name:
        raise BadInput("Give the competition a name.", field="name")
    if others.filter(name=name).exists():
        raise BadInput("Another competition of this fixture has that name.", field="name")
    if contest.takes_part not in list(TakesPart):
        raise BadInput("Say whom it is for.", field="takes_part")
    written = row.terms if row.number == 1 else _written(now, row, contest.terms)
    old = _values(row) if row.pk else None
    row.name, row.terms = name, written
    row.takes_part, row.counts_for_merit = contest.takes_part, contest.counts_for_merit
    if row.frozen_at is None and handicaps_taken(now):
        row.frozen_at = d.at
    row.save()
    new = _values(row)
    d.change(f"competition:{row.public_id}", new, old)
    d.change(f"fixture:{now.public_id}", {"competition": row.public_id, "name": row.name})


def _values(row: Competition) -> dict[str, object]:
    contest = Contest(row.name, {}, row.takes_part, row.counts_for_merit)
    return contest.values(row.terms)


def _written(now: Fixture, row: Competition, terms: Mapping[str, object]) -> str:
    """The terms as kept: with the reference par of the handicaps taken, where there is one."""
    round_ = the_round(now)
    holes = RatedHoles(round_.holes)
    try:
        text = write_terms(terms, holes)
        if not handicaps_taken(now):
            return text
        full = full_terms(text, holes)
        before = [found for other, found in engine_terms_of(round_) if other.pk != row.pk]
        if full.net and before and not any(found.net for found in before):
            raise WrongState(
                "Handicaps were taken for gross play, where nobody needs one. A net competition "
                "has to be there before handicaps are taken."
            )
        if not (full.different_par and full.stroke_total):
            kept = {key: value for key, value in terms.items() if key != "reference_par"}
            return write_terms(kept, holes)
        pars = [found.reference_par for found in before if found.reference_par is not None]
        lowest = min(line.par for line in handicap_lines(now) if line.frozen is not None)
        return write_terms({**terms, "reference_par": pars[0] if pars else lowest}, holes)
    except Refused as refused:
        raise BadTerms(refused.place, refused.words) from refused
