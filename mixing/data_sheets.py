"""What the data sheet of a product tells the safety room: class, vapour, hazards."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.utils import timezone

from mixing.chemistry.alcohol import vv_pct
from mixing.models import Basis, Chemical, Substance
from mixing.queries import open_containers
from mixing.safety.flammable import (
    CATEGORY_2_BELOW_C,
    check_category,
    flammable_category,
    liquid_class,
)
from mixing.safety.job_air import ISOPROPANOL, Solvent
from mixing.safety.labels import Hazard
from mixing.safety.request import PrepUse, SheetOnHand
from mixing.safety.rules import CATEGORY_4, SafetyRules
from mixing.safety.storage import NOT_FLAMMABLE
from shopapp.models import Shop

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
SHEET_VALID_DAYS = 3 * 365
"""After how long a data sheet is asked for again: a shop habit, not a legal figure."""


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
    if rules.lacking_to_class(flash_point_c):
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
    if rules.lacking_to_class(flash):
        return False
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
