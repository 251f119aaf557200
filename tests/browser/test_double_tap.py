"""A finger that taps twice pours once."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from jobs.models import WorkOrder
from mixing.models import Batch
from tests.browser.conftest import TABLET, Hands, OpenShop, SignIn, rows_of
from tests.browser.guided import POURED, rinse_all

pytestmark = [pytest.mark.browser, pytest.mark.redis]

GAPS_MS = (120, 200, 250, 350)
"""Between the two taps, as a wet finger makes them."""


@pytest.fixture
def installer(open_shop: OpenShop, sign_in: SignIn, django_db_blocker) -> Hands:
    """Chidi at the first pour of a slip, with the bay read."""
    with rows_of(open_shop, django_db_blocker):
        car = WorkOrder.objects.filter(vehicle__plate="TLP 3415").get(stage="prep")
    installer = sign_in("chidi", size=TABLET)
    rinse_all(installer)
    installer.go(f"/workorders/{car.pk}/panels/?do=reading")
    for name, text in (("panel_c", "24"), ("air_c", "22"), ("rh_pct", "50")):
        installer.put(name, text)
    installer.press("Keep the reading")
    installer.go(f"/workorders/{car.pk}/mixing/slip/")
    installer.press("Fill these the same")
    return installer


def place(hands: Hands, name) -> dict[str, float]:
    """Where a button stands."""
    button = hands.page.locator("main").get_by_role("button", name=name).first
    button.wait_for()
    box = button.bounding_box()
    assert box
    return dict(box)


def test_a_second_tap_within_a_second_never_confirms_the_next_pour(installer):
    page, start = installer.page, installer.page.url
    landed = {}
    for gap in GAPS_MS:
        page.goto(start)
        at = place(installer, POURED)
        pour = page.locator("main").get_by_role("button", name=POURED)
        expect(pour).to_have_css("pointer-events", "auto")
        x, y = at["x"] + at["width"] / 2, at["y"] + at["height"] / 2
        page.mouse.click(x, y)
        page.wait_for_timeout(gap)
        page.mouse.click(x, y)
        page.wait_for_timeout(300)
        installer.settle()
        landed[gap] = page.url.count("p=ok")
    assert landed == dict.fromkeys(GAPS_MS, 1), "pours confirmed by two quick taps"


def test_keep_stands_where_no_pour_stood(
    installer, open_shop: OpenShop, django_db_blocker
):
    poured = []
    main = installer.page.locator("main")
    while main.get_by_role("button", name=POURED).count():
        poured.append(place(installer, POURED))
        installer.step(main.get_by_role("button", name=POURED))
    keep = place(installer, "keep the batch")
    for each in poured:
        apart = (
            keep["x"] >= each["x"] + each["width"]
            or keep["y"] >= each["y"] + each["height"]
            or keep["y"] + keep["height"] <= each["y"]
        )
        assert apart, f"keep {keep} stands over poured {each}"
    with rows_of(open_shop, django_db_blocker):
        before = Batch.objects.count()
    installer.press("keep the batch")
    with rows_of(open_shop, django_db_blocker):
        assert Batch.objects.count() == before + 1
