"""What a plan reaches, how far that is proven, what the search gained (pure)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from jobs.plan.planned import Reached, ShopPlan
from jobs.scheduling.problem import Level
from shopapp.figures import Figure, computed, formula
from shopapp.say import Param, Say, say

GOALS = {
    Level.LATE: "Lateness",
    Level.CHANGE: "Change",
    Level.STAY: "Time in the shop",
    Level.MAKESPAN: "Time until all are ready",
}
GAINED = {
    Level.LATE: "The search found {gained} % less lateness than the quick plan.",
    Level.CHANGE: "The search found {gained} % less change than the quick plan.",
    Level.STAY: "The search found {gained} % less time in the shop than the quick"
    " plan.",
    Level.MAKESPAN: "The search found {gained} % less time than the quick plan.",
}
MOST_GAP_PCT = 99
"""A bound that excludes next to nothing is none."""


@dataclass(frozen=True, kw_only=True)
class Goal:
    """One goal in sentences.

    value   what the plan reaches, where it can be said in words
    proof   how far that is proven
    gained  what the search gained over the quick plan
    gap, gain  the figures in `proof` and `gained`, which open
    """

    name: str
    value: Say | None
    proof: Say | None
    gained: Say | None
    gap: Figure | None
    gain: Figure | None


@formula("plan.gap")
def gap_pct(*, value: int, bound: int) -> int:
    """How much of a goal's value no proof yet excludes to be saved.

        gap = (value - bound) / value x 100, rounded up to a whole per cent

    value  what the plan has, above 0
    bound  what no plan can go below, 0 to `value`
    Not for: two goals together; each is searched with those before it held.
    Source: definition of the relative gap; the search proves the bound.

    >>> gap_pct(value=200, bound=190)
    5
    """
    if value <= 0 or not 0 <= bound <= value:
        raise ValueError("a bound lies between 0 and a value above 0")
    return -(-(value - bound) * 100 // value)


@formula("plan.gained")
def gained_pct(*, first: int, value: int) -> float:
    """How much less of a goal the plan has than the quick plan it began with.

        gained = (first - value) / first x 100

    first  what the quick plan has, above 0
    value  what the plan has, 0 to `first`
    Not for: a goal that grew so that one before it could shrink.
    Source: definition; plain arithmetic.

    >>> gained_pct(first=200, value=150)
    25.0
    """
    if first <= 0 or not 0 <= value <= first:
        raise ValueError("a gain lies between 0 and the first value")
    return (first - value) / first * 100


def goals(plan: ShopPlan) -> tuple[Goal, ...]:
    """Goal by goal, in the order in which they count."""
    return tuple(_goal(reached, plan) for reached in plan.reached)


def _goal(reached: Reached, plan: ShopPlan) -> Goal:
    level = Level(reached.level)
    is_perfect = level is Level.LATE and reached.value == 0
    gap = None if is_perfect else _gap(reached)
    gain = _gain(reached)
    return Goal(
        name=GOALS[level],
        value=late_said(plan) if level is Level.LATE else None,
        proof=None if is_perfect else _proof(reached, gap),
        gained=say(GAINED[level], gained=round(gain.value)) if gain else None,
        gap=gap,
        gain=gain,
    )


def late_said(plan: ShopPlan) -> Say:
    """How many cars are late, by how much together, and how many have no place."""
    late = [car.late_min for car in plan.cars if car.late_min > 0]
    out = len(plan.unplaced)
    known: dict[str, Param] = {
        "out": "1 car" if out == 1 else f"{out} cars",
        "number": len(late),
        "time": hours_said(sum(late)),
    }
    text = _LATE[min(len(late), 2)][bool(out)]
    return say(text, **{name: known[name] for name in known if f"{{{name}}}" in text})


_LATE = (
    (
        "no promise is missed",
        "{out} cannot be planned; no promise of the others is missed",
    ),
    ("1 car late by {time}", "{out} cannot be planned; 1 car late by {time}"),
    (
        "{number} cars late, together {time}",
        "{out} cannot be planned; {number} cars late, together {time}",
    ),
)
"""For none, one and several late cars: all are planned, or some are not."""


def hours_said(minutes: int) -> str:
    """Minutes of opening time: "45 min", "8 h", "2 h 30 min"."""
    hours, rest = divmod(minutes, 60)
    parts = (f"{hours} h" if hours else "", f"{rest} min" if rest else "")
    return " ".join(part for part in parts if part) or "0 min"


def proof_so_far(progress: Mapping[str, Any]) -> Say | None:
    """How far the lateness is proven while the search goes on; None: not yet."""
    value, bound = progress.get("value"), progress.get("bound")
    if progress.get("level") != Level.LATE.value or value is None or bound is None:
        return None
    reached = Reached(level=Level.LATE.value, value=value, bound=bound, is_proven=False)
    gap = _gap(reached)
    return _proof(reached, gap) if gap else None


def _gap(reached: Reached) -> Figure | None:
    if reached.is_proven or reached.bound is None:
        return None
    if not 0 <= reached.bound < reached.value:
        return None
    gap = computed(gap_pct, "pct", value=reached.value, bound=reached.bound)
    return gap if gap.value <= MOST_GAP_PCT else None


def _proof(reached: Reached, gap: Figure | None) -> Say:
    if reached.is_proven:
        return say("Proven: no plan does better.")
    if gap is None:
        return say("Not yet proven.")
    return say("At most {gap} % could still be gained.", gap=round(gap.value))


def _gain(reached: Reached) -> Figure | None:
    if not reached.first or not 0 <= reached.value < reached.first:
        return None
    return computed(gained_pct, "pct", first=reached.first, value=reached.value)
