"""What only another version of the program knows is shown, and fails no page."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client

from jobs.findings.record_queries import panel_past, read_order
from jobs.models import (
    Checklist,
    ChecklistVersion,
    OrderChecklist,
    OrderSheet,
    WorkOrder,
    WorkOrderEvent,
)
from mixing.models import Batch
from shopapp.models import Shop
from tests.furnished import Furnished
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401

STRANGE = "heard_of_later"
KEY = "k" * 16


@pytest.fixture
def client(shop: Furnished) -> Client:
    """A browser of somebody who may open everything; a fault is a page, too."""
    browser = Client(raise_request_exception=False)
    browser.force_login(shop.mara)
    return browser


def opened(client: Client, url: str) -> str:
    """The page, which must not fail."""
    answer = client.get(url)
    assert answer.status_code == 200, url
    return str(answer.content.decode())


def pages_of(order: WorkOrder) -> list[str]:
    """The pages of an order that tell of its rules, sheets, film and past."""
    names = ("", "panels/", "mixing/", "film/", "checks/", "history/", "safety/")
    return [f"/workorders/{order.pk}/{name}" for name in names]


# -- rules -------------------------------------------------------------------------


LEVELS = [{STRANGE: "reason"}, {"final_look": STRANGE}, {STRANGE: STRANGE}]


@pytest.mark.parametrize("levels", LEVELS, ids=["rule", "level", "both"])
def test_an_order_opens_under_a_rule_that_this_version_does_not_know(
    levels: dict[str, str], client: Client, shop: Furnished
):
    Shop.objects.update(rule_levels=levels)
    for order in (shop.intake, shop.install, shop.settled):
        for url in pages_of(order):
            opened(client, url)
    opened(client, "/bookings/")


def test_the_rules_page_names_what_this_version_does_not_know(
    client: Client, shop: Furnished
):
    Shop.objects.update(rule_levels={STRANGE: "reason", "final_look": "reason"})
    page = opened(client, "/settings/rules/")
    assert "This version of the program does not know: heard of later (reason)" in page


def test_a_strange_rule_outlives_a_change_of_the_others(
    client: Client, shop: Furnished
):
    Shop.objects.update(rule_levels={STRANGE: "reason"})
    answer = client.post("/settings/rules/enforce/", {"key": KEY})
    assert answer.status_code == 303
    levels = Shop.objects.get().rule_levels
    assert (levels[STRANGE], levels["final_look"]) == ("reason", "reason")


# -- what an order keeps -----------------------------------------------------------


def test_an_event_of_another_version_is_told_with_its_facts(
    client: Client, shop: Furnished
):
    event = WorkOrderEvent.objects.filter(workorder=shop.redo)[0]
    WorkOrderEvent.objects.filter(pk=event.pk).update(
        what=STRANGE, facts={"amount": "12 of it", "nested": {"a": 1}}
    )
    page = opened(client, f"/workorders/{shop.redo.pk}/history/")
    assert "heard of later" in page
    assert "12 of it" in page


WORDS = {
    "slip", "tack", "all_in_one", "gel", "water", "alcohol", "soap", "jug", "cylinder",
    "syringe", "dropper", "pump", "measured", "to_mark", "tap", "vv", "ww",
    "slip_and_gel",
}  # fmt: skip
"""Words of enums that stand in a stored sheet."""


def words_in(document: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Where a word of an enum stands in a document."""
    if isinstance(document, dict):
        for name, value in document.items():
            if name not in {"text", "params", "figures", "name", "codes"}:
                yield from words_in(value, (*at, name))
    elif isinstance(document, list):
        for number, value in enumerate(document):
            yield from words_in(value, (*at, number))
    elif isinstance(document, str) and document in WORDS:
        yield at


def each_word_changed(document: Any) -> Iterator[tuple[str, Any]]:
    """The document with one word changed: once for each field that holds words."""
    seen = set()
    for at in words_in(document):
        field = ".".join("*" if isinstance(step, int) else step for step in at)
        if field in seen:
            continue
        seen.add(field)
        changed = copy.deepcopy(document)
        inner = changed
        for step in at[:-1]:
            inner = inner[step]
        inner[at[-1]] = STRANGE
        yield field, changed


