"""A practice round: made-up scores to count points for, each answer explained.

Stableford, Rules of Golf 2023, Rule 21.1b; the points are the engine's. The scores come from a
seed, so that the same round can be made again, on a page as on paper, and nothing is kept.

>>> from scoring.rules.terms import read_terms
>>> terms = read_terms({"format": "stableford"}, 18)
>>> explained(Question(number=4, par=4, stroke_index=7, shots=1, gross=6, points=1))
'6 less your shot is net 5. Net 5 on a par 4 is one over: 1 point.'
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scoring.rules.formats.stableford import describe, value
from scoring.rules.values import Terms
from society.desk.rules.chance import chance
from society.desk.rules.lesson import Ground, Lesson, LessonHole, lesson

# What a round brings, by strokes over net par; None is a pick-up. Every kind of answer comes up.
_DECK: tuple[int | None, ...] = (
    *(None, -2, -1, -1, -1),
    *(0, 0, 0, 0, 0),
    *(1, 1, 1, 1, 1),
    *(2, 2, 3),
)
_DECK_OF_NINE: tuple[int | None, ...] = (None, -1, -1, 0, 0, 1, 1, 2, 3)
CHOICES = range(6)  # points to choose from
SEEDS = range(1, 1_000_000)


@dataclass(frozen=True, slots=True)
class Question:
    """A hole and what was taken on it. `gross` None: picked up, after `played` strokes."""

    number: int
    par: int
    stroke_index: int
    shots: int
    gross: int | None
    points: int
    played: int = 0

    @property
    def given_back(self) -> int:
        """How many shots a plus player gives back here."""
        return max(0, -self.shots)


@dataclass(frozen=True, slots=True)
class Answer:
    """A question with what the player said; `said` None: not answered yet."""

    question: Question
    said: int | None

    @property
    def right(self) -> bool:
        """Whether the points are those of the rules."""
        return self.said == self.question.points


def practice_round(terms: Terms, ground: Ground, *, playing: int, seed: int) -> list[Question]:
    """Made-up scores for each hole, always the same for the same seed and handicap.

    One hole is picked up, never one of those with the most shots where others have fewer, so that
    they are there to be counted.
    """
    made = lesson(terms, ground, playing=playing)
    deck = _DECK if len(made.holes) == 18 else _DECK_OF_NINE
    order = sorted(made.holes, key=lambda hole: chance(seed, playing, hole.number, below=2**40))
    picked = _picked_up(made, order)
    others = [hole for hole in order if hole is not picked]
    over = dict(zip((hole.number for hole in others), deck[1:], strict=True))
    return [_question(terms, hole, over.get(hole.number)) for hole in made.holes]


def _picked_up(made: Lesson, order: Sequence[LessonHole]) -> LessonHole:
    most = max(hole.shots for hole in made.holes)
    fewer = [hole for hole in order if hole.shots < most]
    return (fewer or list(order))[0]


def _question(terms: Terms, hole: LessonHole, over: int | None) -> Question:
    gross = None if over is None else max(1, hole.target + over)
    return Question(
        number=hole.number,
        par=hole.par,
        stroke_index=hole.stroke_index,
        shots=hole.shots,
        gross=gross,
        points=value(terms, hole.par, hole.shots, gross),
        played=(hole.pick_up or hole.par + 2) - 1 if gross is None else gross,
    )


# in words ----------------------------------------------------------------------------------

_OVER_WORDS = {-3: "three under", -2: "two under", -1: "one under", 0: "par", 1: "one over"}
_COUNT = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}


def asked(question: Question) -> str:
    """What happened on the hole, in a sentence."""
    if question.gross is None:
        return f"You have played {question.played}, the ball is not in, and you pick up."
    return f"You take {question.gross}."


def explained(question: Question) -> str:
    """Why a hole is worth what it is worth.

    >>> explained(Question(number=1, par=3, stroke_index=17, shots=0, gross=None, points=0))
    'No score: 0 points. Write a dash; the rest of the card counts.'
    """
    if question.gross is None:
        return "No score: 0 points. Write a dash; the rest of the card counts."
    net = question.gross - question.shots
    over = net - question.par
    how = _OVER_WORDS.get(over) or (
        f"{_COUNT.get(over, str(over))} over" if over > 0 else f"{-over} under"
    )
    worth = f"Net {net} on a par {question.par} is {how}: {describe(question.points)}."
    if question.shots == 0:
        return f"No shot here, so {question.gross} is net {net}. {worth}"
    return f"{question.gross} {_shots(question.shots)} is net {net}. {worth}"


def _shots(shots: int) -> str:
    if shots == 1:
        return "less your shot"
    if shots > 0:
        return f"less your {_COUNT.get(shots, str(shots))} shots"
    return "and the shot you give back" if shots == -1 else f"and the {-shots} shots you give back"


def answers(questions: Sequence[Question], said: Mapping[int, int]) -> list[Answer]:
    """Each question with what was said to it, by hole number."""
    return [Answer(question, said.get(question.number)) for question in questions]


@dataclass(frozen=True, slots=True)
class LookAgain:
    """A kind of hole that went wrong: how many of how many, and what to keep in mind."""

    what: str
    wrong: int
    of: int
    words: str


def look_again(given: Sequence[Answer]) -> list[LookAgain]:
    """What to look at again after a round; empty when every answer was right.

    Each wrong answer is told under the first of the kinds that fits its hole.
    """
    found = []
    left = list(given)
    for what, fits, words in _KINDS:
        of_kind = [answer for answer in left if fits(answer.question)]
        left = [answer for answer in left if answer not in of_kind]
        wrong = sum(not answer.right for answer in of_kind)
        if wrong:
            found.append(LookAgain(what, wrong, len(of_kind), words))
    return found


_KINDS = (
    ("Pick-ups", lambda q: q.gross is None, "No score is always worth nothing, whatever par is."),
    (
        "Holes where you give a shot back",
        lambda q: q.shots < 0,
        "Add what you give back before you compare with par.",
    ),
    (
        "Scores worth nothing",
        lambda q: q.points == 0,
        "Two over net par and worse is 0, never less than 0.",
    ),
    (
        "Holes with two shots or more",
        lambda q: q.shots > 1,
        "Take all your shots off before you compare with par.",
    ),
    (
        "Holes without a shot",
        lambda q: q.shots == 0,
        "What you write down is what you compare with par.",
    ),
    (
        "Holes with one shot",
        lambda q: q.shots == 1,
        "Take one off what you wrote down, then compare with par.",
    ),
)
