"""What a mixing sheet is asked: the day, the vessels, the shelf (pure).

Numbers only: `mixing` knows no work order. Everything but the film area and the
recipes has a default that a bare shop can start from.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from mixing.climate.drying import Patch
from mixing.dispensers.dosing import Dispenser, Substance
from mixing.laying.limits import LayingLimits
from mixing.limits import AIR_C, AIR_M_PER_S, PANEL_C, RH_PCT
from mixing.recipes.spec import FillMode, RecipeSpec, SolutionKind
from shopapp.figures import Figure, given
from shopapp.limits import Range
from shopapp.say import Say, say
from shopapp.units import System

MOST_FILM_M2 = 1000.0
"""More film than this is a slip of the finger."""


class Basis(StrEnum):
    """What a per cent on a label means."""

    VV = "vv"
    WW = "ww"


class WaterSource(StrEnum):
    """Where the water comes from."""

    DISTILLED = "distilled"
    DEIONISED = "deionised"
    REVERSE_OSMOSIS = "reverse osmosis"
    FILTERED = "filtered"
    TAP = "tap"


@dataclass(frozen=True, kw_only=True)
class Conditions:
    """One reading. None: not read (yet)."""

    air_c: float | None = None
    rh_pct: float | None = None
    panel_c: float | None = None
    air_m_per_s: float | None = None

    @property
    def is_complete(self) -> bool:
        """Panel and air are read: soap follows the warmer of both."""
        return self.air_c is not None and self.panel_c is not None


@dataclass(frozen=True, kw_only=True)
class Vessel:
    """A bottle, sprayer or jug that keeps one kind of solution for life.

    usable_ml      how far it may be filled; None: to its capacity
    marks_ml       fill lines on it, mL; empty: only the line at `usable_ml`
    mark_error_ml  how far a filling to the mark may be off, mL
    left_ml        what is left in it of the same recipe, to be filled up over
    """

    code: str
    kind: SolutionKind
    capacity_ml: float
    usable_ml: float | None = None
    marks_ml: tuple[float, ...] = ()
    mark_error_ml: float = 10.0
    left_ml: float = 0.0

    @property
    def fill_ml(self) -> float:
        """The most that goes in, leaving the head space."""
        if self.usable_ml is None:
            return self.capacity_ml - self.left_ml
        return min(self.usable_ml, self.capacity_ml) - self.left_ml


@dataclass(frozen=True, kw_only=True)
class StockContainer:
    """An open container on the shelf.

    strength_pct, basis  of alcohol, as its label says; basis None: nobody said yet
    strength_spread_pct  how far the label may be off, in % of strength, either way
    left_ml              None: not counted, taken as enough
    opened_days          days since it was opened; None: not opened
    expires_in_days      None: no date
    """

    code: str
    substance: Substance
    strength_pct: float | None = None
    basis: Basis | None = None
    strength_spread_pct: float = 0.0
    left_ml: float | None = None
    opened_days: float | None = None
    expires_in_days: float | None = None
    lot: str = ""


@dataclass(frozen=True, kw_only=True)
class Water:
    """The water used, and its last test. None: unknown."""

    source: WaterSource | None = None
    tds_mg_per_l: float | None = None
    hardness_mg_per_l: float | None = None
    tested_days_ago: float | None = None


@dataclass(frozen=True, kw_only=True)
class UseRate:
    """What this shop really uses of a solution, mL per m2 of film laid.

    learned  the figure that it was worked out as, so that it opens; None: as given
    own      the shop's own rate before it was drawn towards the default, mL per m2
    jobs     how many jobs it was learned from
    """

    kind: SolutionKind
    ml_per_m2: float
    low_ml_per_m2: float
    high_ml_per_m2: float
    note: str
    learned: Figure | None = None
    own: Figure | None = None
    jobs: int = 0


@dataclass(frozen=True, kw_only=True)
class Preferred:
    """The dispenser that the shop wants for a substance, by its name."""

    substance: Substance
    dispenser: str


@dataclass(frozen=True, kw_only=True)
class SheetRequest:
    """All that a mixing sheet needs to know.

    film_area_m2     film to be laid, m2, above 0
    recipes          one for each kind wanted, in the order of the sheet
    placing_min      placing minutes of the longest panel (wet to anchored)
    vessels          clean ones that may be filled; empty: reference bottles
    vessels_chosen   the person picked them: fill exactly these
    stock            open containers; alcohol is needed, the rest is checked if listed
    dispensers       empty: the usual jug and syringe
    patch            the shop's own test of the open time, or None
    film_um          thickness of the liquid on the panel, um
    with_strip       the strip also when a reading is there (ahead of it always)
    strip_panel_c    the panel temperatures of the strip
    laying           the panel temperatures that film is laid between; None: the usual
                     ones are said, and no mix is refused for them
    """

    film_area_m2: float
    recipes: tuple[RecipeSpec, ...]
    conditions: Conditions = Conditions()
    placing_min: float | None = None
    vessels: tuple[Vessel, ...] = ()
    vessels_chosen: bool = False
    stock: tuple[StockContainer, ...] = ()
    dispensers: tuple[Dispenser, ...] = ()
    preferred: tuple[Preferred, ...] = ()
    water: Water = Water()
    use_rates: tuple[UseRate, ...] = ()
    fill_mode: FillMode = FillMode.MEASURED
    patch: Patch | None = None
    film_um: float = 75.0
    with_strip: bool = False
    strip_panel_c: tuple[float, ...] = (15.0, 20.0, 25.0, 30.0, 35.0)
    laying: LayingLimits | None = None

    def recipe_of(self, kind: SolutionKind) -> RecipeSpec:
        """The recipe of a solution that is asked for."""
        return next(recipe for recipe in self.recipes if recipe.kind is kind)

    @property
    def limits(self) -> LayingLimits:
        """The limits that count."""
        return LayingLimits() if self.laying is None else self.laying


@dataclass(frozen=True, kw_only=True)
class Problem:
    """A sentence for one field of a request."""

    field: str
    sentence: Say


def request_problems(request: SheetRequest) -> tuple[Problem, ...]:
    """What must be put right before any sheet can be computed; empty: nothing."""
    return tuple(
        Problem(field=name, sentence=sentence) for name, sentence in _problems(request)
    )


def reading_problems(conditions: Conditions) -> tuple[Say, ...]:
    """Why a reading cannot be; a shop may hold one that was kept long ago."""
    return tuple(sentence for _name, sentence in _reading_problems(conditions))


def _problems(request: SheetRequest) -> Iterator[tuple[str, Say]]:
    if not 0 < request.film_area_m2 <= MOST_FILM_M2:
        yield "film_area_m2", say("Give a film area above zero, up to 1000 m².")
    if request.placing_min is not None and not 0 < request.placing_min < math.inf:
        yield "placing_min", say("Give the placing time in minutes, above zero.")
    if not request.recipes:
        yield "recipes", say("Choose at least one solution to mix.")
    if len({recipe.kind for recipe in request.recipes}) < len(request.recipes):
        yield "recipes", say("Choose one recipe for each solution, not two.")
    if not 0 < request.film_um <= 1000:
        yield "film_um", say("The wet film must be from 0 to 1000 µm thick.")
    if not request.strip_panel_c:
        yield "strip_panel_c", say("Give the strip at least one panel temperature.")
    yield from _reading_problems(request.conditions)
    yield from _vessel_problems(request.vessels)
    yield from _stock_problems(request.stock)
    tests = (request.water.tds_mg_per_l, request.water.hardness_mg_per_l)
    if any(test is not None and not 0 <= test < math.inf for test in tests):
        yield "water", say("A water test cannot be below zero.")
    for rate in request.use_rates:
        if not 0 < rate.ml_per_m2 < math.inf:
            yield "use_rates", say("The use per m² must be above zero.")


READ: dict[str, tuple[Range, str]] = {
    "air_c": (AIR_C, "The air must be from {low} to {high}, not {value}."),
    "panel_c": (PANEL_C, "The panel must be from {low} to {high}, not {value}."),
    "rh_pct": (
        RH_PCT,
        "Humidity must be from {low} to {high}, not {value}: read the hygrometer "
        "again.",
    ),
    "air_m_per_s": (
        AIR_M_PER_S,
        "The air over the panel must be from {low} to {high}, not {value}.",
    ),
}
"""What the shop's instruments can read at all, and what is said of more."""


