"""The rules of the house, read from the code itself."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = ("shopapp", "jobs", "mixing")

PURE = {
    f"shopapp.{name}"
    for name in (
        "backups.keep_rule",
        "documents",
        "figures",
        "once",
        "say",
        "secret_rules",
        "typed",
        "units",
    )
}
LAYERS = ("models", "queries", "facts", "actions", "tasks", "forms", "pages")
"""From the ground up: the last word of a file's name says which of them it is."""
SHELL = ("apps", "demo", "management", "migrations", "templatetags", "urls")
"""What stands above every layer, or is Django's own."""
NOUNS = {
    "mixing": (
        ("limits", "tables", "chemistry", "climate", "safety", "dispensers"),
        ("recipes", "laying"),
        ("sheet",),
        ("shelf", "bench", "flash_points", "rule_sets", "air"),
    ),
    "jobs": (
        (
            "limits",
            "tables",
            "draw",
            "vin",
            "opening",
            "search",
            "nesting",
            "scheduling",
            "rules",
            "stages",
        ),
        ("coverage", "cure", "customers", "prices", "crews", "supplies"),
        (
            "bookings",
            "dealers",
            "workorders",
            "estimates",
            "package_hours",
            "promises",
        ),
        (
            "money",
            "invoices",
            "additions",
            "condition",
            "returns",
            "checks",
            "panels",
            "pulls",
            "film",
            "solutions",
            "air",
        ),
        ("findings", "plan", "feeds", "path"),
        ("handover", "public", "mail", "papers", "desk", "newshop"),
    ),
}
"""Floors from the ground up: pure code and models look down, or to the left."""
ALL_NOUNS = {package: sum(floors, ()) for package, floors in NOUNS.items()}
LISTS = {"models", "tasks", "as_kept"}
"""Files of a package that belong to no noun."""
CIRCLES = {
    ("mixing", "queries"): set(),
    ("mixing", "actions"): set(),
    ("jobs", "queries"): {
        ("condition", "stages"),
        ("findings", "panels"),
        ("findings", "solutions"),
        ("handover", "promises"),
        ("panels", "solutions"),
    },
    ("jobs", "actions"): {("condition", "solutions")},
}
"""Nouns whose queries, or actions, ask each other in a circle. May only shrink."""
HOUSE = {
    "shopapp.access",
    "shopapp.background",
    "shopapp.buttons",
    "shopapp.frame",
    "shopapp.htmx",
    "shopapp.live",
    "shopapp.media",
    "shopapp.models",
    "shopapp.once",
    "shopapp.pressing",
    "shopapp.printing",
    "shopapp.rows",
    "shopapp.units",
}
OWNERS = {
    "weasyprint": {"shopapp.printing"},
    "icalendar": {"jobs.feeds.ical"},
    "celery": {"shopapp.celery", "shopapp.tasks", "jobs.tasks", "mixing.tasks"},
}
LAZY = {"jobs.nesting", "jobs.scheduling"}
"""Rooms that may import their engine inside a function (the design names them)."""
FORBIDDEN_NAMES = {
    "base",
    "common",
    "helpers",
    "manager",
    "misc",
    "services",
    "utils",
}


@cache
def modules() -> dict[str, Path]:
    found = {}
    for package in PACKAGES:
        for path in (ROOT / package).rglob("*.py"):
            parts = path.relative_to(ROOT).with_suffix("").parts
            if "migrations" in parts:
                continue
            name = ".".join(parts).removesuffix(".__init__")
            found[name] = path
    return found


@cache
def tree_of(name: str) -> ast.Module:
    return ast.parse(modules()[name].read_text())


