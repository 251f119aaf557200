import subprocess
import sys
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.nesting import Budget, Offcut, Rules, plan_pull
from tests.jobs.nesting.jobs_at_random import (
    QUICK,
    SEARCHED,
    blank,
    blank_lists,
    roll,
    shortest_by_brute_force,
    whole_jobs,
)


def planned(blanks, rolls=None, offcuts=(), rules=None, budget=SEARCHED):
    return plan_pull(
        blanks=blanks,
        rolls=[roll()] if rolls is None else rolls,
        offcuts=list(offcuts),
        rules=rules or Rules(),
        budget=budget,
    )


def where(plan):
    return {place.blank_id: place.source_id for place in plan.placements}


def inside_and_apart(plan, job):
    """Own words for what a plan must keep, apart from the validator's."""
    sizes = {b.id: (b.width_mm, b.length_mm) for b in job["blanks"]}
    turns = {b.id: b.turn for b in job["blanks"]}
    sources = {s.id: (s.width_mm, s.remaining_mm) for s in job["rolls"]}
    sources |= {p.roll_id: (sources[p.roll_id][0], p.length_mm) for p in plan.pulls}
    sources |= {s.id: (s.width_mm, s.length_mm) for s in job["offcuts"]}
    gap, edge = job["rules"].gap_mm, job["rules"].edge_mm
    covered = set()
    for name, source, x, y, turned in plan.placements:
        w, h = sizes[name][::-1] if turned else sizes[name]
        assert turns[name] == "quarter" or not turned
        assert edge <= x
        assert x + w <= sources[source][0] - edge
        assert y >= 0
        assert y + h <= sources[source][1]
        body = {(source, i, j) for i in range(x, x + w) for j in range(y, y + h)}
        assert not body & covered
        covered |= {
            (source, i, j)
            for i in range(x - gap, x + w + gap)
            for j in range(y - gap, y + h + gap)
        }


@settings(deadline=None, max_examples=60)
@given(job=whole_jobs(), tries=st.sampled_from([0, 40]))
def test_every_plan_keeps_inside_apart_and_to_the_turn_rules(job, tries):
    plan = plan_pull(**job, budget=Budget(tries=tries))
    inside_and_apart(plan, job)


@settings(deadline=None, max_examples=40)
@given(job=whole_jobs())
def test_every_blank_is_placed_or_refused_once(job):
    plan = plan_pull(**job, budget=QUICK)
    named = [p.blank_id for p in plan.placements] + [u.blank_id for u in plan.unplaced]
    assert sorted(named) == sorted(b.id for b in job["blanks"])


@settings(deadline=None, max_examples=15)
@given(job=whole_jobs())
def test_equal_seed_and_tries_give_equal_plans_in_any_input_order(job):
    first = plan_pull(**job, budget=Budget(tries=120, seed=9, wall_s=60))
    job["blanks"] = job["blanks"][::-1]
    job["rolls"] = job["rolls"][::-1]
    assert plan_pull(**job, budget=Budget(tries=120, seed=9, wall_s=60)) == first


@settings(deadline=None, max_examples=40)
@given(
    blanks=blank_lists(most=4, side=6).map(
        lambda some: [blank(b.id, b.width_mm, b.length_mm, turn=b.turn) for b in some]
    ),
    tries=st.sampled_from([0, 40]),
)
def test_bound_brute_force_and_plan_stand_in_that_order(blanks, tries):
    plan = planned(blanks, rolls=[roll(width_mm=6)], budget=Budget(tries=tries))
    assert plan.bound_mm <= shortest_by_brute_force(blanks, 6) <= plan.length_mm


@settings(deadline=None, max_examples=25)
@given(
    blanks=blank_lists(most=4, side=5).map(
        lambda some: [blank(b.id, b.width_mm, b.length_mm, turn=b.turn) for b in some]
    )
)
def test_a_proven_free_plan_is_the_brute_force_optimum(blanks):
    plan = planned(
        blanks, rolls=[roll(width_mm=5)], budget=Budget(tries=3000, wall_s=60)
    )
    assert plan.proven
    assert plan.length_mm == shortest_by_brute_force(blanks, 5)


