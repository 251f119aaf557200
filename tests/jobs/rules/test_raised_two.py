"""A raised two in an address or a clock's field is no fault of the shop."""

from __future__ import annotations

import pytest
from django.test import Client

from jobs.stages.table import Stage
from tests.makers import make_workorder

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(manager) -> Client:
    browser = Client(raise_request_exception=False)
    browser.force_login(manager)
    return browser


def test_a_page_that_is_asked_for_batch_two_raised_opens(client):
    order = make_workorder(stage=Stage.PREP)
    page = client.get(f"/workorders/{order.pk}/mixing/", {"done": "²"})
    assert page.status_code == 200


@pytest.mark.parametrize("field", ["done_at", "sent_at"])
@pytest.mark.parametrize("typed", ["²", "99999999999999"], ids=["raised", "far"])
def test_a_clock_that_says_no_time_is_passed_over(client, field, typed):
    order = make_workorder(stage=Stage.PREP)
    data = {"key": "k" * 16, "usual": "parts", field: typed}
    answer = client.post(f"/workorders/{order.pk}/pause/", data)
    assert answer.status_code == 303


FAR = "9" * 30
"""A number that no store counts to."""


@pytest.mark.parametrize("typed", ["²", FAR], ids=["raised", "far"])
def test_a_mark_or_a_batch_of_such_a_number_is_none(client, typed):
    order = make_workorder(stage=Stage.PREP)
    page = client.get(f"/workorders/{order.pk}/mixing/", {"done": typed})
    assert page.status_code == 200
    data = {"key": "k" * 16, "how": "phone", "name": "Robin", "mark_pks": typed}
    agreed = client.post(f"/workorders/{order.pk}/marks/approve/", data)
    assert agreed.status_code == 422
