"""Plans against closed forms, and against themselves under another clock."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.scheduling import Level, Placed, late_after
from tests.jobs.scheduling.floors import (
    later,
    one_bay,
    proven,
    shop,
    stretched,
    values,
)

SIZES = st.lists(st.integers(1, 9), min_size=2, max_size=5)
FEW = settings(max_examples=12, deadline=None)


@FEW
@given(SIZES, st.data())
def test_in_one_bay_the_order_of_promises_has_the_least_greatest_lateness(sizes, data):
    """Jackson 1955 (textbook result, from memory)."""
    jobs = {f"j{at}": size for at, size in enumerate(sizes)}
    dues = {key: data.draw(st.integers(1, 20), label=key) for key in jobs}
    end, most = 0, 0
    for key in sorted(jobs, key=lambda key: dues[key]):
        end += jobs[key]
        most = max(most, end - dues[key])

    def late(ticks):
        eased = {key: due + ticks for key, due in dues.items()}
        return values(proven(one_bay(jobs, dues=eased)))[0]

    assert late(most) == 0
    assert most == 0 or late(most - 1) > 0


@FEW
@given(SIZES, st.data())
def test_in_one_bay_the_shortest_for_its_weight_goes_first(sizes, data):
    """Smith 1956 (textbook result, from memory): least sum of weighted ends."""
    jobs = {f"j{at}": size for at, size in enumerate(sizes)}
    weights = {key: data.draw(st.integers(1, 5), label=key) for key in jobs}
    end = total = 0
    for key in sorted(jobs, key=lambda key: jobs[key] / weights[key]):
        end += jobs[key]
        total += weights[key] * end
    assert values(proven(one_bay(jobs, weights=weights))) == (total,)


CARS = st.lists(
    st.tuples(
        st.integers(0, 12),
        st.integers(1, 4),
        st.integers(2, 9),
        st.integers(6, 20),
        st.integers(1, 3),
    ),
    min_size=2,
    max_size=4,
)


def late(problem):
    return values(proven(replace(problem, levels=(Level.LATE,))))[0]


@FEW
@given(CARS, st.integers(1, 2), st.integers(1, 2))
def test_a_bay_a_person_or_an_hour_more_never_makes_cars_later(cars, bays, people):
    nights = ((4, 7), (14, 16))
    shut = late(shop(cars, bays=bays, people=people, nights=nights))
    assert late(shop(cars, bays=bays + 1, people=people, nights=nights)) <= shut
    assert late(shop(cars, bays=bays, people=people + 1, nights=nights)) <= shut
    assert late(shop(cars, bays=bays, people=people, nights=((4, 6), (14, 16)))) <= shut


@FEW
@given(CARS)
def test_all_times_doubled_double_the_lateness(cars):
    problem = shop(cars, nights=((4, 7),))
    assert late(stretched(problem, 2)) == 2 * late(problem)


@FEW
@given(CARS)
def test_a_week_later_the_plan_is_as_good(cars):
    problem = replace(shop(cars, nights=((4, 7),)), levels=(Level.LATE, Level.STAY))
    lateness, stay = values(proven(problem))
    # The end of it all is counted in the stay, and lies a week later.
    assert values(proven(later(problem, 70))) == (lateness, stay + 70)


def test_a_week_later_the_only_best_plan_is_the_same_one_shifted():
    problem = one_bay({"a": 2, "b": 3, "c": 7}, horizon=12)
    plan, shifted = proven(problem), proven(later(problem, 70))
    assert values(plan) == values(shifted) == (2 + 5 + 12,)
    assert shifted.placed == tuple(
        replace(each, start=each.start + 70, end=each.end + 70) for each in plan.placed
    )


@pytest.mark.parametrize("people", [1, 2])
def test_planned_again_from_its_own_plan_nothing_moves(people):
    cars = [(0, 3, 6, 10, 1), (0, 2, 8, 9, 2), (3, 2, 5, 14, 1)]
    problem = shop(cars, people=people)
    plan = proven(problem)
    levels = (Level.LATE, Level.CHANGE, Level.STAY)
    again = proven(replace(problem, levels=levels, previous=plan.placed))
    assert values(again) == (values(plan)[0], 0, values(plan)[1])
    assert again.placed == plan.placed


def test_what_must_move_moves_as_little_as_it_can():
    problem = one_bay({"a": 3, "b": 3}, dues={"a": 100, "b": 100})
    problem = replace(
        problem,
        levels=(Level.LATE, Level.CHANGE),
        previous=(
            Placed(key="a", start=5, end=8, resources=("bay",)),
            Placed(key="b", start=7, end=10, resources=("bay",)),
        ),
    )
    assert values(proven(problem)) == (0, 1)


def test_a_promise_of_tick_0_counts_every_tick():
    problem = one_bay({"a": 4}, dues={"a": 0})
    assert late_after(0)[0].rise == 1
    assert values(proven(problem)) == (4,)
