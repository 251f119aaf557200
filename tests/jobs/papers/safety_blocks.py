"""Safety blocks as a shop's orders carry them, up to the fullest that it can reach.

The shop, its bays and stock are invented; (c) is a tack of 240 mL of 99 % stock and
710 mL of water, poured without working it out.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from mixing.chemistry.alcohol import blend
from mixing.safety.labels import Hazard
from mixing.safety.releases import ISOPROPANOL, Solvent
from mixing.safety.request import (
    Authorities,
    BayAir,
    PrepUse,
    SafetyRequest,
    SheetOnHand,
    SolutionUse,
)
from mixing.safety.storage import ContainerKind, Location, Place, StockContainer

TODAY = date(2031, 5, 6)
EYE_DAMAGE = (Hazard.EYE_DAMAGE_1,)
PRODUCTS = ("91 % isopropyl alcohol", "baby shampoo", "mounting gel", "panel wipe")
CABINET = Location(place=Place.CABINET, name="Cabinet A")
STRONG = blend(stock_ml=240, stock_vv_pct=99, water_ml=710).vv_pct

SLIP = SolutionUse(name="Slip", vv_pct=0.0, litres=3.8, soap_mass_pct=0.21)
GEL = SolutionUse(name="Gel", vv_pct=0.0, litres=0.5)
TACK = SolutionUse(name="Tack", vv_pct=17.86, litres=1.9)
STRONG_TACK = replace(TACK, vv_pct=STRONG)
ALL_IN_ONE = SolutionUse(
    name="All-in-one", vv_pct=18.4, litres=0.95, soap_mass_pct=0.37
)
BAY = BayAir(
    name="Bay 1",
    volume_m3=135.0,
    exhaust_m3_per_h=950.0,
    measured_on=date(2031, 4, 8),
    mixing_value=3.0,
    mixing_basis="K",
    method="vane anemometer at the grille",
)
UNMEASURED = replace(
    BAY,
    name="Bay 3",
    exhaust_m3_per_h=None,
    measured_on=None,
    mixing_value=None,
    mixing_basis=None,
)
WIPE = PrepUse(
    name="panel wipe",
    litres=0.15,
    volatile_pct=60.0,
    solvent=ISOPROPANOL,
    category=2,
)
REMOVER = PrepUse(
    name="tar remover",
    litres=0.1,
    volatile_pct=90.0,
    solvent=Solvent(
        name="tar remover",
        specific_gravity=0.75,
        molar_mass_g_per_mol=110.0,
        lel_pct=1.0,
        limit_ppm=300.0,
    ),
    category=3,
)


def _container(name: str, category: int, size_l: float, **fields) -> StockContainer:
    known = {"kind": ContainerKind.METAL, "location": CABINET} | fields
    return StockContainer(name=name, category=category, size_l=size_l, **known)


STOCK = (
    _container("C1", 2, 18.9),
    _container("C2", 2, 3.785, kind=ContainerKind.GLASS_OR_PLASTIC),
    _container("C3", 0, 1.0),
    _container("C4", 0, 5.0),
    _container("C5", 2, 3.785),
)
BARE_STOCK = tuple(
    replace(each, category=None, kind=None, location=None) for each in STOCK
)


def _request(*solutions: SolutionUse, **changes) -> SafetyRequest:
    known = {
        "solutions": solutions,
        "prep": (WIPE,),
        "bay": BAY,
        "limit_ppm": 200.0,
        "limit_name": "the shop's limit",
        "session_min": 480.0,
        "air_c": 29.0,
        "heat_target_ppm": 200.0,
        "stock": STOCK,
        "sheets": tuple(_sheet(product, has_file=False) for product in PRODUCTS),
        "authorities": Authorities(
            code="Example fire code, 2024 edition; permit F-0100",
            fire_official="Fire marshal of Springfield, 555-0190",
            sewer="Springfield sewer office, 555-0191",
            rinse_water="Rinse water of clean vessels only, asked on 555-0191",
        ),
        "today": TODAY,
    }
    return SafetyRequest(**known | changes)


def _sheet(product: str, *, has_file: bool) -> SheetOnHand:
    dated = date(2030, 1, 2)
    return SheetOnHand(product=product, dated=dated, has_file=has_file, is_old=False)


ON_HAND = tuple(_sheet(product, has_file=True) for product in PRODUCTS)
FULLEST = (
    replace(SLIP, soap_mass_pct=1.5, soap_hazards=EYE_DAMAGE),
    STRONG_TACK,
    replace(ALL_IN_ONE, soap_mass_pct=3.5, soap_hazards=EYE_DAMAGE),
)
"""Three different labels: irritating soap, strong alcohol, a soap that harms eyes."""

BLOCKS: dict[str, SafetyRequest] = {
    "a complete bay": _request(SLIP, TACK, sheets=ON_HAND),
    "a bay without a measured flow": _request(
        SLIP, TACK, bay=UNMEASURED, sheets=ON_HAND
    ),
    "99 % stock as poured": _request(SLIP, STRONG_TACK, sheets=ON_HAND),
    "two labels, two solvents": _request(
        SLIP, GEL, STRONG_TACK, ALL_IN_ONE, prep=(WIPE, REMOVER)
    ),
    "three labels": _request(*FULLEST),
    "three labels, no flow, nothing entered": _request(
        *FULLEST, bay=UNMEASURED, prep=None, authorities=Authorities()
    ),
    "nothing entered": _request(
        SLIP,
        TACK,
        ALL_IN_ONE,
        bay=None,
        prep=None,
        air_c=None,
        session_min=None,
        limit_ppm=None,
        heat_target_ppm=None,
        stock=BARE_STOCK,
        sheets=None,
        authorities=Authorities(),
    ),
    "soap and water alone": _request(SLIP, GEL, prep=()),
}