def test_a_sheet_with_words_of_another_version_opens(client: Client, shop: Furnished):
    order, failed = shop.redo, []
    sheet = shop.sheet
    urls = [f"/workorders/{order.pk}/mixing/", f"/workorders/{order.pk}/mixing/slip/"]
    urls += [f"/workorders/{order.pk}/mixing/slip/{sheet.version}/"]
    urls += [f"/workorders/{order.pk}/panels/", f"/workorders/{order.pk}/safety/"]
    fields = 0
    for field, changed in each_word_changed(sheet.facts):
        fields += 1
        OrderSheet.objects.filter(pk=sheet.pk).update(facts=changed)
        failed += [(field, url) for url in urls if client.get(url).status_code >= 500]
    assert fields >= 8
    assert failed == []


def test_a_batch_with_words_of_another_version_opens(client: Client, shop: Furnished):
    batch, failed = shop.batches[0], []
    for field, changed in each_word_changed(batch.facts):
        Batch.objects.filter(pk=batch.pk).update(facts=changed)
        url = f"/mixing/batches/{batch.pk}/"
        failed += [(field, url)] if client.get(url).status_code >= 500 else []
    assert failed == []


def without_each_field(document: dict[str, Any]) -> Iterator[tuple[str, Any]]:
    """The document as a version wrote it that did not have one of its fields yet."""
    for name in document:
        if name != "figures":
            yield name, {k: v for k, v in document.items() if k != name}


def test_a_sheet_that_lacks_a_field_opens(client: Client, shop: Furnished):
    order, sheet, failed = shop.redo, shop.sheet, []
    for field, changed in without_each_field(sheet.facts["solutions"][0]):
        facts = {**sheet.facts, "solutions": [changed]}
        OrderSheet.objects.filter(pk=sheet.pk).update(facts=facts)
        for page in ("mixing/", f"mixing/slip/{sheet.version}/", "panels/"):
            url = f"/workorders/{order.pk}/{page}"
            if client.get(url).status_code >= 500:
                failed.append((field, url))
    assert failed == []


# -- checklists --------------------------------------------------------------------


def items_of(order: WorkOrder, code: str) -> OrderChecklist:
    """The order's list of this name."""
    rows = OrderChecklist.objects.filter(workorder=order)
    return rows.get(version__checklist__code=code)


def test_an_item_of_a_kind_that_is_not_known_is_shown(client: Client, shop: Furnished):
    row = items_of(shop.prep, "prep")
    items = copy.deepcopy(row.version.items)
    items[0] |= {"kind": STRANGE, STRANGE: 1}
    ChecklistVersion.objects.filter(pk=row.version_id).update(items=items)
    page = opened(client, f"/workorders/{shop.prep.pk}/checks/")
    assert items[0]["text"] in page


def test_an_acceptance_standard_of_another_version_is_read(
    client: Client, shop: Furnished
):
    known = Shop.objects.get().acceptance
    Shop.objects.update(acceptance={**known, STRANGE: 3})
    opened(client, "/settings/acceptance/")
    opened(client, f"/workorders/{shop.inspection.pk}/panels/")


def test_a_list_without_an_item_does_not_say_that_it_was_left_undone(
    shop: Furnished,
):
    order = shop.inspection
    code, item = "install", "rinse_and_dry_the_edges_before_wrapping"
    row = items_of(order, code)
    others = [stored for stored in row.version.items if stored["code"] != item]
    own = ChecklistVersion.objects.create(
        checklist=Checklist.objects.get(code=code), number=99, items=others, why="ours"
    )
    row.answers.filter(item=item).delete()
    OrderChecklist.objects.filter(pk=row.pk).update(version=own)
    panel = next(panel for panel in shop.panels(order) if panel.laid_at)
    past = panel_past(
        order, panel, kind="lifted_edge", round=order.round, known=read_order(order)
    )
    assert past.record.edges_rinsed is None
