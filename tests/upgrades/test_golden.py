"""Documents that earlier releases stored are read by today's code.

A document never changes once it is stored; what reads it does. Each file of
`golden/` is read as the page or paper reads it, and what a person sees is compared
with the bare JSON.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.utils.html import escape

from jobs.checks.queries import item_from
from jobs.condition.marks import ItemKind
from jobs.findings.record_queries import asked_of, open_time_of
from jobs.models import Paper
from jobs.panels.queries import acceptance_standard
from jobs.papers.html_facts import attachments, paper_html
from jobs.papers.kind_facts import KINDS
from jobs.pulls.stored import CUT_PLAN, drawings_from_json, pull_from_json
from jobs.stages.queries import rule_levels
from jobs.workorders.history_words import sentence_of
from mixing.safety.rule_rows import row_from_json
from mixing.sheet.stored import recipe_from_json, sheet_from_json, solution_from_json
from shopapp.models import Shop

GOLDEN = sorted((Path(__file__).parent / "golden").glob("*/*.json"))


def named(*beginnings: str) -> list[Any]:
    """The files whose name begins so, of all releases."""
    found = [path for path in GOLDEN if path.stem.startswith(beginnings)]
    return [pytest.param(path, id=f"{path.parent.name}-{path.stem}") for path in found]


def stored(path: Path) -> Any:
    """The document."""
    return json.loads(path.read_text())


def numbers(document: Any) -> Iterator[float]:
    """The values of every figure in a stored sheet."""
    for figure in document["figures"]:
        yield figure["value"]


def pours_of(document: Any, solution: Any) -> list[float]:
    """The amounts that a stored solution asks to be poured, in order."""
    figures = document["figures"]
    return [
        figures[pour["amount"]["figure"]]["value"]
        for fill in solution["fills"]
        for pour in fill["pours"]
    ]


def test_there_is_a_document_of_every_kind():
    names = {path.stem for path in GOLDEN}
    wanted = {f"paper_{kind}" for kind in KINDS}
    wanted |= {"pull_planned", "pull_taken", "rule_levels", "acceptance", "events"}
    wanted |= {"sheet_slip", "batch_slip", "recipe_slip", "checklist_prep"}
    assert wanted <= names


@pytest.mark.parametrize("path", named("sheet_"))
def test_a_stored_sheet_keeps_its_pours(path: Path):
    document = stored(path)
    sheet = sheet_from_json(document)
    for read, bare in zip(sheet.solutions, document["solutions"], strict=True):
        amounts = [pour.amount.value for fill in read.fills for pour in fill.pours]
        assert amounts == pours_of(document, bare)
        assert read.kind.value == bare["kind"]
        if bare["fills"]:
            assert set(asked_of(document, bare["kind"])) == {"strength", "soap"}
    assert open_time_of(document) is not None or not document["open_time"]


@pytest.mark.parametrize("path", named("batch_"))
def test_a_stored_batch_keeps_what_was_poured(path: Path):
    document = stored(path)
    solution = solution_from_json(document)
    amounts = [pour.amount.value for fill in solution.fills for pour in fill.pours]
    assert amounts == pours_of(document, document)


@pytest.mark.parametrize("path", named("recipe_"))
def test_a_stored_recipe_is_read(path: Path):
    assert recipe_from_json(stored(path)).kind.value in path.stem


@pytest.mark.parametrize("path", named("pull_"))
def test_a_stored_pull_keeps_its_cuts(path: Path):
    document = stored(path)
    kept = CUT_PLAN.upgrade(document)
    found = pull_from_json(kept)
    lengths = [list(pull) for pull in found.plan.pulls]
    assert lengths == document["plan"]["pulls"]
    assert len(found.plan.placements) == len(document["plan"]["placements"])
    assert [p.panel for p in found.job.panels] == [
        row["panel"] for row in document["panels"]
    ]
    drawings = drawings_from_json(kept)
    assert [each.svg for each in drawings] == [
        row["svg"] for row in document["drawings"]
    ]


def paper_of(path: Path) -> Paper:
    """A paper with these facts, as the worker would render it."""
    document = stored(path)
    return Paper(
        kind=path.stem.removeprefix("paper_"),
        number="W-1",
        version=1,
        size=document["size"],
        facts=document["facts"],
        asked_at=datetime(2026, 11, 30, 15, tzinfo=UTC),
    )


TOLD = {
    "work_order": (
        *("shop.name", "number", "plate", "vehicle", "film.name", "panels.0.name"),
        *("safety.fire.sentence", "checklists.0.lines.0.text"),
    ),
    "mixing_sheet": ("order", "plate", "vehicle"),
    "cut_list": ("order", "plate", "film", "length", "sources.0.code"),
    "care": ("shop.name", "customer", "vehicle", "film"),
    "film_record": ("customer", "vin", "registered_as", "panels.0.lot"),
    "vessel_label": ("labels.0.label.code",),
    "offcut_label": ("labels.0.code", "labels.0.film"),
    "register": ("shop.name", "places.0.name", "places.0.held.0.product"),
    "day_sheet": ("cars.0.car", "cars.0.works.0.people", "people.0.name"),
    "desk_sheet": ("cars.0.car", "cars.0.customer", "cars.0.phone"),
    "invoice": ("shop.name", "number", "customer", "vehicle", "order", "order_number"),
    "receipt": ("shop.name", "number", "customer", "parts.0.order"),
    "estimate": ("shop.name", "number", "customer", "vehicle", "agreed.name"),
    "confirmation": ("shop.name", "customer", "vehicle", "film", "bring.0"),
    "drop_off": ("order", "customer", "vehicle", "plate", "key_tag", "marks.0.kind"),
    "statement": ("customer", "lines.0.number", "lines.0.about"),
    "morning": ("comes.0.car", "comes.0.phone", "leaves.0.key_tag", "parts.0.number"),
    "plan_week": ("bays.0.name", "bays.0.cells.1.0", "people.0.cells.1.0"),
}
"""What each kind of paper must say, by its place in the facts."""


def told_by(facts: Any, place: str) -> str:
    """The words that stand at a place of the facts."""
    for step in place.split("."):
        facts = facts[int(step) if step.isdecimal() else step]
    return str(facts)


@pytest.mark.parametrize("path", named("paper_"))
def test_a_paper_is_rendered_from_old_facts(path: Path):
    paper = paper_of(path)
    page = paper_html(paper)
    for name in TOLD[paper.kind]:
        assert escape(told_by(paper.facts, name)) in page
    assert ">None<" not in page
    attachments(paper)


@pytest.mark.parametrize("path", named("checklist_"))
def test_a_stored_checklist_is_read(path: Path):
    for row in stored(path):
        item = item_from(row)
        assert (item.code, item.text) == (row["code"], row["text"])
        assert item.kind is ItemKind(row["kind"])


@pytest.mark.parametrize("path", named("safety_rules"))
def test_stored_safety_rules_are_read(path: Path):
    rows = stored(path)
    assert len([row_from_json(row) for row in rows]) == len(rows) > 30


@pytest.mark.parametrize("path", named("rule_levels"))
def test_stored_levels_of_rules_are_read(path: Path):
    document = stored(path)
    levels = rule_levels(Shop(rule_levels=document))
    assert {rule.value: level.value for rule, level in levels.items()} == document


@pytest.mark.django_db
@pytest.mark.parametrize("path", named("acceptance"))
def test_a_stored_acceptance_standard_is_read(path: Path):
    document = stored(path)
    Shop.objects.update(acceptance=document)
    assert acceptance_standard().per_panel == document["per_panel"]


@pytest.mark.parametrize("path", named("events"))
def test_every_stored_event_is_told_in_words(path: Path):
    for what, facts in stored(path).items():
        words = {name: str(value) for name, value in facts.items()}
        assert sentence_of(what, words) is not None, what
