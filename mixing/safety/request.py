"""What the safety block is asked about one job; None: nobody entered it (pure)."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from mixing.limits import (
    AIR_C,
    BAY_M3,
    BOILING_POINT_C,
    EXHAUST_M3_PER_H,
    FLASH_POINT_C,
    SPRAYED_L,
    VAPOUR_PPM,
)
from mixing.safety.bounds import above_zero, between, not_negative
from mixing.safety.exposure import short_limit_beside
from mixing.safety.flammable import Ground, check_category
from mixing.safety.height import air_pressure_kpa
from mixing.safety.labels import Hazard
from mixing.safety.product import ProductSheet
from mixing.safety.releases import LONGEST_SESSION_MIN, Solvent
from mixing.safety.rules import (
    AIR_8H,
    AIR_15MIN,
    Limit,
    SafetyRules,
    example_rules,
)
from mixing.safety.storage import StockContainer
from mixing.safety.ventilation import mixing_factor_from
from shopapp.figures import Figure
from shopapp.say import Say

_LOCAL = "shop settings, local code"
_RANGES = (
    ("limit_ppm", VAPOUR_PPM.low, VAPOUR_PPM.high, "The limit", "ppm", _LOCAL),
    ("session_min", 1, LONGEST_SESSION_MIN, "The session", "min", "one shift"),
    ("air_c", AIR_C.low, AIR_C.high, "The air of the bay", "°C", "the reading"),
    (
        "heat_target_ppm",
        VAPOUR_PPM.low,
        VAPOUR_PPM.high,
        "The target before hot tools",
        "ppm",
        "shop settings, bays: well under 10 % of the lower explosive limit",
    ),
)


def _check_use(
    name: str,
    litres: float | None,
    start_min: float,
    minutes: float | None,
    points_c: tuple[float | None, float | None],
) -> None:
    if litres is not None:
        between(
            litres,
            low=SPRAYED_L.low,
            high=SPRAYED_L.high,
            what=f"The litres of {name}",
            unit="L",
            remedy="Enter what this job uses.",
        )
    not_negative(start_min, what=f"The start of {name}", remedy="Count from the start.")
    if minutes is not None:
        what = f"The minutes of {name}"
        above_zero(minutes, what=what, remedy="Leave them empty for the whole job.")
    known = (("flash", FLASH_POINT_C), ("boiling", BOILING_POINT_C))
    for point_c, (what, read) in zip(points_c, known, strict=True):
        if point_c is not None:
            between(
                point_c,
                low=read.low,
                high=read.high,
                what=f"The {what} point of {name}",
                unit="°C",
                remedy="Read it in section 9 of the data sheet.",
            )


@dataclass(frozen=True, kw_only=True)
class SolutionUse:
    """A solution sprayed on this job.

    vv_pct         real strength, % v/v isopropanol; 0 for slip and gel
    litres         sprayed, L
    soap_mass_pct  soap as bought, % by mass of the solution; 0 for none
    vv_low_pct, vv_high_pct  the ends of its range; None: no spread is known
    soap_hazards   from section 2 of the soap's data sheet; () none, None not entered
    left_out       codes of its parts that the label's rules do not work with
    product        its own data sheet, where it is used as it comes (gel)
    flash_point_c  measured or data-sheet value, if there is one; say which in ground
    flash_basis    the measurement in full, see flash_measurement.known_flash
    start_min      since the beginning of the session, min
    minutes        spraying time, min; None: evenly over the whole session
    """

    name: str
    vv_pct: float | None
    litres: float | None
    soap_mass_pct: float = 0.0
    soap_hazards: tuple[Hazard, ...] | None = ()
    vv_low_pct: float | None = None
    vv_high_pct: float | None = None
    left_out: tuple[str, ...] = ()
    product: ProductSheet | None = None
    flash_point_c: float | None = None
    boiling_point_c: float | None = None
    ground: Ground = Ground.STRENGTH
    flash_basis: Say | None = None
    start_min: float = 0.0
    minutes: float | None = None

    def __post_init__(self) -> None:
        points = (self.flash_point_c, self.boiling_point_c)
        _check_use(self.name, self.litres, self.start_min, self.minutes, points)
        if self.vv_pct is not None:
            between(
                self.vv_pct,
                low=0,
                high=100,
                what=f"The strength of {self.name}",
                unit="% v/v",
                remedy="Take it from the mixing sheet.",
            )
        for end_pct in (self.vv_low_pct, self.vv_high_pct):
            if end_pct is not None:
                between(
                    end_pct,
                    low=0,
                    high=100,
                    what=f"The range of {self.name}",
                    unit="% v/v",
                    remedy="Take it from the mixing sheet.",
                )
        between(
            self.soap_mass_pct,
            low=0,
            high=100,
            what=f"The share of soap in {self.name}",
            unit="% by mass",
            remedy="2 mL in 950 mL is about 0.2 %.",
        )

    @property
    def strongest_pct(self) -> float | None:
        """The careful end of its range: what limits from above are held against."""
        if self.vv_pct is None:
            return None
        return max(self.vv_pct, self.vv_high_pct or 0.0)

    @property
    def weakest_pct(self) -> float | None:
        """The other end."""
        if self.vv_pct is None or self.vv_low_pct is None:
            return self.vv_pct
        return min(self.vv_pct, self.vv_low_pct)


@dataclass(frozen=True, kw_only=True)
class PrepUse:
    """A prep chemical used on this job: panel wipe, tar or adhesive remover.

    litres        used, L
    volatile_pct  share that evaporates, % by volume; 0: nothing evaporates
    solvent       what evaporates, from the data sheet (job_air.ISOPROPANOL for wipe)
    category      flammable category of the product, 0 for not flammable
    usual         amount and minutes of the shop's habit, where nobody said others
    codes         all codes of section 2; None: nobody has read it
    alcohol_pct   isopropyl alcohol in water, % v/v, where that is all it is
    """

    name: str
    litres: float | None
    volatile_pct: float | None
    solvent: Solvent | None
    category: int | None
    codes: tuple[str, ...] | None = None
    alcohol_pct: float | None = None
    flash_point_c: float | None = None
    boiling_point_c: float | None = None
    start_min: float = 0.0
    minutes: float | None = None
    usual: tuple[Figure, ...] = ()

    def __post_init__(self) -> None:
        points = (self.flash_point_c, self.boiling_point_c)
        _check_use(self.name, self.litres, self.start_min, self.minutes, points)
        if self.volatile_pct is not None:
            between(
                self.volatile_pct,
                low=0,
                high=100,
                what=f"The volatile share of {self.name}",
                unit="%",
                remedy="Section 9 of its data sheet has it.",
            )
        if self.category is not None and self.flash_point_c is not None:
            check_category(
                category=self.category or None,
                flash_point_c=self.flash_point_c,
                boiling_point_c=self.boiling_point_c,
            )


@dataclass(frozen=True, kw_only=True)
class BayAir:
    """The bay's air as measured.

    volume_m3        length x width x height, m3, 10 to 10,000
    exhaust_m3_per_h measured exhaust flow, m3/h; None: not measured
    measured_on      day of the flow measurement
    method           how it was measured, in the shop's words
    mixing_value     K (1 to 10) or efficiency (0.1 to 1)
    mixing_basis     "K" or "efficiency"
    loss_per_h       further first-order loss of vapour, 1/h; 0 is the safe value
    """

    name: str
    volume_m3: float | None
    exhaust_m3_per_h: float | None
    measured_on: date | None
    mixing_value: float | None
    mixing_basis: str | None
    method: str = ""
    loss_per_h: float = 0.0

    def __post_init__(self) -> None:
        if self.volume_m3 is not None:
            between(
                self.volume_m3,
                low=BAY_M3.low,
                high=BAY_M3.high,
                what=f"The volume of {self.name}",
                unit="m³",
                remedy="Check length, width and height in shop settings, bays; a "
                "figure in cubic feet is 35 times too large.",
            )
        if self.exhaust_m3_per_h is not None:
            between(
                self.exhaust_m3_per_h,
                low=EXHAUST_M3_PER_H.low,
                high=EXHAUST_M3_PER_H.high,
                what=f"The exhaust flow of {self.name}",
                unit="m³/h",
                remedy="Measure it; where there is none or it is not known, leave it "
                "empty in shop settings, bays.",
            )
        if self.mixing_value is not None and self.mixing_basis is not None:
            mixing_factor_from(value=self.mixing_value, basis=self.mixing_basis)
        not_negative(self.loss_per_h, what="The further loss", remedy="Enter 0.")


@dataclass(frozen=True, kw_only=True)
class Authorities:
    """Who decides locally, as the shop entered them; None: not entered.

    code           adopted fire code, name and edition
    fire_official  whom to ask
    sewer          sewer authority
    rinse_water    what its permit or answer says of rinse water, in the shop's words
    """

    code: str | None = None
    fire_official: str | None = None
    sewer: str | None = None
    rinse_water: str | None = None


@dataclass(frozen=True, kw_only=True)
class SheetOnHand:
    """The data sheet of a product: its day, whether its file is kept, if it is old.

    is_read  its values were entered: a file not kept holds up nothing
    """

    product: str
    dated: date | None
    has_file: bool
    is_old: bool = False
    is_read: bool = False


@dataclass(frozen=True, kw_only=True)
class SafetyRequest:
    """One job, its bay, the stock and the local names.

    prep             () none used, None not recorded
    limit_ppm        8-hour limit the shop chose for isopropanol, limit_name what it is;
                     the limit of its rules is held as well, the lower of both counts
    session_min      length of the job in the bay, min
    air_c            air of the bay, °C
    heat_target_ppm  vapor to purge down to before hot tools, ppm
    stock            () nothing held, None not entered
    today            the day the block is made for
    own_short_limit_ppm  15-minute limit that the shop entered, if it did
    flow_valid_days  after how long a flow measurement is old; a shop setting
    rules            the set the shop goes by
    sheets           data sheets of the products of the job; None: not looked up
    height_m         of the shop above the sea, m
    surface_c        the hottest panel to be laid, as read, °C; None: not read
    lacks_remover    old film comes off, and nobody said with what
    """

    solutions: tuple[SolutionUse, ...]
    prep: tuple[PrepUse, ...] | None
    bay: BayAir | None
    limit_ppm: float | None
    session_min: float | None
    air_c: float | None
    heat_target_ppm: float | None
    stock: tuple[StockContainer, ...] | None
    authorities: Authorities
    today: date
    limit_name: str = ""
    own_short_limit_ppm: float | None = None
    has_hot_tools: bool = True
    flow_valid_days: int = 365
    rules: SafetyRules = field(default_factory=example_rules)
    sheets: tuple[SheetOnHand, ...] | None = ()
    height_m: float = 0.0
    surface_c: float | None = None
    lacks_remover: bool = False

    @property
    def held_limit_ppm(self) -> float | None:
        """The lower of the shop's own 8-hour limit and that of its rules."""
        by_rule = self.rules.limit(AIR_8H)
        if self.limit_ppm is None or by_rule.missing:
            return None
        return min(self.limit_ppm, by_rule.value or self.limit_ppm)

    @property
    def held_limit_name(self) -> str:
        """Whose that limit is."""
        if self.limit_ppm is not None and self.held_limit_ppm == self.limit_ppm:
            return self.limit_name or "chosen"
        return self.rules.limit(AIR_8H).paragraph

    @property
    def short_limit(self) -> Limit:
        """The 15-minute limit: the shop's own, else that beside its 8-hour limit.

        The limit of the rules is held as well, the lower of both counts.
        """
        by_rule, own = self.rules.limit(AIR_15MIN), self.own_short_limit_ppm
        if by_rule.missing or (self.held_limit_ppm is None and own is None):
            return by_rule
        if own is not None:
            held = Limit(
                key=AIR_15MIN, value=own, paragraph="the shop's 15-minute limit"
            )
        elif by_rule.applies and self.rules.is_example:
            beside = short_limit_beside(limit_ppm=self.held_limit_ppm or 0.0)
            held = Limit(
                key=AIR_15MIN,
                value=beside.limit_ppm,
                paragraph=f"{beside.name}, beside the 8-hour limit",
                source=beside.source,
            )
        else:
            return by_rule
        stricter = by_rule.value is not None and by_rule.value <= (held.value or 0.0)
        return by_rule if stricter else held

    def __post_init__(self) -> None:
        self._check_names()
        for field_name, low, high, what, unit, where in _RANGES:
            value = getattr(self, field_name)
            if value is not None:
                between(
                    value,
                    low=low,
                    high=high,
                    what=what,
                    unit=unit,
                    remedy=f"Check it: {where}.",
                )
        air_pressure_kpa(height_m=self.height_m)
        measured_on = self.bay.measured_on if self.bay else None
        if measured_on is not None and measured_on > self.today:
            raise ValueError(
                f"The exhaust cannot have been measured on {measured_on}, after "
                f"{self.today}. Correct the date in shop settings, bays."
            )

    def _check_names(self) -> None:
        names = [solution.name for solution in self.solutions]
        names += [prep.name for prep in self.prep or ()]
        if twice := {name for name in names if names.count(name) > 1}:
            raise ValueError(
                f"{sorted(twice)[0]} is listed twice. Add the litres up or give each "
                "its own name."
            )
