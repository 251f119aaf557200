"""A shop of bays and people in whole ticks, small enough to reason about."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from hypothesis import strategies as st

from jobs.scheduling.problem import (
    Activity,
    Choice,
    Due,
    Level,
    Link,
    Need,
    Placed,
    Plan,
    Problem,
    Resource,
    Span,
    late_after,
)


def of(*names: str, count: int = 1) -> Need:
    """Whoever of these may serve."""
    return Need(choices=tuple(Choice(resource=name) for name in names), count=count)


@dataclass(frozen=True, kw_only=True)
class Car:
    """Prep, film, look: each in a bay that is held throughout, each by a person."""

    key: str
    promise: int
    prep: int = 2
    film: int = 7
    look: int = 1
    arrives: int = 0
    bays: tuple[str, ...] = ("bay",)
    people: tuple[str, ...] = ("ann", "bob", "cyd")
    starts: int | None = None

    def activities(self) -> list[Activity]:
        sizes = {"prep": self.prep, "film": self.film, "look": self.look}
        return [
            Activity(
                key=f"{self.key} {stage}",
                job=self.key,
                size=size,
                needs=(of(*self.people),),
                starts=((self.arrives, 1000),) if stage == "prep" else None,
                fixed_start=self.starts if stage == "prep" else None,
            )
            for stage, size in sizes.items()
        ]

    def links(self) -> list[Link]:
        keys = [each.key for each in self.activities()]
        return [Link(before=one, after=other) for one, other in pairwise(keys)]

    def span(self) -> Span:
        first, last = f"{self.key} prep", f"{self.key} look"
        return Span(key=f"{self.key} stay", first=first, last=last, need=of(*self.bays))

    def due(self) -> Due:
        return Due(
            activity=f"{self.key} look",
            since=f"{self.key} prep",
            late_by_ready=late_after(self.promise),
        )


def shop(*cars: Car, horizon: int = 200, closed: dict | None = None) -> Problem:
    """These cars in one shop; `closed` says who or what is not there, and when."""
    closed = closed or {}
    names = {name for car in cars for name in (*car.bays, *car.people)}
    return Problem(
        name="why",
        horizon=horizon,
        activities=tuple(each for car in cars for each in car.activities()),
        links=tuple(each for car in cars for each in car.links()),
        resources=tuple(
            Resource(key=name, closed=tuple(closed.get(name, ())))
            for name in sorted(names)
        ),
        spans=tuple(car.span() for car in cars),
        dues=tuple(car.due() for car in cars),
        levels=(Level.LATE,),
    )


def plan_of(*rows: str) -> Plan:
    """A plan from rows such as `A prep 0-2 ann`."""
    placed = []
    for row in rows:
        *key, times, who = row.split()
        start, end = times.split("-")
        placed.append(
            Placed(key=" ".join(key), start=int(start), end=int(end), resources=(who,))
        )
    return Plan(placed=tuple(placed), levels=(), origin="by hand")


def car_rows(key: str, *, start: int, bay: str = "bay", who: str = "ann") -> list[str]:
    """A car of 2 + 7 + 1 ticks without a break."""
    return [
        f"{key} prep {start}-{start + 2} {who}",
        f"{key} film {start + 2}-{start + 9} {who}",
        f"{key} look {start + 9}-{start + 10} {who}",
        f"{key} stay {start}-{start + 10} {bay}",
    ]


@st.composite
def crowded_shops(draw: st.DrawFn) -> Problem:
    """A few cars, too few bays and people, somebody away."""
    bays = ("bay", "box")[: draw(st.integers(1, 2))]
    people = ("ann", "bob")[: draw(st.integers(1, 2))]
    few = st.integers(1, 4)
    cars = [
        Car(
            key=f"car {i}",
            prep=draw(few),
            film=draw(few),
            look=draw(few),
            arrives=draw(st.integers(0, 6)),
            promise=draw(st.integers(4, 22)),
            bays=bays,
            people=people,
        )
        for i in range(draw(st.integers(2, 5)))
    ]
    away = {
        name: [(begin, begin + draw(few))]
        for name in (*bays, *people)
        for begin in [draw(st.integers(0, 20))]
        if draw(st.booleans())
    }
    return shop(*cars, closed=away)
