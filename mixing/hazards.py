"""The shelf as the safety room looks at it, and that room's door for the car's path."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.utils import timezone

from mixing.chemistry.alcohol import vv_pct
from mixing.models import Basis, Chemical, StockContainer, StorageSpot, Substance
from mixing.pictograms import PICTOGRAMS, pictogram_svg
from mixing.queries import open_containers
from mixing.safety.block import SafetyBlock, safety_block
from mixing.safety.brief import BriefLine, brief_lines, brief_need
from mixing.safety.duty_lines import duty_lines, duty_needs
from mixing.safety.flammable import (
    check_category,
    flammable_category,
    liquid_class,
)
from mixing.safety.flash_measurement import FlashMeasurement, Mix, known_flash
from mixing.safety.job_air import ISOPROPANOL, Release, Solvent, solvent
from mixing.safety.labels import Hazard
from mixing.safety.liquid_lines import BottleLabel
from mixing.safety.request import (
    Authorities,
    BayAir,
    PrepUse,
    SafetyRequest,
    SheetOnHand,
    SolutionUse,
)
from mixing.safety.rules import AIR_8H, CATEGORY_4, SafetyRules
from mixing.safety.several import SprayJob, at_once, several_bays
from mixing.safety.states import (
    SECTION_TITLES,
    MissingInput,
    SafetyLine,
    State,
    worst,
)
from mixing.safety.stock_check import StockCheck, stock_check
from mixing.safety.storage import (
    NOT_FLAMMABLE,
    ContainerKind,
    Location,
)
from mixing.safety.storage import Place as SafetyPlace
from mixing.safety.storage import StockContainer as SafetyContainer
from mixing.safety.ventilation import effective_flow_m3_per_h, mixing_factor_from
from mixing.tables import Row, table
from mixing.vapour_plot import PAPER_PLOT, vapour_plot_svg
from shopapp.figures import Figure
from shopapp.models import Bay, Shop

__all__ = [
    "Authorities",
    "PAPER_PLOT",
    "PICTOGRAMS",
    "SECTION_TITLES",
    "BayAir",
    "BottleLabel",
    "BriefLine",
    "FLOW_VALID_DAYS",
    "ChemicalRow",
    "FlashMeasurement",
    "Hazard",
    "MissingInput",
    "Mix",
    "PrepUse",
    "Release",
    "SafetyBlock",
    "SafetyLine",
    "SafetyRequest",
    "SolutionUse",
    "Solvent",
    "SprayJob",
    "State",
    "StockCheck",
    "SafetyRules",
    "SheetOnHand",
    "alcohol_of",
    "at_once",
    "bay_rows",
    "brief_lines",
    "brief_need",
    "category_of_codes",
    "chemical_rows",
    "fits_flash_point",
    "flammable_category_of",
    "known_flash",
    "known_limits",
    "missing_duties",
    "mixing_factor_from",
    "pictogram_svg",
    "prep_use",
    "sheet_on_hand",
    "safety_block",
    "several_bays",
    "shelf_check",
    "shelf_duties",
    "soap_hazards",
    "stock_for_safety",
    "vapour_plot_svg",
    "worst",
]

CATEGORY_3_TO_C = 60.0
CATEGORY_2_BELOW_C = 23.0
"""29 CFR 1910.106(a)(19)(i) and (ii): the boiling point parts category 1 from 2."""
FLAMMABLE_BY_CODE = {"H224": 1, "H225": 2, "H226": 3, "H227": 4}
HAZARD_BY_CODE = {
    "H318": Hazard.EYE_DAMAGE_1,
    "H319": Hazard.EYE_IRRIT_2,
    "H314": Hazard.SKIN_CORR_1,
    "H315": Hazard.SKIN_IRRIT_2,
    "H317": Hazard.SKIN_SENS_1,
    "H336": Hazard.STOT_SE_3_NARCOTIC,
    "H335": Hazard.STOT_SE_3_IRRITANT,
}
"""H statements of the open standard and the classes they stand for (GHS annex 3)."""

CONTAINER_KINDS = {
    StockContainer.Material.PLASTIC: ContainerKind.GLASS_OR_PLASTIC,
    StockContainer.Material.GLASS: ContainerKind.GLASS_OR_PLASTIC,
    StockContainer.Material.METAL: ContainerKind.METAL,
    StockContainer.Material.SAFETY_CAN: ContainerKind.SAFETY_CAN,
    StockContainer.Material.DRUM: ContainerKind.DRUM,
}


def hazard_codes(chemical: Chemical) -> frozenset[str] | None:
    """The H codes of a data sheet; None where nobody has read it yet."""
    codes = frozenset(chemical.hazard_codes.replace(",", " ").upper().split())
    return codes if codes or chemical.sheet_dated else None


def category_of_codes(codes: str) -> int | None:
    """The flammable category that H codes with commas name, if any."""
    told = codes.replace(",", " ").upper().split()
    return min(
        (FLAMMABLE_BY_CODE[code] for code in told if code in FLAMMABLE_BY_CODE),
        default=None,
    )


def fits_flash_point(
    *,
    category: int,
    flash_point_c: float,
    boiling_point_c: float | None,
    rules: SafetyRules,
) -> None:
    """Raise ValueError when a data sheet's category and flash point disagree.

    Below 23 °C the boiling point parts category 1 from 2; where nobody entered it
    both are believed; above category 3 the rules that the shop goes by have to say
    where category 4 ends.
    """
    if flash_point_c > CATEGORY_3_TO_C and rules.lacking(CATEGORY_4):
        return
    below = flash_point_c < CATEGORY_2_BELOW_C
    if below and boiling_point_c is None:
        if category in (1, 2):
            return
        raise ValueError(
            f"A flash point of {flash_point_c:g} °C belongs to category 1 or 2, not "
            f"category {category}. Correct the one that was read wrongly; section 9 of "
            "the data sheet has both."
        )
    check_category(
        category=category,
        flash_point_c=flash_point_c,
        boiling_point_c=boiling_point_c,
        category_4_to_c=rules.limit(CATEGORY_4).value,
    )


def flammable_category_of(chemical: Chemical, *, rules: SafetyRules) -> int | None:
    """Category 1 to 4, 0 for not flammable, None where it is not known.

    The data sheet's word first, then its flash point, then the strength. Whether
    there is a category 4 at all, the rules that the shop goes by say.
    """
    codes = hazard_codes(chemical)
    told = category_of_codes(chemical.hazard_codes)
    if told == 4:
        end = rules.limit(CATEGORY_4)
        return None if end.missing else 4 if end.applies else NOT_FLAMMABLE
    if told is not None:
        return told
    if chemical.flash_point_c is not None:
        if not _tells_category(chemical, rules):
            return None
        found = flammable_category(
            flash_point_c=chemical.flash_point_c,
            boiling_point_c=chemical.boiling_point_c,
            category_4_to_c=rules.limit(CATEGORY_4).value,
        )
        return found or NOT_FLAMMABLE
    if chemical.substance == Substance.WATER or codes is not None:
        return NOT_FLAMMABLE
    if chemical.substance == Substance.ALCOHOL and chemical.strength_pct is not None:
        return liquid_class(vv_pct=_vv_pct(chemical)).category or NOT_FLAMMABLE
    return None


def _vv_pct(chemical: Chemical) -> float:
    strength = chemical.strength_pct or 0.0
    if chemical.strength_basis == Basis.WW:
        return vv_pct(mass_fraction=strength / 100)
    return strength


def soap_hazards() -> tuple[Hazard, ...] | None:
    """What the soap on the shelf brings to a mix; None where nobody has entered it."""
    soaps = [
        container.chemical
        for container in open_containers()
        if container.chemical.substance == Substance.SOAP
    ]
    told = [hazard_codes(soap) for soap in soaps]
    if not told or None in told:
        return None
    codes = {code for each in told for code in each or ()}
    return tuple(HAZARD_BY_CODE[code] for code in sorted(codes & set(HAZARD_BY_CODE)))


def prep_use(
    chemical: Chemical, *, litres: float | None, rules: SafetyRules
) -> PrepUse:
    """A prep chemical used on a job, as its data sheet describes it.

    A panel wipe of known strength evaporates as isopropyl alcohol; of anything else
    the data sheet must say what it gives off.
    """
    volatile_pct, vapour = chemical.volatile_pct, _vapour_of(chemical)
    is_alcohol = chemical.substance in (Substance.WIPE, Substance.ALCOHOL)
    if vapour is None and is_alcohol and chemical.strength_pct is not None:
        vapour = ISOPROPANOL
        volatile_pct = _vv_pct(chemical) if volatile_pct is None else volatile_pct
    return PrepUse(
        name=chemical.name,
        litres=litres,
        volatile_pct=volatile_pct,
        solvent=vapour,
        category=flammable_category_of(chemical, rules=rules),
    )


def _tells_category(chemical: Chemical, rules: SafetyRules) -> bool:
    """Whether its flash point tells the category.

    Below 23 °C only beside a boiling point; above category 3 only where the rules say
    how far category 4 goes.
    """
    flash = chemical.flash_point_c
    if flash is None:
        return False
    if flash > CATEGORY_3_TO_C:
        return not rules.lacking(CATEGORY_4)
    return flash >= CATEGORY_2_BELOW_C or chemical.boiling_point_c is not None


def _vapour_of(chemical: Chemical) -> Solvent | None:
    """What evaporates, where the data sheet's values were entered."""
    density, molar = chemical.density_g_per_ml, chemical.molar_mass_g_per_mol
    if density is None or molar is None or chemical.lel_pct is None:
        return None
    return Solvent(
        name=chemical.name,
        specific_gravity=density,
        molar_mass_g_per_mol=molar,
        lel_pct=chemical.lel_pct,
        limit_ppm=chemical.limit_ppm,
    )


