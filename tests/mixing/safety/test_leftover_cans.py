"""Which can: by the gravest of what a vessel may hold."""

from __future__ import annotations

import pytest

from mixing.safety.leftovers import ALCOHOL, IGNITABLE, Leftover, leftover_goes
from mixing.safety.rules import safety_rules


@pytest.mark.parametrize(
    ("vv_pct", "goes"), [(25.0, IGNITABLE), (None, IGNITABLE), (17.7, ALCOHOL)]
)
def test_a_stronger_or_unknown_mix_goes_to_the_ignitable_waste(vv_pct, goes):
    held = [Leftover(vv_pct=0.0), Leftover(vv_pct=vv_pct)]
    assert leftover_goes(held, rules=safety_rules(), rinse_water="yes") == goes
