"""The plan as the rows of a list for a spreadsheet (pure)."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, tzinfo

from jobs.plan.planned import ShopPlan, in_time, merged
from jobs.plan.words import PART_WORDS

COLUMNS = (
    *("number", "work", "begins", "ends", "place", "people"),
    *("promised", "ready by the plan", "standing"),
)


def plan_rows(
    plan: ShopPlan,
    *,
    numbers: Mapping[str, str],
    names: Mapping[str, str],
    zone: tzinfo,
) -> list[tuple[str, ...]]:
    """The work of the plan in the order of time, in the shop's hours.

    Pieces of one work that follow each other are one row.

    numbers  a car's key to its order's number: no customer, no plate
    names    of places and people, by their keys
    """
    cars = {car.car: car for car in plan.cars}
    rows: list[tuple[str, ...]] = []
    keys = sorted({step.car for step in plan.steps})
    for step in in_time(one for key in keys for one in merged(plan.steps_of(key))):
        car = cars.get(step.car)
        rows.append(
            (
                numbers.get(step.car, step.car),
                PART_WORDS[step.part],
                _local(step.starts_at, zone),
                _local(step.ends_at, zone),
                names.get(step.spot, ""),
                ", ".join(names.get(key, key) for key in step.people),
                _local(car.promised_at, zone) if car else "",
                _local(car.ready_at, zone) if car else "",
                car.standing if car else "",
            )
        )
    return rows


def _local(moment: datetime, zone: tzinfo) -> str:
    return f"{moment.astimezone(zone):%Y-%m-%d %H:%M}"
