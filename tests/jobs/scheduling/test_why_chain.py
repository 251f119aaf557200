"""What a car waits for in a plan, walked back from its end."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from hypothesis import given, settings

from jobs.scheduling.chain import Wait, chain
from jobs.scheduling.listing import quick_plan
from jobs.scheduling.problem import Run
from tests.jobs.scheduling.why_shop import Car, car_rows, crowded_shops, plan_of, shop


def told(problem, plan, job):
    return [
        (link.wait.value, link.activity, link.until)
        for link in chain(problem, plan, job)
    ]


def test_a_car_alone_waits_for_its_stages_and_its_arrival():
    problem = shop(Car(key="A", arrives=4, promise=10))
    assert told(problem, plan_of(*car_rows("A", start=4)), "A") == [
        ("stage", "A look", 13),
        ("stage", "A film", 6),
        ("arrival", "A prep", 4),
    ]


def test_the_car_before_it_in_the_bay_is_named_and_followed():
    problem = shop(Car(key="A", promise=10), Car(key="B", promise=12))
    plan = plan_of(*car_rows("A", start=0), *car_rows("B", start=10, who="bob"))
    found = chain(problem, plan, "B")
    assert [link.wait for link in found[:3]] == [Wait.STAGE, Wait.STAGE, Wait.TAKEN]
    taken = found[2]
    assert (taken.resource, taken.behind, taken.of) == ("bay", "A stay", "A")
    assert (taken.activity, taken.since, taken.until) == ("B prep", 0, 10)
    assert [(link.job, link.wait) for link in found[3:]] == [
        ("A", Wait.STAGE),
        ("A", Wait.STAGE),
        ("A", Wait.ARRIVAL),
    ]


def test_the_work_before_it_of_its_person_is_named():
    people = ("ann",)
    problem = shop(
        Car(key="A", promise=10, people=people),
        Car(key="B", promise=12, people=people, bays=("box",)),
    )
    plan = plan_of(*car_rows("A", start=0), *car_rows("B", start=10, bay="box"))
    taken = chain(problem, plan, "B")[2]
    assert (taken.wait, taken.resource, taken.behind) == (Wait.TAKEN, "ann", "A look")


def test_who_is_away_is_named_and_ends_the_walk():
    problem = shop(Car(key="A", promise=10, people=("ann",)), closed={"ann": [(0, 6)]})
    found = chain(problem, plan_of(*car_rows("A", start=6)), "A")
    assert (found[-1].wait, found[-1].resource, found[-1].until) == (
        Wait.AWAY,
        "ann",
        6,
    )


def test_a_wait_for_the_next_opening_goes_on_to_the_stage_before():
    problem = shop(Car(key="A", promise=10))
    prep, film, look = problem.activities
    look = replace(look, starts=((0, 9), (20, 40)))
    problem = replace(problem, activities=(prep, film, look))
    rows = [*car_rows("A", start=0)[:2], "A look 20-21 ann", "A stay 0-21 bay"]
    opening, *rest = chain(problem, plan_of(*rows), "A")
    assert (opening.wait, opening.since, opening.until) == (Wait.OPENING, 9, 20)
    assert [link.wait for link in rest] == [Wait.STAGE, Wait.ARRIVAL]


def test_what_is_fixed_ends_the_walk():
    problem = shop(Car(key="A", promise=10, starts=5))
    assert told(problem, plan_of(*car_rows("A", start=5)), "A")[-1] == (
        "pin",
        "A prep",
        5,
    )


def test_what_is_fixed_but_could_not_be_earlier_anyway_is_followed():
    problem = shop(Car(key="A", promise=10), Car(key="B", promise=12, starts=10))
    plan = plan_of(*car_rows("A", start=0), *car_rows("B", start=10, who="bob"))
    assert chain(problem, plan, "B")[2].wait is Wait.TAKEN


def test_settling_after_the_last_stage_is_the_first_link():
    problem = shop(Car(key="A", promise=10))
    (due,) = problem.dues
    settled = replace(due, ready_by_end=(Run(first=0, value=20, rise=1),))
    problem = replace(problem, dues=(settled,))
    first = chain(problem, plan_of(*car_rows("A", start=0)), "A")[0]
    assert (first.wait, first.since, first.until) == (Wait.SETTLING, 10, 30)


def test_a_prep_that_could_have_waited_does_not_hide_the_bay_behind_it():
    """Prep is done elsewhere and late, to save the car a wait; the bay holds it up."""
    problem = shop(Car(key="A", promise=10), Car(key="B", promise=12))
    first, second = problem.spans
    problem = replace(problem, spans=(first, replace(second, first="B film")))
    rows = [*car_rows("A", start=0), "B prep 8-10 bob", "B film 10-17 bob"]
    plan = plan_of(*rows, "B look 17-18 bob", "B stay 10-18 bay")
    waits = chain(problem, plan, "B")
    assert (waits[1].wait, waits[1].resource, waits[1].of) == (Wait.TAKEN, "bay", "A")


def test_of_a_car_that_is_held_by_nothing_nothing_is_told():
    problem = shop(Car(key="A", promise=10))
    assert chain(problem, plan_of(*car_rows("A", start=7)), "A") == ()


def test_somebody_else_who_is_free_is_no_wait():
    problem = shop(Car(key="A", promise=10), Car(key="B", promise=10, bays=("box",)))
    rows = [*car_rows("A", start=0), *car_rows("B", start=10, bay="box")]
    assert chain(problem, plan_of(*rows), "B") == ()


def test_work_put_off_so_that_it_ends_with_the_night_hides_no_wait():
    """B could be moved within its day, but no earlier day has the bay free."""
    nights = (Run(first=0, value=20, rise=0), Run(first=11, value=40, rise=0))
    table = (*nights, Run(first=31, value=60, rise=0))
    cars = Car(key="A", promise=30, film=3), Car(key="B", promise=30, film=3)
    problem = shop(*cars)
    links = [
        replace(link, start_by_end=table) if "film" in link.before else link
        for link in problem.links
    ]
    problem = replace(problem, links=tuple(links))
    rows = ["A prep 0-2 ann", "A film 2-5 ann", "A look 20-21 ann", "A stay 0-21 bay"]
    rows += ["B prep 25-27 bob", "B film 27-30 bob", "B look 40-41 bob"]
    first, second, third, *_ = chain(problem, plan_of(*rows, "B stay 25-41 bay"), "B")
    assert (first.wait, second.wait) == (Wait.SETTLING, Wait.STAGE)
    assert (third.wait, third.resource, third.of) == (Wait.TAKEN, "bay", "A")


def test_a_car_that_the_plan_does_not_hold_waits_for_nothing():
    problem = shop(Car(key="A", promise=10))
    assert chain(problem, plan_of(), "A") == ()


@settings(max_examples=60, deadline=None)
@given(crowded_shops())
def test_a_walk_goes_back_without_a_gap_and_ends(problem):
    plan = quick_plan(problem, seconds=0)
    for due in problem.dues:
        found = chain(problem, plan, due.activity.removesuffix(" look"))
        assert not found or found[0].activity == due.activity
        for link in found:
            assert link.since <= plan.by_key[link.activity].start
            assert link.until <= plan.by_key[link.activity].start
        for link, earlier in pairwise(found):
            assert link.of == earlier.job
            ends = {link.behind, f"{link.of} look"}
            assert earlier.activity in ends
            assert link.until >= plan.by_key[earlier.activity].end
