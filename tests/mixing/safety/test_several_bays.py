"""Several bays that spray at once: the box of safety.md's shop scenario, added up."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mixing.safety.releases import Release, solvent
from mixing.safety.request import BayAir
from mixing.safety.several import (
    CAREFUL_AIR_C,
    SprayJob,
    at_once,
    bays_air,
    several_bays,
)
from mixing.safety.states import State

IPA = solvent(name="isopropanol", limit_ppm=200)
BAY = BayAir(
    name="Bay 1",
    volume_m3=189.0,
    exhaust_m3_per_h=600.0,
    measured_on=None,
    mixing_value=3.0,
    mixing_basis="K",
)


def job(litres: float, name: str = "W-1", **fields) -> SprayJob:
    release = Release(name="tack", litres=litres, start_min=0, minutes=90, solvent=IPA)
    return SprayJob(name=name, releases=(release,), **fields)


def test_one_bay_with_the_scenario_s_job_is_the_scenario():
    """The worked shop scenario: 69.5 ppm over 8 hours at 20 °C, limit 200 ppm.

    The vapour of 30 °C takes 303.15/293.15 of the room. Figures of the scenario were
    computed with F5 and F9 (mass balance; 29 CFR 1910.1000(d)(1)).
    """
    line = several_bays(key="week", jobs=[job(0.354)], bays=[BAY])
    warmer = (273.15 + CAREFUL_AIR_C) / 293.15
    assert line.figures[0].value == pytest.approx(69.5 * warmer / 2, rel=0.005)
    assert line.state is State.OK


def test_two_like_bays_with_two_like_jobs_are_as_one():
    one = several_bays(key="week", jobs=[job(0.354)], bays=[BAY])
    two = several_bays(
        key="week",
        jobs=[job(0.354), job(0.354, "W-2")],
        bays=[BAY, replace(BAY, name="Bay 2")],
    )
    assert two.figures[0].value == pytest.approx(one.figures[0].value)


def test_efficiency_of_a_third_is_k_three():
    third = replace(BAY, mixing_value=1 / 3, mixing_basis="efficiency")
    air, same = bays_air(bays=[BAY]), bays_air(bays=[third])
    assert air is not None
    assert same is not None
    assert same.effective_flow_m3_per_h == pytest.approx(air.effective_flow_m3_per_h)


@pytest.mark.parametrize(
    ("lacks", "named"),
    [
        ({"exhaust_m3_per_h": None}, "Bay 1: exhaust"),
        ({"volume_m3": None}, "Bay 1: size"),
        ({"mixing_value": None}, "Bay 1: mixing"),
        ({"mixing_basis": None}, "Bay 1: mixing"),
    ],
)
def test_without_one_input_of_one_bay_nothing_reads_ok(lacks, named):
    bays = [replace(BAY, **lacks), replace(BAY, name="Bay 2")]
    line = several_bays(key="week", jobs=[job(0.01)], bays=bays)
    assert line.state is State.NOT_ASSESSED
    assert line.missing == (named,)


def test_a_job_of_which_something_is_not_known_reads_never_ok():
    line = several_bays(key="w", jobs=[job(0.01, missing=("prep",))], bays=[BAY])
    assert line.state is State.NOT_ASSESSED
    assert line.missing == ("prep",)


def test_over_stays_over_though_something_is_not_known():
    line = several_bays(key="w", jobs=[job(9.0, missing=("prep",))], bays=[BAY])
    assert line.state is State.OVER


@pytest.mark.parametrize(
    ("share_pct", "state"), [(9.99, State.OK), (10.001, State.OVER)]
)
def test_a_tenth_of_the_lel_is_over_however_high_the_limit(share_pct, state):
    lenient = solvent(name="isopropanol", limit_ppm=100_000)

    def line(litres: float):
        release = Release(
            name="tack", litres=litres, start_min=0, minutes=90, solvent=lenient
        )
        spray = SprayJob(name="W-1", releases=(release,))
        return several_bays(key="w", jobs=[spray], bays=[BAY])

    litres = share_pct / line(1.0).figures[1].value
    assert line(litres).figures[1].value == pytest.approx(share_pct)
    assert line(litres).state is state


def test_no_bay_is_not_assessed():
    assert several_bays(key="w", jobs=[job(0.1)], bays=[]).state is State.NOT_ASSESSED


def test_the_sealed_figure_is_a_warning_and_not_a_pass():
    """589 ppm sealed at 20 °C in the shop scenario (mass balance)."""
    bay = replace(BAY, exhaust_m3_per_h=None)
    line = several_bays(key="w", jobs=[job(0.354)], bays=[bay])
    assert line.state is State.NOT_ASSESSED
    sealed = dict(line.sentence.params)["sealed"]
    assert sealed.value == pytest.approx(589 * 303.15 / 293.15, rel=0.002)
    assert "not a pass" in str(line.sentence)


def test_the_largest_jobs_spray_at_once_one_a_bay():
    jobs = [job(0.1, "a"), job(0.5, "b"), job(0.3, "c")]
    assert [each.name for each in at_once(jobs=jobs, bays=2)] == ["b", "c"]


@settings(max_examples=60, deadline=None)
@given(
    litres=st.lists(st.floats(0.001, 2), min_size=1, max_size=4),
    more=st.floats(1.01, 5),
)
def test_more_exhaust_never_raises_the_share(litres, more):
    jobs = [job(amount, str(n)) for n, amount in enumerate(litres)]
    assert BAY.exhaust_m3_per_h is not None
    strong = replace(BAY, exhaust_m3_per_h=BAY.exhaust_m3_per_h * more)
    less = several_bays(key="w", jobs=jobs, bays=[BAY]).figures[0].value
    assert several_bays(key="w", jobs=jobs, bays=[strong]).figures[0].value <= less
