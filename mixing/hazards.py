"""The shelf as the safety room looks at it, and that room's door for the car's path."""

from __future__ import annotations

from mixing.chemistry.alcohol import vv_pct
from mixing.models import Basis, Chemical, StockContainer, StorageSpot, Substance
from mixing.pictograms import pictogram_svg
from mixing.queries import open_containers
from mixing.safety.block import SafetyBlock, safety_block
from mixing.safety.flammable import flammable_category, liquid_class
from mixing.safety.job_air import ISOPROPANOL, Solvent
from mixing.safety.labels import Hazard
from mixing.safety.liquid_lines import BottleLabel
from mixing.safety.request import (
    Authorities,
    BayAir,
    PrepUse,
    SafetyRequest,
    SolutionUse,
)
from mixing.safety.states import SafetyLine
from mixing.safety.storage import NOT_FLAMMABLE, ContainerKind, Location
from mixing.safety.storage import Place as SafetyPlace
from mixing.safety.storage import StockContainer as SafetyContainer
from mixing.vapour_plot import vapour_plot_svg

__all__ = [
    "Authorities",
    "BayAir",
    "BottleLabel",
    "Hazard",
    "PrepUse",
    "SafetyBlock",
    "SafetyLine",
    "SafetyRequest",
    "SolutionUse",
    "flammable_category_of",
    "pictogram_svg",
    "prep_use",
    "safety_block",
    "soap_hazards",
    "stock_for_safety",
    "vapour_plot_svg",
]

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


def flammable_category_of(chemical: Chemical) -> int | None:
    """Category 1 to 4, 0 for not flammable, None where it is not known.

    The data sheet's word first, then its flash point, then the strength.
    """
    codes = hazard_codes(chemical)
    told = [
        FLAMMABLE_BY_CODE[code] for code in codes or () if code in FLAMMABLE_BY_CODE
    ]
    if told:
        return min(told)
    if chemical.flash_point_c is not None:
        found = flammable_category(
            flash_point_c=chemical.flash_point_c,
            boiling_point_c=chemical.boiling_point_c,
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


def prep_use(chemical: Chemical, *, litres: float | None) -> PrepUse:
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
        category=flammable_category_of(chemical),
        flash_point_c=chemical.flash_point_c,
        boiling_point_c=chemical.boiling_point_c,
    )


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


def stock_for_safety() -> tuple[SafetyContainer, ...]:
    """Every container on the shelf as the storage rules look at it."""
    rows = StockContainer.objects.filter(retired_at__isnull=True).select_related(
        "chemical", "spot"
    )
    return tuple(
        SafetyContainer(
            name=row.code,
            category=flammable_category_of(row.chemical),
            size_l=row.capacity_ml / 1000,
            kind=CONTAINER_KINDS.get(StockContainer.Material(row.material))
            if row.material
            else None,
            location=_location(row.spot),
            listed=bool(row.approved),
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
