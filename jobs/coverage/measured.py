"""Which measured panel is meant for a car: by make, model, body and years (pure)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.coverage.blanks import PanelSize
from jobs.coverage.catalogue import Body


@dataclass(frozen=True, kw_only=True)
class Car:
    """The car that a size is wanted for; an empty make or year is not known."""

    make: str
    model: str
    body: Body
    year: int | None


@dataclass(frozen=True, kw_only=True)
class MeasuredSize:
    """A panel that the shop has measured, and the cars that it is meant for.

    make                whose model it is; empty if nobody said
    year_from, year_to  first and last year; None leaves that end open
    """

    panel: str
    length_mm: int
    width_mm: int
    make: str
    model: str
    body: Body
    year_from: int | None
    year_to: int | None

    def is_for(self, car: Car) -> bool:
        """Whether it is a panel of such a car. What is not known does not speak
        against it.

        >>> hood = MeasuredSize(panel="hood", length_mm=1100, width_mm=1500, make="",
        ...     model="Comet", body=Body.SEDAN, year_from=2019, year_to=2022)
        >>> [hood.is_for(Car(make="Alder", model="comet", body=Body.SEDAN, year=year))
        ...  for year in (2018, 2019, 2023, None)]
        [False, True, False, True]
        """
        if _same(self.model) != _same(car.model) or self.body is not car.body:
            return False
        if self.make and car.make and _same(self.make) != _same(car.make):
            return False
        if car.year is None:
            return True
        first, last = self.year_from or car.year, self.year_to or car.year
        return first <= car.year <= last

    @property
    def cars(self) -> str:
        """The cars in words: "Alder Comet 2019 to 2022"."""
        name = f"{self.make} {self.model}".strip()
        first, last = self.year_from, self.year_to
        if first == last:
            return f"{name} {first}" if first else name
        if first and last:
            return f"{name} {first} to {last}"
        return f"{name} from {first}" if first else f"{name} up to {last}"

    @property
    def size(self) -> PanelSize:
        """As blanks take it."""
        return PanelSize(
            length_mm=self.length_mm,
            width_mm=self.width_mm,
            basis="measured",
            note=self.cars,
        )

    def _closeness(self, car: Car) -> tuple[bool, bool]:
        years = self.year_from is not None or self.year_to is not None
        return (bool(self.make and car.make), years and car.year is not None)


def _same(name: str) -> str:
    return " ".join(name.casefold().split())


def sizes_on(car: Car, sizes: Iterable[MeasuredSize]) -> dict[str, PanelSize]:
    """The measured size of each panel of a car: the closest one, then the newest.

    sizes  from old to new
    A size for this make beats one of any make, one for these years one of any year.
    """
    best: dict[str, MeasuredSize] = {}
    for size in sizes:
        if not size.is_for(car):
            continue
        before = best.get(size.panel)
        if before is None or size._closeness(car) >= before._closeness(car):
            best[size.panel] = size
    return {panel: size.size for panel, size in best.items()}
