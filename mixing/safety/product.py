"""A product used as it comes, by its own data sheet (pure)."""

from __future__ import annotations

from dataclasses import dataclass

from mixing.safety.labels import Hazard
from mixing.safety.releases import Solvent


@dataclass(frozen=True, kw_only=True)
class ProductSheet:
    """What the data sheet of a ready-made product says; None: nobody read it.

    product        its name
    category       flammable category, 0 for not flammable
    hazards        the classes of section 2 that a label is made of
    codes          all its codes, as they are read
    left_out       codes that no class of a label here stands for
    volatile_pct   share that evaporates, % by volume
    solvent        what evaporates
    """

    product: str
    category: int | None
    hazards: tuple[Hazard, ...] | None
    codes: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    flash_point_c: float | None = None
    boiling_point_c: float | None = None
    volatile_pct: float | None = None
    solvent: Solvent | None = None

    @property
    def may_evaporate(self) -> bool:
        """Whether it gives off vapour, or nobody knows; a product that does not burn
        and names no volatile share is taken as water."""
        if self.volatile_pct is not None:
            return self.volatile_pct > 0
        return self.category != 0


UNKNOWN_PRODUCT = ProductSheet(product="", category=None, hazards=None)
"""Nobody has put its product on the shelf, or read its sheet."""
