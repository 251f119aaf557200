"""A plan of a shop week recounted on the real clock, straight from the instance.

It knows nothing of `jobs.scheduling.axis`: it lists every open quarter hour and counts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from jobs.scheduling.problem import Placed

WEEK = [range(32, 72)] * 5 + [range(32, 52), range(0)]
ORDER = ["intake", "prep", "install", "inspect", "cure"]
KIND = {"cure": "hold"}


@dataclass(frozen=True, kw_only=True)
class Recount:
    """What the real clock says.

    late      weighted lateness in open ticks
    stay      open ticks from intake to ready, and to the last end
    vehicles  who is late
    troubles  what the plan breaks
    """

    late: int
    stay: int
    vehicles: tuple[str, ...]
    troubles: tuple[str, ...]


def real_axis_values(instance: dict, placed: Iterable[Placed]) -> Recount:
    """The plan's values and troubles, tick by real tick."""
    opened = _open_ticks(instance)
    shop = _Shop(instance, opened, {one.key: one for one in placed})
    late, stay, last, vehicles = 0, 0, 0, []
    for vehicle in instance["vehicles"]:
        ready = shop.ready(vehicle)
        after = sum(vehicle["promise"] <= tick < ready for tick in opened)
        if ready > vehicle["promise"]:
            late += vehicle["weight"] * max(1, after)
            vehicles.append(vehicle["id"])
        begun = opened[shop.at[f"{vehicle['id']}.intake"].start]
        stay += sum(begun <= tick < ready for tick in opened)
        last = max(last, *(one.end for one in shop.stages(vehicle)))
    return Recount(
        late=late,
        stay=stay + last,
        vehicles=tuple(vehicles),
        troubles=tuple(shop.troubles()),
    )


def _open_ticks(instance: dict) -> list[int]:
    if "openings" in instance:
        return sorted(t for a, b in instance["openings"] for t in range(a, b))
    days = 4 * instance.get("days", 60)
    return [day * 96 + tick for day in range(days) for tick in WEEK[day % 7]]


class _Shop:
    def __init__(self, instance: dict, opened: list[int], at: dict) -> None:
        self.instance, self.opened, self.at = instance, opened, at

    def stages(self, vehicle: dict) -> list[Placed]:
        names = ORDER if vehicle["hold"] else ORDER[:-1]
        return [self.at[f"{vehicle['id']}.{stage}"] for stage in names]

    def ready(self, vehicle: dict) -> int:
        """The first opening moment at or after the end of cure."""
        if vehicle["hold"]:
            cured = self.opened[self.at[f"{vehicle['id']}.cure"].start]
        else:
            cured = self.opened[self.at[f"{vehicle['id']}.inspect"].end - 1] + 1
        cured += vehicle["cure"]
        return min(tick for tick in self.opened if tick >= cured)

    def real(self, one: Placed) -> tuple[int, int, list[int]]:
        """When it begins and stops, and its real ticks of work."""
        work = self.opened[one.start : one.end]
        return work[0], work[-1] + 1, work

    def troubles(self) -> Iterator[str]:
        taken: Counter[tuple[str, int]] = Counter()
        for vehicle in self.instance["vehicles"]:
            stages = self.stages(vehicle)
            names = [one.key.rpartition(".")[2] for one in stages]
            since = vehicle["arrive"]
            for name, one in zip(names, stages, strict=True):
                start, end, work = self.real(one)
                if start < since:
                    yield f"{one.key} begins too soon"
                since = end
                yield from self._size(vehicle, name, one)
                yield from self._served(vehicle, name, one)
                if name in ("install", "cure"):
                    # Bay and people stay taken through the night.
                    work = list(range(start, end))
                for who in one.resources:
                    taken.update((who, tick) for tick in work)
                    for first, until in self.instance["absent"].get(who, []):
                        if any(first <= tick < until for tick in work):
                            yield f"{one.key}: {who} is absent"
        yield from (f"{key} is taken twice" for key, used in taken.items() if used > 1)

    def _size(self, vehicle: dict, name: str, one: Placed) -> Iterator[str]:
        start, end, work = self.real(one)
        if name == "cure":
            if work[-1] + 1 > self.ready(vehicle) or one.end != self.opened.index(
                self.ready(vehicle)
            ):
                yield f"{one.key} does not end when it is cured"
            return
        size = vehicle.get(name, {"intake": 2, "inspect": 3}.get(name))
        size = self.instance.get(name, size) if name not in vehicle else size
        if len(work) != size:
            yield f"{one.key} takes {len(work)}, not {size}"
        if name != "install" and end - start != size:
            yield f"{one.key} crosses closing time"

    def _served(self, vehicle: dict, name: str, one: Placed) -> Iterator[str]:
        people, bays = self.instance["people"], self.instance["bays"]
        crew = [who for who in one.resources if who in people]
        places = [who for who in one.resources if who in bays]
        wanted = {"install": vehicle["crew"], "cure": 0}.get(name, 1)
        if len(crew) != wanted or any(name not in people[who] for who in crew):
            yield f"{one.key} has the wrong people"
        kinds = [bays[place] for place in places]
        if kinds != ([] if name == "inspect" else [KIND.get(name, name)]):
            yield f"{one.key} is in the wrong bay"
