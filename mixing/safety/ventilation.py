"""Dilution air for health and for fire, and the air of a well-mixed bay (pure).

SI forms. More on the box is in `box`, time averages and limits in `exposure`. All
hold for evenly mixed air: the breathing zone and the floor can be several times higher.
"""

from __future__ import annotations

from enum import StrEnum
from math import exp, expm1, log

from mixing.safety.air_checks import (
    MEASURE_FLOW,
    MEASURE_SIZE,
    SEE_SHEET,
    check_box,
    check_fire_factors,
    check_k,
)
from mixing.safety.bounds import above_zero, between, not_negative, number
from shopapp.figures import formula

GAS_CONSTANT = 8.314462  # J/(mol K)
ATMOSPHERE_KPA = 101.325
STANDARD_AIR_C = (70 - 32) / 1.8
"""Standard air of the ventilation handbooks, 70 °F."""


class MixingBasis(StrEnum):
    """What a mixing number that somebody entered means."""

    K = "K"
    EFFICIENCY = "efficiency"


@formula("ventilation.mixing_factor_from")
def mixing_factor_from(*, value: float, basis: str) -> float:
    """Mixing factor K from a K or from a mixing efficiency.

        K = value                  (basis "K")
        K = 1 / value              (basis "efficiency")

    value     K, 1 (evenly mixed) to 10; or efficiency, 0.1 to 1
    basis     "K" or "efficiency"; there is no default, because 1/3 and 3 are
              both in print for the same bay
    Not for:  a bay where the air short-cuts from inlet to outlet: measure there.
    Source:   K 1 to 10: ACGIH Industrial Ventilation (from memory); a CDC table
              note (MMWR 28 Oct 1994, Table S3-1) also says up to 10 for very poor
              air distribution.

    >>> mixing_factor_from(value=0.25, basis="efficiency")
    4.0
    """
    number(value, what="The mixing number", remedy="Enter K or the efficiency.")
    if basis == MixingBasis.K:
        if not 1 <= value <= 10:
            raise ValueError(
                f"A mixing factor K lies between 1 and 10, not {value:g}. If the "
                "number is an efficiency (1 or less), choose the basis efficiency."
            )
        return float(value)
    if basis == MixingBasis.EFFICIENCY:
        if not 0.1 <= value <= 1:
            raise ValueError(
                "A mixing efficiency lies between 0.1 and 1 (10 % and 100 %), not "
                f"{value:g} ({value * 100:g} %). If the number is a factor of 1 or "
                "more, choose the basis K."
            )
        return 1 / value
    raise ValueError(
        f"Say what the mixing number means: K or efficiency, not {basis!r}."
    )


@formula("ventilation.molar_volume_m3_per_kmol")
def molar_volume_m3_per_kmol(
    *, temp_c: float = 20.0, pressure_kpa: float = ATMOSPHERE_KPA
) -> float:
    """Volume of one kilomole of vapour at room pressure.

        Vm = 8.314462 * (273.15 + temp) / pressure

    temp_c        air temperature, °C, -40 to 200
    pressure_kpa  air pressure, kPa, 50 to 120
    Not for:      vapour under pressure.
    Source:       ideal gas law; R = 8.314462 J/(mol K), CODATA 2018.

    >>> round(molar_volume_m3_per_kmol(temp_c=25.0), 2)
    24.47
    """
    between(temp_c, low=-40, high=200, what="The air", unit="°C", remedy="Read it.")
    between(
        pressure_kpa,
        low=50,
        high=120,
        what="The air pressure",
        unit="kPa",
        remedy="Leave it at 101.325 kPa when it is not known.",
    )
    return GAS_CONSTANT * (273.15 + temp_c) / pressure_kpa


@formula("ventilation.vapour_m3_per_h")
def vapour_m3_per_h(
    *,
    evaporated_l_per_h: float,
    specific_gravity: float,
    molar_mass_g_per_mol: float,
    temp_c: float = 20.0,
    pressure_kpa: float = ATMOSPHERE_KPA,
) -> float:
    """Vapour that an evaporating liquid adds to the air.

        G = Vm * SG * ER / MW      (1 L of SG 1 taken as 1 kg)

    evaporated_l_per_h    pure solvent evaporated, L/h, 0 or more
    specific_gravity      of the pure solvent, water = 1, above 0
    molar_mass_g_per_mol  of the solvent, above 0
    temp_c                air temperature, °C
    pressure_kpa          air pressure, kPa: thin air gives the same litre more room
    Not for:              the water of a mix: enter the solvent's share only.
    Source:               mass balance; the SI form in the ABIH equation list prints
                          24 for Vm.

    >>> round(vapour_m3_per_h(evaporated_l_per_h=0.177, specific_gravity=0.7855,
    ...     molar_mass_g_per_mol=60.1), 4)
    0.0556
    """
    not_negative(
        evaporated_l_per_h, what="The litres per hour", remedy="Enter 0 for none."
    )
    above_zero(specific_gravity, what="The specific gravity", remedy=SEE_SHEET)
    above_zero(molar_mass_g_per_mol, what="The molar mass", remedy=SEE_SHEET)
    mass_kg_per_h = specific_gravity * evaporated_l_per_h
    volume = molar_volume_m3_per_kmol(temp_c=temp_c, pressure_kpa=pressure_kpa)
    return volume * mass_kg_per_h / molar_mass_g_per_mol