def test_a_pull_is_packed_length_without_its_last_gap_plus_the_lead():
    blanks = [blank("a", 1000, 500), blank("b", 1000, 300)]
    plan = planned(blanks, rules=Rules(gap_mm=10, lead_mm=25))
    assert plan.pulls == (("R1", 500 + 10 + 300 + 25),)


def test_edges_of_the_roll_are_not_used():
    plan = planned([blank("a", 1500, 500)], rules=Rules(edge_mm=12))
    assert plan.placements[0].x_mm == 12


def test_a_blank_wider_than_every_roll_is_refused_with_widths_and_turns():
    wide = blank("hood", 1900, 1850, turn="quarter")
    plan = planned([wide], rolls=[roll(), roll("R2", width_mm=1830)])
    assert str(plan.unplaced[0].reason) == (
        "hood (1900 mm × 1850 mm) fits no film: tried as it is and turned on widths "
        "of 1524 mm, 1830 mm."
    )


def test_a_directional_blank_is_refused_where_only_turning_would_help():
    plan = planned([blank("hood", 1600, 900)])
    assert str(plan.unplaced[0].reason) == (
        "hood (1600 mm × 900 mm) fits no film: tried as it is only on widths of "
        "1524 mm."
    )


def test_a_film_without_stock_says_so():
    plan = planned([blank("hood", 1400, 900, film_code="matte")])
    assert str(plan.unplaced[0].reason) == ("hood: no film of this kind is in stock.")


def test_a_roll_that_runs_out_continues_on_the_next():
    blanks = [blank(name, 1400, 900) for name in "abcd"]
    rolls = [roll("R1", remaining_mm=2000), roll("R2", remaining_mm=2000)]
    plan = planned(blanks, rolls=rolls)
    assert sorted(plan.pulls) == [("R1", 1800), ("R2", 1800)]
    assert not plan.unplaced


def test_blanks_beyond_the_last_metre_are_left_with_a_reason():
    blanks = [blank(name, 1400, 900) for name in "abc"]
    plan = planned(blanks, rolls=[roll(remaining_mm=2000)])
    assert [u.blank_id for u in plan.unplaced] == ["c"]
    assert "not enough film is left" in str(plan.unplaced[0].reason)


def test_the_shortest_roll_that_is_long_enough_is_used_up_first():
    rolls = [roll("long"), roll("rest", remaining_mm=1000)]
    assert where(planned([blank("a", 1400, 900)], rolls=rolls)) == {"a": "rest"}


def test_the_cheaper_width_wins_by_price():
    rolls = [
        roll("narrow", width_mm=1000, cost_per_m=Decimal("60")),
        roll("wide", width_mm=2000, cost_per_m=Decimal("100")),
    ]
    pair = [blank("a", 900, 900), blank("b", 900, 900)]
    assert where(planned(pair, rolls=rolls)) == {"a": "wide", "b": "wide"}
    assert where(planned(pair[:1], rolls=rolls)) == {"a": "narrow"}


def test_an_offcut_is_used_where_it_shortens_the_pull():
    blanks = [blank("hood", 1400, 1000), blank("mirror", 300, 300)]
    plan = planned(blanks, offcuts=[Offcut(id="K1", width_mm=320, length_mm=400)])
    assert where(plan) == {"hood": "R1", "mirror": "K1"}
    assert plan.used_offcuts == ("K1",)
    assert plan.length_mm == 1000


def test_an_offcut_that_saves_nothing_stays_on_the_shelf():
    blanks = [blank("hood", 1100, 1000), blank("mirror", 300, 300)]
    plan = planned(blanks, offcuts=[Offcut(id="K1", width_mm=320, length_mm=400)])
    assert plan.used_offcuts == ()


def test_a_spoilt_panel_is_recut_from_an_offcut_without_any_roll():
    spare = Offcut(id="K1", width_mm=500, length_mm=400)
    plan = planned([blank("mirror", 300, 300)], rolls=[], offcuts=[spare])
    assert where(plan) == {"mirror": "K1"}
    assert plan.pulls == ()


