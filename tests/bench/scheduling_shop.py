"""Made-up shop weeks as problems on the axis of opening time.

The format is told in `tests/cases/scheduling/shop.json`. Beyond it an instance may name
its "openings" (real [open, close] ticks), and ticks for "intake" and "inspect" (for all
or for a vehicle); an instance on a finer clock needs them.
"""

from __future__ import annotations

from jobs.scheduling.axis import Axis
from jobs.scheduling.problem import (
    Activity,
    Choice,
    Due,
    Interval,
    Level,
    Link,
    Need,
    Problem,
    Resource,
)

DAY = 96
HOURS = ((32, 72),) * 5 + ((32, 52),)
"""Of Monday to Saturday, in quarter hours from midnight."""
STAGES = ("intake", "prep", "install", "inspect")
SIZES = {"intake": 2, "inspect": 3}
PAUSED = {"install"}
IN_A_BAY = {"intake", "prep", "install"}


def shop_problem(instance: dict, name: str = "") -> Problem:
    """The instance; KeyError, TypeError or ValueError where it is none."""
    axis = Axis(opening_hours(instance))
    if not axis.size:
        raise ValueError("the shop never opens")
    is_own = "openings" in instance
    horizon = axis.size if is_own else axis.ceil(_days(instance) * DAY)
    return Problem(
        name=name or str(instance["name"]),
        horizon=horizon,
        activities=tuple(
            activity
            for vehicle in instance["vehicles"]
            for activity in _activities(instance, vehicle, axis)
        ),
        links=tuple(
            Link(before=_key(vehicle, before), after=_key(vehicle, after))
            for vehicle in instance["vehicles"]
            for before, after in _steps(vehicle)
        ),
        resources=_resources(instance, axis),
        dues=tuple(_due(vehicle, axis) for vehicle in instance["vehicles"]),
        levels=(Level.LATE, Level.STAY),
    )


def opening_hours(instance: dict) -> list[Interval]:
    """Real opening windows: the instance's own, else the week of the format.

    Twice as many days as the instance plans, and two weeks: whoever is late, or cures
    long, must still find an open shop.
    """
    if "openings" in instance:
        return [(int(first), int(until)) for first, until in instance["openings"]]
    return [
        (day * DAY + HOURS[day % 7][0], day * DAY + HOURS[day % 7][1])
        for day in range(2 * _days(instance) + 14)
        if day % 7 < len(HOURS)
    ]


def ticks_of(instance: dict, vehicle: dict, stage: str) -> int:
    """How long a stage takes."""
    size = vehicle.get(stage, instance.get(stage, SIZES.get(stage)))
    if size is None:
        raise KeyError(stage)
    return int(size)


def _days(instance: dict) -> int:
    latest = max((int(one["promise"]) for one in instance["vehicles"]), default=0)
    return int(instance.get("days", latest // DAY + 8))


def _key(vehicle: dict, stage: str) -> str:
    return f"{vehicle['id']}.{stage}"


def _steps(vehicle: dict) -> list[tuple[str, str]]:
    steps = list(zip(STAGES, STAGES[1:], strict=False))
    return [*steps, ("inspect", "cure")] if vehicle["hold"] else steps


def _activities(instance: dict, vehicle: dict, axis: Axis) -> list[Activity]:
    since = axis.ceil(int(vehicle["arrive"]))
    found = []
    for stage in STAGES:
        size = ticks_of(instance, vehicle, stage)
        windows = axis.paused if stage in PAUSED else axis.unbroken
        crew = int(vehicle["crew"]) if stage == "install" else 1
        needs = [Need(choices=_choices(instance["people"], stage), count=crew)]
        if stage in IN_A_BAY:
            needs.insert(0, Need(choices=_choices(instance["bays"], stage)))
        found.append(
            Activity(
                key=_key(vehicle, stage),
                job=str(vehicle["id"]),
                size=size,
                needs=tuple(needs),
                starts=windows(size, since=since),
            )
        )
    if vehicle["hold"]:
        found.append(
            Activity(
                key=_key(vehicle, "cure"),
                job=str(vehicle["id"]),
                size=0,
                needs=(Need(choices=_choices(instance["bays"], "hold")),),
                starts=axis.paused(0, since=since),
                end_by_start=axis.after_start(int(vehicle["cure"])),
            )
        )
    return found


def _choices(able: dict, what: str) -> tuple[Choice, ...]:
    """Bays of a kind, or people with a skill."""
    names = (
        name
        for name, known in able.items()
        if known == what or (isinstance(known, list) and what in known)
    )
    return tuple(Choice(resource=name) for name in sorted(names))


def _resources(instance: dict, axis: Axis) -> tuple[Resource, ...]:
    absent = instance.get("absent", {})
    return tuple(
        Resource(key=name, closed=axis.closed(map(tuple, absent.get(name, ()))))
        for name in sorted([*instance["people"], *instance["bays"]])
    )


def _due(vehicle: dict, axis: Axis) -> Due:
    is_held = bool(vehicle["hold"])
    return Due(
        activity=_key(vehicle, "cure" if is_held else "inspect"),
        since=_key(vehicle, "intake"),
        weight=int(vehicle["weight"]),
        late_by_ready=axis.late_by_start(int(vehicle["promise"])),
        ready_by_end=None if is_held else axis.after_end(int(vehicle["cure"])),
    )
