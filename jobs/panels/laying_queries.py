"""What stands against laying film now: the panel, its edges, the bottles."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from jobs.condition.reading_queries import conditions_now, panels_read
from jobs.coverage.catalogue import Body, panel_name
from jobs.models import OrderBatch, WorkOrder
from jobs.rules.stock import past_its_time
from jobs.solutions.bottle_queries import codes_in_use, ties_in_use
from jobs.solutions.request_queries import longest_placing_min, panels_to_lay
from jobs.stages.leaving import film_limit_sentences as outside_the_makers
from jobs.stages.queries import film_limits, laying_limits
from jobs.stages.table import May
from mixing.flash_points.queries import (
    class_of_mix,
    measurements,
    mix_by_recipe,
    mix_of,
)
from mixing.models import Batch, Kind, air_settings
from mixing.recipes.spec import RecipeSpec
from mixing.rule_sets.queries import rules_of
from mixing.safety.flash_measurement import Mix, known_flash
from mixing.safety.height import air_pressure_kpa, flash_at_pressure_c
from mixing.sheet import (
    Climate,
    OpenTimeAdvice,
    SheetRequest,
    climate_of,
    laying_says,
    open_time_advice,
)
from mixing.sheet.input_queries import bench_facts
from mixing.sheet.queries import newest_versions, spec_of
from shopapp.figures import Figure, computed, given
from shopapp.models import the_shop
from shopapp.say import Say, say

PANELS_APART_K = 8.0
"""Panels further apart than this are said. Common practice, no published source."""

FIRE = "FIRE"
"""How the sentence of a panel as warm as a flash point begins."""


@dataclass(frozen=True, kw_only=True)
class LayingNow:
    """How film is laid under the newest reading.

    says        what is wrong, worst first; nothing when all is well
    past_kinds  solutions of which a bottle is past its time
    """

    climate: Climate
    open_time: OpenTimeAdvice
    says: tuple[Say, ...]
    past_kinds: frozenset[str] = frozenset()


def laying_now(workorder: WorkOrder, *, at: datetime) -> LayingNow:
    """How film is laid on this car now, and what stands against it."""
    specs = tuple(spec_of(version) for version in newest_versions().values())
    request = SheetRequest(
        film_area_m2=1.0,
        recipes=specs,
        conditions=conditions_now(workorder),
        placing_min=longest_placing_min(
            panel.panel for panel in panels_to_lay(workorder)
        ),
        patch=bench_facts().patch,
        laying=laying_limits(workorder),
    )
    climate = climate_of(request.conditions)
    lays = workorder.stage_now.may(May.READ)
    ties = ties_in_use(workorder, at=at) if lays else []
    past = [tie.batch for tie in ties if tie.batch.use_by <= at]
    says: tuple[Say, ...] = ()
    if lays:
        says = (
            *_panel_says(workorder, request, climate),
            *_spread_says(workorder, climate),
            *_fire_says(climate.panel, ties, request.recipes),
            *map(_past_says, past),
        )
    return LayingNow(
        climate=climate,
        open_time=open_time_advice(request, climate),
        says=says,
        past_kinds=frozenset(batch.kind for batch in past),
    )


def _past_says(batch: Batch) -> Say:
    return past_its_time(
        codes=codes_in_use(batch),
        kind=Kind(batch.kind).label,
        until=batch.use_by,
    )


def _panel_says(
    workorder: WorkOrder, request: SheetRequest, climate: Climate
) -> Iterator[Say]:
    """Too hot, too cold, edges that will not dry, air outside the maker's limits."""
    conditions = request.conditions
    yield from laying_says(panel_c=conditions.panel_c, limits=request.limits)
    if climate.margin is not None and climate.margin.value <= 0:
        yield climate.says[0]
    yield from outside_the_makers(
        limits=film_limits(workorder),
        panel_c=None,
        air_c=conditions.air_c,
        rh_pct=conditions.rh_pct,
    )


def _spread_says(workorder: WorkOrder, climate: Climate) -> Iterator[Say]:
    """Panels that lie far apart, and a cold one whose edges will not dry."""
    read = panels_read(workorder)
    if len(read) < 2:
        return
    hot, cold = max(read, key=read.__getitem__), min(read, key=read.__getitem__)
    body = Body(workorder.vehicle.body)
    shown = {
        name: (panel_name(name, body=body), given(read[name], "degc", "reading: panel"))
        for name in (hot, cold)
    }
    dew = climate.dew_point
    if dew is not None and read[cold] <= dew.value < read[hot]:
        yield say(
            "The {panel} ({now}) is below the dew point ({dew}): its edges will not "
            "dry. Warm the car first.",
            panel=shown[cold][0],
            now=shown[cold][1],
            dew=dew,
        )
    if read[hot] - read[cold] > PANELS_APART_K:
        yield say(
            "Far apart: {hot} at {hot_c}, {cold} at {cold_c}. One mix goes by the "
            "hottest: let it cool down first.",
            hot=shown[hot][0],
            hot_c=shown[hot][1],
            cold=shown[cold][0],
            cold_c=shown[cold][1],
        )


def _strongest(batch: Batch) -> Mix:
    """A batch at the upper end of its range, as the safety block takes it."""
    mix = mix_of(batch)
    return replace(mix, vv_pct=max(mix.vv_pct, mix.vv_high_pct))


def _fire_says(
    panel: Figure | None, ties: list[OrderBatch], recipes: tuple[RecipeSpec, ...]
) -> Iterator[Say]:
    """A panel at or above the flash point of what is sprayed on it: a fire line."""
    if panel is None:
        return
    rules, measured = rules_of(the_shop()), measurements()
    pressure_kpa = air_pressure_kpa(height_m=air_settings().height_m)
    mixed = {tie.batch.kind for tie in ties}
    mixes = [(tie.batch.get_kind_display(), _strongest(tie.batch)) for tie in ties]
    mixes += [
        (recipe.name, mix_by_recipe(recipe))
        for recipe in recipes
        if recipe.has_alcohol and recipe.kind.value not in mixed
    ]
    told = set()
    for name, mix in mixes:
        known = known_flash(measured, mix)
        found = class_of_mix(mix, known=known, rules=rules) if mix.vv_pct else None
        if found is None or found.flash is None or name in told:
            continue
        flash = computed(
            flash_at_pressure_c,
            "degc",
            flash_point_c=found.flash,
            pressure_kpa=pressure_kpa,
        )
        if panel.value < flash.value:
            continue
        told.add(name)
        yield say(
            "FIRE: the panel ({panel}) is at or above the flash point of {solution} "
            "({flash}{how}): no hot tool, exhaust on, bottles away from the panel.",
            panel=panel,
            solution=name,
            flash=flash,
            how="" if known else ", an estimate",
        )
