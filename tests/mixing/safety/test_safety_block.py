"""The whole block of one job: what it says, and what it refuses to say."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from mixing.safety.block import safety_block
from mixing.safety.flammable import Ground
from mixing.safety.releases import ISOPROPANOL
from mixing.safety.request import (
    PrepUse,
    SolutionUse,
)
from mixing.safety.states import State, worst
from shopapp.figures import GIVEN, Figure, explain
from shopapp.units import UNITS
from tests.mixing.safety.safety_job import (
    BAY,
    REMOVER_USE,
    SLIP,
    TACK,
    TODAY,
    changed,
    request,
    tack_only,
    without_limit,
)


def test_shop_scenario_prints_its_figures():
    # Own calculation, shop scenario (C): 295 ppm, 69.5 ppm, 1113 m3/h, 1.68 h.
    block = safety_block(tack_only())
    peak = block.line("peak").figures[0]
    assert peak.value == pytest.approx(295, abs=0.5)
    assert block.line("average").figures[0].value == pytest.approx(69.5, abs=0.1)
    assert block.line("air_need").figures[0].value == pytest.approx(1113, abs=1)
    assert block.wait is not None
    assert block.wait.value == pytest.approx(60 * 1.68, abs=0.3)
    assert block.line("average").state is State.OK
    assert max(p.vapour_ppm for p in block.curve) == pytest.approx(peak.value)


def test_efficiency_gives_the_same_block_as_its_k():
    bay = changed(BAY, mixing_value=1 / 3, mixing_basis="efficiency")
    by_efficiency = safety_block(tack_only(bay=bay))
    by_k = safety_block(tack_only())
    assert by_efficiency.line("average").figures[0].value == pytest.approx(
        by_k.line("average").figures[0].value
    )
    assert "efficiency" in str(by_efficiency.line("air_need").basis)


def test_bay_without_flow_shows_the_closed_bay_as_a_warning():
    # Own calculation, shop scenario (C): 589 ppm well mixed without ventilation.
    block = safety_block(tack_only(bay=changed(BAY, exhaust_m3_per_h=None)))
    sealed = block.line("sealed")
    assert sealed.figures[0].value == pytest.approx(589, abs=0.5)
    assert sealed.state is State.WATCH
    assert block.wait is None
    assert "NOT ASSESSED" in str(block.fire_line.sentence)


def test_closed_small_bay_at_a_tenth_of_the_lel_is_over():
    bay = changed(BAY, volume_m3=40.0, exhaust_m3_per_h=None)
    assert safety_block(tack_only(bay=bay)).line("sealed").state is State.OVER


def test_measured_bay_prints_no_closed_figure():
    with pytest.raises(LookupError):
        safety_block(request()).line("sealed")


def test_prep_chemicals_count_beside_the_sprays():
    wipe = PrepUse(
        name="panel wipe",
        litres=0.25,
        volatile_pct=70.0,
        solvent=ISOPROPANOL,
        category=2,
    )
    with_wipe = safety_block(request(solutions=(TACK,), prep=(wipe,)))
    without = safety_block(tack_only())
    more = with_wipe.line("average").figures[0].value
    # 0.175 L of pure alcohol beside 0.354 L.
    assert more / without.line("average").figures[0].value == pytest.approx(
        (0.354 + 0.175) / 0.354
    )
    assert "category 2" in str(with_wipe.fire_line.sentence)


def test_as_poured_99_percent_shows_its_doubt_and_its_waste():
    # 240 mL of 99 % + 710 mL water: 25.62 % v/v real, 20.8 % w/w (density table).
    strong = changed(TACK, vv_pct=25.62)
    block = safety_block(request(solutions=(strong,), prep=()))
    kind = block.line("class:tack")
    assert kind.state is State.WATCH
    assert "category 2" in str(kind.sentence)
    assert "measured value" in str(kind.sentence)
    assert block.line("waste:tack").state is State.WATCH
    assert block.labels[0].elements.h_codes == ("H225", "H319", "H336")
    assert block.labels[0].ww_pct.value == pytest.approx(20.78, abs=0.02)


def test_measured_flash_point_settles_the_doubt():
    strong = changed(TACK, vv_pct=25.62, flash_point_c=27.0, ground=Ground.MEASURED)
    kind = safety_block(request(solutions=(strong,))).line("class:tack")
    assert kind.state is State.OK
    assert "category 3" in str(kind.sentence)


@pytest.mark.parametrize(
    ("vv_pct", "state"),
    [
        (70, State.OK),  # 19.7 °C, at most 22.7: category 2 whatever the estimate
        (45, State.WATCH),  # below 23 °C, but not at the upper end of its spread
        (30, State.WATCH),  # category 2 by strength, 3 by the estimate
        (17.7, State.OK),  # 30.7 °C, 25.7 to 38.7: category 3 throughout
    ],
)
def test_class_is_in_doubt_where_any_part_of_the_spread_says_another(vv_pct, state):
    mix = changed(TACK, vv_pct=vv_pct, litres=0.1)
    assert safety_block(request(solutions=(mix,))).line("class:tack").state is state


@pytest.mark.parametrize(("flash", "asked"), [(60.0, False), (60.1, True)])
def test_end_of_category_4_is_asked_for_only_above_category_3(flash, asked):
    # 29 CFR 1910.106(a)(19)(iii): category 3 to 60 °C inclusive (V).
    mix = changed(TACK, vv_pct=1.0, flash_point_c=flash, ground=Ground.MEASURED)
    block = safety_block(request(solutions=(mix,), rules=without_limit("category:4")))
    assert ("rules.category:4" in {need.key for need in block.to_enter}) is asked


def test_one_bottle_that_is_barred_bars_the_drain_for_all():
    def drain(*solutions: SolutionUse) -> str:
        asked = request(solutions=solutions, prep=())
        return str(safety_block(asked).line("drain").sentence)

    assert "Not down any drain" in drain(SLIP, TACK)
    assert "Not down any drain" in drain(TACK, SLIP)
    assert "Not down any drain" in drain(SLIP, changed(TACK, vv_pct=None))
    assert "Ask the sewer authority" in drain(SLIP)


def test_even_a_trace_of_solvent_brings_the_vapour_lines():
    trace = changed(TACK, vv_pct=0.1)
    assert safety_block(request(solutions=(trace,), prep=())).line("peak").figures
    wipe = changed(REMOVER_USE, volatile_pct=0.1)
    assert safety_block(request(solutions=(SLIP,), prep=(wipe,))).line("peak").figures


def test_soap_and_water_alone_holds_no_fire_line_and_no_gate():
    block = safety_block(request(solutions=(SLIP,), prep=(), bay=None))
    assert block.fire_line.state is State.OK
    assert "no alcohol" in str(block.fire_line.sentence)
    assert "may be warmed" in str(block.line("heat:hot_tools").sentence)
    assert block.to_enter == ()


def test_poor_exhaust_is_over():
    bay = changed(BAY, exhaust_m3_per_h=20.0, volume_m3=40.0)
    block = safety_block(tack_only(bay=bay))
    assert block.line("average").state is State.OVER
    assert block.line("peak").state is State.OVER
    assert block.fire_line.state is State.OVER
    assert block.state is State.OVER


def test_short_limit_is_held_against_the_peak_of_alcohol_alone():
    # 295 ppm of the 500 ppm that the NIOSH Pocket Guide advises for 15 minutes (V).
    held = safety_block(tack_only()).line("short")
    assert held.state is State.WATCH
    assert held.figures[0].value == pytest.approx(295, abs=0.5)
    with_remover = safety_block(request()).line("short")
    assert with_remover.figures[0].value == pytest.approx(held.figures[0].value)


@pytest.mark.parametrize(
    ("share_pct", "state"),
    [(4.9, State.OK), (9.99, State.WATCH), (10.001, State.OVER), (11.5, State.OVER)],
)
def test_a_tenth_of_the_lel_is_over_and_half_of_that_to_watch(share_pct, state):
    # 10 % of the LEL is the NIOSH IDLH of isopropanol, 2000 ppm (V).
    bay = changed(BAY, exhaust_m3_per_h=20.0, volume_m3=40.0)
    found = safety_block(tack_only(bay=bay)).line("peak").figures[1].value
    less = changed(TACK, litres=2.0 * share_pct / found)
    line = safety_block(request(solutions=(less,), prep=(), bay=bay)).line("peak")
    assert line.figures[1].value == pytest.approx(share_pct)
    assert line.state is state


@pytest.mark.parametrize(("days", "state"), [(365, State.OK), (366, State.WATCH)])
def test_a_measurement_is_good_for_a_whole_year(days, state):
    bay = changed(BAY, measured_on=TODAY - timedelta(days=days))
    assert safety_block(request(bay=bay)).line("flow_age").state is state


def test_flow_short_of_steady_spraying_is_to_watch_while_the_average_holds():
    # Shop scenario (C): 1113 m3/h would hold 200 ppm, 600 are there, 69.5 ppm result.
    block = safety_block(tack_only())
    assert block.line("air_need").state is State.WATCH
    assert block.line("average").state is State.OK


def test_fire_flow_is_that_of_a_quarter_of_the_lel():
    # 1 L/h of 17.7 % v/v, LEL 2, C 4: 6.57 cfm = 11.2 m3/h (C); here 4/3 L/h.
    line = safety_block(tack_only()).line("fire_need")
    assert line.figures[0].value == pytest.approx(11.16 * 4 / 3, rel=0.002)
    weak = changed(BAY, exhaust_m3_per_h=14.0)
    assert safety_block(tack_only(bay=weak)).line("fire_need").state is State.OVER


def test_curve_runs_two_hours_beyond_the_last_spray():
    curve = safety_block(tack_only()).curve
    assert (curve[0].minute, curve[-1].minute) == (0, 90 + 120)
    levels = [point.vapour_ppm for point in curve]
    assert max(levels) == levels[[p.minute for p in curve].index(90)]


def test_the_smallest_and_the_largest_bay_are_taken():
    for volume in (10.0, 10_000.0):
        assert changed(BAY, volume_m3=volume).volume_m3 == volume
    for volume in (9.99, 10_000.1):
        with pytest.raises(ValueError, match="shop settings, bays"):
            changed(BAY, volume_m3=volume)


def test_old_exhaust_measurement_is_to_watch():
    bay = changed(BAY, measured_on=date(2024, 3, 1))
    assert safety_block(request(bay=bay)).line("flow_age").state is State.WATCH


def test_every_line_has_a_source_and_every_figure_opens():
    block = safety_block(request())

    def figures(found):
        for figure in found:
            yield figure
            yield from figures(v for _, v in figure.inputs if isinstance(v, Figure))

    for line in (block.fire_line, *block.lines):
        assert line.source
        for figure in figures(line.figures):
            assert figure.unit in UNITS
            if figure.made_by != GIVEN:
                assert explain(figure.made_by).formula


def test_block_ends_with_the_caveat():
    caveat = str(safety_block(request()).caveat)
    assert "Planning guidance" in caveat
    assert "not a measurement" in caveat
    assert "safety data sheet" in caveat


def test_total_of_nothing_is_not_assessed():
    assert worst([]) is State.NOT_ASSESSED


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: changed(BAY, volume_m3=50_000.0), "shop settings, bays"),
        (lambda: changed(BAY, exhaust_m3_per_h=0.0), "leave it empty"),
        (lambda: changed(BAY, mixing_value=0.3), "choose the basis efficiency"),
        (
            lambda: changed(BAY, mixing_value=3.0, mixing_basis="efficiency"),
            "300 %",
        ),
        (lambda: changed(TACK, vv_pct=170.0), "strength of tack"),
        (lambda: changed(TACK, litres=-1.0), "litres of tack"),
        (
            lambda: changed(REMOVER_USE, category=4, flash_point_c=40.0),
            "belongs to category 3",
        ),
        (lambda: request(solutions=(TACK, TACK)), "listed twice"),
        (lambda: request(session_min=0.0), "session"),
        (lambda: request(air_c=200.0), "air of the bay"),
        (lambda: request(heat_target_ppm=5_000.0), "hot tools"),
        (lambda: request(limit_ppm=0.0), "limit"),
        (
            lambda: request(bay=changed(BAY, measured_on=date(2027, 1, 1))),
            "Correct the date",
        ),
        (
            lambda: safety_block(request(solutions=(changed(TACK, start_min=95.0),))),
            "starts after the session",
        ),
    ],
)
def test_bad_input_is_refused_with_its_remedy(call, says):
    with pytest.raises(ValueError, match=says):
        call()