def test_nothing_lies_turned_on_an_offcut_that_forbids_it():
    spare = Offcut(id="K1", width_mm=500, length_mm=300, turnable=False)
    panel = blank("mirror", 300, 500, turn="quarter")
    assert planned([panel], rolls=[], offcuts=[spare]).unplaced


def test_the_free_corner_of_a_pull_is_kept():
    plan = planned([blank("a", 1000, 800)], rules=Rules(min_offcut_mm=(300, 300)))
    assert plan.new_offcuts == (("R1", 1000, 0, 524, 800),)


def test_a_pull_is_shared_out_by_blank_area_and_adds_up():
    blanks = [
        blank("a", 700, 900, group="car A"),
        blank("b", 700, 450, group="car B"),
    ]
    plan = planned(blanks)
    assert plan.shares == (("car A", 600), ("car B", 300))


def test_films_are_planned_apart():
    blanks = [blank("a", 700, 900, film_code="F"), blank("b", 700, 900, film_code="G")]
    rolls = [roll("RF", film_code="F"), roll("RG", film_code="G")]
    assert where(planned(blanks, rolls=rolls)) == {"a": "RF", "b": "RG"}


def test_the_clock_ends_a_long_search_and_the_plan_says_so():
    blanks = [blank(f"b{n}", 301 + 17 * n % 700, 203 + 31 * n % 650) for n in range(40)]
    plan = planned(blanks, budget=Budget(tries=10**9, wall_s=0.3))
    assert plan.cut_short or plan.proven
    assert not plan.unplaced


def test_the_hash_follows_the_input_and_not_its_order():
    blanks = [blank("a", 700, 900), blank("b", 600, 900)]
    one = planned(blanks, budget=QUICK).input_sha256
    assert planned(blanks[::-1], budget=QUICK).input_sha256 == one
    assert planned(blanks[:1], budget=QUICK).input_sha256 != one


def test_no_blanks_need_no_film():
    plan = planned([])
    assert plan.length_mm == 0
    assert plan.proven


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        (
            {"blanks": [blank("hood", 0, 900)]},
            'Blank "hood": width_mm must be a whole number above 0, not 0.',
        ),
        (
            {"blanks": [blank("hood", 1400, 900.5)]},
            'Blank "hood": length_mm must be a whole number above 0, not 900.5.',
        ),
        (
            {"blanks": [blank("hood", 1, 1), blank("hood", 1, 1)]},
            'Blank "hood" is listed twice.',
        ),
        (
            {"blanks": [], "rolls": [roll("R1", remaining_mm=-1)]},
            'Roll "R1": remaining_mm must be a whole number, 0 or more, not -1.',
        ),
        (
            {"blanks": [], "rules": Rules(gap_mm=-2)},
            "Rules: gap_mm must be a whole number, 0 or more, not -2.",
        ),
    ],
)
def test_bad_input_is_refused_by_name(wrong, sentence):
    with pytest.raises(ValueError) as refused:  # noqa: PT011
        planned(**wrong)
    assert str(refused.value) == sentence


def test_a_quick_plan_loads_no_engine():
    code = (
        "import sys; from jobs.nesting import *; import jobs.nesting.drawing;"
        "plan_pull(blanks=[Blank(id='a', width_mm=5, length_mm=5)],"
        " rolls=[Roll(id='r', width_mm=9, remaining_mm=9)], offcuts=[],"
        " rules=Rules(), budget=Budget(tries=0));"
        "sys.exit(any(m.split('.')[0] in ('ortools', 'numpy', 'django')"
        " for m in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_a_search_runs_without_an_engine(monkeypatch):
    for name in ("jobs.nesting.barbound", "jobs.nesting.closer"):
        monkeypatch.setitem(sys.modules, name, None)
    blanks = [blank(name, 300 + 71 * n, 450 + 37 * n) for n, name in enumerate("abcde")]
    plan = planned(blanks)
    assert plan.engine == "skyline"
    assert len(plan.placements) == 5
