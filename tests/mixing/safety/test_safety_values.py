"""The safety formulas against published examples, and the physics behind them."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mixing.safety.box import (
    mean_ppm,
    sealed_ppm,
)
from mixing.safety.exposure import exposure_limits, job_twa_ppm
from mixing.safety.job_air import (
    average_ppm,
    average_share,
    fire_flow_m3_per_h,
    generation_m3_per_h,
    health_flow_m3_per_h,
    lel_pct,
    peak_minute,
    total_ppm,
)
from mixing.safety.releases import ISOPROPANOL, Air, Release, Solvent, solvent
from mixing.safety.ventilation import (
    concentration_ppm,
    dilution_flow_m3_per_h,
    effective_flow_m3_per_h,
    lel_flow_m3_per_h,
    mixing_factor_from,
    purge_hours,
    vapour_m3_per_h,
)
from shopapp.figures import explain
from tests.cases import rows
from tests.mixing.safety.safety_cases import (
    FT3_PER_PINT,
    cfm,
    exposure,
    formula_of,
    ours,
)

IPA = {"specific_gravity": 0.7855, "molar_mass_g_per_mol": 60.1}

flows = st.floats(min_value=1, max_value=20_000)
volumes = st.floats(min_value=10, max_value=5_000)
releases = st.floats(min_value=0, max_value=1)
levels = st.floats(min_value=0, max_value=5_000)
hours = st.floats(min_value=0.01, max_value=10)
losses = st.floats(min_value=0, max_value=5)


@pytest.mark.parametrize("row", rows("safety_values"), ids=lambda row: row["id"])
def test_value_matches_its_published_example(row):
    assert ours(row) == pytest.approx(
        float(row["expected"]), abs=float(row["tolerance"]) + 1e-9
    )


@pytest.mark.parametrize("row", rows("safety_values"), ids=lambda row: row["id"])
def test_every_checked_formula_opens_to_formula_and_source(row):
    explanation = explain(f"mixing.safety.{formula_of(row)}")
    assert explanation.formula
    assert explanation.source


@pytest.mark.parametrize("row", rows("safety_exposures"), ids=lambda row: row["what"])
def test_shift_average_and_sum_of_shares_match_their_examples(row):
    assert exposure(row) == pytest.approx(
        float(row["expected"]), abs=float(row["tolerance"])
    )


def test_flow_for_two_vapours_that_act_alike_is_the_sum_of_both():
    # ACGIH Industrial Ventilation, worked example: 3000 + 6313 = 9313 cfm (M).
    found = {row["id"]: ours(row) for row in rows("safety_values")}
    total = found["gluing MEK"] + found["gluing toluene"]
    assert total == pytest.approx(9313, abs=1)
    # Released at once in a bay, with one K of 5 for both: 3000 x 5/4 + 6313.
    pint_l = 0.473176473
    glue = [
        Release(
            name=name,
            litres=2 * pint_l,
            start_min=0,
            minutes=60,
            solvent=Solvent(
                name=name,
                specific_gravity=gravity,
                molar_mass_g_per_mol=mass,
                lel_pct=1.2,
                limit_ppm=limit,
            ),
        )
        for name, gravity, mass, limit in (
            ("MEK", 0.805, 72.1, 200),
            ("toluene", 0.866, 92.13, 100),
        )
    ]
    flow = health_flow_m3_per_h(releases=glue, mixing_factor=5, temp_c=21.111)
    assert cfm(flow) == pytest.approx(10_063, rel=0.004)


def test_the_handbooks_pint_of_vapour_is_ours_within_their_rounding():
    # 403 ft3 at 70 °F and 1 atm, ACGIH Industrial Ventilation (M).
    assert pytest.approx(403, rel=2e-3) == FT3_PER_PINT


@pytest.mark.parametrize(("litres", "ppm"), [(0.946, 1102), (3.785, 4407)])
def test_spill_of_stock_fills_a_closed_bay(litres, ppm):
    # Own calculation, shop scenario: 70 % stock, 189 m3, 20 °C (C).
    vapour = vapour_m3_per_h(evaporated_l_per_h=0.7 * litres, **IPA)
    assert sealed_ppm(vapour_m3=vapour, volume_m3=189) == pytest.approx(ppm, rel=2e-3)


def test_strictest_eight_hour_limit_of_isopropanol_comes_first():
    found = exposure_limits(substance="isopropanol")
    assert [(limit.name, limit.limit_ppm) for limit in found][:1] == [("TLV", 200)]


@settings(deadline=None)
@given(flows, flows, volumes, releases, levels, hours, losses)
def test_more_flow_never_raises_the_level_once_air_is_cleaner_outside(
    one, other, volume, release, start, time, loss
):
    low, high = sorted((one, other))
    at = {
        "generation_m3_per_h": release,
        "volume_m3": volume,
        "start_ppm": start,
        "hours": time,
        "loss_per_h": loss,
    }
    slow = concentration_ppm(flow_m3_per_h=low, **at)
    fast = concentration_ppm(flow_m3_per_h=high, **at)
    assert fast <= slow * (1 + 1e-9) + 1e-9


@settings(deadline=None, max_examples=25)
@given(
    st.floats(min_value=50, max_value=2_000),
    st.floats(min_value=50, max_value=1_000),
    releases,
    levels,
    st.floats(min_value=0.1, max_value=3),
    losses,
)
def test_box_agrees_with_a_slow_step_by_step_balance(
    flow, volume, release, start, time, loss
):
    steps = 4000
    step = time / steps
    vapour_m3 = start * volume / 1e6
    dose = 0.0
    for _ in range(steps):
        # Midpoint step of V dC = G dt - Q'C dt - loss V C dt, in m3 of vapour.
        rate = flow / volume + loss
        middle = vapour_m3 + step / 2 * (release - rate * vapour_m3)
        dose += middle * step
        vapour_m3 += step * (release - rate * middle)
    box = {
        "generation_m3_per_h": release,
        "flow_m3_per_h": flow,
        "volume_m3": volume,
        "start_ppm": start,
        "hours": time,
        "loss_per_h": loss,
    }
    stepped = 1e6 * vapour_m3 / volume
    assert concentration_ppm(**box) == pytest.approx(stepped, rel=1e-3, abs=1e-3)
    assert mean_ppm(**box) == pytest.approx(
        1e6 * dose / volume / time, rel=1e-3, abs=1e-3
    )


@settings(deadline=None)
@given(flows, volumes, releases, levels, hours, losses)
def test_what_comes_in_stays_or_leaves(flow, volume, release, start, time, loss):
    box = {
        "generation_m3_per_h": release,
        "flow_m3_per_h": flow,
        "volume_m3": volume,
        "start_ppm": start,
        "hours": time,
        "loss_per_h": loss,
    }
    came = release * time + start * volume / 1e6
    stayed = concentration_ppm(**box) * volume / 1e6
    left = mean_ppm(**box) / 1e6 * (flow + loss * volume) * time
    assert stayed + left == pytest.approx(came, rel=1e-6, abs=1e-9)


@settings(deadline=None)
@given(flows, volumes, st.floats(min_value=1, max_value=5000), losses)
def test_purge_ends_at_its_target(flow, volume, start, loss):
    wait = purge_hours(
        flow_m3_per_h=flow,
        volume_m3=volume,
        from_ppm=start,
        to_ppm=0.9,
        loss_per_h=loss,
    )
    end = concentration_ppm(
        generation_m3_per_h=0,
        flow_m3_per_h=flow,
        volume_m3=volume,
        start_ppm=start,
        hours=wait,
        loss_per_h=loss,
    )
    assert end == pytest.approx(0.9, rel=1e-6)


def test_air_already_clean_enough_needs_no_purge():
    assert purge_hours(flow_m3_per_h=1, volume_m3=1, from_ppm=10, to_ppm=50) == 0


def test_two_halves_of_a_release_make_the_whole():
    air = Air(effective_flow_m3_per_h=200, volume_m3=189, temp_c=20)

    def part(litres: float, start: float, minutes: float) -> Release:
        return Release(
            name="tack",
            litres=litres,
            start_min=start,
            minutes=minutes,
            solvent=ISOPROPANOL,
        )

    halves = [part(0.2, 0, 45), part(0.2, 45, 45)]
    whole = part(0.4, 0, 90)
    for minute in (10, 45, 60, 90, 200):
        assert total_ppm(releases=halves, air=air, minute=minute) == pytest.approx(
            total_ppm(releases=[whole], air=air, minute=minute)
        )
    assert sum(average_ppm(release=h, air=air) for h in halves) == pytest.approx(
        average_ppm(release=whole, air=air)
    )
    # 2 % by volume is 20,000 ppm (NIOSH Pocket Guide, LEL of isopropanol).
    level = total_ppm(releases=[whole], air=air, minute=90)
    share = lel_pct(releases=[whole], air=air, minute=90)
    assert share == pytest.approx(100 * level / 20_000)


jobs = st.lists(
    st.tuples(
        st.floats(min_value=0.001, max_value=2),
        st.floats(min_value=0, max_value=300),
        st.floats(min_value=1, max_value=180),
    ),
    min_size=1,
    max_size=4,
)


def sprayed(parts) -> list[Release]:
    return [
        Release(
            name=f"spray {number}",
            litres=litres,
            start_min=start,
            minutes=minutes,
            solvent=ISOPROPANOL,
        )
        for number, (litres, start, minutes) in enumerate(parts)
    ]


@settings(deadline=None)
@given(jobs, flows, volumes, losses)
def test_all_that_a_job_gives_off_leaves_or_is_still_there(parts, flow, volume, loss):
    """Released = carried out + lost + left in the bay at the end of the shift."""
    air = Air(
        effective_flow_m3_per_h=flow, volume_m3=volume, temp_c=20, loss_per_h=loss
    )
    releases = sprayed(parts)
    came_m3 = sum(
        generation_m3_per_h(release=r, temp_c=20) * r.minutes / 60 for r in releases
    )
    dose_ppm_h = 8 * sum(average_ppm(release=r, air=air) for r in releases)
    gone_m3 = dose_ppm_h / 1e6 * (flow + loss * volume)
    left_m3 = total_ppm(releases=releases, air=air, minute=480) / 1e6 * volume
    assert gone_m3 + left_m3 == pytest.approx(came_m3, rel=1e-6)


@settings(deadline=None)
@given(jobs, flows, flows, volumes, losses, st.floats(min_value=0, max_value=480))
def test_more_exhaust_never_raises_any_level_of_a_job(
    parts, one, other, volume, loss, minute
):
    low, high = (
        Air(effective_flow_m3_per_h=q, volume_m3=volume, temp_c=20, loss_per_h=loss)
        for q in sorted((one, other))
    )
    releases = sprayed(parts)
    for level in (total_ppm, lel_pct):
        assert level(releases=releases, air=high, minute=minute) <= (
            level(releases=releases, air=low, minute=minute) * (1 + 1e-9) + 1e-9
        )
    assert average_share(releases=with_limit(releases), air=high) <= (
        average_share(releases=with_limit(releases), air=low) * (1 + 1e-9)
    )


def with_limit(releases: list[Release]) -> list[Release]:
    limited = solvent(name="isopropanol", limit_ppm=200)
    return [dataclasses.replace(r, solvent=limited) for r in releases]


@settings(deadline=None)
@given(jobs, flows, volumes, losses)
def test_no_minute_of_a_job_lies_above_its_peak(parts, flow, volume, loss):
    air = Air(
        effective_flow_m3_per_h=flow, volume_m3=volume, temp_c=20, loss_per_h=loss
    )
    releases = sprayed(parts)
    peak = lel_pct(
        releases=releases, air=air, minute=peak_minute(releases=releases, air=air)
    )
    for minute in range(0, 481, 7):
        level = lel_pct(releases=releases, air=air, minute=minute)
        assert level <= peak * (1 + 1e-9) + 1e-12


@settings(deadline=None)
@given(jobs)
def test_flow_needed_is_that_of_the_busiest_minute(parts):
    """Checked minute by minute at the starts, where what runs at once changes."""
    releases = with_limit(sprayed(parts))
    alone = [
        health_flow_m3_per_h(releases=[r], mixing_factor=3, temp_c=20) for r in releases
    ]
    at_once = [
        sum(
            q
            for r, q in zip(releases, alone, strict=True)
            if r.start_min <= at.start_min < r.end_min
        )
        for at in releases
    ]
    needed = health_flow_m3_per_h(releases=releases, mixing_factor=3, temp_c=20)
    assert needed == pytest.approx(max(at_once))
    assert fire_flow_m3_per_h(releases=releases) < needed


def test_sprays_one_after_the_other_need_the_flow_of_one():
    halves = with_limit(sprayed([(0.2, 0, 45), (0.2, 45, 45)]))
    both = with_limit(sprayed([(0.2, 0, 45), (0.2, 44, 45)]))
    one, after, at_once = (
        health_flow_m3_per_h(releases=releases, mixing_factor=3, temp_c=20)
        for releases in (halves[:1], halves, both)
    )
    assert after == pytest.approx(one)
    assert at_once == pytest.approx(2 * one)


def test_each_vapour_counts_by_its_own_lower_explosive_limit():
    # Le Chatelier's rule: shares of the limits add up; 5000 ppm of 1 % is a half.
    thin = Solvent(
        name="remover", specific_gravity=0.7855, molar_mass_g_per_mol=60.1, lel_pct=1
    )
    alcohol = sprayed([(0.4, 0, 60)])
    remover = [dataclasses.replace(alcohol[0], name="remover", solvent=thin)]
    air = Air(effective_flow_m3_per_h=200, volume_m3=189, temp_c=20)
    at = {"air": air, "minute": 60}
    own = lel_pct(releases=alcohol, **at)
    assert lel_pct(releases=remover, **at) == pytest.approx(2 * own)
    assert lel_pct(releases=[*alcohol, *remover], **at) == pytest.approx(3 * own)
    assert own == pytest.approx(total_ppm(releases=alcohol, **at) / 20_000 * 100)


def test_average_falls_with_a_further_loss():
    box = {"generation_m3_per_h": 0.07, "flow_m3_per_h": 200, "volume_m3": 189}
    assert job_twa_ppm(spray_hours=1.5, loss_per_h=1, **box) < job_twa_ppm(
        spray_hours=1.5, **box
    )


def test_mixing_factor_is_read_by_its_basis():
    assert mixing_factor_from(value=3, basis="K") == 3
    assert mixing_factor_from(value=1 / 3, basis="efficiency") == pytest.approx(3)


@pytest.mark.parametrize(
    ("value", "basis", "k"),
    [(1, "K", 1), (10, "K", 10), (1, "efficiency", 1), (0.1, "efficiency", 10)],
)
def test_mixing_numbers_at_the_ends_of_their_range_are_taken(value, basis, k):
    # K 1 to 10: ACGIH Industrial Ventilation (M); up to 10: CDC, MMWR 1994 (V).
    assert mixing_factor_from(value=value, basis=basis) == k


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: mixing_factor_from(value=0.3, basis="K"), "choose the basis eff"),
        (lambda: mixing_factor_from(value=3.0, basis="efficiency"), "300 %"),
        (lambda: mixing_factor_from(value=3.0, basis=""), "K or efficiency"),
        (
            lambda: effective_flow_m3_per_h(flow_m3_per_h=0, mixing_factor=3),
            "above zero",
        ),
        (
            lambda: effective_flow_m3_per_h(flow_m3_per_h=600, mixing_factor=0.3),
            "K is 1 or more",
        ),
        (
            lambda: purge_hours(
                flow_m3_per_h=0, volume_m3=189, from_ppm=300, to_ppm=50
            ),
            "Measure the exhaust",
        ),
        (
            lambda: purge_hours(
                flow_m3_per_h=200, volume_m3=189, from_ppm=300, to_ppm=0
            ),
            "target",
        ),
        (
            lambda: concentration_ppm(
                generation_m3_per_h=0.07,
                flow_m3_per_h=float("nan"),
                volume_m3=189,
                start_ppm=0,
                hours=1,
            ),
            "plain number, not nan",
        ),
        (
            lambda: dilution_flow_m3_per_h(
                evaporated_l_per_h=1, limit_ppm=0, mixing_factor=1, **IPA
            ),
            "limit",
        ),
        (
            lambda: dilution_flow_m3_per_h(
                evaporated_l_per_h=-1, limit_ppm=200, mixing_factor=1, **IPA
            ),
            "cannot be -1",
        ),
        (
            lambda: lel_flow_m3_per_h(
                evaporated_l_per_h=1, lel_pct=2, safety_coefficient=0.5, **IPA
            ),
            "Use 4",
        ),
        (
            lambda: job_twa_ppm(
                generation_m3_per_h=0.07,
                flow_m3_per_h=200,
                volume_m3=189,
                spray_hours=9,
            ),
            "one shift",
        ),
    ],
)
def test_impossible_number_is_refused_with_its_remedy(call, says):
    with pytest.raises(ValueError, match=says):
        call()
