"""What is wrong stands above "Laid"; no bottle holds "Laid" up, old ones are marked."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest
from django.utils import timezone

from jobs.models import OrderPanel
from jobs.stages.table import Stage
from mixing.models import Batch
from shopapp.models import shop_day, the_shop
from tests.jobs.solutions.test_mixing import mix
from tests.jobs.taps import page, tap
from tests.makers import NOW, make_bench, make_film, make_reading, make_workorder

pytestmark = pytest.mark.django_db

LONG_AGO = datetime(2020, 1, 1, tzinfo=UTC)
MILD = {"panel_c": 22, "air_c": 22, "rh_pct": 50}


def words(html: str) -> str:
    """A page as it is read, without what its numbers open to."""
    shut = re.sub(r'<div class="figure-body">.*?</details>', " ", html, flags=re.S)
    bare = re.sub(r"<[^>]+>", " ", shut)
    return " ".join(bare.replace("Where does this number come from?", "").split())


@pytest.fixture
def order(client, manager):
    """A full front in install with a bench, read on a mild day."""
    client.force_login(manager)
    make_bench()
    workorder = make_workorder(manager, stage=Stage.INSTALL)
    read(workorder, manager)
    return workorder


def read(workorder, by, **reading):
    make_reading(workorder, by, at=timezone.now(), **{**MILD, **reading})


def panels_page(client, workorder) -> str:
    return words(page(client, "workorder_panels", workorder.pk))


WRONG = [
    ({"panel_c": 20, "air_c": 23, "rh_pct": 95}, "edges will not dry"),
    ({"panel_c": 8, "air_c": 12}, "Film is stiff and does not bond: warm the car."),
    ({"panel_c": 38, "air_c": 30}, "Shade it, cool it down and measure again."),
    ({"panel_c": 47, "air_c": 30}, "over 45 °C nobody lays film"),
    ({"panel_c": 62, "air_c": 30}, "at or above the flash point of Tack"),
]


@pytest.mark.parametrize(("reading", "sentence"), WRONG)
def test_what_is_wrong_with_the_panel_stands_above_laid(
    client, order, manager, reading, sentence
):
    read(order, manager, **reading)
    shown = panels_page(client, order)
    assert sentence in shown
    assert shown.index(sentence) < shown.index("Laid ")
    assert sentence in words(page(client, "workorder_detail", order.pk))


def test_the_film_makers_limits_come_before_the_shops(client, order, manager):
    film = make_film("FB", panel_min_c=5.0, panel_max_c=30.0)
    order.film = film
    order.save()
    read(order, manager, panel_c=32)
    assert "over the film maker's 30 °C" in panels_page(client, order).replace(
        "&#x27;", "'"
    )


def test_the_panels_page_says_dew_margin_and_slip(client, order):
    shown = panels_page(client, order)
    assert "Above dew point 10.9 K" in shown
    assert "lay with slip" in shown


def test_nothing_stands_there_when_all_is_well(client, order, manager):
    mix(order, manager, "slip", "S1")
    assert "laying-says" not in page(client, "workorder_panels", order.pk)


def test_an_old_bottle_is_named_above_laid(client, order, manager):
    mix(order, manager, "slip", "S1")
    Batch.objects.update(use_by=LONG_AGO)
    shown = panels_page(client, order)
    assert "S1: this slip was good until" in shown
    assert "past its time" in words(page(client, "workorder_mixing", order.pk))
    assert "past its time" in words(page(client, "workorder_detail", order.pk))


def test_laid_keeps_the_old_bottle_and_marks_it(client, order, manager):
    batch = mix(order, manager, "slip", "S1")
    Batch.objects.update(use_by=LONG_AGO)
    panel = OrderPanel.objects.filter(workorder=order).first()
    assert tap(client, "panel_lay", order.pk, panel.pk).status_code == 303
    assert list(panel.batches.all()) == [batch]
    history = words(page(client, "workorder_history", order.pk))
    assert "bottle past its time" in history
    assert batch.number in history


def test_an_old_bottle_is_asked_about_when_it_is_taken(client, order, manager):
    batch = mix(order, manager, "slip", "S1")
    Batch.objects.update(use_by=LONG_AGO)
    order.order_batches.all().delete()
    shown = words(page(client, "workorder_mix", order.pk, "slip"))
    assert "Use it all the same" in shown
    known = {"batch_pk": batch.pk}
    assert tap(client, "workorder_mix_take", order.pk, **known).status_code == 422
    known |= {"past_its_time": "on"}
    assert tap(client, "workorder_mix_take", order.pk, **known).status_code == 303
    assert order.order_batches.get().batch == batch


@pytest.mark.parametrize(
    ("kind", "code", "days"), [("slip", "S1", 2), ("tack", "T1", 7)]
)
def test_a_mix_keeps_for_its_days(order, manager, kind, code, days):
    batch = mix(order, manager, kind, code)
    zone = the_shop().zone
    mixed_on = NOW.astimezone(zone).date()
    _, end = shop_day(mixed_on + timedelta(days=days), zone=zone)
    assert batch.use_by == end - timedelta(minutes=1)


def test_a_card_counts_all_its_batches(client, order, manager):
    mix(order, manager, "slip", "S1", "S2", "S3")
    mix(order, manager, "slip", "S4")
    shown = words(page(client, "workorder_mixing", order.pk))
    assert "These vessels hold 950 mL" not in shown
    assert "To mix in all 3800 mL" in shown


def test_after_heat_the_bottles_that_stand_are_told_what_to_add(client, order, manager):
    mix(order, manager, "slip", "S1")
    read(order, manager, panel_c=35, air_c=30)
    shown = words(page(client, "workorder_mixing", order.pk))
    assert "Add 1.6 mL of baby shampoo to S1" in shown
