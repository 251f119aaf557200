"""The quick plan: list scheduling by a handful of rules, the best one stands (pure).

No single rule wins everywhere and one schedule costs milliseconds, so all run; while
time is left, the best two run again with a few per cent of noise on their keys.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from time import perf_counter

from jobs.draw import Draw
from jobs.scheduling.blocks import Floor
from jobs.scheduling.draft import Draft
from jobs.scheduling.hashing import problem_hash
from jobs.scheduling.orders import Order, orders, settled
from jobs.scheduling.problem import (
    Fault,
    Level,
    LevelResult,
    NoPlanError,
    Placed,
    Plan,
    Problem,
    Status,
)
from jobs.scheduling.ready_check import faults
from jobs.scheduling.serial import StuckError, build
from jobs.scheduling.settle import go_home, settle
from jobs.scheduling.values import level_values

STUCK_TRIES = 40
"""Shaken orders tried, whatever the time, while none has led to a plan."""

MOST_LEADERS = 20
"""Steps that may go before the others because they were stuck behind them."""

MOST_ROUNDS = 3
"""Times that a plan is pushed back and forth; textbook justification, from memory."""


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
    search = _Search(Floor(problem))
    rules = orders(search.floor)
    for rule in rules:
        search.run(rule)
    if search.best is None:
        search.unstick([rule for rule in rules if not rule.waits])
    for tried, order in enumerate(_shaken(search.best_orders() or rules, seed)):
        is_over = perf_counter() - began >= seconds
        if is_over and (search.best is not None or tried >= STUCK_TRIES):
            break
        search.run(order if search.best else replace(order, whim=tried + 1))
    if search.best is None:
        raise NoPlanError((search.stuck[0],))
    return _plan(problem, search.best, seed=seed, seconds=perf_counter() - began)


def _shaken(rules: tuple[Order, ...], seed: int) -> Iterator[Order]:
    """These rules again and again, with noise."""
    draw = Draw(seed)
    while True:
        for rule in rules:
            yield rule.shaken(draw)


class _Search:
    """The best plan so far, and what each rule was worth."""

    def __init__(self, floor: Floor) -> None:
        self.floor = floor
        self.best: Found | None = None
        self.stuck: list[Fault] = []
        self.worth: list[tuple[tuple[int, ...], Order]] = []

    def best_orders(self) -> tuple[Order, ...]:
        """The two best rules."""
        ranked = sorted(self.worth, key=lambda one: one[0])
        return tuple(order for _, order in ranked[:2])

    def run(self, order: Order) -> None:
        """A plan by one rule, and what settling makes of it."""
        draft = self._built(order)
        if draft is None:
            return
        values = self._keep(draft, order)
        self.worth.append((values, order))
        levels = self.floor.problem.levels
        if levels == (Level.MAKESPAN,):
            self._back_and_forth(draft, order, values)
        elif self.best and values[0] <= self.best.values[0]:
            if Level.CHANGE in levels and self.floor.old:
                go_home(draft)
                self._keep(draft, order)
            if Level.STAY in levels:
                settle(draft)
                self._keep(draft, order)

    def unstick(self, rules: Sequence[Order]) -> None:
        """What was stuck goes before the others: it may begin at few ticks alone."""
        steps: list[int] = []
        while self.best is None and len(steps) < MOST_LEADERS:
            stuck = self.floor.step_of(self.stuck[-1].about[0])
            if steps[:1] == [stuck]:
                return
            steps.insert(0, stuck)
            self.run(rules[0].led_by(self.floor, steps))
        for rule in rules[1:] if self.best else ():
            self.run(rule.led_by(self.floor, steps))

    def _back_and_forth(
        self, draft: Draft, order: Order, values: tuple[int, ...]
    ) -> None:
        """All as late as it may, then built anew in that order, while that gains."""
        for _ in range(MOST_ROUNDS):
            settle(draft, all_of_it=True)
            order = settled(self.floor, order, draft.starts())
            again = self._built(order)
            if again is None:
                return
            gained = self._keep(again, order)
            if gained >= values:
                return
            draft, values = again, gained

    def _built(self, order: Order) -> Draft | None:
        for late in (True, False):
            try:
                key = order.key(self.floor)
                return build(
                    self.floor, key, late=late, keep=order.keep, whim=order.whim
                )
            except StuckError as error:
                self.stuck.append(error.fault)
        return None

    def _keep(self, draft: Draft, order: Order) -> tuple[int, ...]:
        placed = draft.placed()
        values = level_values(self.floor.problem, placed)
        if self.best is None or values < self.best.values:
            self.best = Found(values=values, order=order, placed=placed)
        return values


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
