"""Units of the shop against their legal definitions."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopapp import units
from shopapp.units import UNITS, System, shown, to_base
from tests.cases import rows


@pytest.mark.parametrize("case", rows("units"), ids=lambda case: case["constant"])
def test_unit_is_its_legal_definition(case):
    assert getattr(units, case["constant"]) == float(case["exact"])


def test_fluid_ounce_is_an_exact_part_of_the_gallon():
    # 231 in³, 25.4 mm: NIST Handbook 44 appendix C; exact arithmetic.
    gallon_ml = 231 * Fraction("2.54") ** 3
    assert float(gallon_ml) == units.ML_PER_US_GALLON
    assert float(gallon_ml / 128) == units.ML_PER_US_FL_OZ


def test_reference_bottle_is_not_thirty_two_ounces():
    # Common practice calls 950 mL a 32 fl oz bottle; 32 fl oz are 946.35 mL.
    assert to_base(32, "ml", system=System.US) == pytest.approx(946.35, abs=0.005)
    assert str(shown(950, "ml", system=System.US)) == "32.12 fl oz"


@pytest.mark.parametrize(
    ("celsius", "fahrenheit"), [(0, "32 °F"), (100, "212 °F"), (-40, "-40 °F")]
)
def test_temperature_follows_its_fixed_points(celsius, fahrenheit):
    # Definition: F = C x 9/5 + 32.
    assert str(shown(celsius, "degc", system=System.US)) == fahrenheit


def test_temperature_difference_has_no_offset():
    assert str(shown(5, "kelvin", system=System.US)) == "9 °F"


@given(st.sampled_from(sorted(UNITS)), st.floats(-1e6, 1e6), st.sampled_from(System))
def test_typed_value_comes_back_as_it_was(unit, value, system):
    known = UNITS[unit]
    us = system is System.US and known.us_symbol
    there = value * known.us_per_base + known.us_offset if us else value
    assert to_base(there, unit, system=system) == pytest.approx(value, abs=1e-6)
