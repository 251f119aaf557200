"""Stored documents have versions: what is older is upgraded, what is newer refused.

`shapes.json` holds the fields that each kind is stored with, at the version that
writes them. Where code no longer agrees with it: raise the version of that kind, write
its upgrade step, and take the new shape into the file
(`python -m tests.upgrades.shapes`).
"""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from jobs.air.fire_queries import KEPT_AIR
from jobs.models import Agreement, CutPlan, OrderAir, OrderSheet, Paper
from jobs.papers.kept_facts import changes_since
from jobs.pulls.stored import CUT_PLAN
from mixing.sheet.stored import SHEET
from shopapp.documents import Document, TooNewError, differences
from tests.furnished import Furnished
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401
from tests.upgrades.shapes import KEPT, Shape, shapes

GOLDEN = Path(__file__).parent / "golden"
RAISE = "a stored field changed: raise the version and write an upgrade step"


# -- the mechanism -----------------------------------------------------------------


def renamed(document: dict[str, Any]) -> dict[str, Any]:
    """A step: `old` is called `new`."""
    document["new"] = document.pop("old")
    return document


def doubled(document: dict[str, Any]) -> dict[str, Any]:
    """A step that goes inside."""
    document["inside"]["n"] *= 2
    return document


THREE = Document(kind="thing", steps={1: renamed, 2: doubled})


def test_a_document_goes_step_by_step_and_the_stored_one_stays():
    stored = {"old": 1, "inside": {"n": 2}}
    assert THREE.upgrade(stored) == {"new": 1, "inside": {"n": 4}, "version": 3}
    assert stored == {"old": 1, "inside": {"n": 2}}


def test_a_document_starts_at_its_own_version():
    two = {"new": 1, "inside": {"n": 2}, "version": 2}
    assert THREE.upgrade(two)["inside"] == {"n": 4}
    three = THREE.stamp({"new": 1, "inside": {"n": 4}})
    assert THREE.upgrade(three) == three


def test_a_kind_that_never_changed_is_stored_as_it_always_was():
    one = Document(kind="thing")
    assert one.stamp({"a": 1}) == one.upgrade({"a": 1}) == {"a": 1}


def test_a_document_of_a_newer_version_is_refused_in_a_sentence():
    with pytest.raises(TooNewError, match="kept by a newer version of the program"):
        THREE.upgrade({"version": 4})


def test_how_a_figure_was_made_and_numbered_is_no_difference():
    one = {"value": 2.0, "unit": "ml", "low": None, "high": None, "note": ""}
    kept = {"figures": [one | {"made_by": "a.b", "inputs": {}}], "is": {"figure": 0}}
    more = [{**one, "value": 9.0, "made_by": "c", "inputs": {}}]
    more += [{**one, "made_by": "a.c", "inputs": {"x": 1}}]
    assert differences(kept, {"figures": more, "is": {"figure": 1}}) == []
    assert differences(kept, {"figures": more, "is": {"figure": 0}}) == ["is.value"]


def test_what_only_one_of_two_versions_says_is_no_difference():
    kept = {"a": 1, "was": 2, "in": [{"b": 1}]}
    fresh = {"a": 1, "in": [{"b": 1, "c": 2}]}
    assert differences(kept, fresh) == ["in.0.c", "was"]
    assert differences(kept, fresh, of_both=True) == []
    assert differences(kept, {**fresh, "a": 2}, of_both=True) == ["a"]


# -- the shapes --------------------------------------------------------------------


KINDS = json.loads(KEPT.read_text())


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_stored_has_the_shape_of_its_version(kind: str):
    assert shapes()[kind] == KINDS[kind], RAISE


def test_every_shape_is_kept():
    assert set(shapes()) == set(KINDS)


def absent(shape: Shape, document: Any, at: str) -> Iterator[str]:
    """Fields of the shape that a document lacks."""
    for each in document if isinstance(document, list) else [document]:
        if isinstance(each, dict) and isinstance(shape, dict):
            yield from (f"{at}.{name}" for name in shape if name not in each)
            for name in shape.keys() & each.keys():
                yield from absent(shape[name], each[name], f"{at}.{name}")


def named(beginning: str) -> list[Any]:
    """The kept documents whose name begins so, of all versions."""
    found = sorted(GOLDEN.glob(f"*/{beginning}*.json"))
    return [pytest.param(p, id=f"{p.parent.name}-{p.stem}") for p in found]


@pytest.mark.parametrize("path", named("sheet_"))
def test_an_upgraded_sheet_lacks_nothing(path: Path):
    sheet = SHEET.upgrade(json.loads(path.read_text()))
    assert list(absent(KINDS["mixing sheet"]["fields"], sheet, "")) == []


@pytest.mark.parametrize("path", named("pull_"))
def test_an_upgraded_cut_plan_lacks_nothing(path: Path):
    plan = CUT_PLAN.upgrade(json.loads(path.read_text()))
    assert {"one_lot", "lot_on_car"} <= set(plan)
    for part, shape in KINDS["cut plan"]["fields"].items():
        assert list(absent(shape, plan[part], part)) == []


def test_upgraded_air_lacks_nothing():
    kept = KEPT_AIR.upgrade({"fire": {"state": "", "said": {}}})
    assert set(KINDS["air of an order"]["fields"]) <= set(kept)


# -- newer than this program -------------------------------------------------------


def newer(row: Any, field: str) -> None:
    """Store the document again as a program of tomorrow would."""
    facts = {**copy.deepcopy(getattr(row, field)), "version": 99}
    type(row).objects.filter(pk=row.pk).update(**{field: facts})


def test_a_page_of_a_newer_document_says_so(shop: Furnished):
    client = Client()
    client.force_login(shop.mara)
    pull = shop.planned_pulls[0]
    newer(CutPlan.objects.get(pk=pull.cut_plan_id), "facts")
    newer(OrderSheet.objects.get(pk=shop.sheet.pk), "facts")
    film = f"/workorders/{pull.workorder_id}/film/"
    mixing = f"/workorders/{shop.sheet.workorder_id}/mixing/slip/{shop.sheet.version}/"
    for url in (film, mixing):
        answer = client.get(url)
        assert answer.status_code == 409
        assert "kept by a newer version of the program" in answer.content.decode()


# -- asked again -------------------------------------------------------------------


def test_what_was_stored_without_a_version_and_under_other_formulas_is_the_same(
    shop: Furnished,
):
    for row in Paper.objects.order_by("pk"):
        fresh = row.facts
        row.facts = made_elsewhere({k: v for k, v in fresh.items() if k != "version"})
        assert changes_since(row, fresh) == [], row.kind


def made_elsewhere(document: Any) -> Any:
    """The document as it was while its formulas had other names."""
    if isinstance(document, list):
        return [made_elsewhere(each) for each in document]
    if not isinstance(document, dict):
        return document
    names = {"made_by": "mixing.old_name"} if "made_by" in document else {}
    return {name: made_elsewhere(part) for name, part in document.items()} | names


def test_air_and_agreements_are_kept_at_their_version(shop: Furnished):
    assert OrderAir.objects.exists()
    for air in OrderAir.objects.all():
        assert air.facts["version"] == KINDS["air of an order"]["version"]
    of_drop_off = Agreement.objects.filter(shown__has_key="panels")
    shown = {frozenset(each.shown) for each in of_drop_off}
    assert shown == {frozenset(KINDS["agreement"]["fields"])}