@formula("ventilation.dilution_flow_m3_per_h")
def dilution_flow_m3_per_h(
    *,
    evaporated_l_per_h: float,
    specific_gravity: float,
    molar_mass_g_per_mol: float,
    limit_ppm: float,
    mixing_factor: float,
    temp_c: float = 20.0,
    pressure_kpa: float = ATMOSPHERE_KPA,
) -> float:
    """Air flow that holds a steady vapour at a health limit.

        Q = Vm * 1e6 * SG * ER * K / (MW * L)

    evaporated_l_per_h    pure solvent evaporated, L/h, 0 or more
    specific_gravity      of the pure solvent, above 0
    molar_mass_g_per_mol  of the solvent, above 0
    limit_ppm             limit to hold, ppm, above 0 to 1,000,000
    mixing_factor         K, 1 or more (see mixing_factor_from)
    temp_c                air temperature, °C
    pressure_kpa          air pressure, kPa
    Not for:              sources next to the face, or vapour released in bursts.
    Source:               ACGIH Industrial Ventilation, general dilution for health,
                          as in the ABIH equation list (its SI form prints 24 for Vm)

    >>> round(dilution_flow_m3_per_h(evaporated_l_per_h=0.177, specific_gravity=0.7855,
    ...     molar_mass_g_per_mol=60.1, limit_ppm=400, mixing_factor=1), 1)
    139.1
    """
    between(
        limit_ppm,
        low=1e-6,
        high=1e6,
        what="The limit",
        unit="ppm",
        remedy="Choose one in shop settings, local code.",
    )
    check_k(mixing_factor)
    generation = vapour_m3_per_h(
        evaporated_l_per_h=evaporated_l_per_h,
        specific_gravity=specific_gravity,
        molar_mass_g_per_mol=molar_mass_g_per_mol,
        temp_c=temp_c,
        pressure_kpa=pressure_kpa,
    )
    return generation * 1e6 * mixing_factor / limit_ppm


@formula("ventilation.lel_flow_m3_per_h")
def lel_flow_m3_per_h(
    *,
    evaporated_l_per_h: float,
    specific_gravity: float,
    molar_mass_g_per_mol: float,
    lel_pct: float,
    safety_coefficient: float,
    temperature_factor: float = 1.0,
    pressure_kpa: float = ATMOSPHERE_KPA,
) -> float:
    """Standard air flow that keeps a vapour below a share of its lower explosive limit.

        Q = Vm * SG * ER * 100 * C / (MW * LEL * B)      (Vm at 70 °F: 24.15)

    evaporated_l_per_h    pure solvent evaporated, L/h, 0 or more
    specific_gravity      of the pure solvent, above 0
    molar_mass_g_per_mol  of the solvent, above 0
    lel_pct               lower explosive limit, % by volume, above 0 to 100
    safety_coefficient    C, 1 or more: 4 keeps 25 % of the LEL (steady work), 10 to
                          12 for batches with peaks
    temperature_factor    B, 1 up to 121 °C (250 °F), 0.7 above; 0.01 to 1
    pressure_kpa          air pressure, kPa; Vm grows as it falls
    Not for:              health, which nearly always needs more air.
    Source:               ACGIH Industrial Ventilation, dilution for fire and explosion
                          (from memory); B: Wyoming OSHA definition of LEL

    >>> round(lel_flow_m3_per_h(evaporated_l_per_h=0.177, specific_gravity=0.7855,
    ...     molar_mass_g_per_mol=60.1, lel_pct=2.0, safety_coefficient=4), 1)
    11.2
    """
    between(lel_pct, low=1e-6, high=100, what="The LEL", unit="%", remedy=SEE_SHEET)
    check_fire_factors(safety_coefficient, temperature_factor)
    generation = vapour_m3_per_h(
        evaporated_l_per_h=evaporated_l_per_h,
        specific_gravity=specific_gravity,
        molar_mass_g_per_mol=molar_mass_g_per_mol,
        temp_c=STANDARD_AIR_C,
        pressure_kpa=pressure_kpa,
    )
    return generation * 100 * safety_coefficient / (lel_pct * temperature_factor)


@formula("ventilation.effective_flow_m3_per_h")
def effective_flow_m3_per_h(*, flow_m3_per_h: float, mixing_factor: float) -> float:
    """The part of an exhaust flow that works as evenly mixed air.

        Q' = Q / K

    flow_m3_per_h  measured exhaust flow, m3/h, above 0
    mixing_factor  K, 1 or more
    Not for:       a flow read off a fan's plate: measure it.
    Source:        ACGIH Industrial Ventilation (from memory)

    >>> effective_flow_m3_per_h(flow_m3_per_h=600, mixing_factor=3)
    200.0
    """
    above_zero(flow_m3_per_h, what="The exhaust flow", remedy=MEASURE_FLOW)
    check_k(mixing_factor)
    return flow_m3_per_h / mixing_factor


