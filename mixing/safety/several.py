"""Several bays that spray at once: their jobs in the air of all of them (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from mixing.safety.bounds import between
from mixing.safety.job_air import average_share, lel_pct, peak_minute, sealed_job_ppm
from mixing.safety.releases import LONGEST_SESSION_MIN, Air, Release
from mixing.safety.request import BayAir
from mixing.safety.states import SafetyLine, State, state_of_share
from mixing.safety.ventilation import effective_flow_m3_per_h, mixing_factor_from
from shopapp.figures import Figure, computed, given, per_cent
from shopapp.say import Say, say

CAREFUL_AIR_C = 30.0
"""Air of a hot bay: warm vapour takes more room, so this is the careful side."""
LEL_STOP_PCT = 10.0
_SOURCE = "mass balance of the bays together, effects added up; 10 % of the LEL"


@dataclass(frozen=True, kw_only=True)
class SprayJob:
    """A job of the week: pure solvent that it gives off, and over how long.

    releases  each evenly from the start of the job; () when nothing evaporates
    missing   names of what nobody entered and that more vapour may hang on
    """

    name: str
    releases: tuple[Release, ...]
    missing: tuple[str, ...] = ()


def bays_air(*, bays: Sequence[BayAir]) -> Air | None:
    """The air of several bays taken as one; None when a bay is not fully known.

        Q' = sum(Q_i / K_i),   V = sum(V_i)

    bays     those in use, at least one
    Not for: one bay beside the others, which can be far worse: see its own job.
    Source:  mass balance; K as in mixing_factor_from

    >>> one = BayAir(name="Bay 1", volume_m3=135, exhaust_m3_per_h=900,
    ...     measured_on=None, mixing_value=3, mixing_basis="K")
    >>> bays_air(bays=[one]).effective_flow_m3_per_h
    300.0
    """
    if not bays or any(_unknown_of(bay) for bay in bays):
        return None
    flow = sum(
        effective_flow_m3_per_h(
            flow_m3_per_h=bay.exhaust_m3_per_h or 0.0,
            mixing_factor=mixing_factor_from(
                value=bay.mixing_value or 0.0, basis=bay.mixing_basis or ""
            ),
        )
        for bay in bays
    )
    return Air(
        effective_flow_m3_per_h=flow,
        volume_m3=sum(bay.volume_m3 or 0.0 for bay in bays),
        temp_c=CAREFUL_AIR_C,
    )


def at_once(*, jobs: Sequence[SprayJob], bays: int) -> tuple[SprayJob, ...]:
    """The jobs of a day that could spray at the same time: the worst for the air.

        the largest by litres of solvent, one a bay

    jobs     of one day
    bays     how many are in use, 1 or more
    Not for: a plan of who goes where.
    Source:  the careful side; no source needed

    >>> at_once(jobs=[], bays=2)
    ()
    """
    between(bays, low=1, high=1000, what="The bays", unit="", remedy="Add a bay.")
    ranked = sorted(jobs, key=lambda job: (-bool(job.missing), -_litres(job), job.name))
    return tuple(ranked[:bays])


def several_bays(
    *, key: str, jobs: Sequence[SprayJob], bays: Sequence[BayAir]
) -> SafetyLine:
    """What it means when these jobs spray at once, as one line.

        share = average_share of all releases in bays_air;  OVER from 10 % of the LEL

    key      of the line
    jobs     that spray at once; each solvent with its limit
    bays     all bays in use
    Not for: a measurement; the breathing zone and the floor can be far worse.
    Source:  average_share, lel_pct
    """
    releases = [_in_shift(release) for job in jobs for release in job.releases]
    missing = tuple(dict.fromkeys(name for job in jobs for name in job.missing))
    if not releases and not missing:
        return _line(key, State.OK, say("No solvent is sprayed."))
    unknown = tuple(part for bay in bays for part in _unknown_of(bay)) or (
        () if bays else ("bay",)
    )
    air = bays_air(bays=bays)
    if air is None:
        return _line(key, State.NOT_ASSESSED, _sealed(releases, bays), missing=unknown)
    if any(release.solvent.limit_ppm is None for release in releases):
        said = say("Several bays at once: not assessed without a limit.")
        return _line(key, State.NOT_ASSESSED, said, missing=missing or ("limit",))
    share = average_share(releases=releases, air=air)
    peak = peak_minute(releases=releases, air=air) if releases else 0.0
    burns = lel_pct(releases=releases, air=air, minute=peak)
    state = State.OVER if burns >= LEL_STOP_PCT else state_of_share(share=share)
    if missing and state is not State.OVER:
        state = State.NOT_ASSESSED
    figures = _figures(peak, air, releases)
    said = say(
        "{jobs} at once: 8-hour average {share} of the limit, peak {burns} of the "
        "lower explosive limit.",
        jobs=len(jobs),
        share=figures[0],
        burns=figures[1],
    )
    return _line(key, state, said, figures=figures, missing=missing)


def _figures(
    peak: float, air: Air, releases: Sequence[Release]
) -> tuple[Figure, Figure]:
    shown = (
        *((f"{r.name}: litres of {r.solvent.name}", r.litres) for r in releases),
        ("effective_flow_m3_per_h", air.effective_flow_m3_per_h),
        ("volume_m3", air.volume_m3),
        ("temp_c", air.temp_c),
    )
    share = computed(average_share, "", None, shown, releases=releases, air=air)
    return (
        per_cent(share),
        computed(lel_pct, "pct", None, shown, releases=releases, air=air, minute=peak),
    )


def _sealed(releases: Sequence[Release], bays: Sequence[BayAir]) -> Say:
    volumes = [bay.volume_m3 for bay in bays]
    known = [volume for volume in volumes if volume is not None]
    if not releases or not known or len(known) < len(volumes):
        return say("Several bays at once: not assessed.")
    volume_m3 = sum(known)
    sealed = computed(
        sealed_job_ppm,
        "ppm",
        None,
        (("volume_m3", volume_m3), ("temp_c", CAREFUL_AIR_C)),
        releases=releases,
        volume_m3=volume_m3,
        temp_c=CAREFUL_AIR_C,
    )
    return say(
        "Several bays at once: not assessed. Sealed, their air would hold {sealed} on "
        "average: a warning figure, not a pass.",
        sealed=sealed,
    )


def _line(
    key: str,
    state: State,
    sentence: Say,
    *,
    figures: tuple[Figure, ...] = (),
    missing: tuple[str, ...] = (),
) -> SafetyLine:
    return SafetyLine(
        key=key,
        section="air",
        state=state,
        sentence=sentence,
        figures=figures,
        basis=say(
            "The largest jobs of the day, one a bay, all from the same minute; the "
            "bays' air taken as one, at {air}.",
            air=given(CAREFUL_AIR_C, "degc", ""),
        ),
        source=_SOURCE,
        missing=missing,
    )


def _unknown_of(bay: BayAir) -> tuple[str, ...]:
    """What nobody entered of a bay, as the page of bays calls it."""
    parts = {
        "size": bay.volume_m3,
        "exhaust": bay.exhaust_m3_per_h,
        "mixing": bay.mixing_basis and bay.mixing_value,
    }
    return tuple(f"{bay.name}: {name}" for name, known in parts.items() if not known)


def _in_shift(release: Release) -> Release:
    return replace(release, minutes=min(release.minutes, LONGEST_SESSION_MIN))


def _litres(job: SprayJob) -> float:
    return sum(release.litres for release in job.releases)
