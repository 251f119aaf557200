"""How the shop mixes: water, dispensers, its own test of the open time (pure)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from mixing.climate.drying import Patch, reference_minutes
from mixing.dispensers.dosing import Dispenser, Substance
from mixing.recipes.spec import FillMode
from mixing.sheet.request import Preferred
from shopapp.say import Say, say


@dataclass(frozen=True, kw_only=True)
class BenchFacts:
    """What the shop set for its bench.

    dispensers  the one wanted for a substance; what is not named is chosen by the sheet
    patch       the shop's own test of the open time, or None
    """

    fill_mode: FillMode = FillMode.MEASURED
    dispensers: Mapping[Substance, str] = field(default_factory=dict)
    patch: Patch | None = None

    @property
    def preferred(self) -> tuple[Preferred, ...]:
        """As a sheet takes them."""
        return tuple(
            Preferred(substance=substance, dispenser=name)
            for substance, name in self.dispensers.items()
        )


def why_not_with(substance: Substance, dispenser: Dispenser) -> Say | None:
    """Why a dispenser may not be set for a substance, or None."""
    if not dispenser.measures:
        return say(
            "{dispenser} has no known drop size: calibrate it first.",
            dispenser=dispenser.name,
        )
    if not dispenser.takes(substance):
        return say(
            "The {dispenser} is not used for {substance}: soap in the alcohol ruins "
            "the tack.",
            dispenser=dispenser.name,
            substance=substance.value,
        )
    return None


def why_no_patch(patch: Patch) -> Say | None:
    """Why a test patch tells nothing, or None."""
    try:
        reference_minutes(patch=patch)
    except ValueError as wrong:
        return say("{wrong}", wrong=str(wrong))
    return None
