"""A guided mix of three solutions, on a PC and on a tablet, in few touches."""

from __future__ import annotations

import sys

import pytest
from playwright.sync_api import expect

from jobs.models import WorkOrder
from mixing.models import Batch, Recipe
from tests.browser.conftest import PC, TABLET, Hands, OpenShop, SignIn, rows_of
from tests.browser.guided import mix_all, rinse_all

pytestmark = [pytest.mark.browser, pytest.mark.redis]

MOST_TOUCHES = 15
"""Of a guided mix of three solutions: from the open sheet to the last batch kept."""
LEAST_DIGITS_PX = 64
"""Of an amount that is poured, read at arm's length: the style's own least."""
CARS = {PC: "NKB 7708", TABLET: "TLP 3415"}
"""Two cars of the demo shop in prep, with nothing mixed for them."""


def read(installer: Hands, order: str) -> None:
    """29 °C, 62 %, the panel at 31 °C."""
    installer.go(f"{order}panels/?do=reading")
    installer.put("panel_c", "31")
    installer.put("air_c", "29")
    installer.put("rh_pct", "62")
    installer.press("Keep the reading")


@pytest.mark.parametrize("size", [PC, TABLET], ids=["1280x800", "800x1280"])
def test_four_bottles_of_slip_tack_and_all_in_one_take_few_touches(
    size, open_shop: OpenShop, sign_in: SignIn, django_db_blocker, capsys
):
    with rows_of(open_shop, django_db_blocker):
        car = WorkOrder.objects.get(vehicle__plate=CARS[size], stage="prep")
        order, before = f"/workorders/{car.pk}/", Batch.objects.count()
        all_in_one = Recipe.objects.filter(kind="all_in_one")
        was_in_use = all_in_one.get().in_use
        all_in_one.update(in_use=True)
    installer = sign_in("chidi", size=size)
    rinse_all(installer)
    read(installer, order)
    installer.go(f"{order}mixing/")

    start = installer.touches, installer.digits, installer.words
    mixed = mix_all(installer, slip_bottles=4)
    touches = installer.touches - start[0]
    with capsys.disabled():
        sys.stdout.write(
            f"\nguided mix of three solutions at {size[0]}x{size[1]}: "
            f"{touches} touches, {len(mixed.poured)} pours, "
            f"{mixed.vessels} vessels\n"
        )
    assert touches <= MOST_TOUCHES
    assert (installer.digits, installer.words) == start[1:], "something was typed"
    assert mixed.vessels[0] == 4
    assert mixed.small == [], "a target is smaller than 48 px"
    assert mixed.wide == [], "a page scrolls sideways"
    assert min(mixed.digits_px) >= LEAST_DIGITS_PX
    expect(installer.page.locator("main .chip", has_text="to be mixed")).to_have_count(
        0
    )
    with rows_of(open_shop, django_db_blocker):
        all_in_one.update(in_use=was_in_use)
        new = Batch.objects.order_by("pk")[before:]
        kept = {batch.kind: batch.fills.count() for batch in new}
        assert {batch.order_batches.get().workorder_id for batch in new} == {car.pk}
        assert all(batch.pours.exists() for batch in new)
    assert list(kept) == ["slip", "tack", "all_in_one"]
    assert list(kept.values()) == mixed.vessels
