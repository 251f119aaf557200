"""Which inputs nobody entered, each with its page, and what hangs on them (pure)."""

from __future__ import annotations

from mixing.safety.duty_lines import duty_needs
from mixing.safety.product import ProductSheet
from mixing.safety.releases import ISOPROPANOL, Release, Solvent, solvent
from mixing.safety.request import PrepUse, SafetyRequest, SheetOnHand, SolutionUse
from mixing.safety.rule_rows import slot_of
from mixing.safety.rules import AIR_8H, LIMIT_KEYS
from mixing.safety.states import (
    PAGE_BAYS,
    PAGE_LOCAL_CODE,
    PAGE_ORDER,
    PAGE_PREP,
    PAGE_RULES,
    PAGE_STOCK,
    MissingInput,
)
from shopapp.say import Say, say

Needs = tuple[str, ...]


def missing_inputs(request: SafetyRequest) -> tuple[MissingInput, ...]:
    """Every input of the job, bay and local code that is None, each once."""
    return (
        *_of_solutions(request),
        *_of_prep(request),
        *_of_job(request),
        *_of_bay(request),
        *_of_local_code(request),
        *_of_sheets(request),
        *_of_rules(request),
    )


def vapour_needs(request: SafetyRequest) -> Needs:
    """Keys that every vapour figure of the job hangs on."""
    keys = ["order.prep", "order.remover", "order.minutes", "order.air"]
    for solution in request.solutions:
        parts = ("strength", "litres", "volatile")
        keys += [f"solution.{solution.name}.{part}" for part in parts]
    for prep in request.prep or ():
        keys += [f"prep.{prep.name}.{part}" for part in ("litres", "volatile")]
    return tuple(keys)


def vapour_to_enter(request: SafetyRequest) -> tuple[str, ...]:
    """Names of what nobody entered and that more vapour may hang on.

    The air's temperature is none of it: the week is reckoned at a warm one.
    """
    keys = {*vapour_needs(request), *limit_needs(request)} - {"order.air"}
    return tuple(
        str(need.sentence).rstrip(".")
        for need in missing_inputs(request)
        if need.key in keys
    )


def limit_needs(request: SafetyRequest) -> Needs:
    """Keys of the limits that the vapours of the job are held against."""
    return (
        "local.limit",
        f"rules.{AIR_8H}",
        *(f"prep.{prep.name}.limit" for prep in request.prep or ()),
    )


def releases_of(request: SafetyRequest) -> tuple[Release, ...]:
    """What evaporates on the job, as far as it was entered."""
    found: list[Release] = []
    for solution in request.solutions:
        product = solution.product
        share = solution.vv_pct if product is None else product.volatile_pct
        of = ISOPROPANOL if product is None else product.solvent
        litres = (solution.litres or 0.0) * (share or 0.0) / 100
        if of is not None:
            found += _release(request, solution, litres, of)
    for prep in request.prep or ():
        litres = (prep.litres or 0.0) * (prep.volatile_pct or 0.0) / 100
        if prep.solvent is not None:
            found += _release(request, prep, litres, prep.solvent)
    return tuple(found)


def _release(
    request: SafetyRequest, use: SolutionUse | PrepUse, litres: float, of: Solvent
) -> list[Release]:
    minutes = use.minutes
    if minutes is None and request.session_min is not None:
        minutes = request.session_min - use.start_min
        if minutes <= 0:
            raise ValueError(
                f"{use.name} starts after the session of {request.session_min:g} "
                "minutes ends. Correct its start or the minutes of the session."
            )
    if not litres or minutes is None:
        return []
    if of.name == ISOPROPANOL.name and of.limit_ppm is None:
        of = solvent(name=of.name, limit_ppm=request.held_limit_ppm)
    return [
        Release(
            name=use.name,
            litres=litres,
            start_min=use.start_min,
            minutes=minutes,
            solvent=of,
            # A wipe of its own minutes is a phase with a peak.
            is_burst=isinstance(use, PrepUse) and use.minutes is not None,
        )
    ]


def may_release(request: SafetyRequest) -> bool:
    """Whether any solvent is, or may be, in the job; unknown counts as yes."""
    if request.prep is None or request.lacks_remover:
        return True
    return any(_gives_off(s) for s in request.solutions) or any(
        p.volatile_pct is None or p.volatile_pct > 0 for p in request.prep
    )


def _gives_off(solution: SolutionUse) -> bool:
    if solution.product is not None:
        return solution.product.may_evaporate
    return solution.vv_pct is None or solution.vv_pct > 0


def _of_solutions(request: SafetyRequest) -> list[MissingInput]:
    found = []
    for solution in request.solutions:
        name, key = solution.name, f"solution.{solution.name}"
        if solution.product is not None:
            found += _of_product(solution, solution.product)
            continue
        if solution.vv_pct is None:
            found.append(
                _need(f"{key}.strength", PAGE_ORDER, say("Strength of {n}.", n=name))
            )
        if solution.litres is None and solution.vv_pct != 0:
            found.append(
                _need(f"{key}.litres", PAGE_ORDER, say("Litres of {n}.", n=name))
            )
        if solution.soap_hazards is None and solution.soap_mass_pct > 0:
            said = say(
                "Hazards of the soap in {n}: section 2 of its data sheet.", n=name
            )
            found.append(_need(f"{key}.soap", PAGE_STOCK, said))
    return found


