"""A practice round: count the points of made-up scores, hole by hole. Nothing is kept.

All that a round is stands in the address: the card, the handicap, the number of the round and the
answers so far.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from society.desk.forms.learn import PracticeForm
from society.desk.printing.lessons import worksheet_html
from society.desk.rules.practice import (
    CHOICES,
    SEEDS,
    answers,
    asked,
    explained,
    look_again,
    practice_round,
)
from society.desk.views.learn import named, read_asked
from society.web import clock
from society.web.access import SIGNED_IN, access
from society.web.pages import show
from society.web.pdf import pdf_response

if TYPE_CHECKING:
    from society.desk.queries.learn import Chosen
    from society.desk.rules.practice import Answer, Question
    from society.desk.views.learn import Asked
    from society.web.request import Request


@access(SIGNED_IN, "GET")
@require_safe
def practice(request: Request) -> HttpResponse:
    """The round the address names, each answer in it explained."""
    found = read_asked(request, PracticeForm)
    if found.chosen is None:
        return _page(request, found, status=found.status)
    seed = found.form.cleaned_data["seed"]
    questions = _questions(found.chosen, seed)
    said, wrong = _answers(request, questions)
    given = answers(questions, said)
    answered = [answer for answer in given if answer.said is not None]
    done = len(answered) == len(given)
    return _page(
        request,
        found,
        status=422 if wrong else 200,
        problems=wrong,
        holes=[_row(answer) for answer in given],
        answered=len(answered),
        right=sum(answer.right for answer in answered),
        counted=sum(answer.question.points for answer in answered),
        done=done,
        again=look_again(given) if done else [],
        seed=seed,
        following=seed + 1 if seed + 1 in SEEDS else SEEDS.start,
        playing=found.chosen.plays.playing,
    )


@access(SIGNED_IN, "GET")
@require_safe
def worksheet(request: Request) -> HttpResponse:
    """The same round on paper, with the answers on the back."""
    found = read_asked(request, PracticeForm)
    if found.chosen is None:
        return _page(request, found, status=422)
    seed = found.form.cleaned_data["seed"]
    html = worksheet_html(found.chosen, _questions(found.chosen, seed), seed=seed, at=clock.now())
    return pdf_response(request, html, f"{named('practice', found.chosen)}-{seed}.pdf")


def _page(request: Request, found: Asked, *, status: int, **more: object) -> HttpResponse:
    context = {"asked": found, "form": found.form, "wrong": status != 200, "choices": CHOICES}
    return show(request, "desk/practice.html", context | more, status=status)


def _questions(chosen: Chosen, seed: int) -> list[Question]:
    return practice_round(chosen.terms, chosen.ground, playing=chosen.plays.playing, seed=seed)


def _answers(
    request: Request, questions: list[Question]
) -> tuple[dict[int, int], list[dict[str, str]]]:
    """What was said to each hole, and a sentence for each answer that is none."""
    said: dict[int, int] = {}
    wrong = []
    for question in questions:
        text = request.GET.get(f"a{question.number}", "")
        if text in {str(choice) for choice in CHOICES}:
            said[question.number] = int(text)
        elif text:
            words = (
                f"Hole {question.number}: choose a number of points from {CHOICES.start} to "
                f"{CHOICES.stop - 1}."
            )
            wrong.append({"words": words, "href": f"#hole-{question.number}"})
    return said, wrong


def _row(answer: Answer) -> dict[str, object]:
    question = answer.question
    return {
        "question": question,
        "asked": asked(question),
        "said": answer.said,
        "right": answer.right,
        "why": explained(question),
    }
