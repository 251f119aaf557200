"""What stands against every plan is said before anything is searched."""

from dataclasses import replace

import pytest

from jobs.scheduling.listing import quick_plan
from jobs.scheduling.problem import (
    Activity,
    Choice,
    Due,
    FaultKind,
    Link,
    Need,
    NoPlanError,
    Problem,
    Resource,
    Run,
    Span,
    late_after,
)
from jobs.scheduling.ready_check import faults


def served_by(*names, **more):
    return Need(choices=tuple(Choice(resource=name) for name in names), **more)


def work(key, *needs, size=4, **more):
    return Activity(key=key, job="car", size=size, needs=needs, **more)


def problem(*activities, links=(), closed=(), **more):
    resources = (
        Resource(key="ann", closed=closed),
        Resource(key="bob"),
        Resource(key="bay"),
        Resource(key="rack", capacity=2),
    )
    return Problem(
        name="p",
        horizon=100,
        activities=activities,
        links=links,
        **{"resources": resources, **more},
    )


def only_fault(asked):
    [fault] = faults(asked)
    with pytest.raises(NoPlanError) as raised:
        quick_plan(asked, seconds=0)
    assert raised.value.problems == (fault,)
    return fault


BAY, ANN, ANY = served_by("bay"), served_by("ann"), served_by("ann", "bob")


def test_a_sound_problem_has_no_faults():
    assert faults(problem(work("a", BAY, ANY), work("b", BAY, ANN))) == ()
    assert faults(problem()) == ()


def test_two_starts_fixed_in_one_bay_at_once_clash():
    fault = only_fault(
        problem(work("a", BAY, fixed_start=0), work("b", BAY, fixed_start=3))
    )
    assert fault.kind is FaultKind.PINS_CLASH
    assert (fault.about, fault.resources, fault.at) == (("a", "b"), ("bay",), 3)


def test_one_after_the_other_in_one_bay_is_no_clash():
    ok = problem(work("a", BAY, fixed_start=0), work("b", BAY, fixed_start=4))
    assert faults(ok) == ()


def test_two_pinned_to_one_person_clash_though_another_could_serve():
    pins = {"fixed_start": 2, "pinned": ("ann",)}
    fault = only_fault(problem(work("a", ANY, **pins), work("b", ANY, **pins)))
    assert fault.kind is FaultKind.PINS_CLASH
    assert fault.resources == ("ann",)


def test_three_fixed_at_once_for_two_people_clash():
    three = problem(*(work(key, ANY, fixed_start=0) for key in "abc"))
    assert faults(three) == ()
    with pytest.raises(NoPlanError) as raised:
        quick_plan(three, seconds=0)
    assert raised.value.problems[0].kind is FaultKind.PINS_CLASH


def test_a_bay_held_through_a_span_clashes_with_what_is_fixed_in_it():
    held = Span(key="stay", first="a", last="b", need=BAY)
    asked = problem(
        work("a", fixed_start=0),
        work("b"),
        work("c", BAY, fixed_start=6),
        links=(Link(before="a", after="b"),),
        spans=(held,),
    )
    assert only_fault(asked).about == ("stay", "c")


def test_a_fixed_start_outside_of_its_windows_or_in_an_absence_is_said():
    fault = only_fault(problem(work("a", fixed_start=5, starts=((0, 5),))))
    assert (fault.kind, fault.about, fault.at) == (FaultKind.PIN_CLOSED, ("a",), 5)
    shut = problem(work("a", ANN, fixed_start=5), closed=((8, 20),))
    fault = only_fault(shut)
    assert (fault.kind, fault.resources) == (FaultKind.PIN_CLOSED, ("ann",))
    spared = problem(work("a", ANY, fixed_start=5), closed=((8, 20),))
    assert faults(spared) == ()


