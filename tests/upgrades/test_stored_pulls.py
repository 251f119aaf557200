"""A plan of cuts that another version stored is drawn and listed as it was kept."""

from __future__ import annotations

import copy

from django.test import Client

from jobs.models import CutPlan
from tests.furnished import Furnished
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401

STRANGE = "heard_of_later"


def test_a_pull_with_fields_of_another_version_opens(shop: Furnished):
    pull = shop.planned_pulls[0]
    plan = copy.deepcopy(pull.cut_plan.facts)
    for rows in ("rolls", "offcuts", "drawings", "panels"):
        plan[rows] = [{**row, STRANGE: 1} for row in plan[rows]]
    plan["plan"]["placements"] = [[*row, 1] for row in plan["plan"]["placements"]]
    CutPlan.objects.filter(pk=pull.cut_plan_id).update(facts=plan)
    client = Client()
    client.force_login(shop.mara)
    for url in ("", "film/"):
        answer = client.get(f"/workorders/{pull.workorder_id}/{url}")
        assert answer.status_code == 200
