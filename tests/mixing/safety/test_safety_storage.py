"""Stock against the federal tables, and against another shop's own set."""

from __future__ import annotations

import dataclasses

import pytest

from mixing.safety.states import State
from mixing.safety.stock_check import stock_check
from mixing.safety.storage import (
    NOT_FLAMMABLE,
    ContainerKind,
    Location,
    Place,
    StockContainer,
    size_rule,
    storage_rules,
)
from tests.cases import rows

LITRES = {"pt": 0.473176473, "qt": 0.946352946, "gal": 3.785411784}
CABINET = Location(place=Place.CABINET, name="cabinet 1")
FLOOR = Location(place=Place.OUTSIDE, name="bay area")


def container(name="C1", **changes) -> StockContainer:
    values = {
        "category": 2,
        "size_l": 3.785,
        "kind": ContainerKind.METAL,
        "location": CABINET,
    } | changes
    return StockContainer(name=name, **values)


def check(*containers, rules=None):
    return stock_check(containers=containers, rules=rules or storage_rules())


def state_of(result, key):
    return next(line.state for line in result.lines if line.key == key)


@pytest.mark.parametrize(
    "row", rows("safety_containers"), ids=lambda r: f"{r['kind']} {r['category']}"
)
def test_largest_container_is_that_of_the_table(row):
    amount, unit = row["printed"].split()
    kind, category = ContainerKind(row["kind"]), int(row["category"])
    limit = float(amount) * LITRES[unit]
    rule = size_rule(kind=kind, category=category, rules=storage_rules())
    assert rule.max_l == pytest.approx(limit)
    fits = check(container(kind=kind, category=category, size_l=limit))
    over = check(container(kind=kind, category=category, size_l=limit * 1.01))
    assert state_of(fits, "size:C1") is State.OK
    assert state_of(over, "size:C1") is State.OVER


def test_gallon_of_stock_in_plain_plastic_is_over():
    plastic = {"kind": ContainerKind.GLASS_OR_PLASTIC, "size_l": 3.785}
    assert state_of(check(container(**plastic)), "size:C1") is State.OVER


def test_listed_or_needed_plastic_is_a_question_for_the_official():
    # OSHA letter December 1997 (V); 1910.106(d)(2)(iii)(a)(1) (S).
    plastic = {"kind": ContainerKind.GLASS_OR_PLASTIC}
    listed = check(container(**plastic, size_l=18.9, listed=True))
    needed = check(container(**plastic, size_l=3.785, metal_would_spoil=True))
    too_large = check(container(**plastic, size_l=5.0, metal_would_spoil=True))
    assert state_of(listed, "size:C1") is State.WATCH
    assert state_of(needed, "size:C1") is State.WATCH
    assert state_of(too_large, "size:C1") is State.OVER


@pytest.mark.parametrize(
    ("listed", "spoils", "gallons", "state"),
    [
        # OSHA letter December 1997: larger plastic, 5 gal for example, if listed (V).
        (True, False, 5, State.WATCH),
        (True, False, 5.01, State.OVER),
        # 1910.106(d)(2)(iii)(a)(1): up to one gallon where metal would spoil it (S).
        (False, True, 1, State.WATCH),
        (False, True, 1.01, State.OVER),
        # Nobody looked for a listing: it could only decide up to 5 gal.
        (None, False, 0.25, State.OK),
        (None, False, 0.26, State.NOT_ASSESSED),
        (None, False, 5, State.NOT_ASSESSED),
        (None, False, 5.01, State.OVER),
        (False, False, 0.26, State.OVER),
    ],
)
def test_exceptions_for_plastic_end_at_their_gallons(listed, spoils, gallons, state):
    jug = container(
        kind=ContainerKind.GLASS_OR_PLASTIC,
        size_l=gallons * LITRES["gal"],
        listed=listed,
        metal_would_spoil=spoils,
    )
    assert state_of(check(jug), "size:C1") is state


