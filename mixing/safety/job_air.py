"""The air of one job: several releases of vapour into one bay, over time (pure)."""

from __future__ import annotations

from collections.abc import Sequence

from mixing.safety.box import sealed_ppm
from mixing.safety.exposure import SHIFT_H, job_twa_ppm
from mixing.safety.releases import Air, Release, Solvent
from mixing.safety.ventilation import (
    ATMOSPHERE_KPA,
    concentration_ppm,
    dilution_flow_m3_per_h,
    lel_flow_m3_per_h,
    vapour_m3_per_h,
)
from shopapp.figures import formula


@formula("job_air.generation_m3_per_h")
def generation_m3_per_h(
    *, release: Release, temp_c: float, pressure_kpa: float = ATMOSPHERE_KPA
) -> float:
    """Vapour of one release while it lasts.

        G = Vm * SG * litres * 60 / (minutes * MW)

    release       litres of pure solvent and minutes
    temp_c        air temperature, °C
    pressure_kpa  air pressure, kPa
    Not for:      a spill, which comes all at once.
    Source:       see vapour_m3_per_h; all of it taken as evaporated, the safe reading

    >>> from mixing.safety.releases import ISOPROPANOL
    >>> tack = Release(name="tack", litres=0.354, start_min=0, minutes=90,
    ...     solvent=ISOPROPANOL)
    >>> round(generation_m3_per_h(release=tack, temp_c=20), 4)
    0.0742
    """
    return vapour_m3_per_h(
        evaporated_l_per_h=release.litres_per_h,
        specific_gravity=release.solvent.specific_gravity,
        molar_mass_g_per_mol=release.solvent.molar_mass_g_per_mol,
        temp_c=temp_c,
        pressure_kpa=pressure_kpa,
    )


@formula("job_air.release_ppm")
def release_ppm(*, release: Release, air: Air, minute: float) -> float:
    """Vapour of one release in the air of the bay at a minute of the job.

        rising while it lasts, decaying after: concentration_ppm twice

    release  litres, minutes, solvent
    air      of the bay
    minute   since the beginning of the job, min, 0 or more
    Not for: the breathing zone.
    Source:  see concentration_ppm

    >>> from mixing.safety.releases import ISOPROPANOL
    >>> tack = Release(name="tack", litres=0.354, start_min=0, minutes=90,
    ...     solvent=ISOPROPANOL)
    >>> air = Air(effective_flow_m3_per_h=200, volume_m3=189, temp_c=20)
    >>> round(release_ppm(release=tack, air=air, minute=90))
    295
    """
    since_start = minute - release.start_min
    if since_start <= 0:
        return 0.0
    at_stop = concentration_ppm(
        generation_m3_per_h=_into(air, release),
        flow_m3_per_h=air.effective_flow_m3_per_h,
        volume_m3=air.volume_m3,
        start_ppm=0.0,
        hours=min(since_start, release.minutes) / 60,
        loss_per_h=air.loss_per_h,
    )
    return concentration_ppm(
        generation_m3_per_h=0.0,
        flow_m3_per_h=air.effective_flow_m3_per_h,
        volume_m3=air.volume_m3,
        start_ppm=at_stop,
        hours=max(0.0, since_start - release.minutes) / 60,
        loss_per_h=air.loss_per_h,
    )


def _into(air: Air, release: Release) -> float:
    return generation_m3_per_h(
        release=release, temp_c=air.temp_c, pressure_kpa=air.pressure_kpa
    )


@formula("job_air.total_ppm")
def total_ppm(*, releases: Sequence[Release], air: Air, minute: float) -> float:
    """Vapour of all releases together at a minute of the job.

        C = sum(C_i)

    releases  of the job
    air       of the bay
    minute    since the beginning of the job, min
    Not for:  comparing with one substance's limit (see average_share).
    Source:   mass balance, which is linear

    >>> total_ppm(releases=[], air=Air(effective_flow_m3_per_h=200, volume_m3=189,
    ...     temp_c=20), minute=90)
    0
    """
    return sum(release_ppm(release=r, air=air, minute=minute) for r in releases)


