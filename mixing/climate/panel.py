"""The panel: when has it come to bay temperature (pure).

A timer is advice: it says when to measure again, never that the car is warm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from mixing.chemistry.bounds import above_zero, within
from mixing.tables import table
from shopapp.figures import formula
from shopapp.say import Say, say

SURFACE_W_PER_M2_K = 7.7

AWAY_C, NEAR_BAY_C = 4.0, 2.0
"""A panel further from the bay than the first is measured again; the second counts as
come to the bay. Ours, no published source."""

SKINS = tuple(row["skin"] for row in table("panel_skins"))


@dataclass(frozen=True, kw_only=True)
class WarmUp:
    """Earliest minutes to measure the panel again, as a range."""

    earliest_min: float
    latest_min: float
    says: tuple[Say, ...]


@formula("panel.time_constant_min")
def time_constant_min(
    *, skin: str, faces: int = 2, thickness_mm: float | None = None
) -> float:
    """Time in which a bare skin makes 63 % of its way to the bay's temperature.

        tau = rho * c * thickness / (faces * 7.7 W/m2K)

    skin          "steel", "aluminium" or "plastic"
    faces         sides that the air reaches, 1 or 2
    thickness_mm  of the skin, mm, above 0; None means the usual one of the skin
    Not for:      doors with inner panels, glass, a car with a hot engine: hours.
    Source: lumped heat balance of heat-transfer textbooks; 7.7 W/m²K from R_si 0.13
        m²K/W (ISO 6946 style); skins in data/panel_skins.csv.

    >>> round(time_constant_min(skin="steel") * 60)
    192
    """
    rows = {row["skin"]: row for row in table("panel_skins")}
    if skin not in rows:
        raise ValueError(f"The skin must be one of {', '.join(SKINS)}.")
    if faces not in (1, 2):
        raise ValueError("Air reaches one side of a skin or both: 1 or 2.")
    row = rows[skin]
    thick_mm = float(row["thickness_mm"]) if thickness_mm is None else thickness_mm
    above_zero(thick_mm, what="The thickness", unit="mm")
    stored = float(row["density_kg_per_m3"]) * float(row["heat_j_per_kg_k"])
    return stored * thick_mm / 1000 / (faces * SURFACE_W_PER_M2_K) / 60


@formula("panel.minutes_to_reach")
def minutes_to_reach(
    *, panel_c: float, bay_c: float, target_c: float, time_constant_min: float
) -> float:
    """Minutes until a bare skin has come from its temperature to a target.

        t = tau * ln((T_panel - T_bay) / (T_target - T_bay)); 0 when it is there already

    panel_c            panel now, °C
    bay_c              bay, °C
    target_c           temperature wanted, °C, between panel and bay
    time_constant_min  of the skin, min, above 0
    Not for:           a promise: inner parts hold heat for hours, measure again.
    Source: lumped heat balance of heat-transfer textbooks, Biot number about 1e-4.

    >>> round(minutes_to_reach(
    ...     panel_c=60, bay_c=20, target_c=25, time_constant_min=192 / 60), 1)
    6.7
    """
    for what, value in (("panel", panel_c), ("bay", bay_c), ("target", target_c)):
        within(value, what=f"The {what}", low=-40, high=120, unit="°C")
    above_zero(time_constant_min, what="The time constant", unit="min")
    now, wanted = panel_c - bay_c, target_c - bay_c
    if abs(now) <= abs(wanted) and now * wanted >= 0:
        return 0.0
    if now * wanted <= 0:
        raise ValueError(
            f"A bay of {bay_c:g} °C never brings the panel to {target_c:g} °C."
        )
    return time_constant_min * math.log(now / wanted)


@formula("panel.warm_up")
def warm_up(
    *, panel_c: float, bay_c: float, target_c: float, skin: str = "steel"
) -> WarmUp:
    """When to measure the panel again, from air on both sides to air on one.

        earliest = t(tau of both faces), latest = t(tau of the outer face)

    panel_c   panel now, °C
    bay_c     bay, °C
    target_c  temperature wanted, °C, between panel and bay
    skin      "steel", "aluminium" or "plastic"
    Not for:  a gate: it is a lower bound, gate on the measured panel.
    Source: minutes_to_reach with time_constant_min for two faces and for one.

    >>> round(warm_up(panel_c=60, bay_c=20, target_c=25).latest_min)
    13
    """
    earliest, latest = (
        minutes_to_reach(
            panel_c=panel_c,
            bay_c=bay_c,
            target_c=target_c,
            time_constant_min=time_constant_min(skin=skin, faces=faces),
        )
        for faces in (2, 1)
    )
    if latest == 0:
        return WarmUp(earliest_min=0.0, latest_min=0.0, says=())
    told = say(
        "Measure the panel again in {latest} min, not before; inner parts take hours.",
        latest=math.ceil(latest),
    )
    return WarmUp(earliest_min=earliest, latest_min=latest, says=(told,))


@formula("panel.measure_again_min")
def measure_again_min(*, panel_c: float, bay_c: float) -> float:
    """Minutes after which to measure a panel again that came in colder or hotter.

        t = max over skins of tau * ln(|T_panel - T_bay| / 2 °C); 0 within 4 °C

    panel_c  panel now, °C, -40 to 120
    bay_c    bay, °C, -40 to 120
    Not for: a gate: inner parts hold heat for hours, the panel itself decides.
    Source: warm_up with the slowest skin and air on one side; 4 °C is where a reading
        is taken anew, 2 °C what counts as come to the bay: both ours.

    >>> round(measure_again_min(panel_c=5, bay_c=22))
    25
    >>> measure_again_min(panel_c=20, bay_c=22)
    0.0
    """
    away = panel_c - bay_c
    if abs(away) <= AWAY_C:
        return 0.0
    target_c = bay_c + math.copysign(NEAR_BAY_C, away)
    return max(
        warm_up(panel_c=panel_c, bay_c=bay_c, target_c=target_c, skin=skin).latest_min
        for skin in SKINS
    )
