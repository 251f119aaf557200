"""The quick plan: list scheduling by a handful of rules, the best one stands (pure).

No single rule wins everywhere and one schedule costs milliseconds, so all run; while
time is left, the best two run again with a few per cent of noise on their keys.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import count
from time import perf_counter

from jobs.nesting.search import Draw
from jobs.scheduling.blocks import Floor
from jobs.scheduling.draft import Draft
from jobs.scheduling.hashing import problem_hash
from jobs.scheduling.orders import Order, orders
from jobs.scheduling.problem import (
    Fault,
    LevelResult,
    NoPlanError,
    Placed,
    Plan,
    Problem,
    Status,
)
from jobs.scheduling.ready_check import faults
from jobs.scheduling.serial import StuckError, build
from jobs.scheduling.values import level_values

STUCK_TRIES = 40
"""Shaken orders tried, whatever the time, while none has led to a plan."""


@dataclass(frozen=True, kw_only=True)
class Found:
    """A plan, the rule that made it and what it is worth; less is better."""

    values: tuple[int, ...]
    order: Order
    placed: tuple[Placed, ...]


def quick_plan(problem: Problem, *, seconds: float = 0.25, seed: int = 7) -> Plan:
    """A good plan at once, without an engine.

    seconds  how long to go on after the rules; 0: the rules alone
    seed     of the noise

    NoPlanError: what `faults` finds, or what a fixed start leaves no room for.
    """
    began = perf_counter()
    wrong = faults(problem)
    if wrong:
        raise NoPlanError(wrong)
    floor = Floor(problem)
    rules = orders(floor)
    stuck: list[Fault] = []
    found = [one for rule in rules if (one := _by(floor, rule, stuck))]
    found.sort(key=lambda one: one.values)
    best = found[0] if found else None
    shaken = [one.order for one in found[:2]] or list(rules)
    draw = Draw(seed)
    for tried in count():
        is_over = perf_counter() - began >= seconds
        if is_over and (best is not None or tried >= STUCK_TRIES):
            break
        more = _by(floor, shaken[tried % len(shaken)].shaken(draw), stuck)
        if more is not None and (best is None or more.values < best.values):
            best = more
    if best is None:
        raise NoPlanError((stuck[0],))
    return _plan(problem, best, seed=seed, seconds=perf_counter() - began)


def _by(floor: Floor, order: Order, stuck: list[Fault]) -> Found | None:
    """A plan by one rule; None, and why, if it leads to none."""
    for late in (True, False):
        try:
            draft = _built(floor, order, late=late)
        except StuckError as error:
            stuck.append(error.fault)
            continue
        placed = draft.placed()
        values = level_values(floor.problem, placed)
        return Found(values=values, order=order, placed=placed)
    return None


def _built(floor: Floor, order: Order, *, late: bool) -> Draft:
    def old_start(at: int) -> int:
        key = floor.steps[at].key
        return floor.old[key][0] if key in floor.old else 0

    not_before = old_start if order.at_old else None
    return build(floor, order.key(floor), late=late, not_before=not_before)


def _plan(problem: Problem, best: Found, *, seed: int, seconds: float) -> Plan:
    """The plan that stands; a value of 0 needs no proof."""
    levels = tuple(
        LevelResult(
            level=level,
            value=value,
            bound=None if value else 0,
            status=Status.FEASIBLE if value else Status.OPTIMAL,
            seconds=seconds,
        )
        for level, value in zip(problem.levels, best.values, strict=True)
    )
    return Plan(
        placed=best.placed,
        levels=levels,
        origin=best.order.name,
        first=best.values,
        problem_hash=problem_hash(problem),
        seed=seed,
        workers=1,
    )