@pytest.mark.parametrize(
    ("location", "category", "gallons", "key", "state"),
    [
        # 1910.106(d)(3)(i) 60 gal category 1-3, 120 gal in all (S).
        (CABINET, 2, 30, "place:cabinet 1:1+2+3", State.OK),
        (CABINET, 2, 31, "place:cabinet 1:1+2+3", State.WATCH),
        (CABINET, 3, 60, "place:cabinet 1:1+2+3", State.WATCH),
        (CABINET, 2, 61, "place:cabinet 1:1+2+3", State.OVER),
        (CABINET, 4, 120, "place:cabinet 1:1+2+3+4", State.WATCH),
        (CABINET, 4, 121, "place:cabinet 1:1+2+3+4", State.OVER),
        # 1910.106(e)(2)(ii)(b): 25 gal category 1, 120 gal category 2-4 (V letters).
        (FLOOR, 1, 25, "place:bay area:1", State.WATCH),
        (FLOOR, 1, 26, "place:bay area:1", State.OVER),
        (FLOOR, 2, 60, "place:bay area:2+3+4", State.OK),
        (FLOOR, 4, 120, "place:bay area:2+3+4", State.WATCH),
        (FLOOR, 3, 121, "place:bay area:2+3+4", State.OVER),
    ],
)
def test_sum_of_a_place_against_its_limit(location, category, gallons, key, state):
    held = container(
        category=category, location=location, size_l=LITRES["gal"], count=gallons
    )
    assert state_of(check(held), key) is state


def test_outside_sums_are_kept_by_fire_area():
    other = Location(place=Place.OUTSIDE, name="wash bay")
    found = check(
        container("A", location=FLOOR, count=100),
        container("B", location=other, count=100),
    )
    assert state_of(found, "place:bay area:2+3+4") is State.WATCH
    assert state_of(found, "place:wash bay:2+3+4") is State.WATCH


def test_portable_tank_is_its_own_test():
    # 1910.106(e)(2)(ii)(b)(3): 660 gal in a single portable tank (V letters).
    tank = {"kind": ContainerKind.PORTABLE_TANK, "location": FLOOR}
    found = check(
        container("T", **tank, size_l=600 * LITRES["gal"]),
        container("C", location=FLOOR),
    )
    assert state_of(found, "place:bay area:2+3+4") is State.OK
    assert state_of(found, "place:bay area:2+3+4:T") is State.WATCH


def test_soap_counts_nowhere():
    soap = container("soap", category=NOT_FLAMMABLE, kind=None, location=None)
    found = check(soap)
    assert found.state is State.OK
    assert found.to_enter == ()


@pytest.mark.parametrize("field", ["category", "size_l", "kind", "location"])
def test_what_is_not_entered_is_asked_for_once(field):
    found = check(container("A"), container("B", **{field: None}))
    assert found.state is State.NOT_ASSESSED
    assert [need.page for need in found.to_enter] == ["stock shelf"]
    assert "B" in str(found.to_enter[0].sentence)


def test_container_without_location_holds_up_every_sum():
    found = check(container("A"), container("B", location=None))
    assert state_of(found, "place:cabinet 1:1+2+3") is State.NOT_ASSESSED
    assert state_of(found, "size:B") is State.OK


def test_known_excess_stays_over_though_more_is_unknown():
    found = check(container("A", count=70), container("B", size_l=None))
    assert state_of(found, "place:cabinet 1:1+2+3") is State.OVER
    assert found.state is State.OVER


def test_storage_room_needs_the_officials_figure():
    room = Location(place=Place.ROOM, name="store")
    held = container(location=room)
    unknown = check(held)
    assert state_of(unknown, "place:store") is State.NOT_ASSESSED
    assert [need.page for need in unknown.to_enter] == ["stock shelf"]
    rules = storage_rules(room_limits_l=[("store", 500.0)])
    assert check(held, rules=rules).state is State.OK


def test_another_countrys_shop_goes_by_its_own_set():
    strict = storage_rules()
    own = dataclasses.replace(
        strict,
        jurisdiction="elsewhere",
        sums=tuple(
            dataclasses.replace(rule, max_l=rule.max_l / 10) for rule in strict.sums
        ),
    )
    held = container(count=10)
    assert check(held).state is State.OK
    assert check(held, rules=own).state is State.OVER


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (
            lambda: container(category=3, flash_point_c=18, boiling_point_c=81),
            "belongs",
        ),
        (lambda: container(category=7), "1 to 4"),
        (lambda: container(size_l=0), "size of C1"),
        (lambda: container(count=0), "count"),
        (lambda: Location(place=Place.CABINET, name=" "), "needs a name"),
        (lambda: check(container("A"), container("A")), "Two stock containers"),
        (lambda: storage_rules(jurisdiction="nowhere"), "safety rules"),
    ],
)
def test_wrong_stock_data_is_refused_with_its_remedy(call, says):
    with pytest.raises(ValueError, match=says):
        call()
