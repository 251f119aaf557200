"""One job that the tests of the safety block change: a bay, two sprays, a remover."""

from __future__ import annotations

import dataclasses
from datetime import date

from mixing.safety.flammable import Ground
from mixing.safety.labels import Hazard
from mixing.safety.releases import Solvent
from mixing.safety.request import (
    Authorities,
    BayAir,
    PrepUse,
    SafetyRequest,
    SolutionUse,
)
from mixing.safety.rules import SafetyRules, safety_rules
from mixing.safety.storage import ContainerKind, Location, Place, StockContainer

TODAY = date(2026, 5, 1)
REMOVER = Solvent(
    name="remover solvent",
    specific_gravity=0.75,
    molar_mass_g_per_mol=110.0,
    lel_pct=1.0,
    limit_ppm=300.0,
)
TACK = SolutionUse(
    name="tack",
    vv_pct=17.7,
    litres=2.0,
    soap_mass_pct=0.4,
    soap_hazards=(Hazard.EYE_IRRIT_2,),
)
SLIP = SolutionUse(name="slip", vv_pct=0.0, litres=5.0)
REMOVER_USE = PrepUse(
    name="tar remover", litres=0.1, volatile_pct=90.0, solvent=REMOVER, category=3
)
BAY = BayAir(
    name="bay 1",
    volume_m3=189.0,
    exhaust_m3_per_h=600.0,
    measured_on=date(2026, 3, 1),
    mixing_value=3.0,
    mixing_basis="K",
    method="vane at the grille",
)
CAN = StockContainer(
    name="C1",
    category=2,
    size_l=3.785,
    kind=ContainerKind.METAL,
    location=Location(place=Place.CABINET, name="cabinet 1"),
)
LOCAL = Authorities(
    code="town fire code 2021",
    fire_official="fire marshal",
    sewer="water works",
    rinse_water="soapy rinse water only",
)


def request(**changes) -> SafetyRequest:
    values = {
        "solutions": (SLIP, TACK),
        "prep": (REMOVER_USE,),
        "bay": BAY,
        "limit_ppm": 200.0,
        "limit_name": "TLV",
        "session_min": 90.0,
        "air_c": 20.0,
        "heat_target_ppm": 50.0,
        "stock": (CAN,),
        "authorities": LOCAL,
        "today": TODAY,
    } | changes
    return SafetyRequest(**values)


def changed(part, **changes):
    return dataclasses.replace(part, **changes)


def tack_only(**changes) -> SafetyRequest:
    """The shop scenario: 2 L of tack in 90 minutes."""
    return request(solutions=(TACK,), prep=(), **changes)


HOT_MIX = changed(TACK, vv_pct=1.0, flash_point_c=70.0, ground=Ground.MEASURED)


def without_limit(*keys: str) -> SafetyRules:
    """The example with some single limits not entered."""
    rules = safety_rules()
    return changed(
        rules,
        limits=tuple(
            changed(limit, value=None) if limit.key in keys else limit
            for limit in rules.limits
        ),
    )


def without_row(part: str, key: str) -> SafetyRules:
    """The example with one row of its storage tables not entered."""
    rules = safety_rules()
    rows = tuple(
        changed(row, max_l=None) if row.key == key else row
        for row in getattr(rules.storage, part)
    )
    return changed(rules, storage=changed(rules.storage, **{part: rows}))