@formula("ventilation.air_changes_per_h")
def air_changes_per_h(*, flow_m3_per_h: float, volume_m3: float) -> float:
    """How often an hour the air of a bay is replaced.

        ACH = Q / V      (the same as 60 * cfm / ft3)

    flow_m3_per_h  exhaust flow, m3/h, above 0
    volume_m3      volume of the bay, m3, above 0
    Not for:       a judgement on vapour: that needs the amount released.
    Source:        CDC ventilation page

    >>> round(air_changes_per_h(flow_m3_per_h=600, volume_m3=189), 2)
    3.17
    """
    above_zero(flow_m3_per_h, what="The exhaust flow", remedy=MEASURE_FLOW)
    above_zero(volume_m3, what="The volume of the bay", remedy=MEASURE_SIZE)
    return flow_m3_per_h / volume_m3


@formula("ventilation.concentration_ppm")
def concentration_ppm(
    *,
    generation_m3_per_h: float,
    flow_m3_per_h: float,
    volume_m3: float,
    start_ppm: float,
    hours: float,
    loss_per_h: float = 0.0,
) -> float:
    """Vapour in evenly mixed air after a time of steady release.

        C(t) = C_start * exp(-n t) + 1e6 * G t / V * (1 - exp(-n t)) / (n t)
        n = Q'/V + loss;   the same as C_end + (C_start - C_end) * exp(-n t)

    generation_m3_per_h  vapour released, m3/h, 0 or more
    flow_m3_per_h        effective flow Q' = Q/K, m3/h, above 0 (sealed: sealed_ppm)
    volume_m3            volume of the bay, m3, above 0
    start_ppm            at the beginning, ppm, 0 or more
    hours                since the beginning, h, 0 or more
    loss_per_h           any further first-order loss (adsorption, decay), 1/h
    Not for:             the air next to the spray or the floor.
    Source:              mass balance V dC = G dt - Q' C dt - loss V C dt, as in ACGIH
                         Industrial Ventilation and university notes

    >>> round(concentration_ppm(generation_m3_per_h=0.0742, flow_m3_per_h=200,
    ...     volume_m3=189, start_ppm=0, hours=1.5))
    295
    """
    check_box(
        generation_m3_per_h=generation_m3_per_h,
        flow_m3_per_h=flow_m3_per_h,
        volume_m3=volume_m3,
        start_ppm=start_ppm,
        loss_per_h=loss_per_h,
    )
    not_negative(hours, what="The time", remedy="Count it from the beginning.")
    removed = (flow_m3_per_h / volume_m3 + loss_per_h) * hours
    sealed_ppm = 1e6 * generation_m3_per_h * hours / volume_m3
    # Not by way of C_end: with hardly any flow that is huge and digits would cancel.
    return start_ppm * exp(-removed) + sealed_ppm * share_kept(removed=removed)


@formula("ventilation.purge_hours")
def purge_hours(
    *,
    flow_m3_per_h: float,
    volume_m3: float,
    from_ppm: float,
    to_ppm: float,
    loss_per_h: float = 0.0,
) -> float:
    """Time for clean air to bring a vapour down, nothing more being released.

        t = ln(C_from / C_to) / (Q'/V + loss)

    flow_m3_per_h  effective flow Q' = Q/K, m3/h, above 0
    volume_m3      volume of the bay, m3, above 0
    from_ppm       at the beginning, ppm, 0 or more
    to_ppm         target, ppm, above 0; already reached gives 0
    loss_per_h     any further first-order loss, 1/h
    Not for:       a puddle or wet rag that still evaporates.
    Source:        CDC, MMWR 28 Oct 1994, Table S3-1 and its note

    >>> round(purge_hours(flow_m3_per_h=200, volume_m3=189, from_ppm=295,
    ...     to_ppm=50), 2)
    1.68
    """
    check_box(
        generation_m3_per_h=0.0,
        flow_m3_per_h=flow_m3_per_h,
        volume_m3=volume_m3,
        start_ppm=from_ppm,
        loss_per_h=loss_per_h,
    )
    above_zero(to_ppm, what="The target", remedy="Air never purges to nothing.")
    if from_ppm <= to_ppm:
        return 0.0
    return log(from_ppm / to_ppm) / (flow_m3_per_h / volume_m3 + loss_per_h)


@formula("ventilation.share_kept")
def share_kept(*, removed: float) -> float:
    """Share of a steady release that is still in the air when it ends.

        share = (1 - exp(-removed)) / removed      1 where nothing is removed

    removed  how often the air was replaced and lost meanwhile, n t, 0 or more
    Not for: a release that changes on the way.
    Source:  mass balance (see concentration_ppm)

    >>> round(share_kept(removed=1.0), 4)
    0.6321
    """
    number(removed, what="What is removed", remedy="Multiply rate and time.")
    if removed < 0:
        raise ValueError(f"What is removed cannot be {removed:g}: nothing comes back.")
    return -expm1(-removed) / removed if removed else 1.0
