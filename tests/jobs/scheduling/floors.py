"""Small problems, and the ways in which one problem is turned into another."""

from __future__ import annotations

from dataclasses import replace

from jobs.scheduling import (
    Activity,
    Choice,
    Due,
    Level,
    Link,
    Need,
    Plan,
    Problem,
    Resource,
    Run,
    Settings,
    late_after,
    solve,
)

TESTED = Settings(workers=1, deterministic=2.0, seconds=60.0)
"""One worker and a limit that hangs on no clock; the seconds are only a net."""


def proven(problem: Problem, settings: Settings = TESTED) -> Plan:
    """A plan of which every level is proven."""
    plan = solve(problem, settings)
    assert all(level.is_proven for level in plan.levels), plan.levels
    return plan


def values(plan: Plan) -> tuple[int, ...]:
    return tuple(level.value for level in plan.levels)


def one_bay(jobs, *, weights=None, dues=None, horizon=200) -> Problem:
    """Jobs of one piece of work each in one bay: sizes by key."""
    return Problem(
        name="one bay",
        horizon=horizon,
        activities=tuple(
            Activity(key=key, job=key, size=size, needs=(need("bay"),))
            for key, size in jobs.items()
        ),
        resources=(Resource(key="bay"),),
        dues=tuple(
            Due(
                activity=key,
                since=key,
                late_by_ready=late_after((dues or {}).get(key, 0)),
                weight=(weights or {}).get(key, 1),
            )
            for key in jobs
        ),
        levels=(Level.LATE,),
    )


def need(*resources, count=1) -> Need:
    return Need(choices=tuple(Choice(resource=each) for each in resources), count=count)


def shop(cars, *, bays=2, people=2, day=10, nights=(), horizon=120) -> Problem:
    """Cars of (arrives, prep, install, promise, weight); prep does not cross a day."""
    bay_keys = [f"bay {at}" for at in range(bays)]
    who = [f"person {at}" for at in range(people)]
    activities, links, dues = [], [], []
    for at, (arrives, prep, install, promise, weight) in enumerate(cars):
        job = f"car {at}"
        days = range(0, horizon, day)
        starts = tuple(
            (max(first, arrives), first + day - prep + 1)
            for first in days
            if max(first, arrives) < first + day - prep + 1
        )
        activities += [
            Activity(
                key=f"{job} prep",
                job=job,
                size=prep,
                needs=(need(*who),),
                starts=starts,
            ),
            Activity(
                key=f"{job} install",
                job=job,
                size=install,
                needs=(need(*bay_keys), need(*who)),
                starts=((arrives, horizon),),
            ),
        ]
        links.append(Link(before=f"{job} prep", after=f"{job} install"))
        dues.append(
            Due(
                activity=f"{job} install",
                since=f"{job} prep",
                late_by_ready=late_after(promise),
                weight=weight,
            )
        )
    return Problem(
        name="shop",
        horizon=horizon,
        activities=tuple(activities),
        links=tuple(links),
        resources=tuple(Resource(key=each) for each in bay_keys)
        + tuple(Resource(key=each, closed=tuple(nights)) for each in who),
        dues=tuple(dues),
        levels=(Level.LATE, Level.STAY),
    )


def stretched(problem: Problem, times: int) -> Problem:
    """Every tick of a problem becomes so many ticks."""

    def table(runs):
        return runs and tuple(
            Run(first=run.first * times, value=run.value * times, rise=run.rise)
            for run in runs
        )

    def longer(interval):
        return interval[0] * times, interval[1] * times

    def starts(windows):
        # The last start allowed is one before the end of a window.
        return windows and tuple((a * times, (b - 1) * times + 1) for a, b in windows)

    return replace(
        problem,
        horizon=problem.horizon * times,
        activities=tuple(
            replace(
                each,
                size=each.size * times,
                starts=starts(each.starts),
                end_by_start=table(each.end_by_start),
            )
            for each in problem.activities
        ),
        links=tuple(
            replace(each, lag=each.lag * times, start_by_end=table(each.start_by_end))
            for each in problem.links
        ),
        resources=tuple(
            replace(each, closed=tuple(longer(shut) for shut in each.closed))
            for each in problem.resources
        ),
        dues=tuple(
            replace(
                each,
                late_by_ready=table(each.late_by_ready),
                ready_by_end=table(each.ready_by_end),
            )
            for each in problem.dues
        ),
    )


def later(problem: Problem, ticks: int) -> Problem:
    """Everything so many ticks later; nothing may begin before."""

    def table(runs):
        moved = tuple(replace(run, first=run.first + ticks) for run in runs)
        before = () if moved[0].rise == 0 else (Run(first=0, value=0, rise=0),)
        first = replace(moved[0], first=0) if not before else moved[0]
        return (*before, first, *moved[1:])

    return replace(
        problem,
        horizon=problem.horizon + ticks,
        activities=tuple(
            replace(
                each,
                starts=tuple(
                    (a + ticks, b + ticks)
                    for a, b in each.starts or ((0, problem.horizon + 1),)
                ),
            )
            for each in problem.activities
        ),
        resources=tuple(
            replace(each, closed=tuple((a + ticks, b + ticks) for a, b in each.closed))
            for each in problem.resources
        ),
        dues=tuple(
            replace(each, late_by_ready=table(each.late_by_ready))
            for each in problem.dues
        ),
    )