def test_a_fixed_start_before_what_it_waits_for_is_said():
    fault = only_fault(
        problem(
            work("a", fixed_start=3),
            work("b"),
            work("c", fixed_start=10),
            links=(Link(before="a", after="b"), Link(before="b", after="c")),
        )
    )
    assert (fault.kind, fault.about) == (FaultKind.PIN_ORDER, ("b", "c"))


def test_a_pin_on_somebody_who_is_no_choice_is_said():
    fault = only_fault(problem(work("a", ANN, pinned=("bob",))))
    assert (fault.kind, fault.resources) == (FaultKind.PIN_UNKNOWN, ("bob",))
    fault = only_fault(problem(work("a", ANY, pinned=("ann", "bob"))))
    assert fault.kind is FaultKind.PIN_UNKNOWN


@pytest.mark.parametrize(
    "needs",
    [
        (served_by(),),
        (served_by("ann", count=2),),
        (served_by("rack", demand=3),),
        (ANN, ANN),
        (ANY, ANY, ANY),
        (served_by("rack", demand=2), served_by("rack")),
    ],
)
def test_a_need_that_nobody_can_serve_is_said(needs):
    assert only_fault(problem(work("a", *needs))).kind is FaultKind.NOBODY


def test_two_needs_may_share_hands_as_far_as_they_go():
    shared = problem(
        work("a", ANY, ANN), work("b", served_by("rack"), served_by("rack"))
    )
    assert quick_plan(shared, seconds=0).by_key["a"].resources == ("bob", "ann")


def test_no_time_left_to_begin_is_said():
    fault = only_fault(
        problem(
            work("a", size=9),
            work("b", starts=((0, 9),)),
            links=(Link(before="a", after="b"),),
        )
    )
    assert (fault.kind, fault.about, fault.at) == (FaultKind.NO_TIME, ("b",), 9)
    assert only_fault(problem(work("a", starts=()))).kind is FaultKind.NO_TIME


def test_a_circle_is_said_with_all_that_are_in_it():
    links = [Link(before=a, after=b) for a, b in ("ab", "bc", "ca", "cd")]
    fault = only_fault(problem(*map(work, "abcd"), links=tuple(links)))
    assert fault.kind is FaultKind.CIRCLE
    assert sorted(fault.about) == ["a", "b", "c"]


@pytest.mark.parametrize(
    "broken",
    [
        problem(work("a"), work("a")),
        problem(work("a", size=-1)),
        problem(work("a", served_by("nobody"))),
        problem(work("a", served_by("ann", "ann"))),
        problem(work("a", starts=((5, 3),))),
        problem(work("a", fixed_start=-1)),
        problem(work("a", end_by_start=())),
        problem(work("a", end_by_start=(Run(first=3, value=9, rise=1),))),
        problem(work("a", end_by_start=(Run(first=0, value=9, rise=0),))),
        problem(work("a"), links=(Link(before="a", after="b"),)),
        problem(work("a"), spans=(Span(key="s", first="a", last="b", need=BAY),)),
        problem(work("a"), spans=(Span(key="a", first="a", last="a", need=BAY),)),
        problem(
            work("a"),
            spans=(
                Span(
                    key="s", first="a", last="a", need=served_by("ann", "bob", count=2)
                ),
            ),
        ),
        problem(
            work("a"), dues=(Due(activity="b", since="a", late_by_ready=late_after(3)),)
        ),
        problem(work("a"), dues=(Due(activity="a", since="a", late_by_ready=()),)),
        problem(work("a"), closed=((5, 3),)),
    ],
)
def test_what_cannot_be_is_said(broken):
    found = faults(broken)
    assert found
    assert {one.kind for one in found} == {FaultKind.MALFORMED}


def test_two_cars_of_different_jobs_share_no_span():
    other = replace(work("b"), job="another")
    span = Span(key="s", first="a", last="b", need=BAY)
    [fault] = faults(problem(work("a"), other, spans=(span,)))
    assert fault.kind is FaultKind.MALFORMED
