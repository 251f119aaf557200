"""What stands in the demo shop: recipes, film, bottles, chemicals, prices."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from random import Random

from jobs.coverage.blanks import size_classes
from jobs.coverage.catalogue import Package
from jobs.demo.story import Story
from jobs.film.actions import change_film, receive_roll
from jobs.models import Film
from jobs.package_hours.actions import change_hours
from jobs.prices.actions import set_prices
from jobs.prices.queries import COST_PER_HOUR, EDGE, package_code
from jobs.rules.default_actions import load_defaults
from mixing.bench.actions import change_vessel
from mixing.models import Basis, Chemical, Kind, StorageSpot, Substance, Vessel
from mixing.shelf.actions import change_chemical, keep_water_test, receive_stock
from mixing.shelf.storage_actions import change_spot

VESSELS = [
    (Kind.SLIP, "S", Vessel.Form.BOTTLE, 6, 1000, 950),
    (Kind.TACK, "T", Vessel.Form.BOTTLE, 4, 1000, 950),
    (Kind.ALL_IN_ONE, "A", Vessel.Form.BOTTLE, 3, 1000, 950),
    (Kind.GEL, "G", Vessel.Form.BOTTLE, 2, 500, 450),
]
FILMS = (
    ("FA", "film A gloss", "gloss", False, "46.00"),
    ("FM", "film B matte", "matte", True, "58.00"),
)
ROLLS = (
    ("R01", "FA", "A-2211", 1524, 30_000),
    ("R02", "FA", "A-2211", 1524, 30_000),
    ("R03", "FA", "A-2307", 1524, 30_000),
    ("R04", "FA", "A-2307", 1829, 25_000),
    ("R05", "FM", "B-0918", 1524, 15_000),
    ("R06", "FA", "A-2411", 1524, 30_000),
    ("R07", "FA", "A-2411", 1829, 25_000),
)
# Name, substance, strength, basis, H codes of the invented data sheet.
CHEMICALS = (
    ("91 % isopropyl alcohol", Substance.ALCOHOL, 91.0, Basis.VV, "H225, H319, H336"),
    ("70 % isopropyl alcohol", Substance.ALCOHOL, 70.0, Basis.VV, "H225, H319, H336"),
    ("baby shampoo", Substance.SOAP, None, "", "none"),
    ("mounting gel", Substance.GEL, None, "", "none"),
    ("panel wipe", Substance.WIPE, 50.0, Basis.VV, "H225, H319, H336"),
)
# Code, chemical, capacity in mL, opened, material, where it stands.
CONTAINERS = (
    ("C1", "91 % isopropyl alcohol", 18_900.0, True, "metal", "Cabinet A"),
    ("C2", "70 % isopropyl alcohol", 3785.0, False, "plastic", "Cabinet A"),
    ("C3", "baby shampoo", 1000.0, True, "plastic", "Mixing shelf"),
    ("C4", "mounting gel", 5000.0, True, "plastic", "Mixing shelf"),
    ("C5", "panel wipe", 3785.0, True, "metal", "Cabinet A"),
)
PRICES = {
    Package.PARTIAL_FRONT: 890,
    Package.FULL_FRONT: 1890,
    Package.TRACK: 2650,
    Package.FULL_VEHICLE: 4900,
}
"""Invented, for the middle size class; 4 % more or less for each step beside it."""


FULL_FRONT_HERE = {
    "prep_min": 90,
    "laying_min": 360,
    "helper_min": 60,
    "nights": 1,
    "ready_from": "afternoon",
}
"""The owner's own hours of the package that is sold most."""


def stock_the_shop(story: Story, *, chance: Random) -> None:
    """Recipes, checklists, film, bottles, alcohol, soap, water, prices, hours."""
    manager = story.cast.manager
    story.do(manager, load_defaults)
    full_front = Package.FULL_FRONT.value
    story.do(manager, change_hours, package=full_front, **FULL_FRONT_HERE)
    _films(story)
    for kind, letter, form, count, capacity, usable in VESSELS:
        for number in range(1, count + 1):
            story.do(
                manager,
                change_vessel,
                code=f"{letter}{number}",
                kind=kind,
                form=form,
                capacity_ml=float(capacity),
                usable_ml=float(usable),
            )
    _chemicals(story, chance)
    _prices(story)
    story.do(
        story.cast.lead,
        keep_water_test,
        source="di",
        tds_mg_per_l=8.0,
        hardness_mg_per_l=4.0,
        tested_on=story.clock.date(),
    )


def _films(story: Story) -> None:
    for code, name, finish, directional, cost in FILMS:
        story.do(
            story.cast.manager,
            change_film,
            film_pk=None,
            facts={
                "code": code,
                "name": name,
                "thickness_um": 200,
                "finish": finish,
                "is_directional": directional,
                "cost_per_m2": Decimal(cost),
                "panel_min_c": 10.0,
                "panel_max_c": 38.0,
                "air_min_c": 12.0,
                "air_max_c": 35.0,
                "rh_max_pct": 85.0,
                "reorder_below_mm": 8000,
            },
        )
    for code, film, lot, width, length in ROLLS:
        story.do(
            story.cast.manager,
            receive_roll,
            film=Film.objects.get(code=film),
            code=code,
            lot=lot,
            width_mm=width,
            length_mm=length,
            location="roll rack",
            received_on=story.clock.date(),
        )


def _chemicals(story: Story, chance: Random) -> None:
    manager = story.cast.manager
    for name, form, area in (
        ("Cabinet A", StorageSpot.Form.CABINET, "workshop"),
        ("Mixing shelf", StorageSpot.Form.SHELF, "workshop"),
    ):
        story.do(manager, change_spot, name=name, form=form, fire_area=area)
    for name, substance, strength, basis, codes in CHEMICALS:
        story.do(
            manager,
            change_chemical,
            name=name,
            substance=substance,
            strength_pct=strength,
            strength_basis=basis,
            hazard_codes=codes,
            sheet_dated=(story.clock - timedelta(days=300)).date(),
        )
    for code, name, capacity, opened, material, spot in CONTAINERS:
        story.do(
            story.cast.lead,
            receive_stock,
            chemical=Chemical.objects.get(name=name),
            code=code,
            capacity_ml=capacity,
            lot=f"{chance.randrange(100, 999)}-A",
            material=material,
            spot=StorageSpot.objects.get(name=spot),
            opened=opened,
        )


def _prices(story: Story) -> None:
    """The price list: each package by size class, and an hour's cost."""
    classes = list(size_classes())
    middle = classes.index("D")
    prices: dict[str, Decimal | None] = {COST_PER_HOUR: Decimal(38), EDGE: Decimal(40)}
    labels = {COST_PER_HOUR: "an hour of work", EDGE: "an edge wrapped"}
    for package, amount in PRICES.items():
        for step, size in enumerate(classes):
            code = package_code(package, size)
            raw = Decimal(amount) * (100 + 4 * (step - middle)) / 100
            prices[code] = (raw / 10).quantize(Decimal(1)) * 10
            labels[code] = f"{package.value.replace('_', ' ')}, {size_classes()[size]}"
    story.do(story.cast.manager, set_prices, prices=prices, labels=labels)
