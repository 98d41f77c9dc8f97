"""Whether what is stored still says what was written: guards, chain, cards, seals, own figures."""

from collections.abc import Iterator

from scoring.cards.queries import breaks_in_cards
from scoring.results.queries.versions import verify_seals
from society.audit import guards
from society.audit.queries import breaks_in_chain
from society.handicaps.queries.scores import differing_figures
from society.merit.queries import verify_seasons


def unsound(*, figures: bool = True) -> Iterator[str]:
    """A sentence for everything found wrong; nothing for a database that is whole.

    `figures`: also every society handicap that is not what its cards make.
    """
    for trigger in guards.missing():
        yield f"The guard trigger {trigger} is missing; `migrate` makes it again."
    yield from breaks_in_chain()
    yield from breaks_in_cards()
    yield from verify_seals()
    yield from verify_seasons()
    if figures:
        yield from differing_figures()