def _reading_problems(conditions: Conditions) -> Iterator[tuple[str, Say]]:
    for name, (read, sentence) in READ.items():
        value = getattr(conditions, name)
        if value is None or read.holds(value):
            continue
        # Kept before the range was what it is: the reading can only be taken anew.
        if name == "panel_c" and read.reads_as_fahrenheit(value, system=System.METRIC):
            sentence = sentence[:-1] + ": was it in °F? Take a new reading."
        yield (
            name,
            say(
                sentence,
                low=given(read.low, read.unit, "limit"),
                high=given(read.high, read.unit, "limit"),
                value=given(value, read.unit, "reading"),
            ),
        )


def _vessel_problems(vessels: tuple[Vessel, ...]) -> Iterator[tuple[str, Say]]:
    for vessel in vessels:
        if not 0 < vessel.fill_ml < math.inf:
            yield (
                "vessels",
                say("Give vessel {code} a volume above zero.", code=vessel.code),
            )
    if len({vessel.code for vessel in vessels}) < len(vessels):
        yield "vessels", say("A vessel is listed twice: name each one once.")


def _stock_problems(stock: tuple[StockContainer, ...]) -> Iterator[tuple[str, Say]]:
    for each in stock:
        strength = each.strength_pct
        if strength is not None and not 0 < strength <= 100:
            yield (
                "stock",
                say(
                    "The strength of {code} must be above 0 and up to 100 %, not "
                    "{value}.",
                    code=each.code,
                    value=strength,
                ),
            )
        if each.left_ml is not None and not 0 <= each.left_ml < math.inf:
            yield (
                "stock",
                say("{code} cannot hold less than nothing.", code=each.code),
            )
