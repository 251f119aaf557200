"""One row is a stage: nothing but the table knows one by name."""

from __future__ import annotations

import ast
import re
from collections import Counter
from pathlib import Path

import pytest

from jobs.condition.marks import default_checklists
from jobs.models import WorkOrder
from jobs.path.next_step import _STEPS
from jobs.stages.leaving import _CHECKS
from jobs.stages.table import (
    CLOSED,
    FIRST,
    LEAVES_FROM,
    TABLE,
    May,
    Stage,
    ToDo,
    stage_named,
    stages_before,
    stages_that,
    stages_up_to,
)

ROOT = Path(__file__).resolve().parents[3]
CODE = [
    path
    for package in ("jobs", "mixing", "shopapp")
    for path in (ROOT / package).rglob("*.py")
    if "migrations" not in path.parts
    and path != ROOT / "jobs/stages/table.py"
    and ROOT / "jobs/demo" not in path.parents
]
TEMPLATES = list((ROOT / "templates").rglob("*.html"))
KEYS = {stage.value for stage in Stage}


ANOTHER_THING = {
    ("jobs/condition/models.py", "intake"): "when a mark was found",
    ("jobs/workorders/models.py", "prep"): "skill of added work",
    ("jobs/workorders/models.py", "install"): "skill of added work",
    ("jobs/promises/earliest.py", "intake"): "minutes that a promise is made of",
    ("jobs/promises/earliest.py", "prep"): "minutes that a promise is made of",
    ("jobs/promises/earliest.py", "inspection"): "minutes that a promise is made of",
    ("jobs/findings/record_queries.py", "prep"): "checklist of an item, a stored code",
    (
        "jobs/findings/record_queries.py",
        "install",
    ): "checklist of an item, a stored code",
    ("jobs/air/pages.py", "prep"): "prep chemicals, a name in a template",
    ("mixing/flash_points/models.py", "closed"): "closed cup",
    ("shopapp/management/commands/demo.py", "prep"): "who does prep in the demo",
    ("shopapp/open_day_actions.py", "closed"): "a day on which the shop is closed",
    ("templates/jobs/checks/_checks_marks.html", "intake"): "when a mark was found",
    ("templates/shopapp/people.html", "install"): "what a person can do",
    ("templates/shopapp/people.html", "prep"): "what a person can do",
    **dict.fromkeys(
        [
            *(("jobs/plan/shop.py", word) for word in ("intake", "prep", "install")),
            ("jobs/plan/shop.py", "inspection"),
            *(
                ("jobs/plan/words.py", word)
                for word in ("intake", "prep", "inspection")
            ),
            *(("jobs/plan/refusing.py", word) for word in ("prep", "install")),
        ],
        "a part of the plan's work, or what a person can do",
    ),
    ("jobs/scheduling/build.py", "closed"): "a time in which a resource is not there",
    **dict.fromkeys(
        [
            *((f"jobs/plan/{name}.py", "closed") for name in ("week", "planned")),
            ("templates/jobs/plan/_cell.html", "closed"),
            ("templates/papers/day_sheet.html", "closed"),
            ("templates/papers/morning.html", "closed"),
            ("templates/papers/plan_week.html", "closed"),
        ],
        "a day on which the shop is closed",
    ),
}
"""Words that a stage has too, where they are something else. May only shrink."""


def words_of(path: Path) -> set[str]:
    """Quoted words in a template's tags, or strings of a module."""
    if path.suffix == ".html":
        tags = re.findall(r"{[%{].*?[%}]}", path.read_text())
        return {word for tag in tags for word in re.findall(r"[\"'](\w+)[\"']", tag)}
    tree = ast.parse(path.read_text())
    return {
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }


def members_of(path: Path) -> set[str]:
    """Stages that a module names as members of the enum."""
    return {
        node.attr
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and node.value.id == "Stage"
        and node.attr in Stage.__members__
    }


def test_no_module_but_the_table_names_a_stage():
    assert {path: found for path in CODE if (found := members_of(path))} == {}


def test_a_stage_as_text_stands_nowhere_but_in_the_table():
    found = {
        (str(path.relative_to(ROOT)), word)
        for path in (*CODE, *TEMPLATES)
        for word in words_of(path) & KEYS
    }
    assert found == set(ANOTHER_THING)


def test_no_template_compares_a_stage():
    asked = re.compile(r"stage\w*\s*(==|!=|in\b)")
    for path in TEMPLATES:
        tags = re.findall(r"{%.*?%}", path.read_text())
        assert [tag for tag in tags if asked.search(tag)] == [], path


def test_what_templates_ask_of_a_stage_is_in_the_table():
    asked = {
        word
        for path in TEMPLATES
        for word in re.findall(r"stage_may:\"(\w+)\"", path.read_text())
    }
    assert set() < asked <= {may.value for may in May}


def test_the_ways_lead_through_every_stage_in_order():
    walked = [FIRST]
    while following := walked[-1].row.leads_to:
        walked.append(following)
    assert walked == list(Stage) == list(TABLE)
    assert (walked[-1], walked[-2]) == (CLOSED, LEAVES_FROM)


@pytest.mark.parametrize("stage", Stage)
def test_each_row_is_whole(stage):
    row = stage.row
    assert all((row.label, row.floor.word, row.customer, row.checklist_name))
    assert row.checklist in default_checklists()
    assert set(row.asks) <= set(_CHECKS)
    assert row.main_act is None or row.main_act in row.may
    assert row.back_to is None or row.back_to.may(May.LAY)
    assert (row.floor_settled is not None) == stage.may(May.SETTLE)
    assert len(stage.value) <= WorkOrder._meta.get_field("stage").max_length


def test_each_checklist_belongs_to_one_stage():
    lists = Counter(stage.row.checklist for stage in Stage)
    assert set(lists) == set(default_checklists())
    assert set(lists.values()) == {1}


def test_each_step_is_known_and_asked_for():
    assert set(_STEPS) == set(ToDo)
    assert {todo for row in TABLE.values() for todo in row.steps} == set(ToDo)


def test_stages_are_found_by_what_is_done_in_them():
    assert stages_that(May.LAY) == (Stage.INSTALL,)
    assert stages_up_to(May.LAY) == (Stage.INTAKE, Stage.PREP, Stage.INSTALL)
    assert stages_before(May.LAY) == (Stage.INTAKE, Stage.PREP)
    assert stages_before(May.SETTLE)[-1].row.leads_to is Stage.CURE


def test_a_stage_is_said_in_words_and_one_of_before_by_its_code():
    assert (stage_named("cure"), stage_named("drying")) == ("cure", "drying")
