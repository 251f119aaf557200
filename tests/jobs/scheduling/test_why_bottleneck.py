"""Groups that are asked for more than they have."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings

from jobs.scheduling.bottleneck import Bottleneck, bottlenecks
from jobs.scheduling.problem import Settings
from jobs.scheduling.solver import solve
from tests.jobs.scheduling.why_shop import Car, crowded_shops, of, shop

QUIET = Settings(workers=1, deterministic=1.0, seconds=20.0)
BAYS = ("bay", "box")


def test_three_stays_in_two_bays_by_one_hour():
    cars = [Car(key=key, promise=14, bays=BAYS) for key in "ABC"]
    (found,) = bottlenecks(shop(*cars), "ABC")
    assert found == Bottleneck(
        resources=BAYS, start=0, end=14, need=30, have=28, jobs=("A", "B", "C")
    )


def test_only_the_cars_asked_for_are_counted():
    cars = [Car(key=key, promise=14, bays=BAYS) for key in "ABC"]
    assert bottlenecks(shop(*cars), "AB") == ()


def test_who_is_away_is_missing_from_what_there_is():
    cars = [
        Car(key=key, promise=20, bays=(f"bay {key}",), people=("ann", "bob"))
        for key in "ABC"
    ]
    assert bottlenecks(shop(*cars), "ABC") == ()
    (found,) = bottlenecks(shop(*cars, closed={"ann": [(9, 40)]}), "ABC")
    assert found.resources == ("ann", "bob")
    assert (found.start, found.end, found.need, found.have) == (0, 20, 30, 29)


def test_the_order_of_stages_is_no_lack_of_room():
    """Ten ticks from 2 to 12 and ten more by 21 are 20 of 21, and still cannot be."""
    cars = Car(key="A", arrives=2, promise=12), Car(key="B", promise=21)
    assert bottlenecks(shop(*cars), "AB") == ()


def test_a_smaller_group_counts_within_a_larger_one():
    cars = [
        Car(key="A", promise=12, bays=BAYS),
        Car(key="B", promise=12, bays=BAYS),
        Car(key="C", promise=12, bays=("bay",)),
    ]
    (found,) = bottlenecks(shop(*cars), "ABC")
    assert (found.resources, found.need, found.have) == (BAYS, 30, 24)


def test_what_is_fixed_of_another_car_is_needed_too():
    """A's prep must be done by 4, and its person preps B from 1 to 4."""
    people = ("ann",)
    cars = [
        Car(key="A", promise=12, people=people),
        Car(key="B", promise=90, bays=("box",), people=people, starts=1, prep=3),
    ]
    (found,) = bottlenecks(shop(*cars), "A")
    assert (found.resources, found.jobs) == (people, ("A", "B"))
    assert (found.start, found.end, found.need, found.have) == (0, 4, 5, 4)


def test_a_car_that_is_in_the_bay_already_holds_it_for_its_work():
    cars = Car(key="A", promise=15), Car(key="B", promise=90, starts=0)
    (found,) = bottlenecks(shop(*cars), "A")
    assert (found.resources, found.need, found.have) == (("bay",), 20, 15)


def test_two_people_at_once_count_twice():
    """Both films lie between 2 and 11; the narrowest of the worst windows is told."""
    problem = shop(Car(key="A", promise=12, people=("ann", "bob")))
    film = replace(problem.activities[1], needs=(of("ann", "bob", count=2),))
    crew = replace(
        problem, activities=(problem.activities[0], film, problem.activities[2])
    )
    assert bottlenecks(crew, "A") == ()
    second = shop(Car(key="B", promise=12, bays=("box",), people=("ann", "bob")))
    both = replace(
        crew,
        activities=crew.activities + second.activities,
        links=crew.links + second.links,
        spans=crew.spans + second.spans,
        dues=crew.dues + second.dues,
        resources=(*crew.resources, second.resources[2]),
    )
    (found,) = bottlenecks(both, "AB")
    assert (found.start, found.end, found.need, found.have) == (2, 11, 21, 18)


def test_a_car_that_is_late_alone_is_no_reason():
    cars = Car(key="A", promise=3), Car(key="B", promise=10)
    assert bottlenecks(shop(*cars), "AB") == ()


def test_the_worst_comes_first():
    cars = [Car(key=key, promise=12, people=("ann",)) for key in "ABC"]
    found = bottlenecks(shop(*cars), "ABC")
    assert [each.need - each.have for each in found] == [18, 18]
    missing = shop(*cars, closed={"ann": [(0, 1)]})
    assert bottlenecks(missing, "ABC")[0].resources == ("ann",)


@settings(max_examples=25, deadline=None)
@given(crowded_shops())
def test_where_a_group_overflows_somebody_is_late(problem):
    jobs = {each.job for each in problem.activities}
    found = bottlenecks(problem, jobs)
    assert all(each.need > each.have for each in found)
    if found:
        (late,) = solve(problem, QUIET).levels
        assert late.value > 0
