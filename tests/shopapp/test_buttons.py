"""A button is a line of the URLconf; every one is pressed in `test_double_posts`."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from jobs.panels.pages import workorder_panels
from shopapp.buttons import button
from shopapp.frame import ACTIONS
from shopapp.pressing import asked_for, called
from shopapp.views import trust
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401

KEY = "a-key-of-this-press"


@pytest.fixture
def client(shop) -> Client:  # noqa: F811
    """The manager's browser."""
    browser = Client()
    browser.force_login(shop.mara)
    return browser


def test_an_action_that_is_not_for_people_gets_no_button():
    with pytest.raises(KeyError, match="pull.improve"):
        button(ACTIONS["pull.improve"], page=workorder_panels)


def test_a_page_that_would_not_show_what_came_back_gets_no_button():
    with pytest.raises(TypeError, match="trust would not show what came back"):
        button(ACTIONS["panel.lay"], page=trust)


def test_a_function_gets_what_its_signature_asks_for():
    def row(pk: int, *, code: str = "none") -> str:
        return f"{pk} {code}"

    known = {"pk": 7, "request": object()}
    assert asked_for(row, known) == {"pk": 7}
    assert called(row, **known) == "7 none"
    assert called(row, **known, code="C1") == "7 C1"


def test_a_press_leads_to_its_page_and_offers_to_undo_it(shop, client):  # noqa: F811
    panel = next(p for p in shop.panels(shop.install) if p.laid_at is None)
    kwargs = {"pk": shop.install.pk, "panel_pk": panel.pk}
    sent = client.post(reverse("jobs:panel_lay", kwargs=kwargs), {"key": KEY})
    page = reverse("jobs:workorder_panels", args=[shop.install.pk])
    assert (sent.status_code, sent["Location"]) == (303, f"{page}?undo={panel.pk}")


def test_what_was_typed_wrong_comes_back_on_its_page(shop, client):  # noqa: F811
    panel = shop.panels(shop.install)[0]
    kwargs = {"pk": shop.install.pk, "panel_pk": panel.pk}
    typed = {"key": KEY, "length_mm": "long", "width_mm": "640"}
    sent = client.post(reverse("jobs:panel_measure", kwargs=kwargs), typed)
    assert sent.status_code == 422
    assert [each.name for each in sent.templates][
        0
    ] == "jobs/panels/workorder_panels.html"
    assert 'value="long"' in sent.content.decode()
    assert 'value="640"' in sent.content.decode()