@cache
def imports_of(name: str) -> frozenset[str]:
    found = set()
    for node in ast.walk(tree_of(name)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return frozenset(found)


def layer_of(name: str) -> str | None:
    """The layer of a module; "pure" where its name says none, None in the shell."""
    package, _, rest = name.partition(".")
    if package not in NOUNS or not rest or rest.split(".")[0] in SHELL:
        return None
    word = rest.rpartition(".")[2].rpartition("_")[2]
    return word if word in LAYERS else "pure"


def is_pure(name: str) -> bool:
    """Whether a module knows no framework."""
    return name in PURE or layer_of(name) == "pure"


def pure_modules() -> list[str]:
    return sorted(name for name in modules() if is_pure(name))


def ours(name: str) -> set[str]:
    """The modules of ours that a module imports."""
    return set(imports_of(name) & modules().keys())


def test_the_tree_has_pure_rooms_to_check():
    assert len(pure_modules()) > 15


@pytest.mark.parametrize("name", pure_modules())
def test_a_pure_room_imports_no_framework_and_no_shell(name):
    package = name.split(".")[0]
    for imported in imports_of(name):
        top = imported.split(".")[0]
        assert top not in {"django", "celery", "redis", "weasyprint"}, imported
        if top not in PACKAGES:
            continue
        if top == package and package != "shopapp":
            known = imported if imported in modules() else imported.rpartition(".")[0]
            assert known == package or is_pure(known), f"{name} imports {imported}"
        else:
            house = ("documents", "figures", "limits", "say", "typed", "units")
            known = tuple(f"shopapp.{each}" for each in house)
            # A reading has one range, on the car's path as at the bench.
            known += ("mixing.limits",) if package == "jobs" else ()
            assert imported.startswith(known), f"{name} imports {imported}"


def test_every_pure_room_loads_without_django():
    code = "import sys\n"
    code += "".join(f"import {name}\n" for name in pure_modules())
    code += "bad = sorted(m for m in sys.modules if m.split('.')[0] == 'django')\n"
    code += "sys.exit(', '.join(bad[:5]) or None)\n"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr


def test_a_pure_room_reads_no_clock_no_chance_and_no_environment():
    for name in pure_modules():
        allowed = (
            {"time"} if name.startswith(("jobs.nesting", "jobs.scheduling")) else set()
        )
        banned = {"random", "os", "time", "secrets", "uuid"} - allowed
        used = {imported.split(".")[0] for imported in imports_of(name)}
        assert not used & banned, f"{name} imports {used & banned}"
        calls = {
            node.func.attr
            for node in ast.walk(tree_of(name))
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
        }
        assert not calls & {"now", "today", "utcnow"}, name


def test_mixing_never_imports_jobs():
    for name in modules():
        if name.startswith("mixing"):
            assert not any(i.split(".")[0] == "jobs" for i in imports_of(name)), name


def test_jobs_uses_no_page_and_no_form_of_mixing():
    for name in modules():
        for imported in ours(name) if name.startswith("jobs.") else ():
            if imported.startswith("mixing."):
                assert layer_of(imported) not in ("forms", "pages", None), (
                    f"{name} imports {imported}"
                )


def test_house_modules_import_neither_app():
    for name in HOUSE & set(modules()):
        tops = {imported.split(".")[0] for imported in imports_of(name)}
        assert not tops & {"jobs", "mixing"}, name


def test_layers_point_down():
    ranks = ("pure", *LAYERS)
    for name in modules():
        own = layer_of(name)
        for imported in ours(name) if own else ():
            other = layer_of(imported)
            package, _, rest = imported.partition(".")
            in_shell = package != "shopapp" and rest.split(".")[0] in SHELL
            said = f"{name} imports {imported}"
            assert not in_shell, said
            assert other is None or ranks.index(other) <= ranks.index(own), said


def noun_of(name: str) -> str:
    """The folder or file of a package that a module lies in."""
    return name.split(".")[1] if "." in name else ""


@pytest.mark.parametrize("package", NOUNS)
def test_every_folder_is_a_noun_with_a_floor(package):
    found = {noun_of(name) for name in modules() if name.startswith(f"{package}.")}
    assert found - LISTS - set(SHELL) == set(ALL_NOUNS[package])


@pytest.mark.parametrize("package", NOUNS)
def test_pure_code_and_models_look_down_or_to_the_left(package):
    order = ALL_NOUNS[package]
    for name in modules():
        own = noun_of(name) if name.startswith(f"{package}.") else ""
        if own not in order or layer_of(name) not in ("pure", "models"):
            continue
        for imported in ours(name):
            other = noun_of(imported) if imported.startswith(f"{package}.") else ""
            if other in order:
                said = f"{name} imports {imported}"
                assert order.index(other) <= order.index(own), said


@pytest.mark.parametrize(("package", "layer"), CIRCLES)
def test_circles_of_nouns_may_only_shrink(package, layer):
    asks: dict[str, set[str]] = {}
    for name in modules():
        if name.startswith(f"{package}.") and layer_of(name) == layer:
            for imported in ours(name):
                if imported.startswith(f"{package}.") and layer_of(imported) == layer:
                    asks.setdefault(noun_of(name), set()).add(noun_of(imported))
    circles = {
        (min(one, other), max(one, other))
        for one in asks
        for other in asks[one] - {one}
        if one in reached(asks, other)
    }
    assert circles == CIRCLES[package, layer], f"{package} {layer}: {sorted(circles)}"


def reached(asks: dict[str, set[str]], start: str) -> set[str]:
    """Every noun that one can be led to."""
    found: set[str] = set()
    todo = [start]
    while todo:
        new = asks.get(todo.pop(), set()) - found
        found |= new
        todo += new
    return found


@pytest.mark.parametrize("library", OWNERS)
def test_a_library_has_one_owner(library):
    for name in modules():
        if any(i.split(".")[0] == library for i in imports_of(name)):
            assert name in OWNERS[library], f"{name} imports {library}"


def test_nothing_is_imported_inside_a_function():
    for name in modules():
        if any(name.startswith(lazy) for lazy in LAZY):
            continue
        for node in ast.walk(tree_of(name)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                inner = [
                    part
                    for part in ast.walk(node)
                    if isinstance(part, ast.Import | ast.ImportFrom)
                ]
                assert not inner, f"{name}.{node.name}"


def test_no_star_imports_and_no_signals():
    for name in modules():
        for node in ast.walk(tree_of(name)):
            if isinstance(node, ast.ImportFrom):
                assert all(alias.name != "*" for alias in node.names), name
        assert "django.db.models.signals" not in imports_of(name), name


def test_files_are_named_for_what_they_hold():
    for name in modules():
        assert name.split(".")[-1] not in FORBIDDEN_NAMES, name


def test_actions_and_tasks_know_no_request_and_no_page():
    for name in modules():
        if layer_of(name) in ("actions", "tasks"):
            for imported in imports_of(name):
                assert not imported.startswith(
                    ("django.http", "django.shortcuts", "django.template")
                ), f"{name} imports {imported}"


def test_a_template_includes_only_its_own_folder_or_the_shared_pieces():
    folder = ROOT / "templates"
    for path in folder.glob("*/**/*.html"):
        own = path.relative_to(folder).parts[0]
        for piece in included(path.read_text()):
            top, _, rest = piece.partition("/")
            shared = not rest or piece.startswith(("shopapp/_", "papers/base_print"))
            assert shared or top == own, f"{path.relative_to(folder)} includes {piece}"


def included(text: str) -> list[str]:
    return re.findall(r'{%\s*(?:include|extends)\s+"([^"]+)"', text)


def _keywords(name: str) -> list[ast.keyword]:
    """Arguments by name of every call in a module, hidden fields left out."""
    calls = [node for node in ast.walk(tree_of(name)) if isinstance(node, ast.Call)]
    shown = [call for call in calls if "HiddenInput" not in ast.dump(call)]
    return [keyword for call in shown for keyword in call.keywords]


def test_no_end_of_a_range_stands_in_a_form():
    """`limits.py` has it: field, action and formula read the same."""
    ends = {"low", "high", "min_value", "max_value"}
    for name in modules():
        if not name.endswith("forms"):
            continue
        for keyword in _keywords(name):
            is_number = isinstance(keyword.value, ast.Constant | ast.UnaryOp)
            assert not (keyword.arg in ends and is_number), (name, keyword.lineno)


def test_no_model_has_a_validator_that_nothing_runs():
    for name in modules():
        if name.endswith("models"):
            named = {keyword.arg for keyword in _keywords(name)}
            assert "validators" not in named, name
