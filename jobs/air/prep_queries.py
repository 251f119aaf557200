"""Prep chemicals of a job: what was recorded, else the wipe that the shop usually does.

One home for the order's block, the countdown, the paper and the week ahead.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from django.db.models import Exists, OuterRef

from jobs.coverage.blanks import PanelSize, film_area_m2, panel_size
from jobs.coverage.catalogue import Body
from jobs.coverage.measured_queries import car_of, measured_on
from jobs.models import Booking, OrderPrepUse, Vehicle, WorkOrder
from mixing.models import (
    AirSettings,
    Chemical,
    StockContainer,
    Substance,
    air_settings,
)
from mixing.safety.request import PrepUse
from mixing.safety.rules import SafetyRules
from mixing.safety.wipe import wipe_figures
from mixing.shelf.data_sheet_queries import prep_use
from shopapp.figures import Figure

WIPES = (Substance.WIPE, Substance.ALCOHOL)
"""Recorded, one of these stands in the place of the usual wipe."""
OLD_FILM = ("film", "remov")
"""What the name of added work holds that takes off old film."""


@dataclass(frozen=True, kw_only=True)
class UsualWipe:
    """How the shop wipes a car before the film, and with what; None: no wipe known."""

    chemical: Chemical | None
    settings: AirSettings

    def figures(self, *, area_m2: float, panels: int) -> tuple[Figure, Figure]:
        """Amount and minutes for one car."""
        return wipe_figures(
            area_m2=area_m2,
            panels=panels,
            ml_per_m2=self.settings.wipe_ml_per_m2,
            min_per_panel=self.settings.wipe_min_per_panel,
        )


def usual_wipe(*, rules: SafetyRules) -> UsualWipe:
    """The wipe on the shelf that gives off most, else of those in the book."""
    on_shelf = StockContainer.objects.filter(chemical=OuterRef("pk"), retired_at=None)
    wipes = Chemical.objects.filter(substance=Substance.WIPE)
    book = list(wipes.annotate(is_held=Exists(on_shelf)))
    known = [each for each in book if each.is_held] or book
    return UsualWipe(
        chemical=max(known, key=lambda each: _share(each, rules), default=None),
        settings=air_settings(),
    )


def _share(chemical: Chemical, rules: SafetyRules) -> float:
    share = prep_use(chemical, litres=None, rules=rules).volatile_pct
    return 100.0 if share is None else share


def car_panels(car: WorkOrder | Booking) -> list[str]:
    """Panels of the car that get film."""
    rows = car.panels.all()
    return [p.panel for p in rows if getattr(p, "struck_off_at", None) is None]


def car_area_m2(
    vehicle: Vehicle,
    codes: Iterable[str],
    *,
    measured: Mapping[str, PanelSize] | None = None,
) -> float:
    """Film area of a car's panels.

    measured  as measured_on has it, where it was fetched already
    """
    on_car = measured_on(car_of(vehicle)) if measured is None else measured
    body = Body(vehicle.body)
    sizes = [
        panel_size(code, size_class=vehicle.size_class, body=body, measured=on_car)
        for code in codes
    ]
    return film_area_m2(sizes).value if sizes else 0.0


def wipe_of(order: WorkOrder, wipe: UsualWipe) -> tuple[Figure, Figure]:
    """Amount and minutes of one wipe of this car."""
    codes = car_panels(order)
    area = car_area_m2(order.vehicle, codes)
    return wipe.figures(area_m2=area, panels=len(codes))


@dataclass(frozen=True, kw_only=True)
class OrderPrep:
    """What is known of an order's prep chemicals, read once for a page.

    once  amount and minutes of one wipe of this car
    """

    rules: SafetyRules
    entries: tuple[OrderPrepUse, ...]
    wipe: UsualWipe
    once: tuple[Figure, Figure]
    takes_off_film: bool

    @property
    def none_used(self) -> bool:
        """Somebody said so."""
        return any(row.chemical is None and not row.no_remover for row in self.entries)

    @property
    def is_wiped(self) -> bool:
        """A wipe is recorded; else the usual one counts."""
        return any(row.chemical and is_wipe(row.chemical) for row in self.entries)

    @property
    def lacks_remover(self) -> bool:
        """Old film comes off, and nobody has said with what."""
        return self.takes_off_film and not any(
            row.chemical is None or row.chemical.substance == Substance.REMOVER
            for row in self.entries
        )


def order_prep(order: WorkOrder, *, rules: SafetyRules) -> OrderPrep:
    """Everything that is known of it."""
    wipe = usual_wipe(rules=rules)
    works = order.added_work.all()
    return OrderPrep(
        rules=rules,
        entries=tuple(order.prep_uses.standing().select_related("chemical", "by")),
        wipe=wipe,
        once=wipe_of(order, wipe),
        takes_off_film=any(
            all(part in work.name.lower() for part in OLD_FILM) for work in works
        ),
    )


def counted_prep(prep: OrderPrep, *, rules: SafetyRules) -> tuple[PrepUse, ...] | None:
    """Prep chemicals of the job over their minutes; () where none was used.

    None where nobody recorded any and the shop has no wipe in its book.
    """
    if prep.none_used:
        return ()
    minutes = prep.once[1].value
    recorded = [
        replace(prep_use(chemical, litres=litres, rules=rules), minutes=minutes)
        for chemical, litres in summed(prep.entries).items()
    ]
    if prep.is_wiped:
        return tuple(recorded)
    if prep.wipe.chemical is None:
        return tuple(recorded) or None
    usual = taken_as_usual(prep.wipe.chemical, prep.once, rules=rules)
    return (usual, *recorded)


def taken_as_usual(
    chemical: Chemical, figures: tuple[Figure, Figure], *, rules: SafetyRules
) -> PrepUse:
    """The usual wipe as a use of the job."""
    amount, minutes = figures
    return replace(
        prep_use(chemical, litres=amount.value / 1000, rules=rules),
        minutes=minutes.value,
        usual=figures,
    )


def summed(rows: Iterable[OrderPrepUse]) -> dict[Chemical, float]:
    """Litres by chemical."""
    litres: dict[Chemical, float] = {}
    for row in rows:
        if row.chemical is not None:
            litres[row.chemical] = litres.get(row.chemical, 0.0) + row.litres
    return litres


def is_wipe(chemical: Chemical) -> bool:
    """Whether it is what a car is wiped with before the film."""
    return chemical.substance in WIPES


@dataclass(frozen=True, kw_only=True)
class PrepPage:
    """What the order's page shows of its prep chemicals.

    usual     what is taken because nobody recorded a wipe; None where somebody did
    once_ml   one wipe of the car more; None: no wipe in the book, or none was used
    """

    entries: tuple[OrderPrepUse, ...]
    usual: PrepUse | None
    once_ml: float | None
    asks_remover: bool


def prep_page(prep: OrderPrep, counted: Iterable[PrepUse] | None) -> PrepPage:
    """The entries that stand, and what is counted without one."""
    has_wipe = prep.is_wiped or prep.wipe.chemical is not None
    return PrepPage(
        entries=prep.entries,
        usual=next((use for use in counted or () if use.usual), None),
        once_ml=round(prep.once[0].value) if has_wipe and not prep.none_used else None,
        asks_remover=prep.lacks_remover,
    )