def stock_for_safety(rules: SafetyRules) -> tuple[SafetyContainer, ...]:
    """Every container on the shelf as the storage rules look at it."""
    rows = StockContainer.objects.filter(retired_at__isnull=True).select_related(
        "chemical", "spot"
    )
    return tuple(
        SafetyContainer(
            name=row.code,
            category=flammable_category_of(row.chemical, rules=rules),
            size_l=row.capacity_ml / 1000,
            kind=CONTAINER_KINDS.get(StockContainer.Material(row.material))
            if row.material
            else None,
            location=_location(row.spot),
            listed=row.approved,
        )
        for row in rows
    )


def _location(spot: StorageSpot | None) -> Location | None:
    if spot is None:
        return None
    if spot.form == StorageSpot.Form.CABINET:
        return Location(place=SafetyPlace.CABINET, name=spot.name)
    if spot.form == StorageSpot.Form.ROOM:
        return Location(place=SafetyPlace.ROOM, name=spot.name)
    area = spot.fire_area.strip()
    return Location(place=SafetyPlace.OUTSIDE, name=area) if area else None


def known_limits(rules: SafetyRules) -> list[Row]:
    """8-hour limits for alcohol vapour, each with its source.

    The published ones beside the federal example; of a set of the shop's own what it
    says itself.
    """
    if rules.is_example:
        return [row for row in table("exposure_limits") if row["period"] == "8 h"]
    own = rules.limit(AIR_8H)
    if own.value is None:
        return []
    return [
        {
            "name": own.paragraph,
            "jurisdiction": rules.named,
            "limit_ppm": f"{own.value:g}",
            "source": own.source,
        }
    ]


