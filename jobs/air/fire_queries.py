"""The air and fire of an order as kept with it, for pages that show many orders.

A block asks for the whole mixing sheet, so its line is written when something of the
air is recorded (`jobs.air.actions`) and gone over by a clock for the rest.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from jobs.air.queries import block_of
from jobs.models import OrderAir, WorkOrder
from jobs.solutions.sheet_now_queries import sheet_now
from jobs.stages.table import May
from mixing.safety.needs import releases_of, vapour_to_enter
from mixing.safety.releases import Release, Solvent
from mixing.safety.states import State
from shopapp.documents import Document
from shopapp.say import Say, say, say_from_json, say_to_json

OWN_LINES = ("peak", "wait", "sealed")
_NOT_KEPT = say("FIRE: not assessed here yet; the order's safety page says it.")


@dataclass(frozen=True, kw_only=True)
class KeptLine:
    """A line of the block as it was kept."""

    state: State | None
    sentence: Say


@dataclass(frozen=True, kw_only=True)
class KeptAir:
    """What pages of many orders say of one.

    fire      the fire line with the worst state of air and fire
    lines     its highest average and its wait, as its own page says them
    releases  what it gives off, for several bays at once
    missing   names of what nobody entered and that more vapour may hang on
    """

    fire: KeptLine
    lines: tuple[KeptLine, ...] = ()
    releases: tuple[Release, ...] = ()
    missing: tuple[str, ...] = ()
    mixed_l: float = 0.0


def _from_1(facts: dict[str, Any]) -> dict[str, Any]:
    """What a block says beside its fire line, where it could be worked out."""
    return {**NOTHING_SAID, **facts}


NOTHING_SAID: dict[str, Any] = {
    "lines": [],
    "releases": [],
    "missing": [],
    "mixed_l": 0.0,
}
KEPT_AIR = Document(kind="air of an order", steps={1: _from_1})


def air_facts(order: WorkOrder, *, at: datetime) -> dict[str, Any]:
    """The air and fire of an order as things stand, to be kept."""
    return KEPT_AIR.stamp({**NOTHING_SAID, **_said_now(order, at=at)})


def _said_now(order: WorkOrder, *, at: datetime) -> dict[str, Any]:
    try:
        sheet, _version = sheet_now(order, at=at)
        block, asked = block_of(order, sheet=sheet, at=at)
    except ValueError as wrong:
        # One wrong entry must not take the floor away, nor refuse a press.
        said = say("FIRE: not assessed. {wrong}", wrong=str(wrong))
        return {"fire": _kept(State.NOT_ASSESSED, said), "missing": [str(wrong)]}
    alcoholic = [s for s in asked.solutions if s.vv_pct is None or s.vv_pct > 0]
    return {
        "fire": _kept(block.fire_line.state, block.fire_line.sentence),
        "lines": [
            _kept(line.state, line.sentence)
            for line in block.lines
            if line.key in OWN_LINES
        ],
        "releases": [asdict(release) for release in releases_of(asked)],
        "missing": list(vapour_to_enter(asked)),
        "mixed_l": sum(solution.litres or 0.0 for solution in alcoholic),
    }


def kept_air(orders: Iterable[WorkOrder]) -> dict[int, KeptAir]:
    """The air of each order by its key; what was never kept is not assessed."""
    keys = [order.pk for order in orders]
    rows = OrderAir.objects.filter(workorder__in=keys)
    kept = {row.workorder_id: _read(row.facts) for row in rows}
    unknown = KeptAir(
        fire=KeptLine(state=State.NOT_ASSESSED, sentence=_NOT_KEPT),
        missing=("the safety page of a car in the shop",),
    )
    return {key: kept.get(key, unknown) for key in keys}


def fire_lines(orders: Iterable[WorkOrder]) -> dict[int, KeptLine]:
    """The fire line of each order that is wiped, sprayed or warmed, by its key."""
    at_work = [order for order in orders if order.stage_now.may(May.SPRAY)]
    if not at_work:
        return {}
    return {key: air.fire for key, air in kept_air(at_work).items()}


def _kept(state: State | None, sentence: Say) -> dict[str, Any]:
    return {"state": state.value if state else "", "said": say_to_json(sentence)}


def _line(kept: dict[str, Any]) -> KeptLine:
    state = State(kept["state"]) if kept["state"] else None
    return KeptLine(state=state, sentence=say_from_json(kept["said"]))


def _read(stored: dict[str, Any]) -> KeptAir:
    facts = KEPT_AIR.upgrade(stored)
    return KeptAir(
        fire=_line(facts["fire"]),
        lines=tuple(_line(each) for each in facts["lines"]),
        releases=tuple(
            Release(**{**each, "solvent": Solvent(**each["solvent"])})
            for each in facts["releases"]
        ),
        missing=tuple(facts["missing"]),
        mixed_l=facts["mixed_l"],
    )
