"""The line for page one: what burns, the wait, the worst of air and fire (pure)."""

from __future__ import annotations

from collections.abc import Sequence

from mixing.safety.height import air_pressure_kpa, flash_at_pressure_c
from mixing.safety.liquid_lines import class_needs, class_of
from mixing.safety.request import SafetyRequest
from mixing.safety.states import SafetyLine, State, worst
from shopapp.figures import Figure, computed, given
from shopapp.say import Say, say

_SAID_WHEN_OVER = ("peak", "sealed", "short", "fire_need", "average")
"""Air lines by gravity: the first that is over stands on page one."""


def surface_lines(request: SafetyRequest) -> tuple[SafetyLine, ...]:
    """Where the panel is as warm as a solution's flash point; nothing where it is not.

    Only what the panel's own warmth sets free: a liquid of category 1 or 2 gives off
    vapor that burns on any panel, and its category says so.
    """
    flash = _lowest_flash(request)
    surface = request.surface_c
    if flash is None or surface is None or surface < flash[1].value:
        return ()
    name, at = flash
    return (
        SafetyLine(
            key="surface",
            section="heat",
            state=State.WATCH,
            sentence=say(
                "The panel ({panel}) is as warm as {name} flashes (about {at}): no hot "
                "tool, exhaust on, whatever lights or sparks away from the panel.",
                panel=given(surface, "degc", "newest reading"),
                name=name,
                at=at,
            ),
            figures=(at,),
            basis=say("The flash point is a fire line and no limit for laying film."),
            source="flash point as in the liquid's own line, at the shop's height",
        ),
    )


def _lowest_flash(request: SafetyRequest) -> tuple[str, Figure] | None:
    pressure = air_pressure_kpa(height_m=request.height_m)
    found: list[tuple[str, Figure]] = []
    for solution in request.solutions:
        known = class_of(solution, request.rules)
        if known is None or known.flash is None:
            continue
        at = computed(
            flash_at_pressure_c,
            "degc",
            flash_point_c=known.flash,
            pressure_kpa=pressure,
        )
        found.append((solution.name, at))
    return min(found, key=lambda each: each[1].value, default=None)


def fire_line(
    request: SafetyRequest,
    lines: Sequence[SafetyLine],
    wait: Figure | None,
    has_solvent: bool,
) -> SafetyLine:
    """What burns, the wait, and the worst state of the air and of the fire."""
    feeding = [
        line
        for line in lines
        if line.section in ("air", "heat") or line.key.startswith("class:")
    ]
    missing = dict.fromkeys(key for line in feeding for key in line.missing)
    sentence = _fire_sentence(request, wait, has_solvent)
    for line in _worth_saying(feeding):
        sentence = _with(sentence, line)
    states = [line.state for line in feeding if line.state is not None]
    return SafetyLine(
        key="fire",
        section="heat",
        state=worst(states) if states else State.OK,
        sentence=sentence,
        figures=(wait,) if wait else (),
        basis=say("Safety block, later page."),
        source="29 CFR 1910.106(a)(19); wait as in the safety block",
        missing=tuple(missing),
    )


def _worth_saying(lines: Sequence[SafetyLine]) -> list[SafetyLine]:
    """The gravest air line that is over, and a panel as warm as a flash point."""
    over = {line.key: line for line in lines if line.state is State.OVER}
    first = next((over[key] for key in _SAID_WHEN_OVER if key in over), None)
    surface = [line for line in lines if line.key == "surface"]
    return ([first] if first else []) + surface


def _with(sentence: Say, line: SafetyLine) -> Say:
    """Both in one; the names of their values never meet."""
    mark = "AIR OVER: " if line.section == "air" else ""
    params = (*sentence.params, *line.sentence.params)
    return Say(f"{sentence.text} {mark}{line.sentence.text}", params)


def _fire_sentence(
    request: SafetyRequest, wait: Figure | None, has_solvent: bool
) -> Say:
    category = _worst_category(request)
    if not has_solvent and category is None and not _is_class_unknown(request):
        return say("FIRE: no alcohol or solvent on this job.")
    if category is None and not _is_class_unknown(request):
        return _not_classified(wait)
    if category is None or _is_class_unknown(request):
        if wait is None:
            return say(
                "FIRE: not all that burns here is known, treat it as highly flammable. "
                "Bottles capped and away. Wait before hot tools NOT ASSESSED: no heat "
                "after alcohol until the safety block says how long."
            )
        return say(
            "FIRE: not all that burns here is known, treat it as highly flammable. "
            "Bottles capped and away, rags in the can; wait {wait} after the last "
            "alcohol spray, exhaust on, before hot tools.",
            wait=wait,
        )
    what = ", ".join(_of_category(request, category))
    if wait is None:
        return say(
            "FIRE: flammable, category {category} ({what}). Bottles capped and away. "
            "Wait before hot tools NOT ASSESSED: no heat after alcohol until the "
            "safety block says how long.",
            category=category,
            what=what,
        )
    return say(
        "FIRE: flammable, category {category} ({what}). Bottles capped and away, rags "
        "in the can; wait {wait} after the last alcohol spray, exhaust on, before hot "
        "tools.",
        category=category,
        what=what,
        wait=wait,
    )


def _not_classified(wait: Figure | None) -> Say:
    """Weak mixes: no category, and their vapor all the same."""
    if wait is None:
        return say(
            "FIRE: some alcohol or solvent, not classified as flammable. Bottles "
            "capped and away. Wait before hot tools NOT ASSESSED: no heat after "
            "alcohol until the safety block says how long."
        )
    return say(
        "FIRE: some alcohol or solvent, not classified as flammable. Bottles capped "
        "and away, rags in the can; wait {wait} after the last alcohol spray, exhaust "
        "on, before hot tools.",
        wait=wait,
    )


def _worst_category(request: SafetyRequest) -> int | None:
    return min((category for _, category in _categories(request)), default=None)


def _of_category(request: SafetyRequest, category: int) -> list[str]:
    """What is of this category, by name."""
    named = [name for name, each in _categories(request) if each == category]
    return list(dict.fromkeys(named))


def _categories(request: SafetyRequest) -> list[tuple[str, int]]:
    """Everything classified as flammable, with its category."""
    classes = [(each.name, class_of(each, request.rules)) for each in request.solutions]
    found = [(name, c.category) for name, c in classes if c is not None and c.category]
    return found + [(p.name, p.category) for p in request.prep or () if p.category]


def _is_class_unknown(request: SafetyRequest) -> bool:
    """Whether a liquid of the job could burn better than what is known of the rest."""
    return (
        request.prep is None
        or any(class_needs(each, request.rules) for each in request.solutions)
        or any(p.category is None for p in request.prep)
    )
