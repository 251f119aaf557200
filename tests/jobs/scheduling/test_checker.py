"""The checker finds every fault that is put into a sound plan."""

from dataclasses import replace

import pytest

from jobs.scheduling.checker import violations
from jobs.scheduling.listing import quick_plan
from jobs.scheduling.problem import (
    Activity,
    Choice,
    Due,
    Level,
    Link,
    Need,
    Pair,
    Placed,
    Problem,
    Resource,
    Run,
    Span,
    late_after,
)


def served_by(*names, **more):
    return Need(choices=tuple(Choice(resource=name) for name in names), **more)


PROBLEM = Problem(
    name="two cars",
    horizon=100,
    activities=(
        Activity(
            key="prep",
            job="one",
            size=4,
            needs=(served_by("ann", "bob"),),
            starts=((2, 90),),
        ),
        Activity(
            key="lay",
            job="one",
            size=6,
            needs=(served_by("ann", "bob", "cas", count=2),),
            pinned=("ann",),
        ),
        Activity(
            key="look",
            job="one",
            size=0,
            end_by_start=(Run(first=0, value=5, rise=1),),
            needs=(served_by("rack", demand=2),),
        ),
        Activity(
            key="wash",
            job="two",
            size=9,
            needs=(
                Need(
                    choices=(
                        Choice(resource="bob", size=3),
                        Choice(resource="cas", size=5),
                    )
                ),
            ),
            fixed_start=0,
        ),
    ),
    links=(
        Link(before="prep", after="lay", lag=1),
        Link(before="lay", after="look", start_by_end=(Run(first=0, value=3, rise=1),)),
    ),
    resources=(
        Resource(key="ann", closed=((0, 3),)),
        Resource(key="bob"),
        Resource(key="cas", closed=((40, 50),)),
        Resource(key="bay"),
        Resource(key="rack", capacity=3),
    ),
    spans=(Span(key="stay", first="prep", last="lay", need=served_by("bay")),),
    dues=(Due(activity="look", since="prep", late_by_ready=late_after(10), weight=2),),
    pairs=(Pair(before="prep", after="lay"),),
    levels=(Level.LATE, Level.CHANGE, Level.STAY),
    previous=(Placed(key="wash", start=0, end=5, resources=("cas",)),),
)
PLAN = quick_plan(PROBLEM, seconds=0)


def changed(key, problem=PROBLEM, **how):
    placed = tuple(
        replace(one, **how) if one.key == key else one for one in PLAN.placed
    )
    return violations(problem, replace(PLAN, placed=placed))


def moved(key, ticks):
    one = PLAN.by_key[key]
    return changed(key, start=one.start + ticks, end=one.end + ticks)


def test_the_sound_plan_passes():
    assert violations(PROBLEM, PLAN) == ()


def test_what_is_moved_before_its_link_is_found():
    assert "lay begins before prep lets it" in moved("lay", -1)
    assert "look begins before lay lets it" in moved("look", -1)


def test_what_is_moved_out_of_its_windows_is_found():
    assert any("outside of its windows" in line for line in moved("prep", -2))
    assert any("before tick 0" in line for line in moved("prep", -20))


def test_a_fixed_start_is_kept():
    assert "wash begins at 1, fixed at 0" in moved("wash", 1)


def test_a_wrong_length_is_found():
    one = PLAN.by_key["lay"]
    assert any("lay ends at" in line for line in changed("lay", end=one.end - 1))
    look = PLAN.by_key["look"]
    assert any("look ends at" in line for line in changed("look", end=look.end + 1))


def test_the_size_hangs_on_who_serves():
    other = {"bob": "cas", "cas": "bob"}[PLAN.by_key["wash"].resources[0]]
    assert any("wash ends at" in line for line in changed("wash", resources=(other,)))


@pytest.mark.parametrize(
    ("hands", "said"),
    [
        (("ann",), "not as many as it needs"),
        (("ann", "ann"), "counts ann twice"),
        (("bob", "cas"), "not served by ann, pinned to it"),
        (("ann", "bay"), "bay, no choice of it"),
    ],
)
def test_the_wrong_hands_are_found(hands, said):
    assert any(said in line for line in changed("lay", resources=hands))


def test_a_resource_taken_twice_is_found():
    fixed = replace(
        PROBLEM,
        activities=tuple(replace(one, fixed_start=None) for one in PROBLEM.activities),
    )
    lay = PLAN.by_key["lay"]
    [who] = set(lay.resources) - {"ann"}
    end = lay.start + {"bob": 3, "cas": 5}[who]
    said = changed("wash", fixed, start=lay.start, end=end, resources=(who,))
    assert f"{who} is taken more than 1 at {lay.start}" in said


def test_more_than_the_capacity_is_found():
    more = replace(
        PROBLEM,
        resources=tuple(
            replace(one, capacity=1) if one.key == "rack" else one
            for one in PROBLEM.resources
        ),
    )
    assert any("rack is taken more than 1" in line for line in violations(more, PLAN))


def test_closed_time_is_found():
    at = PLAN.by_key["prep"].start
    shut = replace(
        PROBLEM,
        resources=tuple(
            replace(one, closed=((at + 3, at + 4),)) if one.key == "bay" else one
            for one in PROBLEM.resources
        ),
    )
    assert f"bay is closed at {at + 3}" in violations(shut, PLAN)


def test_a_span_too_short_or_shifted_is_found():
    stay = PLAN.by_key["stay"]
    assert any("not with lay" in line for line in changed("stay", end=stay.end - 1))
    assert any(
        "not with prep" in line for line in changed("stay", start=stay.start + 1)
    )
    assert any("no choice" in line for line in changed("stay", resources=("rack",)))


def test_what_is_missing_doubled_or_too_much_is_found():
    one = PLAN.placed[0]
    for placed, said in (
        (PLAN.placed[1:], f"{one.key} is placed 0 times"),
        ((*PLAN.placed, one), f"{one.key} is placed 2 times"),
        ((*PLAN.placed, replace(one, key="x")), "x is placed but not asked for"),
    ):
        assert said in violations(PROBLEM, replace(PLAN, placed=placed))


@pytest.mark.parametrize("place", [0, 1, 2])
def test_a_wrong_value_or_a_bound_above_it_is_found(place):
    levels = list(PLAN.levels)
    value = levels[place].value
    levels[place] = replace(levels[place], value=value + 1)
    [said] = violations(PROBLEM, replace(PLAN, levels=tuple(levels)))
    assert said == f"{levels[place].level} is {value}, not {value + 1}"
    levels[place] = replace(levels[place], value=value, bound=value + 1)
    [said] = violations(PROBLEM, replace(PLAN, levels=tuple(levels)))
    assert "below its bound" in said


def test_a_plan_for_other_goals_is_found():
    assert violations(replace(PROBLEM, levels=(Level.LATE,)), PLAN) == (
        "the plan answers other goals",
    )
