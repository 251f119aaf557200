"""The same ventilation laws in cubic feet, pints and pounds, as handbooks print (pure).

Their constants 403 and 387 hold at 70 °F and 1 atm. The work order uses the SI forms.
"""

from __future__ import annotations

from mixing.safety.air_checks import SEE_SHEET, check_fire_factors, check_k
from mixing.safety.bounds import above_zero, between, not_negative
from shopapp.units import M3_PER_FT3

FT3_PER_PINT = 403.0
FT3_PER_LB_MOL = 387.0


def cfm_from_m3_per_h(*, flow_m3_per_h: float) -> float:
    """A flow in cubic feet a minute.

        cfm = m3/h / (60 * 0.028316846592)

    flow_m3_per_h  m3/h, 0 or more
    Not for:       a change of air temperature.
    Source:        NIST Handbook 44 (2024) appendix C: 1 ft = 0.3048 m exactly

    >>> round(cfm_from_m3_per_h(flow_m3_per_h=1000))
    589
    """
    not_negative(flow_m3_per_h, what="The flow", remedy="Enter it in m³/h.")
    return flow_m3_per_h / M3_PER_FT3 / 60


def m3_per_h_from_cfm(*, flow_cfm: float) -> float:
    """A flow in cubic metres an hour.

        m3/h = cfm * 60 * 0.028316846592

    flow_cfm  cubic feet a minute, 0 or more
    Not for:  a change of air temperature.
    Source:   NIST Handbook 44 (2024) appendix C: 1 ft = 0.3048 m exactly

    >>> round(m3_per_h_from_cfm(flow_cfm=589))
    1001
    """
    not_negative(flow_cfm, what="The flow", remedy="Enter it in cfm.")
    return flow_cfm * 60 * M3_PER_FT3


def dilution_flow_cfm(
    *,
    evaporated_pint_per_min: float,
    specific_gravity: float,
    molar_mass_g_per_mol: float,
    limit_ppm: float,
    mixing_factor: float,
) -> float:
    """Air flow that holds a steady vapour at a health limit, US units.

        Q = 403 * 1e6 * SG * ER * K / (MW * L)

    evaporated_pint_per_min  pure solvent, US pint/min, 0 or more
    specific_gravity         of the pure solvent, above 0
    molar_mass_g_per_mol     of the solvent, above 0
    limit_ppm                limit to hold, ppm, above 0
    mixing_factor            K, 1 or more
    Not for:                 air far from 70 °F and 1 atm.
    Source:                  ACGIH Industrial Ventilation, dilution for health, as in
                             the ABIH equation list

    >>> round(dilution_flow_cfm(evaporated_pint_per_min=1.5 / 60, specific_gravity=1.32,
    ...     molar_mass_g_per_mol=133.4, limit_ppm=350, mixing_factor=5))
    1424
    """
    _check_liquid(evaporated_pint_per_min, specific_gravity, molar_mass_g_per_mol)
    above_zero(limit_ppm, what="The limit", remedy="Choose a limit in ppm.")
    check_k(mixing_factor)
    pint_ft3 = FT3_PER_PINT * specific_gravity / molar_mass_g_per_mol
    return pint_ft3 * evaporated_pint_per_min * 1e6 * mixing_factor / limit_ppm


def lel_flow_cfm(
    *,
    evaporated_pint_per_min: float,
    specific_gravity: float,
    molar_mass_g_per_mol: float,
    lel_pct: float,
    safety_coefficient: float,
    temperature_factor: float = 1.0,
) -> float:
    """Standard air flow that keeps a vapour below a share of its LEL, US units.

        Q = 403 * SG * ER * 100 * C / (MW * LEL * B)

    evaporated_pint_per_min  pure solvent, US pint/min, 0 or more
    specific_gravity         of the pure solvent, above 0
    molar_mass_g_per_mol     of the solvent, above 0
    lel_pct                  lower explosive limit, % by volume, above 0
    safety_coefficient       C, 1 or more: 4 steady, 10 to 12 batch
    temperature_factor       B, 1 up to 250 °F, 0.7 above
    Not for:                 health, which nearly always needs more air.
    Source:                  ACGIH Industrial Ventilation, dilution for fire and
                             explosion (from memory)

    >>> round(lel_flow_cfm(evaporated_pint_per_min=2 / 60, specific_gravity=0.88,
    ...     molar_mass_g_per_mol=106, lel_pct=1.0, safety_coefficient=10,
    ...     temperature_factor=0.7))
    159
    """
    _check_liquid(evaporated_pint_per_min, specific_gravity, molar_mass_g_per_mol)
    between(lel_pct, low=1e-6, high=100, what="The LEL", unit="%", remedy=SEE_SHEET)
    check_fire_factors(safety_coefficient, temperature_factor)
    pint_ft3 = FT3_PER_PINT * specific_gravity / molar_mass_g_per_mol
    needed = pint_ft3 * evaporated_pint_per_min * 100 * safety_coefficient
    return needed / (lel_pct * temperature_factor)


