"""What the data sheet of a product tells the safety room: class, vapour, hazards."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.utils import timezone

from mixing.chemistry.alcohol import vv_pct
from mixing.models import Basis, Chemical, StockContainer, Substance
from mixing.safety.flammable import (
    CATEGORY_2_BELOW_C,
    flammable_category,
    liquid_class,
)
from mixing.safety.labels import Hazard
from mixing.safety.product import UNKNOWN_PRODUCT, ProductSheet
from mixing.safety.releases import ISOPROPANOL, Solvent
from mixing.safety.request import PrepUse, SheetOnHand
from mixing.safety.rules import CATEGORY_4, SafetyRules
from mixing.safety.sheet_codes import SheetCodes, read_codes
from mixing.safety.storage import NOT_FLAMMABLE
from mixing.sheet.input_queries import open_containers
from shopapp.models import Shop

SHEET_VALID_DAYS = 3 * 365
"""After how long a data sheet is asked for again: a shop habit, not a legal figure."""


def codes_of(chemical: Chemical) -> SheetCodes:
    """What its data sheet says of hazards, as far as it was typed."""
    return read_codes(chemical.hazard_codes)


def flammable_category_of(
    chemical: Chemical,
    *,
    rules: SafetyRules,
    container: StockContainer | None = None,
) -> int | None:
    """Category 1 to 4, 0 for not flammable, None where it is not known.

    The graver of the data sheet's word and its flash point; without either the
    strength. A product counts as not flammable only where somebody read that.

    container  whose label may name a strength of its own
    """
    read = codes_of(chemical)
    told = _category_told(read.flammable_category, rules)
    by_flash = _category_by_flash(chemical, told, rules)
    known = [each for each in (told, by_flash) if each is not None]
    if known:
        return min((each for each in known if each), default=NOT_FLAMMABLE)
    if read.flammable_category is not None or chemical.flash_point_c is not None:
        return None
    vv = _strongest_vv_pct(chemical, container)
    if vv:
        return liquid_class(vv_pct=vv).category
    if chemical.substance == Substance.WATER or vv == 0:
        return NOT_FLAMMABLE
    return NOT_FLAMMABLE if _says_no_flame(chemical, read) else None


def _category_told(code: int | None, rules: SafetyRules) -> int | None:
    """As the code says; whether there is a category 4 at all, the rules say."""
    if code != 4:
        return code
    end = rules.limit(CATEGORY_4)
    return None if end.missing else 4 if end.applies else NOT_FLAMMABLE


def _category_by_flash(
    chemical: Chemical, told: int | None, rules: SafetyRules
) -> int | None:
    flash, boils = chemical.flash_point_c, chemical.boiling_point_c
    if flash is None:
        return None
    if not _tells_category(chemical, rules):
        # Below 23 °C it is 1 or 2, whatever a code says.
        return 2 if told is not None and flash < CATEGORY_2_BELOW_C else None
    found = flammable_category(
        flash_point_c=flash,
        boiling_point_c=boils,
        category_4_to_c=rules.limit(CATEGORY_4).value,
    )
    return found or NOT_FLAMMABLE


def _says_no_flame(chemical: Chemical, read: SheetCodes) -> bool:
    """Whether the sheet was read and names no flammable class.

    Of soap and gel its list of codes says so too; a solvent's list is too often cut.
    """
    if not read.is_read:
        return False
    if chemical.substance in (Substance.SOAP, Substance.GEL):
        return True
    return read.is_not_flammable or read.is_none


def _strongest_vv_pct(
    chemical: Chemical, container: StockContainer | None
) -> float | None:
    """Strength of an alcohol or a wipe, the container's own first; None: not said."""
    if chemical.substance not in (Substance.ALCOHOL, Substance.WIPE):
        return None
    if container is not None and container.strength_pct is not None:
        return _vv_pct(container)
    return None if chemical.strength_pct is None else _vv_pct(chemical)


def _vv_pct(told: Chemical | StockContainer) -> float:
    strength = told.strength_pct or 0.0
    if told.strength_basis == Basis.WW:
        return vv_pct(mass_fraction=strength / 100)
    return strength


