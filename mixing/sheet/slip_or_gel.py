"""Slip or gel: how long the slip stays open against placing one panel (pure).

Slip is the rule, misted again where it dries. Gel is for shops that use it, and only
where even the long end of the estimate is too short. Common practice, no published
source.
"""

from __future__ import annotations

from mixing.climate.drying import REFERENCE_AIR_M_PER_S, OpenTime, open_time
from mixing.laying.limits import laying_says
from mixing.limits import DRYING_AIR_C, DRYING_PANEL_C
from mixing.recipes.spec import SolutionKind
from mixing.sheet.balance import range_end
from mixing.sheet.parts import Climate, OpenTimeAdvice, Use
from mixing.sheet.request import SheetRequest
from shopapp.figures import Figure, computed, given
from shopapp.say import Say, say


def open_time_advice(request: SheetRequest, climate: Climate) -> OpenTimeAdvice:
    """Slip or gel, by open time against the placing minutes of the longest panel."""
    placing = request.placing_min
    shown = None
    if placing is not None:
        shown = given(placing, "min", "placing minutes of the longest panel")
    panel_c = request.conditions.panel_c
    if not request.limits.allows_mixing(panel_c):
        (why,) = laying_says(panel_c=panel_c, limits=request.limits)
        return _told(None, None, shown, why)
    read = _open_time(request)
    if read is None:
        why = say("Read air, humidity and panel to compare the open time.")
        return _told(None, None, shown, why)
    if not read.dries:
        why = say("Nothing dries on this panel now, so the open time is no limit.")
        return _told(None, read, shown, why)
    if shown is None:
        why = say("Enter the placing minutes of the longest panel to compare.")
        return _told(None, read, shown, why)
    figure = read.figure
    assert figure is not None
    low, high = _end(figure, figure.low), _end(figure, figure.high)
    has_gel = any(recipe.kind is SolutionKind.GEL for recipe in request.recipes)
    use, text = _choice(low.value, high.value, placing=shown.value, has_gel=has_gel)
    return _told(use, read, shown, say(text, low=low, high=high, x=shown))


LONG_ENOUGH = (
    "Slip: it stays open for {low} to {high} (estimate), and placing takes {x}: long "
    "enough."
)
MIST_AGAIN = (
    "Slip: it stays open for {low} to {high} (estimate), and placing takes {x}. Mist "
    "again where it dries."
)
TOO_SHORT = (
    "Slip, misted again as you go: it stays open for only {low} to {high} (estimate), "
    "and placing takes {x}. Take a second person, or cool the bay."
)
WITH_GEL = (
    "Gel on the panel, slip on the film: slip stays open for only {low} to {high} "
    "(estimate), and placing takes {x}."
)


def _choice(
    low_min: float, high_min: float, *, placing: float, has_gel: bool
) -> tuple[Use, str]:
    if low_min >= placing:
        return Use.SLIP, LONG_ENOUGH
    if high_min >= placing:
        return Use.SLIP, MIST_AGAIN
    return (Use.GEL, WITH_GEL) if has_gel else (Use.SLIP, TOO_SHORT)


def _open_time(request: SheetRequest) -> OpenTime | None:
    now = request.conditions
    if now.air_c is None or now.rh_pct is None or now.panel_c is None:
        return None
    # The formulas hold from frost up; below it nobody lays film.
    if not (DRYING_AIR_C.holds(now.air_c) and DRYING_PANEL_C.holds(now.panel_c)):
        return None
    speed = REFERENCE_AIR_M_PER_S if now.air_m_per_s is None else now.air_m_per_s
    return open_time(
        air_c=now.air_c,
        rh_pct=now.rh_pct,
        panel_c=now.panel_c,
        air_m_per_s=speed,
        layer_um=request.film_um,
        patch=request.patch,
    )


def _told(
    use: Use | None, read: OpenTime | None, placing: Figure | None, why: Say
) -> OpenTimeAdvice:
    return OpenTimeAdvice(
        use=use,
        open_time=None if read is None else read.figure,
        placing=placing,
        index=None if read is None else read.index_figure,
        calibrated=read is not None and read.calibrated,
        why=why,
        says=() if read is None else read.says,
    )


def _end(figure: Figure, limit: float | None) -> Figure:
    """An end of an estimate, in whole minutes."""
    off = 0.0 if limit is None else round(limit) - figure.value
    return computed(range_end, figure.unit, result=figure, off=off)
