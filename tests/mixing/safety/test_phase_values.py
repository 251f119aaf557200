"""A wipe of half an hour beside a day of tack: own hand-check, inputs stated.

Bay of 135 m3, 950 m3/h, K 3; tack 0.9515 L of 17.69 % over 480 min, a wipe of 0.15 L
of 50 % and more of 91 % over 30 min, all from the first minute; limit 200 ppm. Worked
out with the mass balance V dC = G dt - Q/K C dt.
"""

from __future__ import annotations

import pytest

from mixing.safety.block import safety_block
from mixing.safety.releases import ISOPROPANOL
from mixing.safety.request import PrepUse, SolutionUse
from mixing.safety.states import State
from tests.mixing.safety.safety_job import BAY, changed, request

TACK = SolutionUse(name="tack", vv_pct=17.69, litres=0.9515)
WIPE = PrepUse(
    name="panel wipe",
    litres=0.15,
    volatile_pct=50.0,
    solvent=ISOPROPANOL,
    category=2,
    minutes=30.0,
)
ROOM = changed(BAY, volume_m3=135.0, exhaust_m3_per_h=950.0)


def day(*, more_l: float, air_c: float):
    more = changed(WIPE, name="91 % wipe", litres=more_l, volatile_pct=91.0)
    prep = (WIPE, more) if more_l else (WIPE,)
    return safety_block(
        request(
            solutions=(TACK,),
            prep=prep,
            bay=ROOM,
            session_min=480.0,
            air_c=air_c,
            heat_target_ppm=200.0,
        )
    )


@pytest.mark.parametrize(
    ("more_l", "air_c", "ppm", "lel", "wait_min", "state"),
    [
        (0.0, 25.0, 119, 0.6, 26, State.OK),
        (0.6, 25.0, 881, 4.4, 38, State.OK),
        (3.0, 22.0, 3887, 19.4, 76, State.OVER),
    ],
)
def test_peak_share_of_the_lel_and_wait(more_l, air_c, ppm, lel, wait_min, state):
    block = day(more_l=more_l, air_c=air_c)
    level, share = block.line("peak").figures
    assert level.value == pytest.approx(ppm, abs=0.6)
    assert share.value == pytest.approx(lel, abs=0.05)
    assert block.wait is not None
    assert block.wait.value == pytest.approx(wait_min, abs=0.6)
    assert block.line("peak").state is state


def test_air_for_health_and_the_short_limit():
    assert day(more_l=0.0, air_c=25.0).line("air_need").figures[
        0
    ].value == pytest.approx(821, abs=1)
    assert day(more_l=0.6, air_c=25.0).line("short").state is State.OVER
    assert day(more_l=0.6, air_c=25.0).fire_line.state is State.OVER
