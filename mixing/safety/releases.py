"""What gives off vapour on a job, and the air of the bay that takes it (pure)."""

from __future__ import annotations

from dataclasses import dataclass

from mixing.limits import LEL_PCT
from mixing.safety.air_checks import SEE_SHEET
from mixing.safety.bounds import above_zero, between, not_negative
from mixing.safety.ventilation import ATMOSPHERE_KPA
from mixing.tables import table

LONGEST_SESSION_MIN = 480.0
STEADY_COEFFICIENT, BURST_COEFFICIENT = 4.0, 12.0
"""C of lel_flow_m3_per_h: steady work, and the careful end for work with peaks."""


@dataclass(frozen=True, kw_only=True)
class Solvent:
    """What evaporates; limit_ppm: 8-hour limit chosen for it, or None."""

    name: str
    specific_gravity: float
    molar_mass_g_per_mol: float
    lel_pct: float
    limit_ppm: float | None = None

    def __post_init__(self) -> None:
        above_zero(self.specific_gravity, what="The specific gravity", remedy=SEE_SHEET)
        above_zero(self.molar_mass_g_per_mol, what="The molar mass", remedy=SEE_SHEET)
        between(
            self.lel_pct,
            low=LEL_PCT.low,
            high=LEL_PCT.high,
            what=f"The LEL of {self.name}",
            unit="% by volume",
            remedy=SEE_SHEET,
        )
        if self.limit_ppm is not None:
            above_zero(
                self.limit_ppm, what=f"The limit of {self.name}", remedy=SEE_SHEET
            )


def solvent(*, name: str, limit_ppm: float | None = None) -> Solvent:
    """A solvent of data/solvents.csv with the limit that the shop chose.

        row of data/solvents.csv

    name       as in the table, for example "isopropanol"
    limit_ppm  8-hour limit, ppm, or None when none is chosen
    Not for:   a product with several solvents: enter its data-sheet values.
    Source:    data/solvents.csv, a source in each row

    >>> solvent(name="isopropanol").lel_pct
    2.0
    """
    for row in table("solvents"):
        if row["solvent"] == name:
            return Solvent(
                name=name,
                specific_gravity=float(row["specific_gravity"]),
                molar_mass_g_per_mol=float(row["molar_mass_g_per_mol"]),
                lel_pct=float(row["lel_pct"]),
                limit_ppm=limit_ppm,
            )
    raise ValueError(
        f"{name!r} is not in the solvent table. Enter density, molar mass, LEL and "
        "limit from its data sheet."
    )


ISOPROPANOL = solvent(name="isopropanol")


@dataclass(frozen=True, kw_only=True)
class Release:
    """Pure solvent that evaporates evenly over some minutes of the job.

    is_burst  a short phase with a peak, such as a wipe of the car before the film
    """

    name: str
    litres: float
    start_min: float
    minutes: float
    solvent: Solvent
    is_burst: bool = False

    def __post_init__(self) -> None:
        not_negative(self.litres, what=f"Litres of {self.name}", remedy="Enter litres.")
        not_negative(self.start_min, what="The start", remedy="Count from the start.")
        above_zero(self.minutes, what="The minutes", remedy="Enter how long it takes.")
        if self.end_min > LONGEST_SESSION_MIN:
            raise ValueError(
                f"{self.name} would end after {self.end_min:g} minutes. Enter the "
                "minutes of one shift, at most 480."
            )

    @property
    def end_min(self) -> float:
        return self.start_min + self.minutes

    @property
    def litres_per_h(self) -> float:
        return self.litres * 60 / self.minutes

    @property
    def lel_coefficient(self) -> float:
        """C, see fire_flow_m3_per_h."""
        return BURST_COEFFICIENT if self.is_burst else STEADY_COEFFICIENT


@dataclass(frozen=True, kw_only=True)
class Air:
    """Evenly mixed air of a bay: effective flow Q/K, volume, temperature, loss,
    pressure."""

    effective_flow_m3_per_h: float
    volume_m3: float
    temp_c: float
    loss_per_h: float = 0.0
    pressure_kpa: float = ATMOSPHERE_KPA
