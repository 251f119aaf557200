"""Each range stands once: what a field takes, whatever reads it takes too."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, time
from importlib import import_module
from pkgutil import walk_packages

import pytest
from django import forms
from django.apps import apps
from django.db import models
from hypothesis import given, settings
from hypothesis import strategies as st

import jobs.limits
import mixing.limits
import shopapp.limits
from jobs.coverage.allowances import Allowance
from jobs.coverage.blanks import PanelSize, panel_blank
from jobs.coverage.catalogue import Body, Method, Package, PanelChoice, panels
from jobs.nesting import Blank, Budget, Offcut, Roll, Rules, plan_pull
from jobs.opening.hours import Opening
from jobs.package_hours.defaults import DEFAULTS
from jobs.promises.earliest import after_work, work_min
from mixing import limits
from mixing.climate.drying import Patch
from mixing.climate.panel import measure_again_min
from mixing.dispensers.dosing import Dispenser, DispenserKind
from mixing.safety.block import safety_block
from mixing.safety.request import BayAir
from mixing.safety.storage import StockContainer as Stored
from mixing.sheet import Conditions, mixing_sheet
from mixing.sheet.bench_settings import why_no_patch
from shopapp import amounts
from shopapp.limits import Range
from shopapp.units import System, to_type
from tests.mixing.safety.safety_job import BAY, CAN, REMOVER_USE
from tests.mixing.safety.safety_job import request as safety_request
from tests.mixing.sheet.test_sheet import alcohol, bottle, request

LIMITS = (shopapp.limits, mixing.limits, jobs.limits)
TYPED = (amounts.Amount, amounts.Number, amounts.Whole, amounts.Money)
WITHOUT_A_RANGE = {
    "YearField": "its upper end moves with the day",
    "Plain": "each slot of a rule set has its own range, told by `row_troubles`",
    "LabelForm.width_mm": "both sides decide together, told by `holds_a_label`",
    "LabelForm.height_mm": "both sides decide together, told by `holds_a_label`",
    "SideField": "in millimetres or inches by the field beside it, told by `clean`",
}
NO_FIELD = {
    "AIR_M_PER_S": "a request may hold it, no page asks for it",
    "DROP_ML": "worked out from what was counted or weighed",
    "SPRAYED_L": "worked out from film, use and reserve",
    "BAY_M3": "the three sides make it",
    "COUNTED_DROPS": "several counts in one line of text",
    "WEIGHED_G": "several weights in one line of text",
}


def ranges() -> dict[int, str]:
    """Every range by its identity, with its name."""
    return {
        id(each): name
        for module in LIMITS
        for name, each in vars(module).items()
        if isinstance(each, Range)
    }


def form_classes() -> list[type[forms.BaseForm]]:
    """Every form of the shop, those that are made as they go left out."""
    for package in (shopapp, jobs, mixing):
        for found in walk_packages(package.__path__, package.__name__ + "."):
            if "forms" in found.name:
                import_module(found.name)
    found, todo = [], [forms.Form]
    while todo:
        form = todo.pop()
        todo += form.__subclasses__()
        if form.__module__.split(".")[0] in ("shopapp", "jobs", "mixing"):
            found.append(form)
    return found


def number_fields() -> dict[str, forms.Field]:
    """The numbers of every form by "Form.field"."""
    return {
        f"{form.__name__}.{name}": field
        for form in form_classes()
        for name, field in form.base_fields.items()
        if isinstance(field, forms.FloatField | forms.IntegerField | forms.DecimalField)
        and not isinstance(field.widget, forms.HiddenInput)
    }


FIELDS = number_fields()
RANGED = {
    name: field
    for name, field in FIELDS.items()
    if not {name, type(field).__name__} & WITHOUT_A_RANGE.keys()
}


def test_there_are_numbers_to_look_at():
    assert len(FIELDS) > 90


@pytest.mark.parametrize("name", sorted(RANGED))
def test_a_number_is_typed_within_a_range_of_the_limits(name):
    field = RANGED[name]
    assert isinstance(field, TYPED), "a number of Django's own knows no range"
    assert field.range is not None
    assert id(field.range.of or field.range) in ranges()


def test_each_range_is_asked_for_by_a_field_or_says_why_not():
    asked = {id(f.range.of or f.range) for f in RANGED.values()}
    # Fields that a form makes as it goes: curves, answers, rows, vessels.
    made = {
        "CURVE_C",
        "CHECK_NUMBER",
        "PLACE_IN_LIST",
        "LEFT_ML",
        "POURED_ML",
        "WORK_MIN",
        "SIZE_FACTOR",
    }
    left = {name for key, name in ranges().items() if key not in asked}
    assert left - made <= set(NO_FIELD)


def db_most(field: models.Field) -> float:
    """The most that a column holds on every store."""
    if isinstance(field, models.DecimalField):
        return 10.0 ** (field.max_digits - field.decimal_places)
    if isinstance(field, models.PositiveSmallIntegerField | models.SmallIntegerField):
        return 32_767
    return 2_147_483_647 if isinstance(field, models.IntegerField) else math.inf


def tables():
    for module in LIMITS:
        for within in vars(module).values():
            if isinstance(within, dict) and within and "__name__" not in within:
                yield from within.items()


def test_what_a_range_holds_its_column_holds():
    most: dict[str, float] = {}
    for model in apps.get_models():
        for field in model._meta.get_fields():
            if isinstance(field, models.Field):
                held = db_most(field)
                most[field.name] = min(held, most.get(field.name, math.inf))
    for name, known in tables():
        if isinstance(known, Range):
            assert known.high <= most.get(name, math.inf), name


@pytest.mark.django_db
@pytest.mark.parametrize("system", list(System))
@pytest.mark.parametrize(
    "name", sorted(n for n, f in RANGED.items() if isinstance(f, amounts.Amount))
)
def test_the_ends_that_a_refusal_names_are_taken(name, system, monkeypatch):
    field = RANGED[name]
    monkeypatch.setattr(
        amounts, "the_shop", lambda: type("Shop", (), {"system": system})
    )
    for end in (field.range.low, field.range.high):
        typed = to_type(end, field.unit, system=system)
        if typed == "0" and end:
            continue  # An end too small to be shown.
        clean = field.clean(typed)
        scale = 1000 if type(field).__name__ == "MetresField" else 1
        assert field.range.holds(clean / scale)


def inside(known: Range):
    """Any number of a range, its ends among them."""
    ends = st.sampled_from([known.low, known.high])
    return ends | st.floats(known.low, known.high)


def whole_inside(known: Range):
    return st.integers(math.ceil(known.low), math.floor(known.high))


readings = st.builds(
    Conditions,
    air_c=inside(limits.AIR_C),
    panel_c=inside(limits.PANEL_C),
    rh_pct=inside(limits.RH_PCT),
    air_m_per_s=st.none() | inside(limits.AIR_M_PER_S),
)


@settings(deadline=None, max_examples=100)
@given(readings)
def test_a_reading_that_is_taken_gives_a_sheet_a_margin_and_a_block(now):
    sheet = mixing_sheet(request(conditions=now, placing_min=8.0))
    assert sheet.climate.dew_point is not None
    assert math.isfinite(sheet.climate.margin.value)
    assert measure_again_min(panel_c=now.panel_c, bay_c=now.air_c) >= 0
    block = safety_block(safety_request(air_c=now.air_c, surface_c=now.panel_c))
    assert block.state


@settings(deadline=None, max_examples=60)
@given(
    vessel=inside(limits.VESSEL_ML),
    step=inside(limits.GRADUATION_ML),
    off=inside(limits.ERROR_ML),
    holds=inside(limits.DISPENSER_ML),
    strength=inside(limits.STRENGTH_PCT).filter(bool),
    left=inside(limits.STOCK_ML),
)
def test_what_stands_on_the_bench_gives_a_sheet_or_a_sentence(
    vessel, step, off, holds, strength, left
):
    jug = {"name": "jug", "kind": DispenserKind.JUG, "error_ml": off}
    sizes = {"graduation_ml": step, "capacity_ml": max(step, holds)}
    sheet = mixing_sheet(
        request(
            stock=(alcohol(strength, left_ml=left),),
            dispensers=(Dispenser(**jug, **sizes),),
            vessels=(bottle(request().recipes[0].kind, ml=vessel),),
        )
    )
    assert all(each.refusal is not None or each.fills for each in sheet.solutions)


@settings(deadline=None, max_examples=60)
@given(
    reference=inside(limits.VESSEL_ML),
    vv=inside(limits.MIXED_VV_PCT),
    off=inside(limits.STRENGTH_OFF_PCT),
    use=inside(limits.USE_ML_PER_M2),
    reserve=inside(limits.RESERVE_PCT),
)
def test_a_recipe_that_is_kept_is_mixed_or_refused_in_words(
    reference, vv, off, use, reserve
):
    tack = replace(
        request().recipes[1],
        reference_ml=reference,
        vv_pct=vv,
        strength_tolerance_pct=off,
        use_low_ml_per_m2=use,
        use_high_ml_per_m2=use,
        reserve_share=reserve / 100,
        strength_curve=(),
    )
    (made,) = mixing_sheet(request(tack)).solutions
    assert made.refusal is not None or made.fills


@settings(deadline=None, max_examples=60)
@given(
    minutes=inside(limits.PATCH_MIN),
    panel=inside(limits.DRYING_PANEL_C),
    air=inside(limits.DRYING_AIR_C),
    rh=inside(limits.RH_PCT),
    now=readings,
)
def test_the_shops_own_patch_is_worked_with_or_refused_in_words(
    minutes, panel, air, rh, now
):
    patch = Patch(minutes=minutes, panel_c=panel, air_c=air, rh_pct=rh)
    if why_no_patch(patch) is None:
        sheet = mixing_sheet(request(patch=patch, conditions=now, placing_min=8.0))
        assert str(sheet.open_time.why)


@settings(deadline=None, max_examples=80)
@given(
    sides=st.tuples(
        inside(limits.SIDE_M), inside(limits.SIDE_M), inside(limits.BAY_HEIGHT_M)
    ),
    exhaust=st.none() | inside(limits.EXHAUST_M3_PER_H),
    height=inside(limits.HEIGHT_M),
    limit=whole_inside(limits.VAPOUR_PPM),
)
def test_a_bay_that_is_kept_has_its_air_worked_out(sides, exhaust, height, limit):
    volume = math.prod(sides)
    if not limits.BAY_M3.holds(volume):
        return  # The form says so at the sides.
    bay = replace(BAY, volume_m3=volume, exhaust_m3_per_h=exhaust)
    assert isinstance(bay, BayAir)
    block = safety_block(
        safety_request(
            bay=bay,
            height_m=height,
            limit_ppm=float(limit),
            heat_target_ppm=float(limit),
        )
    )
    assert block.state


@settings(deadline=None, max_examples=60)
@given(
    size=inside(limits.CONTAINER_ML),
    flash=st.none() | inside(limits.FLASH_POINT_C),
    boiling=st.none() | inside(limits.BOILING_POINT_C),
)
def test_stock_that_is_received_is_summed(size, flash, boiling):
    can = replace(CAN, size_l=size / 1000, category=None)
    can = replace(can, flash_point_c=flash, boiling_point_c=boiling)
    assert isinstance(can, Stored)
    wipe = replace(REMOVER_USE, category=None)
    wipe = replace(wipe, flash_point_c=flash, boiling_point_c=boiling)
    assert safety_block(safety_request(stock=(can,), prep=(wipe,))).state


@settings(deadline=None, max_examples=60)
@given(
    panel=st.tuples(
        whole_inside(jobs.limits.PANEL_MM),
        whole_inside(jobs.limits.PANEL_MM),
    ),
    roll=st.tuples(
        whole_inside(jobs.limits.ROLL_WIDTH_MM), whole_inside(jobs.limits.ROLL_LEFT_MM)
    ),
    piece=st.tuples(
        whole_inside(jobs.limits.OFFCUT_WIDTH_MM),
        whole_inside(jobs.limits.OFFCUT_LENGTH_MM),
    ),
    wrap=inside(jobs.limits.WRAP_MM),
    hold=inside(jobs.limits.HOLD_MM),
)
def test_sizes_that_are_kept_are_nested_or_said_not_to_fit(
    panel, roll, piece, wrap, hold
):
    size = PanelSize(length_mm=panel[0], width_mm=panel[1], basis="measured", note="")
    cut = panel_blank(
        PanelChoice(panel="hood"),
        size=size,
        body=Body.SEDAN,
        allowance=Allowance(
            wrap_length_mm=wrap,
            wrap_width_mm=wrap,
            hold_length_mm=hold,
            hold_width_mm=hold,
        ),
    )
    sides = {"width_mm": int(cut.width_mm.value), "length_mm": int(cut.length_mm.value)}
    plan = plan_pull(
        blanks=[Blank(id="hood", **sides)],
        rolls=[Roll(id="R1", width_mm=roll[0], remaining_mm=roll[1])],
        offcuts=[Offcut(id="O1", width_mm=piece[0], length_mm=piece[1])],
        rules=Rules(),
        budget=Budget(tries=0),
    )
    assert len(plan.placements) + len(plan.unplaced) == 1


OPENING = Opening(opens_at=time(8), closes_at=time(17))


@settings(deadline=None, max_examples=60)
@given(st.lists(whole_inside(jobs.limits.WORK_MIN), min_size=1, max_size=8))
def test_added_work_has_an_end_in_the_shops_hours(minutes):
    choices = [PanelChoice(panel=code, method=Method.HAND_FITTED) for code in panels()]
    times = DEFAULTS[Package.FULL_VEHICLE]
    work = work_min(choices, times=times, added_min=sum(minutes))
    arrives = datetime(2031, 5, 6, 15, 0, tzinfo=UTC)
    assert after_work(arrives, minutes=work.value, opening=OPENING) > arrives
