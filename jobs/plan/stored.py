"""A plan of the shop, and sentences about it, as JSON and back, without loss (pure).

Moments are stored as moments, inside a sentence too: a page shows them in the shop's
hours and the reader's language.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from jobs.as_kept import known_fields, word
from jobs.plan.planned import CarPlanned, Cause, Move, Reached, ShopPlan, Step, Why
from jobs.plan.shop import Part
from shopapp.documents import Document
from shopapp.figures import Figure
from shopapp.say import Param, Say

Json = dict[str, Any]


def _with_causes(document: Json) -> Json:
    """2: what stays whatever is better, and why it was proposed."""
    return {**document, "given": [], "because": []}


BAY_PLAN = Document(kind="bay plan", steps={1: _with_causes})


def plan_to_json(plan: ShopPlan) -> Json:
    """What is stored of a plan."""
    names = ("origin", "problem_hash", "engine", "seed", "workers")
    return BAY_PLAN.stamp(
        {
            **{name: getattr(plan, name) for name in names},
            "as_of": _moment(plan.as_of),
            "steps": [_step_to_json(step) for step in plan.steps],
            "cars": [_car_to_json(car) for car in plan.cars],
            "reached": [dict(vars(each)) for each in plan.reached],
            "unplaced": [[car, sentence_to_json(why)] for car, why in plan.unplaced],
            "clashes": sentences_to_json(plan.clashes),
            "moves": [
                {"car": move.car, "what": sentences_to_json(move.what)}
                for move in plan.moves
            ],
            "assumed": sentences_to_json(plan.assumed),
            "given": sentences_to_json(plan.given),
            "because": [dict(vars(each)) for each in plan.because],
        }
    )


def plan_from_json(stored: Mapping[str, Any]) -> ShopPlan:
    """The plan that `plan_to_json` wrote, of whatever version."""
    document = BAY_PLAN.upgrade(stored)
    return ShopPlan(
        **known_fields(ShopPlan, document)
        | {
            "as_of": _read(document["as_of"]),
            "steps": tuple(_step(row) for row in document["steps"]),
            "cars": tuple(_car(row) for row in document["cars"]),
            "reached": tuple(
                Reached(**known_fields(Reached, row)) for row in document["reached"]
            ),
            "unplaced": tuple(
                (car, sentence_from_json(why)) for car, why in document["unplaced"]
            ),
            "clashes": sentences_from_json(document["clashes"]),
            "moves": tuple(
                Move(car=row["car"], what=sentences_from_json(row["what"]))
                for row in document["moves"]
            ),
            "assumed": sentences_from_json(document["assumed"]),
            "given": sentences_from_json(document["given"]),
            "because": tuple(_cause(row) for row in document["because"]),
        }
    )


def _cause(row: Mapping[str, Any]) -> Cause:
    why = word(Why, row["why"], usual=Why.PUSHED)
    return Cause(**known_fields(Cause, row) | {"why": why})


def sentences_to_json(said: Iterable[Say]) -> list[Json]:
    """Sentences, with their moments as moments."""
    return [sentence_to_json(each) for each in said]


def sentences_from_json(stored: Sequence[Mapping[str, Any]]) -> tuple[Say, ...]:
    """The sentences that `sentences_to_json` wrote."""
    return tuple(sentence_from_json(each) for each in stored)


def sentence_to_json(sentence: Say) -> Json:
    """One sentence, with its moments as moments."""
    params = {name: _value_to_json(value) for name, value in sentence.params}
    return {"text": sentence.text, "params": params}


def sentence_from_json(stored: Mapping[str, Any]) -> Say:
    """The sentence that `sentence_to_json` wrote."""
    params = {name: _value(value) for name, value in stored["params"].items()}
    return Say(stored["text"], tuple(params.items()))


def _value_to_json(value: Param) -> Any:
    match value:
        case Figure():
            return value.to_json()
        case datetime():
            return {"at": _moment(value)}
        case date():
            return {"on": value.isoformat()}
        case Decimal():
            return {"amount": str(value)}
    return value


def _value(stored: Any) -> Param:
    match stored:
        case {"at": str(moment)}:
            return _read(moment)
        case {"on": str(day)}:
            return date.fromisoformat(day)
        case {"amount": str(amount)}:
            return Decimal(amount)
        case Mapping():
            return Figure.from_json(stored)
    value: Param = stored
    return value


def _step_to_json(step: Step) -> Json:
    return {
        "car": step.car,
        "part": step.part.value,
        "starts_at": _moment(step.starts_at),
        "ends_at": _moment(step.ends_at),
        "spot": step.spot,
        "people": list(step.people),
        "number": step.number,
        "sequence": step.sequence,
    }


def _step(row: Mapping[str, Any]) -> Step:
    return Step(
        **known_fields(Step, row)
        | {
            "part": word(Part, row["part"], usual=Part.INSTALL),
            "starts_at": _read(row["starts_at"]),
            "ends_at": _read(row["ends_at"]),
            "people": tuple(row["people"]),
        }
    )


def _car_to_json(car: CarPlanned) -> Json:
    return {
        "car": car.car,
        "ready_at": _moment(car.ready_at),
        "latest_at": _moment(car.latest_at),
        "promised_at": _moment(car.promised_at),
        "begins": car.begins,
        "late_min": car.late_min,
        "why": sentences_to_json(car.why),
    }


def _car(row: Mapping[str, Any]) -> CarPlanned:
    moments = ("ready_at", "latest_at", "promised_at")
    return CarPlanned(
        **known_fields(CarPlanned, row)
        | {name: _read(row[name]) for name in moments}
        | {"why": sentences_from_json(row["why"])}
    )


def _moment(at: datetime) -> str:
    return at.astimezone(UTC).isoformat()


def _read(stored: str) -> datetime:
    return datetime.fromisoformat(stored)
