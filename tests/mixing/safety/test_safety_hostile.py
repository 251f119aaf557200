"""Numbers that nobody can mean: each is refused in a sentence, none passes silently.

Every public formula of the safety room is called with every number of it spoilt in
turn. What comes back is a finite answer or a ValueError that a person can read.
"""

from __future__ import annotations

import importlib
import inspect
import math
import pkgutil
from dataclasses import is_dataclass
from datetime import date
from decimal import Decimal
from types import FunctionType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mixing import safety
from mixing.safety.box import (
    heat_wait_min,
    mean_ppm,
    sealed_ppm,
)
from mixing.safety.exposure import job_twa_ppm, twa_ppm
from mixing.safety.flammable import Ground, flammable_category, liquid_class
from mixing.safety.job_air import average_ppm
from mixing.safety.labels import Ingredient, label_elements, mixture_hazards
from mixing.safety.releases import ISOPROPANOL, Air, Release, Solvent
from mixing.safety.request import BayAir, PrepUse, SolutionUse
from mixing.safety.states import State, state_of_share
from mixing.safety.storage import ContainerKind, StockContainer
from mixing.safety.ventilation import concentration_ppm, mixing_factor_from
from mixing.safety.waste import drain_decision, waste_decision

LIQUID = {"specific_gravity": 0.7855, "molar_mass_g_per_mol": 60.1}
BOX = {"generation_m3_per_h": 0.07, "flow_m3_per_h": 200.0, "volume_m3": 189.0}
PRESSURE = {"pressure_kpa": 95.0}
START = {"start_ppm": 10.0, "loss_per_h": 0.5}
LEL = {"lel_pct": 2.0, "safety_coefficient": 4.0, "temperature_factor": 0.7}

GOOD = {
    "ventilation": {
        "share_kept": {"removed": 1.0},
        "mixing_factor_from": {"value": 3.0},
        "molar_volume_m3_per_kmol": {"temp_c": 20.0, "pressure_kpa": 101.325},
        "vapour_m3_per_h": {
            **LIQUID,
            **PRESSURE,
            "evaporated_l_per_h": 1.0,
            "temp_c": 20.0,
        },
        "dilution_flow_m3_per_h": {
            **LIQUID,
            "evaporated_l_per_h": 1.0,
            "limit_ppm": 200.0,
            "mixing_factor": 3.0,
            "temp_c": 20.0,
            **PRESSURE,
        },
        "lel_flow_m3_per_h": {
            **LIQUID,
            **LEL,
            **PRESSURE,
            "evaporated_l_per_h": 1.0,
        },
        "effective_flow_m3_per_h": {"flow_m3_per_h": 600.0, "mixing_factor": 3.0},
        "air_changes_per_h": {"flow_m3_per_h": 600.0, "volume_m3": 189.0},
        "concentration_ppm": {**BOX, **START, "hours": 1.5},
        "purge_hours": {
            "flow_m3_per_h": 200.0,
            "volume_m3": 189.0,
            "from_ppm": 300.0,
            "to_ppm": 50.0,
            "loss_per_h": 0.5,
        },
    },
    "height": {
        "air_pressure_kpa": {"height_m": 300.0},
        "flash_at_pressure_c": {"flash_point_c": 31.0, **PRESSURE},
        "pressure_figure": {"height_m": 300.0},
    },
    "wipe": {
        "wipe_ml": {"area_m2": 4.5, "ml_per_m2": 20.0},
        "wipe_min": {"panels": 8.0, "min_per_panel": 1.5},
    },
    "box": {
        "sealed_ppm": {"vapour_m3": 0.1, "volume_m3": 189.0},
        "mean_ppm": {**BOX, **START, "hours": 1.5},
        "bay_volume_m3": {"length_m": 9.0, "width_m": 6.0, "height_m": 3.5},
        "heat_wait_min": {"purge_h": 1.0, "flow_m3_per_h": 200.0, "volume_m3": 189.0},
    },
    "exposure": {
        "job_twa_ppm": {**BOX, "spray_hours": 1.5, "shift_hours": 8.0, "loss_per_h": 0},
        "short_limit_beside": {"limit_ppm": 200.0},
    },
    "flammable": {
        "flammable_category": {"flash_point_c": 18.0, "boiling_point_c": 81.0},
        "nfpa_class": {"flash_point_c": 18.0, "boiling_point_c": 81.0},
        "check_category": {"flash_point_c": 18.0, "boiling_point_c": 81.0},
        "liquid_class": {"vv_pct": 17.7},
    },
    "flash_point": {
        "flash_point_c": {"mass_fraction": 0.142},
        "flash_estimate": {"mass_fraction": 0.142},
        "flash_figure": {"vv_pct": 17.7},
    },
    "waste": {
        "waste_decision": {
            "vv_pct": 17.7,
            "vv_low_pct": 17.0,
            "flash_point_c": 30.0,
            "water_mass_pct": 80.0,
        },
        "product_waste": {"flash_point_c": 30.0},
        "drain_decision": {"vv_pct": 17.7, "flash_point_c": 30.0},
    },
    "labels": {"solution_ingredients": {"vv_pct": 17.7, "soap_mass_pct": 0.4}},
    "job_air": {},
    "releases": {"solvent": {"limit_ppm": 200.0}},
}
WITH = {
    "mixing_factor_from": {"basis": "K"},
    "check_category": {"category": 2},
    "solvent": {"name": "isopropanol"},
    "product_waste": {"category": 2, "may_be_listed": False, "name": "wipe"},
}
"""What a call needs besides its numbers."""

