"""Vapour above isopropanol and water."""

from __future__ import annotations

from math import log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mixing.chemistry.vapour import (
    activity_coefficient,
    henry_constant_kpa,
    mole_fraction,
    partial_pressure_kpa,
    vapour_pressure_kpa,
    water_activity_coefficient,
)
from tests.cases import rows


@pytest.mark.parametrize("case", rows("vapour_pressure"), ids=str)
def test_vapour_pressure_agrees_with_published_values(case):
    assert vapour_pressure_kpa(temp_c=float(case["temp_c"])) == pytest.approx(
        float(case["kpa"]), rel=float(case["tolerance"])
    )


def test_henry_constant_lies_between_the_published_ones():
    # US NLM HSDB 8.10e-6 atm m3/mol = 45.4 kPa; the largest in the same library 88 kPa.
    assert 45 < henry_constant_kpa(temp_c=25) < 88


def test_dilute_limit_is_henry_over_vapour_pressure():
    assert activity_coefficient(mole_fraction=0, temp_c=25) == pytest.approx(
        henry_constant_kpa(temp_c=25) / vapour_pressure_kpa(temp_c=25)
    )


def test_pure_parts_are_ideal():
    assert activity_coefficient(mole_fraction=1, temp_c=25) == 1
    assert water_activity_coefficient(mole_fraction=0, temp_c=25) == 1


def test_water_in_alcohol_reaches_its_limit():
    # 3.3: between UNIFAC 3.25 and modified UNIFAC 3.38 at 25 °C.
    assert water_activity_coefficient(mole_fraction=1, temp_c=25) == pytest.approx(3.3)


@given(st.floats(0.001, 0.999), st.floats(8, 60))
def test_gibbs_duhem_holds(x, temp_c):
    """x dln(g) + (1 - x) dln(gw) = 0: the two halves belong to one model."""
    step = 1e-5 * min(x, 1 - x)

    def change(function) -> float:
        high = log(function(mole_fraction=x + step, temp_c=temp_c))
        return high - log(function(mole_fraction=x - step, temp_c=temp_c))

    total = x * change(activity_coefficient)
    total += (1 - x) * change(water_activity_coefficient)
    assert total == pytest.approx(0, abs=1e-7 * max(1, step))


@given(st.floats(0, 1), st.floats(0, 1), st.floats(8, 40))
def test_stronger_mix_never_gives_less_alcohol_vapour(one, other, temp_c):
    weak, strong = sorted((one, other))
    assert (
        partial_pressure_kpa(mass_fraction=strong, temp_c=temp_c)
        >= partial_pressure_kpa(mass_fraction=weak, temp_c=temp_c) - 1e-9
    )


def test_mole_fraction_of_the_azeotrope():
    # The azeotrope at 87.9 % by mass is 68.5 % by mole in handbooks (from memory).
    assert mole_fraction(mass_fraction=0.879) == pytest.approx(0.685, abs=0.002)


def test_headspace_of_pure_alcohol_at_its_flash_point_is_its_lower_limit():
    # Closed cup 12 °C (IEC 60079-20-1) and LEL 2.0 % (NIOSH) belong together; textbook
    # scatter between the two is a fifth or more.
    headspace_vol_pct = 100 * partial_pressure_kpa(mass_fraction=1, temp_c=12) / 101.325
    assert headspace_vol_pct == pytest.approx(2.0, rel=0.3)


def test_too_hot_a_liquid_is_refused():
    with pytest.raises(ValueError, match="must be from 0 to 100 °C"):
        vapour_pressure_kpa(temp_c=140)
