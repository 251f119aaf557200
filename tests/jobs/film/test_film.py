"""Film and its rolls: received, counted, ordered, given out and taken in as lists."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from jobs.coverage.actions import add_panel_size
from jobs.film.actions import (
    call_off_order,
    change_film,
    count_roll,
    order_film,
    receive_roll,
)
from jobs.film.money import cost_per_m, film_cost, pull_money
from jobs.film.offcut_actions import keep_offcut, scrap_offcut, use_offcut
from jobs.film.queries import film_stock
from jobs.film.stock import film_low, free_m
from jobs.models import Film, FilmMovement, FilmOrder, OffCut, Roll
from jobs.pulls.plan import split_mm
from shopapp.frame import Refused, perform
from tests.makers import make_booking, make_film, make_roll, make_tap

pytestmark = pytest.mark.django_db
What = FilmMovement.What


@pytest.fixture
def roll(db):
    return make_roll(make_film())


def receive(by, film, code="R7", **facts):
    known = {"lot": "L-7", "width_mm": 1524, "length_mm": 15_000, **facts}
    return perform(make_tap(by), receive_roll, film=film, code=code, **known)


def test_a_received_roll_holds_what_came(manager):
    pk = receive(manager, make_film(), length_mm=12_345)["pk"]
    roll = Roll.objects.get(pk=pk)
    assert roll.left_mm == 12_345
    assert roll.movements.get().what == What.RECEIVED


def test_a_roll_came_on_the_shops_own_day(manager):
    """Two in the morning of the 7th in UTC is still the evening of the 6th here."""
    late = datetime(2031, 5, 7, 2, 0, tzinfo=UTC)
    answer = perform(
        make_tap(manager, at=late), receive_roll,
        film=make_film(), code="R7", lot="", width_mm=1524, length_mm=15_000,
    )  # fmt: skip
    assert Roll.objects.get(pk=answer["pk"]).received_on == date(2031, 5, 6)


def test_a_code_names_one_roll_or_offcut(roll, manager):
    with pytest.raises(Refused, match="(?i)r1 already"):
        receive(manager, roll.film, code="r1")
    perform(
        make_tap(manager), keep_offcut, roll_pk=roll.pk, width_mm=400, length_mm=400
    )
    with pytest.raises(Refused, match="already"):
        receive(manager, roll.film, code="R1-1")


def test_a_count_that_differs_asks_why(roll, manager):
    with pytest.raises(Refused, match="Say why") as refused:
        perform(
            make_tap(manager), count_roll, roll_pk=roll.pk, left_mm=14_000, reason=""
        )
    assert refused.value.field == "reason"
    perform(
        make_tap(manager), count_roll, roll_pk=roll.pk, left_mm=14_000, reason="nicked"
    )
    roll.refresh_from_db()
    assert roll.left_mm == 14_000
    assert roll.movements.last().change_mm == -1000


def test_a_count_that_agrees_is_kept_without_a_reason(roll, manager):
    perform(make_tap(manager), count_roll, roll_pk=roll.pk, left_mm=15_000, reason="")
    assert roll.movements.last().what == What.COUNTED


def test_an_empty_roll_leaves_the_shelf_and_a_count_brings_it_back(roll, manager):
    perform(make_tap(manager), count_roll, roll_pk=roll.pk, left_mm=0, reason="empty")
    roll.refresh_from_db()
    assert roll.retired_at is not None
    perform(make_tap(manager), count_roll, roll_pk=roll.pk, left_mm=900, reason="found")
    roll.refresh_from_db()
    assert roll.retired_at is None


def test_an_offcut_is_not_wider_than_its_roll(roll, manager):
    with pytest.raises(Refused, match="only 1524 mm wide") as refused:
        perform(
            make_tap(manager), keep_offcut,
            roll_pk=roll.pk, width_mm=1600, length_mm=400,
        )  # fmt: skip
    assert refused.value.field == "width_mm"


def test_a_used_offcut_is_used_once(roll, manager):
    perform(
        make_tap(manager), keep_offcut, roll_pk=roll.pk, width_mm=400, length_mm=400
    )
    pk = OffCut.objects.get().pk
    perform(make_tap(manager), use_offcut, offcut_pk=pk, reason="test piece")
    with pytest.raises(Refused, match="was used"):
        perform(make_tap(manager), scrap_offcut, offcut_pk=pk, reason="dirt")


def test_offcut_codes_go_on_after_one_was_thrown_away(roll, manager):
    for _ in range(2):
        perform(
            make_tap(manager), keep_offcut, roll_pk=roll.pk, width_mm=400, length_mm=400
        )
    codes = set(OffCut.objects.values_list("code", flat=True))
    assert codes == {"R1-1", "R1-2"}


def test_a_film_keeps_its_makers_limits(manager):
    facts = {"code": "FZ", "name": "film Z", "panel_min_c": 10.0, "cure_h": 30.0}
    pk = perform(make_tap(manager), change_film, film_pk=None, facts=facts)["pk"]
    film = Film.objects.get(pk=pk)
    assert (film.panel_min_c, film.cure_h) == (10.0, 30.0)
    with pytest.raises(Refused, match="FZ already"):
        perform(make_tap(manager), change_film, film_pk=None, facts=facts)


# --- ordered and due, free and low


def order(by, film, **facts):
    known = {"width_mm": 1524, "length_mm": 15_000, "due_on": date(2031, 5, 20)}
    answer = perform(make_tap(by), order_film, film_pk=film.pk, **{**known, **facts})
    return FilmOrder.objects.get(pk=answer["pk"])


def test_film_on_order_counts_against_the_reorder_point(manager):
    film = make_film(reorder_below_mm=10_000)
    assert "0 m is free" in str(film_stock()[0].sentence)
    order(manager, film)
    assert film_stock()[0].sentence is None
    assert film_stock()[0].ordered_mm == 15_000


def test_a_roll_that_comes_closes_its_order(manager):
    film = make_film()
    due = order(manager, film)
    receive(manager, film, order=due)
    due.refresh_from_db()
    assert due.roll.code == "R7"
    with pytest.raises(Refused, match="not on order"):
        receive(manager, film, code="R8", order=due)
    with pytest.raises(Refused, match="come already"):
        perform(make_tap(manager), call_off_order, order_pk=due.pk)


def test_what_bookings_hold_is_not_free(roll, manager):
    make_booking(manager, film=roll.film, film_length_mm=9_000)
    stock = film_stock()[0]
    assert stock.free.value == 6.0
    assert stock.value == Decimal("914.40")  # 15 m x 1.524 m x 40


def test_more_held_than_there_is_said_at_once(roll, manager):
    make_booking(manager, film=roll.film, film_length_mm=16_000)
    assert str(film_stock()[0].sentence) == (
        "film A: bookings hold 16 m and 15 m is on the rolls; order 1 m or more."
    )


def test_the_stock_page_asks_the_same_few_questions_for_many_films(
    manager, django_assert_max_num_queries
):
    for number in range(12):
        make_roll(make_film(f"F{number}"), code=f"R{number}")
    with django_assert_max_num_queries(6):
        assert len(film_stock()) == 12


def test_a_film_above_its_point_says_nothing():
    free = free_m(on_rolls_mm=9000, held_mm=0)
    assert film_low(film="f", free=free, ordered_mm=0, reorder_below_mm=9000) is None
    assert film_low(film="f", free=free, ordered_mm=0, reorder_below_mm=9001)


# --- money: worked by hand


def test_film_costs_by_the_roll_where_the_roll_has_a_price():
    known = {"film_cost_per_m2": Decimal(40), "width_mm": 1524}
    assert cost_per_m(roll_cost_per_m=Decimal(70), **known) == Decimal(70)
    assert cost_per_m(roll_cost_per_m=None, **known) == Decimal("60.96")
    assert cost_per_m(roll_cost_per_m=None, film_cost_per_m2=None, width_mm=1) is None


def test_a_pull_in_money():
    """5.8 m at 60.00 is 348.00; 10 % of the real 360.00 is 36.00; 2 m saved, 120."""
    money = pull_money(
        per_m=Decimal(60),
        planned_mm=5800,
        taken_mm=6000,
        singly_mm=8000,
        waste_pct=10.0,
    )
    assert film_cost(length_mm=5800, per_m=Decimal(60)) == Decimal("348.00")
    assert (money.planned, money.real) == (Decimal("348.00"), Decimal("360.00"))
    assert (money.waste, money.saved) == (Decimal("36.00"), Decimal("120.00"))


@pytest.mark.parametrize("length", [0, 1, 999, 1000, 12_345])
@pytest.mark.parametrize("shares", [[1], [1, 1, 1], [5, 0, 7], [0, 0]])
def test_parts_of_a_pull_add_up_to_it(length, shares):
    parts = split_mm(length, shares)
    assert sum(parts) == length
    assert len(parts) == len(shares)


# --- panel sizes


def measure(by, **facts):
    known = {
        "model": "Saloon",
        "body": "sedan",
        "size_class": "D",
        "panel": "hood",
        "length_mm": 1100,
        "width_mm": 1450,
    }
    return perform(make_tap(by), add_panel_size, **{**known, **facts})


def test_a_hood_of_40_mm_is_asked_whether_it_was_inches(installer):
    with pytest.raises(Refused, match="measured in inches") as refused:
        measure(installer, length_mm=43, width_mm=57)
    assert refused.value.field == "length_mm"
    assert measure(installer)["pk"]