NONE_IS_AN_ANSWER = {
    "flash_point_c",
    "boiling_point_c",
    "water_mass_pct",
    "vv_low_pct",
    "limit_ppm of solvent",
}
NOT_NUMBERS = {
    # Sequences and dataclasses, which have their own tests below or beside.
    "exposure": {"exposure_limits", "twa_ppm", "additive_share"},
    "labels": {
        "mixture_hazards",
        "label_elements",
        "hazards_asked",
    },
    "wipe": {"wipe_figures"},
    "job_air": {
        "generation_m3_per_h",
        "release_ppm",
        "total_ppm",
        "lel_pct",
        "peak_minute",
        "average_share",
        "average_ppm",
        "all_average_ppm",
        "health_flow_m3_per_h",
        "fire_flow_m3_per_h",
        "sealed_job_ppm",
    },
}
SPOILT = [
    float("nan"),
    float("inf"),
    float("-inf"),
    -1e-9,
    -300.0,
    0,
    5e-324,
    1e300,
    10**400,
    True,
    "600",
    Decimal("1.5"),
    None,
]


def calls():
    for module, functions in GOOD.items():
        for name, numbers in functions.items():
            for argument in numbers:
                yield pytest.param(module, name, argument, id=f"{name} {argument}")


def assert_plain(sentence: str) -> None:
    assert sentence.endswith((".", ")."))
    assert len(sentence.split()) >= 6
    assert not any(word in sentence for word in ("float", "<", "math", "Error"))


def finite(answer: object) -> bool:
    if isinstance(answer, float | int):
        return math.isfinite(answer)
    if is_dataclass(answer):
        return all(finite(getattr(answer, name)) for name in vars(answer))
    if isinstance(answer, tuple):
        return all(finite(part) for part in answer)
    return True


@pytest.mark.parametrize("module", GOOD)
def test_every_public_formula_is_spoilt_here(module):
    found = importlib.import_module(f"mixing.safety.{module}")
    public = {
        name
        for name, value in vars(found).items()
        if isinstance(value, FunctionType)
        and value.__module__ == found.__name__
        and not name.startswith("_")
    }
    assert public == set(GOOD[module]) | NOT_NUMBERS.get(module, set())


ELSEWHERE = {
    "bounds": "the refusals themselves",
    "air_checks": "the refusals themselves",
    "states": "the share that is no number, below",
    "sheet_check": "its form checks what was typed",
    "flash_measurement": "its form checks what was typed",
    "vapour_plot": "it draws what the formulas made",
}
"""Modules whose functions take numbers and are not spoilt here, and why."""


def test_every_module_that_takes_numbers_is_spoilt_here():
    for found in pkgutil.iter_modules(safety.__path__):
        module = importlib.import_module(f"mixing.safety.{found.name}")
        takes = [
            argument
            for name, value in vars(module).items()
            if isinstance(value, FunctionType)
            and value.__module__ == module.__name__
            and not name.startswith("_")
            for argument in inspect.signature(value).parameters.values()
            if str(argument.annotation).startswith("float")
        ]
        assert not takes or found.name in GOOD.keys() | ELSEWHERE.keys(), found.name