def flow_at_temp_cfm(*, standard_flow_cfm: float, temp_f: float) -> float:
    """Flow of warm air that carries the same mass as a flow at 70 °F, US units.

        Q_actual = Q_standard * (460 + temp) / (460 + 70)

    standard_flow_cfm  flow at 70 °F, cfm, 0 or more
    temp_f             temperature of the air moved, °F, -40 to 900
    Not for:           a change of pressure.
    Source:            ideal gas law, as ACGIH Industrial Ventilation prints it (from
                       memory)

    >>> round(flow_at_temp_cfm(standard_flow_cfm=159, temp_f=350))
    243
    """
    not_negative(standard_flow_cfm, what="The flow", remedy="Enter it in cfm.")
    between(temp_f, low=-40, high=900, what="The air", unit="°F", remedy="Read it.")
    return standard_flow_cfm * (460 + temp_f) / (460 + 70)


def vapour_cfm(*, evaporated_lb_per_min: float, molar_mass_g_per_mol: float) -> float:
    """Vapour from a weighed amount of solvent, US units.

        G = 387 * lb / (MW * min)

    evaporated_lb_per_min  pure solvent, lb/min, 0 or more
    molar_mass_g_per_mol   of the solvent, above 0
    Not for:               air far from 70 °F and 1 atm.
    Source:                industrial-hygiene training note; 387 ft3 per lb-mol

    >>> round(vapour_cfm(evaporated_lb_per_min=0.1, molar_mass_g_per_mol=60.1), 3)
    0.644
    """
    not_negative(evaporated_lb_per_min, what="The solvent", remedy="Enter 0 for none.")
    above_zero(molar_mass_g_per_mol, what="The molar mass", remedy=SEE_SHEET)
    return FT3_PER_LB_MOL * evaporated_lb_per_min / molar_mass_g_per_mol


def vapour_ft3_per_gal(
    *, specific_gravity: float, molar_mass_g_per_mol: float
) -> float:
    """Vapour from one US gallon of pure solvent at 70 °F.

        ft3 per gal = 8 * 403 * SG / MW

    specific_gravity      of the pure solvent, above 0
    molar_mass_g_per_mol  of the solvent, above 0
    Not for:              the printed rows of Table G-11, which round differently.
    Source:               8 pints a gallon; 403 as in dilution_flow_cfm

    >>> round(vapour_ft3_per_gal(specific_gravity=0.7855, molar_mass_g_per_mol=60.1), 1)
    42.1
    """
    _check_liquid(1.0, specific_gravity, molar_mass_g_per_mol)
    return 8 * FT3_PER_PINT * specific_gravity / molar_mass_g_per_mol


def air_to_quarter_lel_ft3_per_gal(
    *, vapour_ft3_per_gal: float, lel_pct: float
) -> float:
    """Air that dilutes the vapour of one gallon of solvent to 25 % of its LEL.

        air = 4 * (100 - LEL) * vapour / LEL

    vapour_ft3_per_gal  vapour from one gallon, ft3, above 0
    lel_pct             lower explosive limit, % by volume, above 0 to below 100
    Not for:            health limits.
    Source:             29 CFR 1910.94(c)(6)(ii) and its Table G-11 (columns read in a
                        secondary copy; formula from memory)

    >>> round(air_to_quarter_lel_ft3_per_gal(vapour_ft3_per_gal=30.4, lel_pct=1.4))
    8564
    """
    above_zero(vapour_ft3_per_gal, what="The vapour of a gallon", remedy=SEE_SHEET)
    between(lel_pct, low=1e-6, high=99.9, what="The LEL", unit="%", remedy=SEE_SHEET)
    return 4 * (100 - lel_pct) * vapour_ft3_per_gal / lel_pct


def _check_liquid(
    evaporated: float, specific_gravity: float, molar_mass_g_per_mol: float
) -> None:
    not_negative(evaporated, what="The evaporated liquid", remedy="Enter 0 for none.")
    above_zero(specific_gravity, what="The specific gravity", remedy=SEE_SHEET)
    above_zero(molar_mass_g_per_mol, what="The molar mass", remedy=SEE_SHEET)
