"""The parts of a mixing sheet, as page, paper and test read them (pure).

Every number is a `Figure` (or a count); every sentence is a `Say`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from mixing.dispensers.dosing import COUNTED, DispenserKind, Substance
from mixing.recipes.spec import FillMode, SolutionKind
from mixing.sheet.request import SheetRequest, WaterSource
from shopapp.figures import Figure
from shopapp.say import Say


@dataclass(frozen=True, kw_only=True)
class Pour:
    """One step of a mixing, for one vessel.

    target      what the recipe asks for
    amount      what to pour: rounded to the dispenser, with the range it allows;
                for a pour to the mark, the mark
    to_mark     water goes in until the vessel's mark, nothing is measured
    fills       fills of a jug or syringe, strokes, drops; 1 to the mark
    container   code of the stock container; "" when none is listed
    strength    of an alcohol pour: the stock's, % v/v
    """

    step: int
    substance: Substance
    target: Figure
    amount: Figure
    to_mark: bool
    dispenser: str
    dispenser_kind: DispenserKind | None
    graduation: Figure | None
    fills: int
    container: str
    lot: str
    strength: Figure | None
    how: Say

    @property
    def is_counted(self) -> bool:
        """Strokes of a pump or drops of a dropper: the count is what is read."""
        return self.dispenser_kind in COUNTED


@dataclass(frozen=True, kw_only=True)
class OtherWay:
    """The same vessel filled the other way: mark against measured water."""

    mode: FillMode
    water: Figure
    volume: Figure
    volume_difference: Figure
    strength: Figure | None
    strength_difference: Figure | None
    sentence: Say


@dataclass(frozen=True, kw_only=True)
class VesselFill:
    """Vessels that are filled alike, and what stands in each of them.

    codes        the shop's vessels; empty: `count` reference bottles
    planned      volume aimed at in each
    pours        in order, for one vessel
    mixed        real volume in each after contraction
    strength     real strength, % v/v, with its range; None without alcohol
    soap         real dose, mL/L, with its range; None without soap
    """

    codes: tuple[str, ...]
    count: int
    planned: Figure
    pours: tuple[Pour, ...]
    mixed: Figure | None
    contraction: Figure | None
    strength: Figure | None
    strength_ww: Figure | None
    soap: Figure | None
    other_way: OtherWay | None
    warnings: tuple[Say, ...]


@dataclass(frozen=True, kw_only=True)
class Draw:
    """What a solution takes from one stock container in all."""

    substance: Substance
    container: str
    lot: str
    amount: Figure


@dataclass(frozen=True, kw_only=True)
class SolutionSheet:
    """One solution: how much, in which vessels, by which pours.

    fills      empty when refused
    refusal    why this solution cannot be mixed as asked; the others still can
    finish     what is done after the last pour
    notes      where the trade's statements disagree, and what the sheet follows
    """

    kind: SolutionKind
    name: str
    recipe_key: str
    recipe_source: str
    fill_mode: FillMode
    use: Figure
    needed: Figure
    batch: Figure | None
    fills: tuple[VesselFill, ...]
    draws: tuple[Draw, ...]
    finish: tuple[Say, ...]
    top_up: Say | None
    notes: tuple[Say, ...]
    warnings: tuple[Say, ...]
    refusal: Say | None


@dataclass(frozen=True, kw_only=True)
class StripPour:
    """One pour of the strip, for one vessel of a fill."""

    kind: SolutionKind
    codes: tuple[str, ...]
    count: int
    substance: Substance
    container: str
    to_mark: bool
    amount: Figure


@dataclass(frozen=True, kw_only=True)
class StripColumn:
    """All pours at one panel temperature, at the strength on the shelf."""

    panel: Figure
    pours: tuple[StripPour, ...]


class Use(StrEnum):
    """What to lay the longest panel with; slip and gel stands on older sheets only."""

    SLIP = "slip"
    SLIP_AND_GEL = "slip_and_gel"
    GEL = "gel"


@dataclass(frozen=True, kw_only=True)
class OpenTimeAdvice:
    """Slip or gel, by open time (an estimate) against placing minutes.

    use   None when it cannot be told; `why` says what is missing
    """

    use: Use | None
    open_time: Figure | None
    placing: Figure | None
    index: Figure | None
    calibrated: bool
    why: Say
    says: tuple[Say, ...]


@dataclass(frozen=True, kw_only=True)
class WaterNote:
    """The water, what it may leave, and whether it is known.

    at_the_pour  what is said where it is poured; () where it is fine
    """

    source: WaterSource | None
    tds: Figure | None
    hardness: Figure | None
    residue: Figure | None
    says: tuple[Say, ...]
    solids_band: str = ""
    hardness_band: str = ""
    at_the_pour: tuple[Say, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Climate:
    """The reading that the sheet goes by."""

    air: Figure | None
    rh: Figure | None
    panel: Figure | None
    air_speed: Figure | None
    warmer: Figure | None
    dew_point: Figure | None
    margin: Figure | None
    says: tuple[Say, ...]


@dataclass(frozen=True, kw_only=True)
class MixingSheet:
    """Everything that is poured for one job, and why.

    request        what was asked: facts, kept so that the sheet can be compared later
    printed_ahead  no reading yet: pours that follow it stand on the strip only
    warnings       what concerns the whole sheet
    """

    request: SheetRequest
    printed_ahead: bool
    film_area: Figure
    climate: Climate
    solutions: tuple[SolutionSheet, ...]
    strip: tuple[StripColumn, ...]
    open_time: OpenTimeAdvice
    water: WaterNote
    warnings: tuple[Say, ...]

    @property
    def by_kind(self) -> dict[str, SolutionSheet]:
        """Its solutions by kind; one that was kept without a kind is left out."""
        return {str(each.kind): each for each in self.solutions if each.kind}