@pytest.mark.parametrize("module", GOOD)
def test_every_number_of_a_formula_is_spoilt_here(module):
    found = importlib.import_module(f"mixing.safety.{module}")
    for name, numbers in GOOD[module].items():
        asked = inspect.signature(getattr(found, name)).parameters.values()
        floats = {p.name for p in asked if str(p.annotation).startswith("float")}
        optional = {"category_4_to_c", "flash_below_c"}
        if name == "liquid_class":
            optional |= {"flash_point_c", "boiling_point_c"}
        assert floats - optional <= set(numbers), name


@pytest.mark.parametrize(("module", "name", "argument"), list(calls()))
def test_a_spoilt_number_gives_a_finite_answer_or_a_sentence(module, name, argument):
    function = getattr(importlib.import_module(f"mixing.safety.{module}"), name)
    good = GOOD[module][name] | WITH.get(name, {})
    assert finite(function(**good))
    for value in SPOILT:
        empty_is_fine = argument in NONE_IS_AN_ANSWER or (
            f"{argument} of {name}" in NONE_IS_AN_ANSWER
        )
        try:
            answer = function(**good | {argument: value})
        except ValueError as refused:
            assert_plain(str(refused))
            continue
        assert finite(answer), value
        assert (value is None and empty_is_fine) or type(value) in (int, float), value


@settings(deadline=None, max_examples=300)
@given(st.data())
def test_extreme_numbers_together_never_run_over(data):
    module, name = data.draw(
        st.sampled_from([(m, n) for m, found in GOOD.items() for n in found])
    )
    function = getattr(importlib.import_module(f"mixing.safety.{module}"), name)
    edge = st.sampled_from([0.0, 1e-12, 1e-6, 0.5, 1.0, 20.0, 100.0, 1e6, 1e12])
    numbers = {argument: data.draw(edge) for argument in GOOD[module][name]}
    try:
        assert finite(function(**numbers | WITH.get(name, {})))
    except ValueError as refused:
        assert_plain(str(refused))


@pytest.mark.parametrize(
    "call",
    [
        lambda: Release(
            name="tack", litres=1, start_min=0, minutes=1e-300, solvent=ISOPROPANOL
        ),
        lambda: Release(
            name="tack", litres="1", start_min=0, minutes=60, solvent=ISOPROPANOL
        ),
        lambda: Solvent(
            name="wipe", specific_gravity=0.8, molar_mass_g_per_mol=60, lel_pct=0
        ),
        lambda: SolutionUse(name="tack", vv_pct=17.7, litres=1, minutes=-5),
        lambda: SolutionUse(name="tack", vv_pct=17.7, litres=1, minutes=float("nan")),
        lambda: SolutionUse(name="tack", vv_pct=17.7, litres=1, soap_mass_pct=-1),
        lambda: SolutionUse(name="tack", vv_pct=None, litres=1, flash_point_c=-300),
        lambda: SolutionUse(name="tack", vv_pct="17.7", litres=1),
        lambda: PrepUse(
            name="wipe",
            litres=1,
            volatile_pct=300,
            solvent=ISOPROPANOL,
            category=2,
        ),
        lambda: BayAir(
            name="bay",
            volume_m3=50_000,
            exhaust_m3_per_h=600,
            measured_on=date(2026, 3, 1),
            mixing_value=3,
            mixing_basis="K",
        ),
        lambda: BayAir(
            name="bay",
            volume_m3=189,
            exhaust_m3_per_h="600",
            measured_on=date(2026, 3, 1),
            mixing_value=3,
            mixing_basis="K",
        ),
        lambda: StockContainer(
            name="C1",
            category=2,
            size_l=3.785,
            kind=ContainerKind.METAL,
            location=None,
            count=1.5,
        ),
        lambda: StockContainer(
            name="C1",
            category=2,
            size_l=3.785,
            kind=ContainerKind.METAL,
            location=None,
            count=float("nan"),
        ),
        lambda: twa_ppm(periods=[(150, float("inf"))]),
        lambda: mixing_factor_from(value=3.0, basis="efficiency"),
        lambda: mixing_factor_from(value=math.nextafter(1, 0), basis="K"),
        lambda: mixing_factor_from(value=math.nextafter(10, 11), basis="K"),
        lambda: mixing_factor_from(value=math.nextafter(1, 2), basis="efficiency"),
        lambda: heat_wait_min(purge_h=-1, flow_m3_per_h=200, volume_m3=189),
        lambda: liquid_class(vv_pct=math.nextafter(100, 101)),
        lambda: flammable_category(flash_point_c="18", boiling_point_c=81),
        lambda: label_elements(hazards=["EYE"]),
        lambda: mixture_hazards(
            ingredients=[
                Ingredient(name="soap", mass_pct=3, hazards=frozenset({"EYE"}))
            ],
            flammable_category=None,
        ),
        lambda: mixture_hazards(
            ingredients=[
                Ingredient(name="soap", mass_pct=float("nan"), hazards=frozenset())
            ],
            flammable_category=None,
        ),
        lambda: mixture_hazards(ingredients=[], flammable_category=5),
        lambda: drain_decision(vv_pct=17.7, flash_point_c=float("nan")),
        lambda: waste_decision(vv_pct=17.7, flash_point_c=float("inf")),
    ],
)
def test_bad_part_of_a_request_is_refused_in_a_sentence(call):
    with pytest.raises(ValueError, match=r"\.$") as refused:
        call()
    assert_plain(str(refused.value))


