"""What a new shop has and what it lacks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.models import Film, Roll, WorkOrder
from jobs.newshop.machine_zone import Measures, measures_of
from jobs.newshop.steps import STEPS, Step, StepText
from jobs.prices.queries import COST_PER_HOUR
from mixing.models import (
    Batch,
    LayingSettings,
    StockContainer,
    Substance,
    Vessel,
    WaterTest,
)
from mixing.sheet.queries import kinds_in_use
from shopapp.machine import time_zone
from shopapp.models import Bay, Person, Place, Price, Shop, the_shop
from shopapp.say import Say, say

Count = tuple[bool, Say]
MOST_NAMES = 8


@dataclass(frozen=True, kw_only=True)
class StepNow:
    """A step as it stands: whether it is done, and what is there."""

    step: Step
    text: StepText
    is_done: bool
    there: Say


def steps_now() -> list[StepNow]:
    """Every step, in order."""
    found = {step: STANDS[step]() for step in Step}
    return [
        StepNow(step=step, text=STEPS[step], is_done=done, there=there)
        for step, (done, there) in found.items()
    ]


def is_new_shop() -> bool:
    """Whether no car was taken in yet and something is missing."""
    return not WorkOrder.objects.exists() and any(map(lacks, Step))


def lacks(step: Step) -> bool:
    """Whether this step is still to do."""
    return not STANDS[step]()[0]


def machine_measures() -> Measures:
    """Zone, units, paper and currency as this machine suggests them."""
    return measures_of(time_zone())


def _shop() -> Count:
    shop = the_shop()
    default = Shop._meta.get_field("name").default
    named = shop.name != default and bool(shop.address and shop.phone)
    return named, say(
        "{name}, {zone}, {paper}, {currency}",
        name=shop.name,
        zone=shop.time_zone.replace("_", " "),
        paper=shop.paper_size,
        currency=shop.currency,
    )


def _places() -> Count:
    bays = list(Bay.objects.filter(retired=False))
    places = list(Place.objects.filter(retired=False))
    return bool(bays and places), _listed([*bays, *places])


def _people() -> Count:
    people = list(Person.objects.filter(is_active=True))
    return any(each.can_install for each in people), _listed(people)


def _film() -> Count:
    rolls = list(Roll.objects.select_related("film"))
    films = Film.objects.filter(in_use=True)
    return bool(rolls) and films.exists(), _listed([*films, *rolls])


def _solutions() -> Count:
    chosen = LayingSettings.objects.filter(made_by__isnull=False).exists()
    # Who mixes has chosen, whether here or not.
    return chosen or Batch.objects.exists(), _listed(
        [kind.replace("_", "-") for kind in kinds_in_use()]
    )


def _bottles() -> Count:
    vessels = list(Vessel.objects.filter(retired=False))
    kinds = {vessel.kind for vessel in vessels}
    return set(kinds_in_use()) <= kinds, _listed([each.code for each in vessels])


def _shelf() -> Count:
    there = StockContainer.objects.filter(retired_at__isnull=True)
    open_now = list(there.select_related("chemical"))
    kinds = {each.chemical.substance for each in open_now}
    names = [each.chemical.name for each in open_now]
    return {Substance.ALCOHOL, Substance.SOAP} <= kinds, _listed(names)


def _water() -> Count:
    newest = WaterTest.objects.first()
    return newest is not None, _listed([newest.get_source_display()] if newest else [])


def _prices() -> Count:
    count = Price.objects.exclude(code=COST_PER_HOUR).count()
    return count > 0, say("{count} prices", count=count) if count else _listed([])


def _listed(things: Iterable[object]) -> Say:
    names = [str(thing) for thing in things]
    if not names:
        return say("nothing yet")
    return say("{things}", things=", ".join(names[:MOST_NAMES]))


STANDS = {
    Step.SHOP: _shop,
    Step.PLACES: _places,
    Step.PEOPLE: _people,
    Step.FILM: _film,
    Step.SOLUTIONS: _solutions,
    Step.BOTTLES: _bottles,
    Step.SHELF: _shelf,
    Step.WATER: _water,
    Step.PRICES: _prices,
}
"""How each step is seen to be done."""
