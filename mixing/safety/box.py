"""The well-mixed bay in more detail: steady, sealed, mean, time to a level (pure)."""

from __future__ import annotations

from math import log, log1p

from mixing.safety.air_checks import (
    MEASURE_FLOW,
    MEASURE_SIZE,
    SEE_SHEET,
    check_box,
)
from mixing.safety.bounds import above_zero, between, not_negative
from mixing.safety.ventilation import share_kept, vapour_m3_per_h


def steady_ppm(
    *,
    generation_m3_per_h: float,
    flow_m3_per_h: float,
    volume_m3: float,
    loss_per_h: float = 0.0,
) -> float:
    """Vapour that evenly mixed air settles at while the release goes on.

        C_end = 1e6 * G / (Q' + loss * V)

    generation_m3_per_h  vapour released, m3/h, 0 or more
    flow_m3_per_h        effective flow Q' = Q/K, m3/h, above 0
    volume_m3            volume of the bay, m3, above 0
    loss_per_h           any further first-order loss, 1/h
    Not for:             a job much shorter than V/Q': the bay never gets there.
    Source:              mass balance, steady state

    >>> round(steady_ppm(generation_m3_per_h=0.0742, flow_m3_per_h=200, volume_m3=189))
    371
    """
    check_box(
        generation_m3_per_h=generation_m3_per_h,
        flow_m3_per_h=flow_m3_per_h,
        volume_m3=volume_m3,
        start_ppm=0.0,
        loss_per_h=loss_per_h,
    )
    return 1e6 * generation_m3_per_h / (flow_m3_per_h + loss_per_h * volume_m3)


def sealed_ppm(*, vapour_m3: float, volume_m3: float) -> float:
    """Vapour in a closed bay when everything released stays in and mixes.

        C = 1e6 * vapour / V

    vapour_m3  volume of the vapour, m3, 0 or more
    volume_m3  volume of the bay, m3, above 0
    Not for:   a pass: near the puddle or the spray the air can be flammable while
               the average is low.
    Source:    mass balance

    >>> round(sealed_ppm(vapour_m3=0.1113, volume_m3=189))
    589
    """
    not_negative(vapour_m3, what="The vapour released", remedy="Enter 0 for none.")
    above_zero(volume_m3, what="The volume of the bay", remedy=MEASURE_SIZE)
    return 1e6 * vapour_m3 / volume_m3


def hours_to_reach(
    *,
    generation_m3_per_h: float,
    flow_m3_per_h: float,
    volume_m3: float,
    start_ppm: float,
    to_ppm: float,
    loss_per_h: float = 0.0,
) -> float | None:
    """Time for evenly mixed air to rise or fall to a level; None if it never does.

        t = -ln[(C_end - C_to) / (C_end - C_start)] / n

    generation_m3_per_h  vapour released, m3/h, 0 or more
    flow_m3_per_h        effective flow Q' = Q/K, m3/h, above 0
    volume_m3            volume of the bay, m3, above 0
    start_ppm            at the beginning, ppm, 0 or more
    to_ppm               level asked about, ppm, 0 or more
    loss_per_h           any further first-order loss, 1/h
    Not for:             a release that changes on the way.
    Source:              integral of the mass balance, ACGIH Industrial Ventilation
                         (from memory): t = -(V/Q') ln[(G - Q'C2) / (G - Q'C1)]

    >>> round(60 * hours_to_reach(generation_m3_per_h=1.2, flow_m3_per_h=2000,
    ...     volume_m3=100000 / 60, start_ppm=0, to_ppm=200), 1)
    20.3
    """
    check_box(
        generation_m3_per_h=generation_m3_per_h,
        flow_m3_per_h=flow_m3_per_h,
        volume_m3=volume_m3,
        start_ppm=start_ppm,
        loss_per_h=loss_per_h,
    )
    not_negative(to_ppm, what="The level", remedy="Enter it in ppm.")
    if to_ppm == start_ppm:
        return 0.0
    rate_per_h = flow_m3_per_h / volume_m3 + loss_per_h
    end_ppm = 1e6 * generation_m3_per_h / (volume_m3 * rate_per_h)
    on_the_way = min(start_ppm, end_ppm) < to_ppm < max(start_ppm, end_ppm)
    if not on_the_way:
        return None
    way = (to_ppm - start_ppm) / (end_ppm - start_ppm)
    # A first small part of the way, or a last one: each where its digits stand.
    left = log1p(-way) if way < 0.5 else log((end_ppm - to_ppm) / (end_ppm - start_ppm))
    return -left / rate_per_h


