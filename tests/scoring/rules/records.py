"""Good handicap records for the tests to use and to spoil."""

from copy import deepcopy
from datetime import date, timedelta
from decimal import Decimal
from random import Random
from typing import Any

from scoring.rules.record.answer import answer
from scoring.rules.record.document import read_nine, read_record, read_score
from scoring.rules.record.history import history, work_out
from scoring.rules.record.values import Adjustment, Nine, Score, WorkedOut
from tests.scoring.rules.documents import INDEX, PAR

Record = dict[str, Any]
RATED = {"course_rating": Decimal("70.1"), "slope_rating": 120}
DAY = date(2025, 1, 1)


def record(*scores: dict[str, Any]) -> Record:
    return deepcopy({"document": "handicap-record", "version": 1, "scores": list(scores)})


def ready(differential: object, *, on: date | str = DAY) -> dict[str, Any]:
    """A score with a ready differential."""
    number = Decimal(differential) if isinstance(differential, str) else differential
    return {"played": str(on), "differential": number}


def days(*differentials: object, first: date = DAY, step: int = 1) -> list[dict[str, Any]]:
    """Ready differentials on days so far apart, the oldest first."""
    return [
        ready(each, on=first + timedelta(days=step * at)) for at, each in enumerate(differentials)
    ]


def gross(adjusted: int, *, on: date | str = DAY, **more: object) -> dict[str, Any]:
    """A score known by its adjusted gross."""
    return {"played": str(on), "adjusted_gross": adjusted, **RATED, **more}


def by_hole(scores: list[Any], *, on: date | str = DAY, **more: object) -> dict[str, Any]:
    """A score known hole by hole."""
    return {
        "played": str(on),
        "hole_scores": list(scores),
        "par": PAR,
        "stroke_index": INDEX,
        **RATED,
        **more,
    }


def worked(document: Record) -> list[dict[str, Any]]:
    """The history of the engine."""
    return list(answer(history(read_record(document)))["history"])


def last(*scores: dict[str, Any]) -> dict[str, Any]:
    """The last row of a record of these scores."""
    return worked(record(*scores))[-1]


def tenths(chance: Random, low: int, high: int) -> Decimal | int:
    number = chance.randint(low, high)
    return number // 10 if chance.random() < 0.1 else Decimal(number).scaleb(-1)


def some_score(chance: Random, on: date, level: int) -> dict[str, Any]:
    """A score in one of the three forms by a player of about this level, in tenths."""
    form = chance.choice(["ready", "ready", "total", "holes"])
    now_and_then = chance.choice([0, 0, 0, 0, 0, 0, -70, -100, 60, 150])
    about = level + now_and_then
    if form == "ready":
        return {
            "played": str(on),
            "differential": tenths(chance, max(-500, about - 40), min(2000, about + 60)),
        }
    par = [chance.randint(3, 6) if chance.random() < 0.1 else each for each in PAR]
    ratings: dict[str, Any] = {
        "course_rating": Decimal(sum(par)) + tenths(chance, -40, 40),
        "slope_rating": chance.choice([55, 113, 155, chance.randint(55, 155)]),
    }
    if chance.random() < 0.4:
        ratings["pcc"] = chance.randint(-1, 3)
    over = round(about / 10)
    if form == "total":
        total = min(400, max(18, sum(par) + over + chance.randint(-4, 6)))
        return {"played": str(on), "adjusted_gross": total, **ratings}
    card: list[Any] = [max(1, each + chance.choice([over // 18, 0, 1, 2, 7, -1])) for each in par]
    for _ in range(chance.choice([0, 0, 1, 3])):
        card[chance.randrange(18)] = chance.choice([None, "-", 99])
    index = list(range(1, 19))
    chance.shuffle(index)
    return {"played": str(on), "hole_scores": card, "par": par, "stroke_index": index, **ratings}


def some_record(chance: Random, most: int = 60) -> Record:
    """A good record: any length, several scores on some days, gaps of a year now and then."""
    on = DAY + timedelta(days=chance.randint(0, 900))
    level = chance.choice([-30, 0, 60, 150, 300, 480, 540, 700])
    scores = []
    for _ in range(
        chance.choice(
            [0, 1, 2, 3, chance.randint(0, min(25, most)), chance.randint(min(20, most), most)]
        )
    ):
        scores.append(some_score(chance, on, level))
        on += timedelta(days=chance.choice([0, 0, 1, 1, 2, 7, 30, 30, 120, 365, 366]))
        level += chance.choice([-20, -5, 0, 0, 5, 20, 40])
        level = max(-80, min(900, level))
    chance.shuffle(scores)
    return record(*scores)


def some_nine(chance: Random, on: date, level: int) -> dict[str, Any]:
    """Nine holes in one of the three forms, by a player of about this level, in tenths."""
    score = some_score(chance, on, level)
    if "differential" in score:
        differential = Decimal(int(score["differential"] * 5)).scaleb(-1)
        return {"played": str(on), "nine": True, "differential": differential}
    half: dict[str, Any] = {"course_rating": Decimal(int(score["course_rating"] * 5)).scaleb(-1)}
    if "adjusted_gross" in score:
        half["adjusted_gross"] = score["adjusted_gross"] // 2
    else:
        half |= {key: score[key][:9] for key in ("hole_scores", "par", "stroke_index")}
    return {**score, **half, "nine": True}


def some_move(chance: Random, on: date) -> dict[str, Any]:
    """What a committee may do on a day."""
    shots = chance.choice([-50, -30, -20, -10, 10, 20, 40, 70])
    move: dict[str, Any] = {"on": str(on), "shots": Decimal(shots).scaleb(-1)}
    if shots > 0 and chance.random() < 0.5:
        move["anew"] = True
    return move


def some_kept_record(chance: Random, most: int = 60) -> Record:
    """A record with nines and moves of a committee among its scores, which no document holds."""
    document = some_record(chance, most)
    scores = document["scores"]
    level = chance.choice([0, 150, 300])
    share = chance.choice([0.0, 0.03, 0.03, 0.3, 0.9])
    for place, score in enumerate(scores):
        if chance.random() < share:
            scores[place] = some_nine(chance, date.fromisoformat(score["played"]), level)
    days_played = [date.fromisoformat(score["played"]) for score in scores] or [DAY]
    document["moves"] = [
        some_move(chance, chance.choice(days_played) + timedelta(days=chance.choice([0, 0, 1, 9])))
        for _ in range(chance.choice([0, 1, 1, 2, 5]))
    ]
    return document


def kept_values(kept: Record) -> tuple[list[Score | Nine], list[Adjustment]]:
    """The scores, nines and moves of such a record as the engine takes them."""
    scores = [
        read_nine({key: score[key] for key in score if key != "nine"}, f"scores[{at}]")
        if score.get("nine")
        else read_score(score, f"scores[{at}]")
        for at, score in enumerate(kept["scores"])
    ]
    moves = [
        Adjustment(date.fromisoformat(move["on"]), move["shots"], bool(move.get("anew")))
        for move in kept.get("moves", ())
    ]
    return scores, moves


def worked_out(kept: Record) -> WorkedOut:
    """A record with nines and moves, by the engine."""
    return work_out(*kept_values(kept))
