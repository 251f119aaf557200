"""The manager's pages of rules, acceptance standard and checklists."""

from __future__ import annotations

import pytest

from jobs.models import Checklist, OrderChecklist, Override
from jobs.panels.queries import acceptance_standard
from jobs.rules.default_actions import load_defaults
from jobs.rules.queries import rule_lines
from jobs.rules.table import RULES, Level, Rule, enforced_levels, is_hard
from jobs.stages.queries import rule_levels
from shopapp.frame import perform
from shopapp.models import the_shop
from tests.makers import NOW, make_booking, make_tap, make_vehicle, make_workorder

pytestmark = pytest.mark.django_db
KEY = "k" * 16
SOFT = [rule for rule in RULES if not is_hard(rule)]
STANDARD = {
    "largest_mm": "1,5",
    "per_panel": "2",
    "distance_mm": "500",
    "light": "hard light",
    "watched": ["haze"],
}


def post(client, url, **data):
    return client.post(url, {"key": KEY, **data})


def levels(**changed):
    return {rule.value: "advice" for rule in SOFT} | changed


def test_a_level_is_set_and_told(client, manager):
    client.force_login(manager)
    answer = post(client, "/settings/rules/change/", **levels(cure_time_over="reason"))
    assert answer.status_code == 303
    assert rule_levels(the_shop())[Rule.CURE_TIME_OVER] is Level.REASON
    told = client.get("/settings/changes/").content.decode()
    assert "Cure time over" in told
    assert "advice → reason" in told


def test_no_form_makes_a_rule_hard(client, manager):
    client.force_login(manager)
    answer = post(client, "/settings/rules/change/", **levels(cure_time_over="hard"))
    assert answer.status_code == 422
    assert rule_levels(the_shop()).get(Rule.CURE_TIME_OVER) is None


def test_a_hard_rule_offers_no_choice(client, manager):
    client.force_login(manager)
    page = client.get("/settings/rules/").content.decode()
    assert 'name="cure_time_over"' in page
    assert 'name="stages_in_order"' not in page
    assert str(RULES[Rule.STAGES_IN_ORDER].title) in page


def test_one_button_enforces_every_rule_as_it_is_meant(client, manager):
    client.force_login(manager)
    assert post(client, "/settings/rules/enforce/").status_code == 303
    found = rule_levels(the_shop())
    meant = enforced_levels()
    assert {rule: found[rule] for rule in SOFT} == {r: meant[r] for r in SOFT}


def test_an_installer_changes_no_rule(client, installer):
    client.force_login(installer)
    assert post(client, "/settings/rules/enforce/").status_code == 403
    assert the_shop().rule_levels == {}


def test_a_rule_overridden_too_often_is_to_be_changed_or_dropped(client, manager):
    orders = [
        make_workorder(booking=make_booking(vehicle=make_vehicle(plate=f"P {n}")))
        for n in range(4)
    ]
    for _ in range(2):
        Override.objects.create(
            workorder=orders[0],
            rule=Rule.BALANCE_SETTLED.value,
            reason="pays on Friday",
            sentence="…",
            by=manager,
            at=NOW,
        )
    line = next(x for x in rule_lines() if x.rule is Rule.BALANCE_SETTLED)
    assert (line.overridden, line.orders, line.per_100) == (1, 4, 25)
    client.force_login(manager)
    page = client.get("/settings/rules/").content.decode()
    assert "was overridden on 1 of 4 orders: change it or drop it." in page


def test_the_acceptance_standard_is_kept_with_a_comma(client, manager):
    client.force_login(manager)
    assert post(client, "/settings/acceptance/change/", **STANDARD).status_code == 303
    found = acceptance_standard()
    assert (found.largest_mm, found.per_panel) == (1.5, 2)
    assert found.watched == {"haze"}


def test_a_standard_of_nothing_is_refused_at_its_field(client, manager):
    client.force_login(manager)
    answer = post(
        client, "/settings/acceptance/change/", **STANDARD | {"largest_mm": "-1"}
    )
    assert answer.status_code == 422
    assert 'value="-1"' in answer.content.decode()
    assert acceptance_standard().largest_mm == 2.0


@pytest.fixture
def intake(manager):
    perform(make_tap(manager), load_defaults)
    return Checklist.objects.get(code="intake")


def rows_of(client, checklist):
    """The form as the page holds it."""
    form = client.get(f"/settings/checklists/{checklist.pk}/").context["form"]
    facts = {name: form[name].value() for name in form.fields}
    return {name: value for name, value in facts.items() if value not in (False, None)}


def test_a_new_item_makes_a_new_version_and_cars_keep_theirs(client, manager, intake):
    order = make_workorder()
    before = OrderChecklist.objects.get(workorder=order).version
    client.force_login(manager)
    facts = rows_of(client, intake)
    new = len(before.items) + 1
    facts |= {
        f"text_{new}": "Look under the mats",
        f"kind_{new}": "tick",
        "why": "sand",
    }
    facts[f"at_{new}"] = "1"
    url = f"/settings/checklists/{intake.pk}/change/"
    assert post(client, url, **facts).status_code == 303
    newest = intake.versions.first()
    assert newest.number == before.number + 1
    texts = [item["text"] for item in newest.items]
    assert texts.index("Look under the mats") <= 1
    assert [
        i for i in newest.items if i["text"] != "Look under the mats"
    ] == before.items
    assert OrderChecklist.objects.get(workorder=order).version == before


def test_words_taken_out_drop_the_item(client, manager, intake):
    client.force_login(manager)
    facts = rows_of(client, intake) | {"text_1": "", "why": "not ours"}
    was = intake.versions.first().items
    post(client, f"/settings/checklists/{intake.pk}/change/", **facts)
    assert intake.versions.first().items == was[1:]


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({}, "Nothing was changed."),
        ({"low_2": "5", "high_2": "4"}, "The upper end lies above the lower one."),
        ({"high_2": "many"}, "Enter a number."),
    ],
)
def test_a_wrong_checklist_comes_back_as_typed(client, manager, intake, changed, told):
    client.force_login(manager)
    facts = rows_of(client, intake) | {"why": "a try", **changed}
    answer = post(client, f"/settings/checklists/{intake.pk}/change/", **facts)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert told in page
    assert all(f'value="{typed}"' in page for typed in changed.values())
    assert intake.versions.count() == 1


def test_a_change_made_on_an_older_version_does_not_undo_a_newer_one(
    client, manager, intake
):
    client.force_login(manager)
    facts = rows_of(client, intake) | {"why": "one of us"}
    url = f"/settings/checklists/{intake.pk}/change/"
    assert post(client, url, **{**facts, "text_1": "Walk round it"}).status_code == 303
    late = {**facts, "text_2": "Photos of it", "key": "l" * 16}
    answer = client.post(url, late)
    assert answer.status_code == 422
    assert "Somebody changed this list meanwhile." in answer.content.decode()
    assert intake.versions.count() == 2