@formula("job_air.lel_pct")
def lel_pct(*, releases: Sequence[Release], air: Air, minute: float) -> float:
    """Average vapour of the bay as a share of the lower explosive limit.

        share = 100 * sum(C_i / LEL_i)      (C_i in ppm, LEL_i * 10,000 ppm)

    releases  of the job
    air       of the bay
    minute    since the beginning of the job, min
    Not for:  the air at a wet panel, a puddle or the floor, which can burn while the
              average is low.
    Source:   Le Chatelier's rule for mixed vapours

    >>> from mixing.safety.releases import ISOPROPANOL
    >>> tack = Release(name="tack", litres=0.354, start_min=0, minutes=90,
    ...     solvent=ISOPROPANOL)
    >>> air = Air(effective_flow_m3_per_h=200, volume_m3=189, temp_c=20)
    >>> round(lel_pct(releases=[tack], air=air, minute=90), 1)
    1.5
    """
    return 100 * sum(
        release_ppm(release=r, air=air, minute=minute) / (1e4 * r.solvent.lel_pct)
        for r in releases
    )


@formula("job_air.peak_minute")
def peak_minute(*, releases: Sequence[Release], air: Air) -> float:
    """Minute at which the average vapour of the bay is highest by LEL.

        the end of one of the releases

    releases  of the job, at least one
    air       of the bay
    Not for:  peaks in front of the sprayer.
    Source:   between two changes the level moves one way only, so a peak stands at
              a change

    >>> from mixing.safety.releases import ISOPROPANOL
    >>> tack = Release(name="tack", litres=0.354, start_min=0, minutes=90,
    ...     solvent=ISOPROPANOL)
    >>> peak_minute(releases=[tack], air=Air(effective_flow_m3_per_h=200,
    ...     volume_m3=189, temp_c=20))
    90
    """
    changes = sorted({r.end_min for r in releases} | {r.start_min for r in releases})
    return max(
        changes, key=lambda minute: lel_pct(releases=releases, air=air, minute=minute)
    )


@formula("job_air.average_share")
def average_share(*, releases: Sequence[Release], air: Air) -> float:
    """Shift average of a job against the limits, vapours acting alike added.

        share = sum(E_i / L_i),  E_i = 8-hour average of release i with its decay

    releases  of the job, each solvent with its limit
    air       of the bay
    Not for:  a second job on the same day: add its share.
    Source:   29 CFR 1910.1000(d)(1) and (d)(2)

    >>> from mixing.safety.releases import solvent
    >>> tack = Release(name="tack", litres=0.354, start_min=0, minutes=90,
    ...     solvent=solvent(name="isopropanol", limit_ppm=200))
    >>> round(average_share(releases=[tack], air=Air(effective_flow_m3_per_h=200,
    ...     volume_m3=189, temp_c=20)), 2)
    0.35
    """
    return sum(
        average_ppm(release=r, air=air) / _limit_ppm(r.solvent) for r in releases
    )


@formula("job_air.average_ppm")
def average_ppm(*, release: Release, air: Air) -> float:
    """8-hour average of one release, staying in the bay to the end of the shift.

        E = job_twa_ppm over what is left of the shift after its start

    release  litres, minutes, solvent
    air      of the bay
    Not for: several releases of one solvent: add them.
    Source:  29 CFR 1910.1000(d)(1)

    >>> from mixing.safety.releases import ISOPROPANOL
    >>> tack = Release(name="tack", litres=0.354, start_min=0, minutes=90,
    ...     solvent=ISOPROPANOL)
    >>> round(average_ppm(release=tack, air=Air(effective_flow_m3_per_h=200,
    ...     volume_m3=189, temp_c=20)), 1)
    69.5
    """
    left_h = SHIFT_H - release.start_min / 60
    over_rest = job_twa_ppm(
        generation_m3_per_h=_into(air, release),
        flow_m3_per_h=air.effective_flow_m3_per_h,
        volume_m3=air.volume_m3,
        spray_hours=release.minutes / 60,
        shift_hours=left_h,
        loss_per_h=air.loss_per_h,
    )
    return over_rest * left_h / SHIFT_H


@formula("job_air.all_average_ppm")
def all_average_ppm(*, releases: Sequence[Release], air: Air) -> float:
    """8-hour average of all releases together, staying to the end of the shift.

        E = sum(E_i),  E_i = job_twa_ppm over what is left of the shift after its start

    releases each with litres, minutes, solvent
    air      of the bay
    Not for: solvents with different limits; hold those to average_share.
    Source:  29 CFR 1910.1000(d)(1)

    >>> all_average_ppm(releases=[], air=Air(effective_flow_m3_per_h=200,
    ...     volume_m3=189, temp_c=20))
    0
    """
    return sum(average_ppm(release=release, air=air) for release in releases)


