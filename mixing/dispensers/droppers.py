"""Droppers that the shop calibrated: counted to a mark, or weighed (pure)."""

from __future__ import annotations

from collections.abc import Sequence

from mixing.dispensers.dosing import Dispenser, DispenserKind, Substance, drop_ml
from mixing.limits import DROP_ML, SOAP_G_PER_ML
from shopapp.figures import formula

USUAL_DENSITY_G_PER_ML = 1.02
UNKNOWN_DENSITY_SHARE = 0.03
"""A thin soap weighs 1.00 to 1.05 g/mL: common practice, no published source; the
middle is taken and its ends are added to the spread, until the shop knows better."""


@formula("droppers.weighed_drop_ml")
def weighed_drop_ml(*, mass_g: float, drops: int, density_g_per_ml: float) -> float:
    """Size of one drop of a dropper, weighed.

        drop = mass / (drops * density)

    mass_g            mass of all drops together, g, above 0
    drops             drops counted onto the scale, 1 or more
    density_g_per_ml  of the liquid, g/mL, 0.7 to 1.5

    Not for:          another liquid or another dropper: drop mass goes with surface
                      tension (Tate's law).
    Source:           definition of density.

    >>> round(weighed_drop_ml(mass_g=7.14, drops=20, density_g_per_ml=1.02), 3)
    0.35
    """
    if mass_g <= 0 or drops < 1:
        raise ValueError("Weigh at least one drop: its mass is above zero.")
    if not SOAP_G_PER_ML.holds(density_g_per_ml):
        raise ValueError("The density of a soap is near 1 g/mL: read the label again.")
    return mass_g / (drops * density_g_per_ml)


def calibrated_dropper(
    *, name: str, volume_ml: float, counts: Sequence[int]
) -> Dispenser:
    """A dropper whose drop the shop counted to a mark, several times.

    name       what the shop calls it
    volume_ml  the mark filled to, mL, above 0
    counts     drops counted, one number for each try, at least two

    Raises ValueError when there are fewer than two counts: one has no spread.
    """
    if len(counts) < 2:
        raise ValueError("Count to the mark at least twice: one count has no spread.")
    sizes = [drop_ml(volume_ml=volume_ml, drops=count) for count in counts]
    return _dropper(name, sizes, unknown_ml=0.0)


def weighed_dropper(
    *,
    name: str,
    drops: int,
    masses_g: Sequence[float],
    density_g_per_ml: float | None = None,
) -> Dispenser:
    """A dropper whose drops the shop weighed, several times.

    name              what the shop calls it
    drops             drops counted onto the scale each time, 1 or more
    masses_g          their mass, one number for each try, g, at least two
    density_g_per_ml  of the soap, g/mL; None: not known, which widens the spread

    Raises ValueError when there are fewer than two weighings: one has no spread.
    """
    if len(masses_g) < 2:
        raise ValueError("Weigh at least twice: one weighing has no spread.")
    density = density_g_per_ml or USUAL_DENSITY_G_PER_ML
    sizes = [
        weighed_drop_ml(mass_g=mass, drops=drops, density_g_per_ml=density)
        for mass in masses_g
    ]
    share = 0.0 if density_g_per_ml else UNKNOWN_DENSITY_SHARE
    return _dropper(name, sizes, unknown_ml=share * sum(sizes) / len(sizes))


def _dropper(name: str, sizes: list[float], *, unknown_ml: float) -> Dispenser:
    size = sum(sizes) / len(sizes)
    if not DROP_ML.holds(size):
        raise ValueError(
            f"A drop is {DROP_ML.low:g} to {DROP_ML.high:g} mL, not {size:.2g}: "
            "read and count again."
        )
    return Dispenser(
        name=name,
        kind=DispenserKind.DROPPER,
        graduation_ml=size,
        error_ml=max(abs(each - size) for each in sizes) + unknown_ml,
        capacity_ml=size,
        substances=(Substance.SOAP,),
        calibrated=True,
    )