@dataclass(frozen=True, kw_only=True)
class SoapSheet:
    """What the soap on the shelf brings to a mix.

    hazards   None where nobody has read a data sheet
    left_out  its codes that no rule for mixes works with
    """

    hazards: tuple[Hazard, ...] | None
    left_out: tuple[str, ...] = ()


def soap_sheet() -> SoapSheet:
    """The hazards of every open soap together."""
    soaps = {
        container.chemical
        for container in open_containers()
        if container.chemical.substance == Substance.SOAP
    }
    told = [codes_of(soap) for soap in soaps]
    left_out = tuple(sorted({code for each in told for code in each.left_out}))
    if not told or not all(each.is_read for each in told):
        return SoapSheet(hazards=None, left_out=left_out)
    brought = {hazard for each in told for hazard in each.hazards}
    return SoapSheet(
        hazards=tuple(hazard for hazard in Hazard if hazard in brought),
        left_out=left_out,
    )


def gel_sheet(*, rules: SafetyRules) -> ProductSheet:
    """What the open gel says of itself; of several the gravest of each."""
    gels = {
        container.chemical
        for container in open_containers()
        if container.chemical.substance == Substance.GEL
    }
    sheets = [product_sheet(gel, rules=rules) for gel in gels]
    if not sheets:
        return UNKNOWN_PRODUCT
    # Not known first, then the lowest category, then not flammable.
    order = {None: -1, NOT_FLAMMABLE: 9}
    return min(sheets, key=lambda each: order.get(each.category, each.category or 9))


def product_sheet(chemical: Chemical, *, rules: SafetyRules) -> ProductSheet:
    """A product used as it comes, as its data sheet describes it."""
    read = codes_of(chemical)
    return ProductSheet(
        product=chemical.name,
        category=flammable_category_of(chemical, rules=rules),
        hazards=read.hazards if read.is_read else None,
        codes=read.codes,
        left_out=read.left_out,
        flash_point_c=chemical.flash_point_c,
        boiling_point_c=chemical.boiling_point_c,
        volatile_pct=chemical.volatile_pct,
        solvent=_vapour_of(chemical),
    )


def prep_use(
    chemical: Chemical, *, litres: float | None, rules: SafetyRules
) -> PrepUse:
    """A prep chemical used on a job, as its data sheet describes it.

    A panel wipe of known strength evaporates as isopropyl alcohol; of anything else
    the data sheet must say what it gives off.
    """
    volatile_pct, vapour = chemical.volatile_pct, _vapour_of(chemical)
    alcohol_pct = None
    if vapour is None and (strength := _strongest_vv_pct(chemical, None)) is not None:
        vapour, alcohol_pct = ISOPROPANOL, strength
        volatile_pct = strength if volatile_pct is None else volatile_pct
    read = codes_of(chemical)
    return PrepUse(
        name=chemical.name,
        litres=litres,
        volatile_pct=volatile_pct,
        solvent=vapour,
        category=flammable_category_of(chemical, rules=rules),
        codes=read.codes if read.is_read else None,
        alcohol_pct=alcohol_pct,
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
    """A product: its category, and what is wrong with its data sheet.

    is_read         its codes are entered
    by_strength     neither code nor flash point says the category
    not_understood  words among its codes
    """

    chemical: Chemical
    category: int | None
    sheet: str
    by_strength: bool = False
    is_read: bool = False
    not_understood: str = ""


def chemical_rows(shop: Shop, *, rules: SafetyRules) -> list[ChemicalRow]:
    """Every product with the state of its sheet: "", "none" or "old"."""
    today = timezone.localtime(timezone.now(), shop.zone).date()
    return [
        _row(chemical, rules=rules, today=today)
        for chemical in Chemical.objects.select_related("sheet_file")
    ]


def _row(chemical: Chemical, *, rules: SafetyRules, today: date) -> ChemicalRow:
    read, category = codes_of(chemical), flammable_category_of(chemical, rules=rules)
    told = read.flammable_category is not None or chemical.flash_point_c is not None
    return ChemicalRow(
        chemical=chemical,
        category=category,
        sheet=_sheet_state(chemical, today=today),
        by_strength=bool(category) and not told,
        is_read=read.is_read,
        not_understood=", ".join(read.not_understood),
    )


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
        is_read=codes_of(chemical).is_read,
    )
