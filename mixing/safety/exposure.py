"""What people breathe over a shift, against limits (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import expm1

from mixing.safety.bounds import above_zero, not_negative
from mixing.safety.box import mean_ppm
from mixing.safety.ventilation import concentration_ppm
from mixing.tables import table
from shopapp.figures import formula

SHIFT_H = 8.0


SHORT = "15 min"


@dataclass(frozen=True, kw_only=True)
class ExposureLimit:
    """One published limit: who set it, for what time, and where it was read."""

    substance: str
    name: str
    period: str
    limit_ppm: float
    jurisdiction: str
    source: str


def exposure_limits(*, substance: str) -> tuple[ExposureLimit, ...]:
    """Published limits of a substance, strictest 8-hour limit first.

        rows of data/exposure_limits.csv where substance matches

    substance  name as in the table, for example "isopropanol"
    Not for:   a substance without a row: take the limit from its data sheet.
    Source:    data/exposure_limits.csv, a source in each row

    >>> exposure_limits(substance="isopropanol")[0].limit_ppm
    200.0
    """
    found = [
        ExposureLimit(
            substance=row["substance"],
            name=row["name"],
            period=row["period"],
            limit_ppm=float(row["limit_ppm"]),
            jurisdiction=row["jurisdiction"],
            source=row["source"],
        )
        for row in table("exposure_limits")
        if row["substance"] == substance
    ]
    return tuple(
        sorted(found, key=lambda limit: (limit.period != "8 h", limit.limit_ppm))
    )


@formula("exposure.twa_ppm")
def twa_ppm(
    *, periods: Sequence[tuple[float, float]], shift_hours: float = SHIFT_H
) -> float:
    """Time-weighted average over a shift of periods with known levels.

        E = sum(C_i * T_i) / 8

    periods      (level in ppm, hours) pairs; time not listed counts as clean air
    shift_hours  what the limit is based on, h, above 0
    Not for:     a short-term limit: compare its 15 minutes by themselves.
    Source:      29 CFR 1910.1000(d)(1); same text read in 1915.1000

    >>> twa_ppm(periods=[(150, 2), (75, 2), (50, 4)])
    81.25
    """
    above_zero(shift_hours, what="The shift", remedy="Limits are based on 8 hours.")
    for level_ppm, hours in periods:
        not_negative(level_ppm, what="The level", remedy="Enter it in ppm.")
        not_negative(hours, what="The time", remedy="Enter it in hours.")
    return sum(level_ppm * hours for level_ppm, hours in periods) / shift_hours


@formula("exposure.job_twa_ppm")
def job_twa_ppm(
    *,
    generation_m3_per_h: float,
    flow_m3_per_h: float,
    volume_m3: float,
    spray_hours: float,
    shift_hours: float = SHIFT_H,
    loss_per_h: float = 0.0,
) -> float:
    """Shift average of one release and the decay after it, staying in the bay.

        E = (C_mean * t_spray + C_end_of_spray * (1 - exp(-n t_rest)) / n) / 8

    generation_m3_per_h  vapour released while spraying, m3/h, 0 or more
    flow_m3_per_h        effective flow Q' = Q/K, m3/h, above 0
    volume_m3            volume of the bay, m3, above 0
    spray_hours          length of the release, h, above 0 to shift_hours
    shift_hours          what the limit is based on, h
    loss_per_h           any further first-order loss, 1/h
    Not for:             several jobs a day: add their averages.
    Source:              29 CFR 1910.1000(d)(1) over the mass balance of the bay

    >>> round(job_twa_ppm(generation_m3_per_h=0.0742, flow_m3_per_h=200,
    ...     volume_m3=189, spray_hours=1.5), 1)
    69.5
    """
    above_zero(spray_hours, what="The spraying time", remedy="Enter the minutes.")
    above_zero(shift_hours, what="The shift", remedy="Limits are based on 8 hours.")
    # Minutes turned into hours land a rounding error beyond the shift.
    if spray_hours > shift_hours * (1 + 1e-9):
        raise ValueError(
            f"The spraying time of {spray_hours:g} h is longer than the shift of "
            f"{shift_hours:g} h. Enter the minutes of one shift."
        )
    mean = mean_ppm(
        generation_m3_per_h=generation_m3_per_h,
        flow_m3_per_h=flow_m3_per_h,
        volume_m3=volume_m3,
        start_ppm=0.0,
        hours=spray_hours,
        loss_per_h=loss_per_h,
    )
    at_stop = concentration_ppm(
        generation_m3_per_h=generation_m3_per_h,
        flow_m3_per_h=flow_m3_per_h,
        volume_m3=volume_m3,
        start_ppm=0.0,
        hours=spray_hours,
        loss_per_h=loss_per_h,
    )
    rate_per_h = flow_m3_per_h / volume_m3 + loss_per_h
    rest_hours = max(0.0, shift_hours - spray_hours)
    decay_ppm_h = at_stop * -expm1(-rate_per_h * rest_hours) / rate_per_h
    return (mean * spray_hours + decay_ppm_h) / shift_hours


@formula("exposure.additive_share")
def additive_share(*, levels: Sequence[tuple[float, float]]) -> float:
    """Combined exposure to vapours that act alike, as a share of what is allowed.

        share = sum(C_i / L_i)        more than 1 is over the limit

    levels    (level in ppm, limit in ppm) pairs; limits above 0
    Not for:  vapours known to act on different organs: compare each by itself.
    Source:   29 CFR 1910.1000(d)(2) (from memory); university sheet

    >>> additive_share(levels=[(100, 400), (50, 200)])
    0.5
    """
    for level_ppm, limit_ppm in levels:
        not_negative(level_ppm, what="The level", remedy="Enter it in ppm.")
        above_zero(limit_ppm, what="The limit", remedy="Take it from the data sheet.")
    return sum(level_ppm / limit_ppm for level_ppm, limit_ppm in levels)


def short_limit_beside(*, limit_ppm: float) -> ExposureLimit:
    """The 15-minute limit of isopropanol that belongs to an 8-hour one.

        that of the largest published 8-hour limit not above it; under all of them the
        strictest

    limit_ppm  8-hour limit gone by, ppm, above 0
    Not for:   a shop that entered a 15-minute limit of its own.
    Source:    data/exposure_limits.csv, pairs "TLV" and "REL" with their "short"

    >>> short_limit_beside(limit_ppm=200).limit_ppm
    400.0
    >>> short_limit_beside(limit_ppm=400).limit_ppm
    500.0
    """
    above_zero(limit_ppm, what="The 8-hour limit", remedy="See shop settings.")
    known = exposure_limits(substance="isopropanol")
    short = {
        each.name.removesuffix(" short"): each for each in known if each.period == SHORT
    }
    whole = [each for each in known if each.period == "8 h" and each.name in short]
    below = [each for each in whole if each.limit_ppm <= limit_ppm]
    return short[(below[-1] if below else whole[0]).name]
