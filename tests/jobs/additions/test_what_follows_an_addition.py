"""What another edge costs and takes; tax of an addition; the mixing sheet behind it."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from jobs.additions.actions import add_work
from jobs.additions.queries import missed_by_sheet
from jobs.models import OrderSheet, TaxRule
from jobs.money.line_queries import price_lines
from jobs.plan.car_queries import order_car, still_here
from jobs.plan.shop import Part
from jobs.plan.shop_queries import known_now
from jobs.stages.table import Stage
from shopapp.frame import Refused
from shopapp.models import Price, the_shop
from tests.jobs.additions.test_additions import answered, offer
from tests.jobs.taps import do, make_order
from tests.makers import (
    make_booking,
    make_customer,
    make_film,
    make_person,
    make_roll,
    make_vehicle,
    make_workorder,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk():
    return make_person("desk", "installer", username="ben")


@pytest.fixture
def order(desk):
    make_roll(make_film())
    Price.objects.create(code="panel/roof", amount=Decimal(480), label="roof")
    return make_order(desk, stage=Stage.PREP)


def test_a_wrapped_edge_has_the_lists_price_and_its_minutes_go_into_the_plan(
    desk, order
):
    Price.objects.create(code="edge/wrapped", amount=Decimal(40), label="edge")
    headlight = order.panels.filter(panel__startswith="headlight").first()
    before = film_minutes(order)
    row = offer(desk, order, what="edge", panel=headlight.panel)
    assert (row.price, row.minutes) == (Decimal(40), 15)
    answered(desk, row)
    assert film_minutes(order) == before + 15
    back = offer(desk, order, what="edge", panel=headlight.panel)
    assert (back.price, back.minutes) == (0, 0)


def test_without_a_price_of_the_list_a_wrapped_edge_asks_for_one(desk, order):
    headlight = order.panels.filter(panel__startswith="headlight").first()
    with pytest.raises(Refused, match="no wrapped edge. Say the price"):
        offer(desk, order, what="edge", panel=headlight.panel)


def film_minutes(order) -> int:
    order = still_here().get(pk=order.pk)
    car = order_car(
        order, known=known_now(now=timezone.now(), shop=the_shop()), at_it=()
    )
    return next(work.minutes for work in car.works if work.part is Part.INSTALL)


def test_who_pays_no_tax_pays_the_lists_price_of_an_addition_less_its_tax(desk):
    TaxRule.objects.update_or_create(pk=1, defaults={"pct": Decimal(20)})
    Price.objects.create(code="panel/roof", amount=Decimal(480), label="roof")
    make_roll(make_film())
    dealer = make_customer("Dealer", is_untaxed=True, untaxed_because="certificate 7")
    booked = make_booking(vehicle=make_vehicle(dealer), price=Decimal(1500))
    order = make_workorder(booking=booked)
    row = offer(desk, order)
    assert (row.price, row.asked) == (Decimal(400), Decimal(400))
    answered(desk, row)
    more = {"name": "badge", "minutes": 20, "when": "after_install", "skill": "prep"}
    do(desk, add_work, workorder_pk=order.pk, price=Decimal(60), **more)
    order.refresh_from_db()
    assert order.price == Decimal(1500) + 400 + 50
    lines = price_lines(order)
    assert sum(line.amount for line in lines.lines) == lines.total == order.price
    assert [line.amount for line in lines.lines] == [1500, 50, 400]


def test_an_order_agreed_with_tax_keeps_it_on_what_is_added(desk, order):
    order.tax_pct = Decimal(20)
    order.save()
    order.customer.is_untaxed = True
    order.customer.save()
    assert offer(desk, order).asked == Decimal(480)


def test_the_order_says_that_the_mixing_sheet_misses_what_was_agreed(desk, order):
    assert missed_by_sheet(order) is None
    sheet = {"version": 1, "recipe_versions": {}, "facts": {}}
    made_at = timezone.now() - timedelta(hours=1)
    OrderSheet.objects.create(workorder=order, made_at=made_at, **sheet)
    row = offer(desk, order)
    assert missed_by_sheet(order) is None
    answered(desk, row)
    said = str(missed_by_sheet(order))
    assert "no longer fits" in said
    assert "Film on the roof, edge wrapped" in said
    again = {**sheet, "version": 2, "made_at": timezone.now()}
    OrderSheet.objects.create(workorder=order, **again)
    assert missed_by_sheet(order) is None