@pytest.mark.parametrize("value", [100.00000000000001, -1e-9])
def test_number_a_hair_outside_is_shown_in_full(value):
    with pytest.raises(ValueError, match=repr(value).replace(".", r"\.")):
        liquid_class(vv_pct=value)


def test_a_share_that_is_no_number_is_never_a_pass():
    assert state_of_share(share=float("nan")) is State.OVER


@pytest.mark.parametrize("flow", [1e-12, 1e-9, 1e-6, 1e-3])
@pytest.mark.parametrize("hours", [1e-6, 1.5, 8.0])
def test_hardly_any_flow_is_as_good_as_a_sealed_bay(flow, hours):
    """No flow at all: C = C_start + 1e6 G t / V, and half of that on average."""
    box = {"generation_m3_per_h": 0.0742, "flow_m3_per_h": flow, "volume_m3": 189}
    sealed = sealed_ppm(vapour_m3=0.0742 * hours, volume_m3=189)
    assert concentration_ppm(start_ppm=10, hours=hours, **box) == pytest.approx(
        10 + sealed, rel=2e-4
    )
    assert mean_ppm(start_ppm=10, hours=hours, **box) == pytest.approx(
        10 + sealed / 2, rel=2e-4
    )
    assert job_twa_ppm(spray_hours=8, **box) == pytest.approx(
        mean_ppm(start_ppm=0, hours=8, **box)
    )


@pytest.mark.parametrize("removed", [0.9e-3, 1.1e-3])
def test_mean_does_not_jump_where_its_series_ends(removed):
    """Mean share left of x removed: (x - 1 + exp(-x)) / x**2 = 1/2 - x/6 + ..."""
    mean = mean_ppm(
        generation_m3_per_h=1e-6,
        flow_m3_per_h=removed,
        volume_m3=1,
        start_ppm=0,
        hours=1,
    )
    assert mean == pytest.approx(0.5 - removed / 6 + removed**2 / 24, rel=1e-9)


def test_after_a_very_long_time_the_air_stands_at_its_steady_level():
    box = {"generation_m3_per_h": 0.0742, "flow_m3_per_h": 200, "volume_m3": 189}
    steady = 1e6 * 0.0742 / 200  # mass balance: what comes in goes out
    for hours in (1e3, 1e6, 1e12):
        assert concentration_ppm(start_ppm=5e4, hours=hours, **box) == pytest.approx(
            steady
        )
        assert mean_ppm(start_ppm=0, hours=hours, **box) == pytest.approx(
            steady, rel=2e-3
        )


@settings(deadline=None)
@given(
    st.floats(min_value=0, max_value=479),
    st.floats(min_value=0.001, max_value=480),
)
def test_a_release_to_the_very_end_of_the_shift_is_averaged(start, minutes):
    """Start and minutes that fill the shift land rounding errors beyond it."""
    minutes = min(minutes, 480 - start)
    air = Air(effective_flow_m3_per_h=200, volume_m3=189, temp_c=20)
    if start + minutes > 480:
        return
    release = Release(
        name="tack",
        litres=0.4,
        start_min=start,
        minutes=480 - start,
        solvent=ISOPROPANOL,
    )
    assert average_ppm(release=release, air=air) > 0


def test_the_ground_of_a_flash_point_must_be_said():
    with pytest.raises(ValueError, match="measured or data sheet"):
        liquid_class(vv_pct=20, flash_point_c=30, ground=Ground.STRENGTH)
