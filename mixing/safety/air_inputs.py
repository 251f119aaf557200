"""The inputs of one job's vapour, and the wait and curve that they allow (pure)."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Any

from mixing.safety.box import heat_wait_min
from mixing.safety.height import air_pressure_kpa, pressure_figure
from mixing.safety.job_air import lel_pct, total_ppm
from mixing.safety.needs import limit_needs, releases_of, vapour_needs
from mixing.safety.releases import Air, Release
from mixing.safety.request import SafetyRequest
from mixing.safety.ventilation import (
    effective_flow_m3_per_h,
    mixing_factor_from,
    purge_hours,
)
from shopapp.figures import Figure, computed

CURVE_POINTS = 24
TAIL_MIN = 120.0


@dataclass(frozen=True, kw_only=True)
class CurvePoint:
    """Average vapour of the bay at a minute of the job."""

    minute: float
    vapour_ppm: float
    lel_pct: float


class AirFacts:
    """The inputs of one job; `lacks` says which of those asked for are missing."""

    def __init__(self, request: SafetyRequest, missing: Collection[str]) -> None:
        self.request = request
        self.missing = missing
        self.releases: tuple[Release, ...] = releases_of(request)
        self.vapour = vapour_needs(request)
        self.limits = limit_needs(request)
        self.whole_bay = (*self.vapour, "bay.volume", "bay.exhaust", "bay.mixing")

    def lacks(self, needs: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(key for key in needs if key in self.missing)

    def is_sealed_figure_due(self) -> bool:
        unknown_flow = bool(self.lacks(("bay.exhaust", "bay.mixing")))
        return unknown_flow and not self.lacks((*self.vapour, "bay.volume"))

    def flow(self) -> float:
        assert self.request.bay is not None
        assert self.request.bay.exhaust_m3_per_h is not None
        return self.request.bay.exhaust_m3_per_h

    def volume(self) -> float:
        assert self.request.bay is not None
        assert self.request.bay.volume_m3 is not None
        return self.request.bay.volume_m3

    def temp(self) -> float:
        assert self.request.air_c is not None
        return self.request.air_c

    def mixing_factor(self) -> float:
        bay = self.request.bay
        assert bay is not None
        assert bay.mixing_value is not None
        assert bay.mixing_basis is not None
        return mixing_factor_from(value=bay.mixing_value, basis=bay.mixing_basis)

    def pressure(self) -> float:
        return air_pressure_kpa(height_m=self.request.height_m)

    def air(self) -> Air:
        assert self.request.bay is not None
        return Air(
            effective_flow_m3_per_h=effective_flow_m3_per_h(
                flow_m3_per_h=self.flow(), mixing_factor=self.mixing_factor()
            ),
            volume_m3=self.volume(),
            temp_c=self.temp(),
            loss_per_h=self.request.bay.loss_per_h,
            pressure_kpa=self.pressure(),
        )

    def phases(self) -> str:
        """Each phase with its minutes, those over the same minutes together."""
        alike: dict[float, list[str]] = {}
        for release in self.releases:
            alike.setdefault(release.minutes, []).append(release.name)
        return "; ".join(
            f"{', '.join(names)} {minutes:.0f} min"
            for minutes, names in sorted(alike.items())
        )

    def figure(
        self, function: Callable[..., float], unit: str, **inputs: Any
    ) -> Figure:
        """A figure of job_air, shown with what the job gave for it."""
        bay = self.request.bay
        shown = (
            *(
                (f"{r.name}: litres of {r.solvent.name}", r.litres)
                for r in self.releases
            ),
            *((f"{r.name}: minutes", r.minutes) for r in self.releases),
            ("air_c", self.request.air_c),
            ("pressure_kpa", pressure_figure(height_m=self.request.height_m)),
            ("volume_m3", bay.volume_m3 if bay else None),
            ("exhaust_m3_per_h", bay.exhaust_m3_per_h if bay else None),
            ("mixing", bay.mixing_value if bay else None),
            ("mixing basis", bay.mixing_basis if bay else None),
        )
        return computed(function, unit, None, shown, **inputs)

    def wait(self) -> Figure | None:
        """Minutes from the last alcohol spray to the target, or None."""
        if self.lacks((*self.whole_bay, "bay.heat_target")):
            return None
        air = self.air()
        target = self.request.heat_target_ppm
        assert target is not None
        highest = max(
            (release.end_min for release in self.releases),
            key=lambda minute: total_ppm(
                releases=self.releases, air=air, minute=minute
            ),
            default=0.0,
        )
        peak = self.figure(
            total_ppm, "ppm", releases=self.releases, air=air, minute=highest
        )
        purge = computed(
            purge_hours,
            "h",
            flow_m3_per_h=air.effective_flow_m3_per_h,
            volume_m3=air.volume_m3,
            from_ppm=peak,
            to_ppm=target,
            loss_per_h=air.loss_per_h,
        )
        return computed(
            heat_wait_min,
            "min",
            purge_h=purge,
            flow_m3_per_h=air.effective_flow_m3_per_h,
            volume_m3=air.volume_m3,
        )

    def curve(self) -> tuple[CurvePoint, ...]:
        if self.lacks(self.whole_bay) or not self.releases:
            return ()
        air = self.air()
        stop = max(r.end_min for r in self.releases)
        end = stop + TAIL_MIN
        minutes = {end * i / CURVE_POINTS for i in range(CURVE_POINTS + 1)}
        minutes |= {r.end_min for r in self.releases}
        minutes |= {r.start_min for r in self.releases}
        return tuple(
            CurvePoint(
                minute=minute,
                vapour_ppm=total_ppm(releases=self.releases, air=air, minute=minute),
                lel_pct=lel_pct(releases=self.releases, air=air, minute=minute),
            )
            for minute in sorted(minutes)
        )