@formula("job_air.health_flow_m3_per_h")
def health_flow_m3_per_h(
    *,
    releases: Sequence[Release],
    mixing_factor: float,
    temp_c: float,
    pressure_kpa: float = ATMOSPHERE_KPA,
) -> float:
    """Exhaust that holds the busiest minutes of a job at the limits.

        Q = sum(dilution flow of each release) over those that run at once, the most

    releases       of the job, each solvent with its limit
    mixing_factor  K, 1 or more
    temp_c         air temperature, °C
    pressure_kpa   air pressure, kPa
    Not for:       a short job, where the bay's own air helps.
    Source:        see dilution_flow_m3_per_h; flows for vapours that act alike add

    >>> from mixing.safety.releases import solvent
    >>> tack = Release(name="tack", litres=0.354, start_min=0, minutes=90,
    ...     solvent=solvent(name="isopropanol", limit_ppm=400))
    >>> round(health_flow_m3_per_h(releases=[tack], mixing_factor=3, temp_c=20))
    556
    """
    flows = [
        dilution_flow_m3_per_h(
            evaporated_l_per_h=r.litres_per_h,
            specific_gravity=r.solvent.specific_gravity,
            molar_mass_g_per_mol=r.solvent.molar_mass_g_per_mol,
            limit_ppm=_limit_ppm(r.solvent),
            mixing_factor=mixing_factor,
            temp_c=temp_c,
            pressure_kpa=pressure_kpa,
        )
        for r in releases
    ]
    return _busiest(releases, flows)


@formula("job_air.fire_flow_m3_per_h")
def fire_flow_m3_per_h(
    *, releases: Sequence[Release], pressure_kpa: float = ATMOSPHERE_KPA
) -> float:
    """Standard air that keeps the busiest minutes of a job far under the LEL.

        Q = sum(LEL flow of each release) over those that run at once, the most
        C = 4 (25 % of the LEL) in steady work, 12 (8 %) where it comes in bursts

    releases      of the job
    pressure_kpa  air pressure, kPa
    Not for:      the air at the spray itself.
    Source:       see lel_flow_m3_per_h: C 10 to 12 for peaks, its careful end

    >>> from mixing.safety.releases import ISOPROPANOL
    >>> tack = Release(name="tack", litres=0.177, start_min=0, minutes=60,
    ...     solvent=ISOPROPANOL)
    >>> round(fire_flow_m3_per_h(releases=[tack]), 1)
    11.2
    """
    flows = [
        lel_flow_m3_per_h(
            evaporated_l_per_h=r.litres_per_h,
            specific_gravity=r.solvent.specific_gravity,
            molar_mass_g_per_mol=r.solvent.molar_mass_g_per_mol,
            lel_pct=r.solvent.lel_pct,
            safety_coefficient=r.lel_coefficient,
            pressure_kpa=pressure_kpa,
        )
        for r in releases
    ]
    return _busiest(releases, flows)


@formula("job_air.sealed_job_ppm")
def sealed_job_ppm(
    *,
    releases: Sequence[Release],
    volume_m3: float,
    temp_c: float,
    pressure_kpa: float = ATMOSPHERE_KPA,
) -> float:
    """Vapour of a whole job in the bay if nothing leaves it.

        C = 1e6 * sum(G_i * minutes_i / 60) / V

    releases      of the job
    volume_m3     volume of the bay, m3
    temp_c        air temperature, °C
    pressure_kpa  air pressure, kPa
    Not for:      a pass: a warning figure where no flow is known.
    Source:       mass balance

    >>> from mixing.safety.releases import ISOPROPANOL
    >>> tack = Release(name="tack", litres=0.354, start_min=0, minutes=90,
    ...     solvent=ISOPROPANOL)
    >>> round(sealed_job_ppm(releases=[tack], volume_m3=189, temp_c=20))
    589
    """
    vapour_m3 = sum(
        generation_m3_per_h(release=r, temp_c=temp_c, pressure_kpa=pressure_kpa)
        * r.minutes
        / 60
        for r in releases
    )
    return sealed_ppm(vapour_m3=vapour_m3, volume_m3=volume_m3)


def _busiest(releases: Sequence[Release], flows: Sequence[float]) -> float:
    pairs = list(zip(releases, flows, strict=True))
    return max(
        (
            sum(q for r, q in pairs if r.start_min <= at.start_min < r.end_min)
            for at in releases
        ),
        default=0.0,
    )


def _limit_ppm(solvent: Solvent) -> float:
    if solvent.limit_ppm is None:
        raise ValueError(
            f"No limit is chosen for {solvent.name}. Choose one in shop settings, "
            "local code."
        )
    return solvent.limit_ppm
