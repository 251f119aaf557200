"""One search of the engine, watched from the caller's own thread (pure)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, isfinite
from threading import Event, Thread
from time import monotonic
from typing import Any

from jobs.scheduling.engine import engine
from jobs.scheduling.problem import Level, Progress, Settings

LOOK_EVERY_SECONDS = 0.1
TELL_EVERY_SECONDS = 0.4
SEARCHES = (
    *("quick_restart_no_lp", "objective_lb_search_no_lp", "max_lp"),
    *("quick_restart", "reduced_costs", "pseudo_costs"),
)
"""The engine's names of its searches with more workers; with two the first one runs."""
SUMS = {Level.CHANGE, Level.STAY}
"""Goals that are a sum over all: their bound comes from linear relaxations."""
NO_END = 10**9
"""Seconds that stand for no limit."""


@dataclass(frozen=True, kw_only=True)
class Found:
    """What a search came to.

    read  the value of an expression in the plan found; None: no time to find one
    """

    read: Callable[[Any], int] | None
    bound: int
    is_impossible: bool = False
    is_cancelled: bool = False


@dataclass(kw_only=True)
class _Heard:
    """What the engine's own threads tell, for the thread that looks."""

    value: int | None = None
    bound: int | None = None
    solutions: int = 0

    def better_bound(self, bound: float) -> None:
        self.bound = _whole(bound)

    def better_value(self, value: float) -> None:
        self.value = round(value)
        self.solutions += 1


def hint(model: Any, goal: Any, known: list[tuple[Any, int]]) -> None:
    """Hints every variable, from the values of some.

    A hint that leaves Booleans open is hardly one: the engine's first answer then
    comes out far worse than what was hinted.
    """
    model.clear_hints()
    # The engine keeps one variable for equal constants, and refuses to be told twice.
    for variable, value in {
        each.index: (each, value) for each, value in known
    }.values():
        model.add_hint(variable, value)
    model.minimize(goal)
    solver = engine().CpSolver()
    solver.parameters.fix_variables_to_their_hinted_value = True
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = 5.0
    if solver.solve(model) not in (engine().OPTIMAL, engine().FEASIBLE):
        return
    model.clear_hints()
    for at, value in enumerate(solver.response_proto.solution):
        model.add_hint(model.get_int_var_from_proto_index(at), value)


def search(
    model: Any, *, level: Level, settings: Settings, seconds: float, floor: int
) -> Found:
    """Minimizes the model's goal; the engine works beside, this thread looks on.

    floor  a bound that is known without a search
    """
    solver, heard = engine().CpSolver(), _Heard()
    _set(solver.parameters, level, settings, seconds)
    solver.best_bound_callback = heard.better_bound
    status: list[Any] = []
    done = Event()

    def work() -> None:
        try:
            status.append(solver.solve(model, _listener(heard.better_value)))
        finally:
            done.set()

    thread = Thread(target=work, daemon=True)
    thread.start()
    cancelled = False
    try:
        cancelled = _watch(done, solver, heard, level, settings)
    finally:
        while not done.wait(LOOK_EVERY_SECONDS):
            solver.stop_search()
        thread.join()
    if not status:
        raise RuntimeError("the engine stopped with an error of its own")
    found = status[0] in (engine().OPTIMAL, engine().FEASIBLE)
    bound = _whole(solver.best_objective_bound) if found else heard.bound
    return Found(
        read=solver.value if found else None,
        bound=max(floor, floor if bound is None else bound),
        is_impossible=status[0] == engine().INFEASIBLE,
        is_cancelled=cancelled,
    )


def _watch(
    done: Event, solver: Any, heard: _Heard, level: Level, settings: Settings
) -> bool:
    """Tells of progress and asks whether to stop, until the engine is done."""
    begun = told = monotonic()
    cancelled = False
    while not done.wait(LOOK_EVERY_SECONDS):
        if cancelled or (settings.cancelled and settings.cancelled()):
            cancelled = True
            solver.stop_search()
        now = monotonic()
        if settings.progress and now - told >= TELL_EVERY_SECONDS:
            told = now
            settings.progress(
                Progress(
                    level=level,
                    value=heard.value,
                    bound=heard.bound,
                    seconds=now - begun,
                    solutions=heard.solutions,
                )
            )
    return cancelled


def _set(parameters: Any, level: Level, settings: Settings, seconds: float) -> None:
    """How to search, as measured with `tests.bench.scheduling`.

    A makespan is proven several times sooner without linear relaxations, a sum hardly
    without. Looking for a first answer by feasibility jumps is waste, there is one.
    The least lateness is mostly what each promise costs alone: trying for the bound
    itself comes to it in half the time, where on a makespan it would never end.
    """
    first = ["default_lp", "no_lp"] if level in SUMS else ["no_lp", "default_lp"]
    parameters.subsolvers.extend([*first, *SEARCHES])
    parameters.linearization_level = int(level in SUMS)
    parameters.use_feasibility_jump = False
    parameters.num_violation_ls = 0
    parameters.use_objective_lb_search = level is Level.LATE
    parameters.cp_model_probing_level = 0 if level is Level.LATE else 2
    parameters.random_seed = settings.seed
    parameters.num_workers = settings.workers
    parameters.max_time_in_seconds = max(0.01, seconds)
    parameters.relative_gap_limit = settings.gap
    if settings.deterministic is not None:
        parameters.max_deterministic_time = settings.deterministic


def _listener(heard: Callable[[float], None]) -> Any:
    """The engine's callback; its class is made here, since its base is loaded late."""

    class Listener(engine().CpSolverSolutionCallback):  # type: ignore[misc]
        def on_solution_callback(self) -> None:
            heard(self.objective_value)

    return Listener()


def _whole(bound: float) -> int | None:
    """A bound on whole numbers, rounded up; None where there is none."""
    return ceil(bound - 1e-6) if isfinite(bound) and abs(bound) < NO_END * 1e6 else None
