"""Two rows that are one customer, or one car, are put together."""

from __future__ import annotations

import pytest
from django.apps import apps
from django.db.models import ManyToOneRel, OneToOneRel

from jobs.customers.merge_actions import (
    hanging_on,
    merge_customers,
    merge_vehicles,
)
from jobs.customers.queries import found_customers
from jobs.models import Booking, Customer, SearchKey, Vehicle, WorkOrder
from shopapp.frame import Refused, perform
from tests.makers import (
    make_booking,
    make_customer,
    make_person,
    make_tap,
    make_vehicle,
    make_workorder,
)

pytestmark = pytest.mark.django_db
KEY = "k" * 16


def merge(do, **facts):
    return perform(make_tap(make_person("desk", username="ben2")), do, **facts)


@pytest.mark.parametrize("model", [Customer, Vehicle])
def test_every_column_that_points_at_one_can_go_over_to_the_other(model):
    """A column that may not hold the same row twice needs a rule of its own here."""
    known = {(column.model, column.name) for column in hanging_on(model)}
    for other in apps.get_models():
        for column in other._meta.get_fields():
            if column.related_model is model and not column.auto_created:
                assert (other, column.name) in known, column
    for relation in model._meta.related_objects:
        assert isinstance(relation, ManyToOneRel)
        assert not isinstance(relation, OneToOneRel), relation
        column = relation.field
        for rule in column.model._meta.total_unique_constraints:
            assert column.name not in rule.fields, relation


def test_a_twins_cars_bookings_and_orders_go_over_and_it_is_gone():
    kept = make_customer("Robin Ash", phone="555-0101")
    twin = make_customer("Rob Ash", phone="5550101", email="rob@example.com")
    order = make_workorder(booking=make_booking(vehicle=make_vehicle(twin)))
    merge(merge_customers, customer_pk=kept.pk, twin_pk=twin.pk)
    order = WorkOrder.objects.get(pk=order.pk)
    kept.refresh_from_db()
    assert not Customer.objects.filter(pk=twin.pk).exists()
    assert order.customer_id == order.booking.customer_id == kept.pk
    assert order.vehicle.customer_id == kept.pk
    assert kept.email == "rob@example.com"
    assert not SearchKey.objects.filter(of="customer", row=twin.pk).exists()
    assert list(found_customers("rob@example.com")) == [kept]
    assert order.events.filter(what="merged").count() == 1
    assert order.booking.events.filter(what="merged").count() == 1


def test_a_cars_twin_goes_over_with_its_bookings():
    kept = make_vehicle(vin="")
    twin = make_vehicle(kept.customer, plate="")
    booking = make_booking(vehicle=twin)
    merge(merge_vehicles, vehicle_pk=kept.pk, twin_pk=twin.pk)
    kept.refresh_from_db()
    assert Booking.objects.get(pk=booking.pk).vehicle == kept
    assert kept.vin == "1M8GDM9AXKP042788"
    assert Vehicle.objects.count() == 1


def test_two_cars_that_are_both_in_the_shop_are_not_one():
    kept = make_vehicle(plate="TYPED 1")
    twin = make_vehicle(kept.customer)
    make_workorder(booking=make_booking(vehicle=kept))
    make_workorder(booking=make_booking(vehicle=twin))
    Vehicle.objects.filter(pk=kept.pk).update(plate=twin.plate)
    with pytest.raises(Refused, match="Both cars are in the shop"):
        merge(merge_vehicles, vehicle_pk=kept.pk, twin_pk=twin.pk)
    assert WorkOrder.objects.filter(vehicle=twin).count() == 1


def test_cars_of_two_customers_wait_for_their_customers():
    kept = make_vehicle()
    twin = make_vehicle(make_customer("Kim Vale"))
    with pytest.raises(Refused, match="Put the customers together first"):
        merge(merge_vehicles, vehicle_pk=kept.pk, twin_pk=twin.pk)


def test_nobody_is_put_together_with_oneself():
    kept = make_customer()
    with pytest.raises(Refused):
        merge(merge_customers, customer_pk=kept.pk, twin_pk=kept.pk)
    assert Customer.objects.count() == 1


def test_the_page_names_the_twin_and_one_press_puts_it_together(client, desk):
    client.force_login(desk)
    kept = make_customer("Robin Ash", phone="555-0101")
    twin = make_customer("Rob Ash", phone="555 0101")
    page = client.get(f"/customers/{kept.pk}/").content.decode()
    url = f"/customers/{kept.pk}/merge/"
    assert f'name="twin_pk" value="{twin.pk}"' in page
    sent = {"key": KEY, "twin_pk": twin.pk}
    assert client.post(url, sent).status_code == 303
    assert url not in client.get(f"/customers/{kept.pk}/").content.decode()
