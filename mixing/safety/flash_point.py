"""Where a mix of isopropanol and water flashes, by estimate (pure).

The estimate is shown with its spread and decides nothing: see liquid_class for the
category, and measured for a value that a test found.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from mixing.chemistry.alcohol import mass_fraction as mass_fraction_of
from mixing.chemistry.vapour import partial_pressure_kpa
from mixing.safety.bounds import between
from mixing.tables import constant
from shopapp.figures import Figure, computed, formula

PURE_FLASH_C = constant("isopropanol_flash_point_c")


@dataclass(frozen=True, kw_only=True)
class FlashEstimate:
    """An estimated flash point and the spread of the estimate."""

    flash_point_c: float
    low_c: float
    high_c: float


@formula("flash_point.flash_point_c", was=("flammable.flash_point_c",))
def flash_point_c(*, mass_fraction: float) -> float | None:
    """Estimated closed-cup flash point of isopropanol in water; None: none below 95 °C.

        x * gamma(x, T) * p(T) = p(12 °C)        solved for T by halving, 0 to 95 °C

    mass_fraction  isopropanol by mass, 0 to 1; soap of 1 % or less is neglected
    Not for:       the category (see liquid_class); spray mist, which can burn below
                   the flash point; mixes with another solvent.
    Source:        equation of Liaw and Chiu (2003) for one flammable part in water (not
                   seen; second hand), van Laar activity with a measured dilute limit;
                   mean error 2.0 K on four published points

    >>> round(flash_point_c(mass_fraction=0.142), 1)
    30.7
    """
    between(
        mass_fraction,
        low=0,
        high=1,
        what="The mass fraction",
        unit="",
        remedy="14.2 % by mass is 0.142.",
    )
    return _flash_point_c(float(mass_fraction))


@lru_cache(maxsize=1024)
def _flash_point_c(share: float) -> float | None:
    if share == 1:
        return PURE_FLASH_C
    wanted = partial_pressure_kpa(mass_fraction=1.0, temp_c=PURE_FLASH_C)
    low, high = 0.0, 95.0
    if partial_pressure_kpa(mass_fraction=share, temp_c=high) < wanted:
        return None
    for _ in range(50):
        middle = (low + high) / 2
        if partial_pressure_kpa(mass_fraction=share, temp_c=middle) < wanted:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def flash_estimate(*, mass_fraction: float) -> FlashEstimate | None:
    """Estimated flash point with its spread.

        above 20 % by mass -3 / +3 K; up to 20 % -5 / +8 K; pure: none

    mass_fraction  isopropanol by mass, 0 to 1
    Not for:       the category; the estimate runs low (safe) for dilute mixes.
    Source:        spread between models and against published points, our judgement

    >>> flash_estimate(mass_fraction=0.142).high_c > 38
    True
    """
    estimate = flash_point_c(mass_fraction=mass_fraction)
    if estimate is None:
        return None
    if mass_fraction == 1:
        down, up = 0.0, 0.0
    elif mass_fraction > 0.20:
        down, up = 3.0, 3.0
    else:
        down, up = 5.0, 8.0
    return FlashEstimate(
        flash_point_c=estimate, low_c=estimate - down, high_c=estimate + up
    )


def flash_figure(*, vv_pct: float) -> Figure | None:
    """The estimated flash point of a strength, as a figure with its spread.

        flash_estimate(mass fraction of vv_pct)

    vv_pct   isopropanol, % v/v, 0 to 100
    Not for: the category.
    Source:  see flash_point_c and flash_estimate

    >>> round(flash_figure(vv_pct=17.7).value, 1)
    30.7
    """
    share = mass_fraction_of(vv_pct=vv_pct)
    estimate = flash_estimate(mass_fraction=share)
    if estimate is None:
        return None
    figure = computed(
        flash_point_c,
        "degc",
        (estimate.low_c, estimate.high_c),
        (("mass_fraction", share), ("vv_pct", vv_pct)),
        mass_fraction=share,
    )
    return replace(figure, note="estimate")
