"""Two widths for one job: only where that is cheaper, and by price where known."""

from decimal import Decimal

from jobs.nesting import Budget, Offcut, Rules, plan_pull
from jobs.nesting.offcuts import MOST_TRIED, _promising
from tests.jobs.nesting.jobs_at_random import QUICK, blank, roll

WIDE, NARROW = roll("wide"), roll("narrow", width_mm=610)
JOB = [blank("hood", 1480, 1100), *(blank(f"door{n}", 560, 900) for n in range(6))]
RULES = Rules(gap_mm=10, lead_mm=20)


def film_m2(plan):
    widths = {"wide": 1524, "narrow": 610}
    return sum(pull.length_mm * widths[pull.roll_id] for pull in plan.pulls) / 1e6


def planned(rolls, budget=QUICK, rules=RULES, offcuts=()):
    return plan_pull(
        blanks=JOB, rolls=rolls, offcuts=list(offcuts), rules=rules, budget=budget
    )


def test_narrow_blanks_come_off_the_narrow_roll_where_that_takes_less_film():
    both = planned([WIDE, NARROW])
    assert {pull.roll_id for pull in both.pulls} == {"wide", "narrow"}
    # Wide: 1100 + 20; narrow: six of 900, five gaps, 20 for the last cut.
    assert sorted(pull.length_mm for pull in both.pulls) == [1120, 5470]
    assert film_m2(both) < film_m2(planned([WIDE]))


def test_a_dear_narrow_roll_is_left_alone():
    rolls = [
        roll("wide", cost_per_m=Decimal(60)),
        roll("narrow", width_mm=610, cost_per_m=Decimal(55)),
    ]
    assert {pull.roll_id for pull in planned(rolls).pulls} == {"wide"}


def test_a_second_roll_must_save_as_much_as_is_set():
    rules = Rules(gap_mm=10, lead_mm=20, min_saving_mm=2000)
    assert len(planned([WIDE, NARROW], rules=rules).pulls) == 1


def test_the_searched_plan_over_two_widths_is_no_dearer_than_the_quick_one():
    searched = planned([WIDE, NARROW], budget=Budget(tries=400, seed=2))
    assert film_m2(searched) <= film_m2(planned([WIDE, NARROW]))


def test_of_many_offcuts_only_those_that_take_most_are_tried():
    offcuts = [
        Offcut(id=f"o{n:02}", width_mm=600 + 10 * n, length_mm=950) for n in range(40)
    ]
    tried = _promising(JOB, offcuts, rules=RULES)
    assert len(tried) == MOST_TRIED
    small = Offcut(id="small", width_mm=300, length_mm=300)
    assert small not in _promising(JOB, [*offcuts[:3], small], rules=RULES)


def test_a_used_offcut_list_of_forty_still_gives_a_whole_plan():
    offcuts = [
        Offcut(id=f"o{n:02}", width_mm=600 + 10 * n, length_mm=950) for n in range(40)
    ]
    plan = planned([WIDE, NARROW], offcuts=offcuts)
    assert len(plan.placements) == len(JOB)
    assert not plan.unplaced