def shelf_duties(rules: SafetyRules, *, sprays: bool) -> tuple[SafetyLine, ...]:
    """What is done at the shelf and the mixing point, for what is held."""
    return duty_lines(stock=stock_for_safety(rules), sprays=sprays, rules=rules.storage)


def missing_duties(rules: SafetyRules) -> tuple[MissingInput, ...]:
    """The instructions that the set lacks."""
    return duty_needs(rules.storage)


def shelf_check(rules: SafetyRules) -> StockCheck:
    """Every container and place of the shelf against the rules."""
    return stock_check(containers=stock_for_safety(rules), rules=rules.storage)


@dataclass(frozen=True, kw_only=True)
class BayRow:
    """A bay with its mixing factor as K, and the flow that works as mixed air."""

    bay: Bay
    factor: float | None
    effective: Figure | None


def bay_rows() -> list[BayRow]:
    """The bays, those in use first."""
    return [_bay_row(bay) for bay in Bay.objects.order_by("retired", "position", "pk")]


def _bay_row(bay: Bay) -> BayRow:
    if bay.mixing_factor is None or not bay.mixing_factor_basis:
        return BayRow(bay=bay, factor=None, effective=None)
    basis = "K" if bay.mixing_factor_basis == Bay.FactorBasis.K else "efficiency"
    factor = mixing_factor_from(value=bay.mixing_factor, basis=basis)
    flow = bay.exhaust_m3_per_h
    if flow is None:
        return BayRow(bay=bay, factor=factor, effective=None)
    effective = Figure(
        value=effective_flow_m3_per_h(flow_m3_per_h=flow, mixing_factor=factor),
        unit="m3_per_h",
        made_by="mixing.safety.ventilation.effective_flow_m3_per_h",
        inputs=(("flow_m3_per_h", flow), ("mixing_factor", factor)),
    )
    return BayRow(bay=bay, factor=factor, effective=effective)


def alcohol_of(shop: Shop, *, rules: SafetyRules) -> Solvent:
    """Isopropyl alcohol with the lower of the shop's limit and that of its rules."""
    own, by_rule = float(shop.vapour_limit_ppm), rules.limit(AIR_8H)
    held = None if by_rule.missing else min(own, by_rule.value or own)
    return solvent(name=ISOPROPANOL.name, limit_ppm=held)


SHEET_VALID_DAYS = 3 * 365
"""After how long a data sheet is asked for again: a shop habit, not a legal figure."""
FLOW_VALID_DAYS = 365


@dataclass(frozen=True, kw_only=True)
class ChemicalRow:
    """A product: its category, and what is wrong with its data sheet."""

    chemical: Chemical
    category: int | None
    sheet: str


def chemical_rows(shop: Shop, *, rules: SafetyRules) -> list[ChemicalRow]:
    """Every product with the state of its sheet: "", "none" or "old"."""
    today = timezone.localtime(timezone.now(), shop.zone).date()
    return [
        ChemicalRow(
            chemical=chemical,
            category=flammable_category_of(chemical, rules=rules),
            sheet=_sheet_state(chemical, today=today),
        )
        for chemical in Chemical.objects.select_related("sheet_file")
    ]


def _sheet_state(chemical: Chemical, *, today: date) -> str:
    if chemical.substance == Substance.WATER:
        return ""
    if chemical.sheet_dated is None or chemical.sheet_file_id is None:
        return "none"
    age = (today - chemical.sheet_dated).days
    return "old" if age > SHEET_VALID_DAYS else ""


def sheet_on_hand(chemical: Chemical, *, today: date) -> SheetOnHand:
    """A product's data sheet as the safety block looks at it."""
    return SheetOnHand(
        product=chemical.name,
        dated=chemical.sheet_dated,
        has_file=chemical.sheet_file_id is not None,
        is_old=_sheet_state(chemical, today=today) == "old",
    )
