"""The vapour lines of the block: exhaust, peak, average, wait (pure)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from mixing.safety.air_inputs import AirFacts
from mixing.safety.job_air import (
    all_average_ppm,
    average_share,
    fire_flow_m3_per_h,
    health_flow_m3_per_h,
    lel_pct,
    peak_minute,
    sealed_job_ppm,
    total_ppm,
)
from mixing.safety.releases import ISOPROPANOL
from mixing.safety.rules import AIR_15MIN
from mixing.safety.states import SafetyLine, State, state_of_share
from mixing.safety.ventilation import air_changes_per_h
from shopapp.figures import Figure, computed, given, per_cent
from shopapp.say import Say, say

OVER_FROM_LEL_PCT = 10.0

_SAFETY_SOURCE = "ACGIH Industrial Ventilation; 29 CFR 1910.1000(d)"

_TITLES = {
    "air_changes": say("Air changes: not assessed."),
    "air_need": say("Exhaust needed for health: not assessed."),
    "fire_need": say("Exhaust needed against fire: not assessed."),
    "peak": say("Highest bay average: not assessed."),
    "short": say("15-minute limit: not assessed."),
    "average": say("8-hour average: not assessed."),
    "wait": say("Wait before hot tools: not assessed."),
    "flow_age": say("Age of the exhaust measurement: not assessed."),
}


_BY_RULES = ("air_need", "short", "average")
"""Lines that hold the vapour against a limit of the set."""


def air_lines(facts: AirFacts) -> tuple[SafetyLine, ...]:
    """Every vapour line of a job that releases, or may release, solvent."""
    no_temp = tuple(key for key in facts.vapour if key != "order.air")
    whole = facts.whole_bay
    plan: tuple[tuple[str, tuple[str, ...], Callable[[AirFacts], SafetyLine]], ...] = (
        ("flow_age", ("bay.exhaust", "bay.measured_on"), _flow_age),
        ("air_changes", ("bay.volume", "bay.exhaust"), _air_changes),
        (
            "air_need",
            (*facts.vapour, *facts.limits, "bay.exhaust", "bay.mixing"),
            _air_need,
        ),
        ("fire_need", (*no_temp, "bay.exhaust"), _fire_need),
        ("peak", whole, _peak),
        ("short", (*whole, f"rules.{AIR_15MIN}"), _short),
        ("average", (*whole, *facts.limits), _average),
        ("wait", (*whole, "bay.heat_target"), _wait_line),
    )
    rules = facts.request.rules
    if not facts.request.short_limit.applies:
        plan = tuple(each for each in plan if each[0] != "short")
    lines = [
        _not_assessed(key, lacking) if (lacking := facts.lacks(needs)) else build(facts)
        for key, needs, build in plan
    ]
    lines = [
        replace(line, rules=rules.named) if line.key in _BY_RULES else line
        for line in lines
    ]
    if facts.is_sealed_figure_due():
        lines.append(_sealed(facts))
    return (*lines, *_usual_lines(facts))


def _usual_lines(facts: AirFacts) -> list[SafetyLine]:
    """What was taken because nobody recorded it."""
    return [
        SafetyLine(
            key=f"usual:{prep.name}",
            section="air",
            state=None,
            sentence=say(
                "{name}: {amount} over {minutes}, the shop's usual; nobody recorded "
                "more.",
                name=prep.name,
                amount=prep.usual[0],
                minutes=prep.usual[1],
            ),
            figures=prep.usual,
            source="shop settings, vapor; common practice, no published source",
        )
        for prep in facts.request.prep or ()
        if prep.usual
    ]


def _flow_age(facts: AirFacts) -> SafetyLine:
    bay = facts.request.bay
    assert bay is not None
    assert bay.measured_on is not None
    age = (facts.request.today - bay.measured_on).days
    old = age > facts.request.flow_valid_days
    pattern = (
        "Exhaust measured on {day}, {age} days ago: measure it again."
        if old
        else "Exhaust measured on {day}."
    )
    return SafetyLine(
        key="flow_age",
        section="air",
        state=State.WATCH if old else State.OK,
        sentence=say(pattern, day=bay.measured_on, age=age),
        basis=say("Method: {method}.", method=bay.method or "not stated"),
        source="interval: shop setting, common practice without published source",
    )


def _air_changes(facts: AirFacts) -> SafetyLine:
    volume, flow = facts.volume(), facts.flow()
    changes = computed(air_changes_per_h, "per_h", flow_m3_per_h=flow, volume_m3=volume)
    return SafetyLine(
        key="air_changes",
        section="air",
        state=None,
        sentence=say("Air changes: {changes}.", changes=changes),
        figures=(changes,),
        source="CDC ventilation page",
    )


def _air_need(facts: AirFacts) -> SafetyLine:
    need = facts.figure(
        health_flow_m3_per_h,
        "m3_per_h",
        releases=facts.releases,
        mixing_factor=facts.mixing_factor(),
        temp_c=facts.temp(),
        pressure_kpa=facts.pressure(),
    )
    return _need_line(facts, "air_need", need, _mixing_basis(facts))


def _fire_need(facts: AirFacts) -> SafetyLine:
    need = facts.figure(
        fire_flow_m3_per_h,
        "m3_per_h",
        releases=facts.releases,
        pressure_kpa=facts.pressure(),
    )
    bursts = any(release.is_burst for release in facts.releases)
    return _need_line(facts, "fire_need", need, _WITH_PEAKS if bursts else _STEADY)


_STEADY = say("25 % of the lower explosive limit, C 4.")
_WITH_PEAKS = say(
    "C 12 for a wipe, which comes in a burst (8 % of the lower explosive limit); C 4 "
    "in steady spraying (25 %)."
)


def _need_line(facts: AirFacts, key: str, need: Figure, basis: Say) -> SafetyLine:
    has = given(facts.flow(), "m3_per_h", "measured exhaust")
    pattern = {
        "air_need": "Health: {need} of exhaust would hold the limit through the "
        "busiest minutes, {has} there.",
        "fire_need": "Fire: {need} of exhaust needed in the busiest minutes, {has} "
        "there.",
    }[key]
    state = state_of_share(share=need.value / has.value)
    if key == "air_need" and state is State.OVER:
        # The limit is an 8-hour average: that line says whether it is passed.
        state = State.WATCH
    return SafetyLine(
        key=key,
        section="air",
        state=state,
        sentence=say(pattern, need=need, has=has),
        figures=(need, has),
        basis=basis,
        source=_SAFETY_SOURCE,
    )


def _peak(facts: AirFacts) -> SafetyLine:
    air, all_of = facts.air(), facts.releases
    minute = peak_minute(releases=all_of, air=air) if all_of else 0.0
    level = facts.figure(total_ppm, "ppm", releases=all_of, air=air, minute=minute)
    lel = facts.figure(lel_pct, "lel_pct", releases=all_of, air=air, minute=minute)
    return SafetyLine(
        key="peak",
        section="air",
        state=_lel_state(lel.value),
        sentence=say(
            "Bay average rises to {level}, {lel} of the lower explosive limit.",
            level=level,
            lel=lel,
        ),
        figures=(level, lel),
        basis=_model(facts),
        source="mass balance; 10 % of the LEL is the NIOSH IDLH for isopropanol",
    )


def _short(facts: AirFacts) -> SafetyLine:
    """The 15-minute limit is of isopropanol: only its share of the peak is held to it.

    The highest bay average stands for the 15 minutes around it: the careful side.
    """
    air, limit = facts.air(), facts.request.short_limit
    own = [r for r in facts.releases if r.solvent.name == ISOPROPANOL.name]
    minute = peak_minute(releases=own, air=air) if own else 0.0
    level = facts.figure(total_ppm, "ppm", releases=own, air=air, minute=minute)
    short = given(limit.value or 0.0, "ppm", limit.paragraph)
    return SafetyLine(
        key="short",
        section="air",
        state=state_of_share(share=level.value / short.value),
        sentence=say(
            "15 minutes: alcohol up to {level}, limit {short}.",
            level=level,
            short=short,
        ),
        figures=(level, short),
        basis=_model(facts),
        source=limit.origin,
    )


def _average(facts: AirFacts) -> SafetyLine:
    air, all_of = facts.air(), facts.releases
    share = average_share(releases=all_of, air=air)
    average = facts.figure(all_average_ppm, "ppm", releases=all_of, air=air)
    part = per_cent(facts.figure(average_share, "", releases=all_of, air=air))
    alcohol_only = all(r.solvent.name == ISOPROPANOL.name for r in facts.releases)
    request = facts.request
    limit = given(request.held_limit_ppm or 0.0, "ppm", request.held_limit_name)
    sentence = (
        say("8-hour average {average}, limit {limit}.", average=average, limit=limit)
        if alcohol_only
        else say(
            "8-hour average {average} of mixed vapor, {part} of the limits.",
            average=average,
            part=part,
        )
    )
    return SafetyLine(
        key="average",
        section="air",
        state=state_of_share(share=share),
        sentence=sentence,
        figures=(average, part, limit),
        basis=_model(facts),
        source="29 CFR 1910.1000(d)(1) and (d)(2)",
    )


def _wait_line(facts: AirFacts) -> SafetyLine:
    wait = facts.wait()
    assert wait is not None
    target = given(facts.request.heat_target_ppm or 0.0, "ppm", "chosen by the shop")
    return SafetyLine(
        key="wait",
        section="heat",
        state=None,
        sentence=say(
            "Hot tools: wait {wait} after the last alcohol spray, exhaust on (down "
            "to {target}, never under one air change). Necessary, not sufficient.",
            wait=wait,
            target=target,
        ),
        figures=(wait, target),
        basis=_model(facts),
        source="CDC, MMWR 28 Oct 1994, Table S3-1",
    )


def _sealed(facts: AirFacts) -> SafetyLine:
    volume, temp = facts.volume(), facts.temp()
    level = facts.figure(
        sealed_job_ppm,
        "ppm",
        releases=facts.releases,
        volume_m3=volume,
        temp_c=temp,
        pressure_kpa=facts.pressure(),
    )
    shares = [
        sealed_job_ppm(
            releases=[r],
            volume_m3=volume,
            temp_c=temp,
            pressure_kpa=facts.pressure(),
        )
        / (1e4 * r.solvent.lel_pct)
        for r in facts.releases
    ]
    over = 100 * sum(shares) >= OVER_FROM_LEL_PCT
    return SafetyLine(
        key="sealed",
        section="air",
        state=State.OVER if over else State.WATCH,
        sentence=say(
            "Warning figure: if no air left, the bay would reach {level} on average; "
            "more near the spray and the floor.",
            level=level,
        ),
        figures=(level,),
        basis=_model(facts),
        source="mass balance, no air leaving",
    )


def _model(facts: AirFacts) -> Say:
    """What the figure goes by: the phases, the height, how the air is taken."""
    height = given(facts.request.height_m, "m_whole", "shop settings, vapor")
    return say(
        "Phases: {phases}, from the same minute. Evenly mixed air {height} above the "
        "sea, all solvent taken as evaporated; not a measurement.",
        phases=facts.phases() or "none",
        height=height,
    )


def _mixing_basis(facts: AirFacts) -> Say:
    bay = facts.request.bay
    assert bay is not None
    factor = round(facts.mixing_factor(), 2)
    if bay.mixing_basis == "K":
        return say("K {k}, as entered.", k=factor)
    return say(
        "K {k}, from an efficiency of {value}.", k=factor, value=bay.mixing_value or 0.0
    )


def _lel_state(share_pct: float) -> State:
    if share_pct >= OVER_FROM_LEL_PCT:
        return State.OVER
    return State.WATCH if share_pct > OVER_FROM_LEL_PCT / 2 else State.OK


def _not_assessed(key: str, missing: tuple[str, ...]) -> SafetyLine:
    return SafetyLine(
        key=key,
        section="heat" if key == "wait" else "air",
        state=State.NOT_ASSESSED,
        sentence=_TITLES[key],
        source=_SAFETY_SOURCE,
        missing=missing,
    )