def mean_ppm(
    *,
    generation_m3_per_h: float,
    flow_m3_per_h: float,
    volume_m3: float,
    start_ppm: float,
    hours: float,
    loss_per_h: float = 0.0,
) -> float:
    """Mean of evenly mixed air over a time of steady release.

        C_mean = C_start * k + 1e6 * G t / V * (1 - k) / (n t)
        k = (1 - exp(-n t)) / (n t);   the same as C_end + (C_start - C_end) * k

    generation_m3_per_h  vapour released, m3/h, 0 or more
    flow_m3_per_h        effective flow Q' = Q/K, m3/h, above 0
    volume_m3            volume of the bay, m3, above 0
    start_ppm            at the beginning, ppm, 0 or more
    hours                length of the release, h, above 0
    loss_per_h           any further first-order loss, 1/h
    Not for:             what a person breathes who moves in and out of the bay.
    Source:              integral of the mass balance (see concentration_ppm)

    >>> round(mean_ppm(generation_m3_per_h=0.0742, flow_m3_per_h=200, volume_m3=189,
    ...     start_ppm=0, hours=1.5))
    185
    """
    check_box(
        generation_m3_per_h=generation_m3_per_h,
        flow_m3_per_h=flow_m3_per_h,
        volume_m3=volume_m3,
        start_ppm=start_ppm,
        loss_per_h=loss_per_h,
    )
    above_zero(hours, what="The time", remedy="Enter the length of the release.")
    removed = (flow_m3_per_h / volume_m3 + loss_per_h) * hours
    kept = share_kept(removed=removed)
    # Its series where so little is removed that 1 - k has no digits left.
    mean_kept = (
        (1 - kept) / removed
        if removed > 1e-3
        else 1 / 2 - removed / 6 + removed**2 / 24 - removed**3 / 120
    )
    sealed = 1e6 * generation_m3_per_h * hours / volume_m3
    return start_ppm * kept + sealed * mean_kept


def bay_volume_m3(*, length_m: float, width_m: float, height_m: float) -> float:
    """Volume of a bay from its measured sides.

        V = length * width * height

    length_m, width_m, height_m  inside, m, above 0
    Not for:                     an open hall, where the bay has no walls.
    Source:                      geometry; example in a USAF bioenvironmental course

    >>> round(bay_volume_m3(length_m=9, width_m=6, height_m=3.5), 1)
    189.0
    """
    for side in (length_m, width_m, height_m):
        above_zero(side, what="A side of the bay", remedy=MEASURE_SIZE)
    return length_m * width_m * height_m


def litres_to_lel_share(
    *,
    volume_m3: float,
    lel_pct: float,
    share_pct: float,
    specific_gravity: float,
    molar_mass_g_per_mol: float,
    temp_c: float = 20.0,
) -> float:
    """Pure solvent that brings the average of a closed bay to a share of its LEL.

        litres = V * LEL/100 * share/100 * MW / (Vm * SG)

    volume_m3             volume of the bay, m3, above 0
    lel_pct               lower explosive limit, % by volume, above 0
    share_pct             share of the LEL, %, above 0 to 100
    specific_gravity      of the pure solvent, above 0
    molar_mass_g_per_mol  of the solvent, above 0
    temp_c                air temperature, °C
    Not for:              a safe amount: near the liquid the air is always richer.
    Source:               mass balance

    >>> round(litres_to_lel_share(volume_m3=189, lel_pct=2.0, share_pct=25,
    ...     specific_gravity=0.7855, molar_mass_g_per_mol=60.1), 1)
    3.0
    """
    above_zero(volume_m3, what="The volume of the bay", remedy=MEASURE_SIZE)
    between(lel_pct, low=1e-6, high=100, what="The LEL", unit="%", remedy=SEE_SHEET)
    between(
        share_pct,
        low=1e-6,
        high=100,
        what="The share of the LEL",
        unit="%",
        remedy="10 % and 25 % are the usual marks.",
    )
    per_litre_m3 = vapour_m3_per_h(
        evaporated_l_per_h=1.0,
        specific_gravity=specific_gravity,
        molar_mass_g_per_mol=molar_mass_g_per_mol,
        temp_c=temp_c,
    )
    return volume_m3 * lel_pct / 100 * share_pct / 100 / per_litre_m3


def heat_wait_min(*, purge_h: float, flow_m3_per_h: float, volume_m3: float) -> float:
    """Minutes between the last alcohol spray and a hot tool.

        wait = 60 * max(purge, V / Q')

    purge_h        hours until the bay's average is down to the target, h, 0 or more
    flow_m3_per_h  effective flow Q' = Q / K, m3/h, above 0
    volume_m3      bay, m3, above 0

    Never under one effective air change: the bay's average says nothing about the wet
    edge, and an average that was low all along would make the wait nothing at all.
    Not for:       the moment itself: the edge must be seen to be dry.
    Source:        purge by mixing.safety.ventilation.purge_hours; the one air change is
                   our caution, no published value was found.

    >>> round(heat_wait_min(purge_h=0.0, flow_m3_per_h=200, volume_m3=100), 6)
    30.0
    """
    not_negative(purge_h, what="The purge", remedy="Compute it by purge_hours.")
    flow = above_zero(flow_m3_per_h, what="The effective flow", remedy=MEASURE_FLOW)
    volume = above_zero(volume_m3, what="The bay's volume", remedy=MEASURE_SIZE)
    return 60 * max(purge_h, volume / flow)
