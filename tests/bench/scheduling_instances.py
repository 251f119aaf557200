"""Published shop floors from a file; whatever is wrong with one is said in a sentence.

The formats are those of `tests/cases/scheduling/*.json`: `{"kind": "jsp", "instances":
[{"name": "ft06", "jobs": [[[2, 1], [0, 3]]], "best_known": {"lower": 55}}]}`, each
described by its own "format". `kind` is "jsp", "fjsp", "rcpsp" or "shop". A reader here
only makes a `Problem`; what plans it never learns where it came from.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from jobs.scheduling import Activity, Choice, Link, Need, Problem, Resource
from tests.bench.scheduling_shop import shop_problem

CASES = Path(__file__).parent.parent / "cases" / "scheduling"


class NotAnInstance(ValueError):  # noqa: N818 - a sentence for whoever wrote the file
    """What is wrong with a file or an instance."""


@dataclass(frozen=True, kw_only=True)
class Instance:
    """A problem, and between what its best value is known to lie."""

    name: str
    problem: Problem
    lower: int = 0
    upper: int | None = None


def read_instances(path: Path) -> tuple[list[Instance], list[str]]:
    """The instances that can be run, and a sentence for everything else."""
    try:
        known = json.loads(path.read_text(encoding="utf-8-sig"))
    except FileNotFoundError:
        raise NotAnInstance(f"There is no file {path}.") from None
    except (OSError, UnicodeDecodeError) as error:
        raise NotAnInstance(f"{path} cannot be read as UTF-8 text: {error}.") from None
    except json.JSONDecodeError as error:
        raise NotAnInstance(f"{path} is not JSON: {error}.") from None
    rows = known.get("instances") if isinstance(known, dict) else known
    if not isinstance(rows, list):
        raise NotAnInstance(f'{path} has no list under "instances".')
    kind = known.get("kind") if isinstance(known, dict) else None
    good: list[Instance] = []
    said: list[str] = []
    for at, row in enumerate(rows, 1):
        try:
            good.append(read_instance(row, kind=kind, name=f"instance {at}"))
        except NotAnInstance as problem:
            said.append(f"Left out: {problem}")
    return good, said


def read_instance(row: object, *, kind: object, name: str) -> Instance:
    """One instance; NotAnInstance says what is wrong."""
    if not isinstance(row, dict):
        raise NotAnInstance(f"{name} is no object with keys.")
    name = str(row.get("name", name))
    reader = READERS.get(str(row.get("kind", kind)))
    if reader is None:
        kinds = ", ".join(sorted(READERS))
        raise NotAnInstance(f"{name}: kind is none of {kinds}.")
    try:
        problem = reader(row, name)
        lower, upper = _known(row.get("best_known"))
    except (KeyError, TypeError, ValueError, IndexError, AttributeError) as error:
        what = f"{type(error).__name__}: {error}"
        raise NotAnInstance(f"{name} cannot be read ({what}).") from None
    return Instance(name=name, problem=problem, lower=lower, upper=upper)


def _known(best: object) -> tuple[int, int | None]:
    if isinstance(best, int):
        return best, best
    if not isinstance(best, dict):
        return 0, None
    lower, upper = best.get("lower"), best.get("upper")
    return int(lower or 0), None if upper is None else int(upper)


def _job_shop(row: dict, name: str) -> Problem:
    """A job shop is a flexible one with one choice everywhere."""
    jobs = [[[operation] for operation in job] for job in row["jobs"]]
    return _flexible_job_shop({**row, "jobs": jobs}, name)


def _flexible_job_shop(row: dict, name: str) -> Problem:
    activities, links = [], []
    machines = set()
    for j, job in enumerate(row["jobs"]):
        for k, choices in enumerate(job):
            # The same machine twice: only its shorter time can be of use.
            times: dict[str, int] = {}
            for machine, time in choices:
                times[str(machine)] = min(_ticks(time), times.get(str(machine), 10**9))
            machines |= set(times)
            need = Need(
                choices=tuple(
                    Choice(resource=each, size=times[each]) for each in sorted(times)
                )
            )
            key = f"{j:04}-{k:04}"
            size = max(times.values())
            activities.append(
                Activity(key=key, job=f"{j:04}", size=size, needs=(need,))
            )
            if k:
                links.append(Link(before=f"{j:04}-{k - 1:04}", after=key))
    return Problem(
        name=name,
        horizon=sum(each.size for each in activities),
        activities=tuple(activities),
        links=tuple(links),
        resources=tuple(Resource(key=each) for each in sorted(machines)),
    )


def _project(row: dict, name: str) -> Problem:
    """Activities are counted from 1 in `successors`."""
    durations = [_ticks(each) for each in row["durations"]]
    keys = [f"{at:04}" for at in range(1, len(durations) + 1)]
    activities = tuple(
        Activity(
            key=key,
            job=key,
            size=duration,
            needs=tuple(
                Need(choices=(Choice(resource=f"R{r}"),), demand=int(demand))
                for r, demand in enumerate(demands)
                if demand and duration
            ),
        )
        for key, duration, demands in zip(keys, durations, row["demands"], strict=True)
    )
    return Problem(
        name=name,
        horizon=sum(durations),
        activities=activities,
        links=tuple(
            Link(before=key, after=f"{int(after):04}")
            for key, then in zip(keys, row["successors"], strict=True)
            for after in then
        ),
        resources=tuple(
            Resource(key=f"R{r}", capacity=int(capacity))
            for r, capacity in enumerate(row["capacity"])
        ),
    )


def _ticks(time: object) -> int:
    if not isinstance(time, int) or time < 0:
        raise ValueError(f"{time!r} is no duration")
    return time


READERS: dict[str, Callable[[dict, str], Problem]] = {
    "jsp": _job_shop,
    "fjsp": _flexible_job_shop,
    "rcpsp": _project,
    "shop": shop_problem,
}