def _of_product(solution: SolutionUse, sheet: ProductSheet) -> list[MissingInput]:
    name, key = solution.name, f"solution.{solution.name}"
    found = []
    if sheet.category is None:
        said = say("Flammable category of {n}: section 2 of its data sheet.", n=name)
        found.append(_need(f"{key}.class", PAGE_STOCK, said))
    if sheet.hazards is None:
        said = say("Hazards of {n}: section 2 of its data sheet.", n=name)
        found.append(_need(f"{key}.hazards", PAGE_STOCK, said))
    if sheet.may_evaporate and (sheet.volatile_pct is None or sheet.solvent is None):
        said = say("What evaporates from {n}: section 9 of its data sheet.", n=name)
        found.append(_need(f"{key}.volatile", PAGE_STOCK, said))
    if sheet.may_evaporate and solution.litres is None:
        found.append(_need(f"{key}.litres", PAGE_ORDER, say("Litres of {n}.", n=name)))
    return found


def _of_prep(request: SafetyRequest) -> list[MissingInput]:
    if request.prep is None:
        said = say("Prep chemicals used, or none.")
        return [_need("order.prep", PAGE_PREP, said)]
    found = []
    if request.lacks_remover:
        said = say("Remover used for the old film, or none.")
        found.append(_need("order.remover", PAGE_PREP, said))
    for prep in request.prep:
        name, key = prep.name, f"prep.{prep.name}"
        evaporates = prep.volatile_pct is None or prep.volatile_pct > 0
        if prep.litres is None and evaporates:
            found.append(
                _need(f"{key}.litres", PAGE_ORDER, say("Litres of {n}.", n=name))
            )
        if evaporates and (prep.volatile_pct is None or prep.solvent is None):
            said = say("What evaporates from {n}: section 9 of its data sheet.", n=name)
            found.append(_need(f"{key}.volatile", PAGE_STOCK, said))
        if _lacks_own_limit(prep):
            said = say("Limit of {n}: section 8 of its data sheet.", n=name)
            found.append(_need(f"{key}.limit", PAGE_STOCK, said))
        if prep.category is None:
            said = say(
                "Flammable category of {n}: section 2 of its data sheet.", n=name
            )
            found.append(_need(f"{key}.category", PAGE_STOCK, said))
    return found


def _lacks_own_limit(prep: PrepUse) -> bool:
    return (
        prep.solvent is not None
        and prep.solvent.limit_ppm is None
        and prep.solvent.name != ISOPROPANOL.name
    )


def _of_job(request: SafetyRequest) -> list[MissingInput]:
    found = []
    minutes = [s.minutes for s in request.solutions]
    minutes += [p.minutes for p in request.prep or ()]
    if request.session_min is None and None in minutes:
        found.append(_need("order.minutes", PAGE_ORDER, say("Minutes of the session.")))
    if request.air_c is None:
        found.append(_need("order.air", PAGE_ORDER, say("Air temperature of the bay.")))
    if request.heat_target_ppm is None:
        said = say("Vapor level to wait for before hot tools.")
        found.append(_need("bay.heat_target", PAGE_BAYS, said))
    return found


def _of_bay(request: SafetyRequest) -> list[MissingInput]:
    bay = request.bay
    name = bay.name if bay else "bay"
    asked = (
        ("bay.volume", bay and bay.volume_m3, "Size of {bay}: length, width, height."),
        ("bay.exhaust", bay and bay.exhaust_m3_per_h, "Measured exhaust of {bay}."),
        ("bay.measured_on", bay and bay.measured_on, "Day {bay} was measured."),
        (
            "bay.mixing",
            bay and bay.mixing_basis and bay.mixing_value,
            "Mixing factor of {bay}, and whether it is K or an efficiency.",
        ),
    )
    return [
        _need(key, PAGE_BAYS, say(what, bay=name))
        for key, value, what in asked
        if not value
    ]


def _of_local_code(request: SafetyRequest) -> list[MissingInput]:
    local = request.authorities
    asked = (
        ("local.limit", request.limit_ppm, "Exposure limit for isopropyl alcohol."),
        ("local.code", local.code, "Adopted fire code, name and edition."),
        ("local.fire_official", local.fire_official, "Fire official to ask."),
        ("local.sewer", local.sewer, "Sewer authority to ask."),
        ("local.rinse_water", local.rinse_water, "What it says of rinse water."),
    )
    return [
        _need(key, PAGE_LOCAL_CODE, say(what))
        for key, value, what in asked
        if value is None or not str(value).strip()
    ]


def _of_sheets(request: SafetyRequest) -> list[MissingInput]:
    if request.sheets is None:
        return [_need("sheets", PAGE_STOCK, say("Products of this job."))]
    return [
        _need(
            f"sheet.{sheet.product}",
            PAGE_STOCK,
            say(_lacks(sheet), n=sheet.product),
        )
        for sheet in request.sheets
        if sheet.dated is None or not sheet.has_file
    ]


def _lacks(sheet: SheetOnHand) -> str:
    if sheet.has_file:
        return "Data sheet of {n}: its date."
    if sheet.dated is not None:
        return "Data sheet of {n}: its file."
    return "Data sheet of {n}: its date and file."


def _of_rules(request: SafetyRequest) -> list[MissingInput]:
    """Limits and instructions that the set does not say; sizes: see stock_check."""
    return [
        _need(
            key,
            PAGE_RULES,
            say("{what}.", what=slot_of(limit).what.capitalize()),
        )
        for limit in LIMIT_KEYS
        for key in request.rules.lacking(limit)
    ] + list(duty_needs(request.rules.storage))


def _need(key: str, page: str, sentence: Say) -> MissingInput:
    return MissingInput(key=key, sentence=sentence, page=page)
