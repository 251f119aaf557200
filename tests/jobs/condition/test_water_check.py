"""A clean panel: how the water stands on it, or how long it holds."""

from __future__ import annotations

import pytest
from django.urls import reverse

from jobs.models import Checklist, ChecklistAnswer, ChecklistVersion, OrderChecklist
from jobs.rules.default_actions import load_defaults
from jobs.stages.table import Stage
from shopapp.frame import perform
from tests.makers import NOW, make_tap, make_workorder

pytestmark = pytest.mark.django_db
TIMED = {
    "code": "water_break_s",
    "text": "Time the water break, in seconds",
    "kind": "number",
    "is_required": False,
    "low": 0.0,
    "high": 60.0,
    "unit": "",
    "source": "common practice, no published source",
}
"""As version 1 of every shop has it that began before."""


def on_prep(item):
    """An order in prep whose checklist holds the item; its page and its URL."""
    order = make_workorder(stage=Stage.PREP)
    checklist, _ = Checklist.objects.get_or_create(
        code="prep", defaults={"name": "Prep"}
    )
    version = ChecklistVersion.objects.create(
        checklist=checklist, number=77, items=[item], made_at=NOW
    )
    OrderChecklist.objects.filter(workorder=order).delete()
    row = OrderChecklist.objects.create(
        workorder=order, version=version, round=order.round
    )
    page = f"/workorders/{order.pk}/checks/"
    return page, reverse("jobs:checklist_answer", args=[order.pk, row.pk, item["code"]])


@pytest.mark.parametrize(
    ("seconds", "said"), [("75", "60 s or longer"), ("45", "Broke before 60 s")]
)
def test_a_timed_water_break_passes_at_or_above_its_own_time(
    client, installer, seconds, said
):
    page, url = on_prep(TIMED)
    client.force_login(installer)
    answer = client.post(url, {"key": "k" * 16, "number": seconds})
    assert answer.status_code == 303, answer.content.decode()
    assert ChecklistAnswer.objects.get().number == float(seconds)
    assert said in client.get(page).content.decode()


def test_the_water_check_is_a_look_and_a_shop_asks_for_it_itself(client, manager):
    checklist = Checklist.objects.create(code="prep", name="Prep")
    ChecklistVersion.objects.create(
        checklist=checklist, number=1, items=[TIMED], made_at=NOW
    )
    client.force_login(manager)
    page = client.get(f"/settings/checklists/{checklist.pk}/").content.decode()
    assert "sheets, patches or beads" in page


def test_no_new_shop_counts_seconds(manager):
    perform(make_tap(manager), load_defaults)
    codes = {
        item["code"]
        for version in ChecklistVersion.objects.all()
        for item in version.items
    }
    assert codes
    assert "water_break_s" not in codes


LOOK = TIMED | {"code": "water", "kind": "water", "low": None, "high": None}


@pytest.mark.parametrize(
    ("seen", "said"),
    [
        ("sheets", "clean"),
        ("patches", "clean these again"),
        ("beads", "wax or coating is left"),
    ],
)
def test_beads_say_that_wax_or_coating_is_left(client, installer, seen, said):
    page, url = on_prep(LOOK)
    client.force_login(installer)
    assert f'value="{seen}"' in client.get(page).content.decode()
    client.post(url, {"key": "k" * 16, "text": seen})
    assert said in client.get(page).content.decode()
    answer = client.post(url, {"key": "m" * 16, "text": "foam"})
    assert answer.status_code == 422
