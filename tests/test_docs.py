"""DEVELOPERS.md says what the code says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from shopapp.access import ALLOWED, FRESH
from shopapp.models import Role

ROOT = Path(__file__).resolve().parent.parent
SECTIONS = [
    "Run it",
    "The map",
    "One press of a button",
    "One sheet, from recipe to paper",
    "One plan, from a press to a promise",
    "The rules",
    "Recipes",
    "Glossary",
    "Permissions",
]
PERMISSIONS = SECTIONS[-1]
MADE = {"node_modules", "build", "dist", "__pycache__"}
"""Folders that tools make."""


@pytest.fixture(scope="module")
def text() -> str:
    """The page."""
    return (ROOT / "DEVELOPERS.md").read_text()


def section(text: str, title: str) -> str:
    """What stands under a heading."""
    found = re.search(rf"^## {re.escape(title)}\n(.*?)(?=^## |\Z)", text, re.M | re.S)
    assert found, f"DEVELOPERS.md has no section “{title}”"
    return found[1]


def test_its_sections_stand_in_this_order(text):
    assert re.findall(r"^## (.+)$", text, re.M) == SECTIONS


def top_folders() -> list[str]:
    """The folders of the project."""
    found = [path.name for path in ROOT.iterdir() if path.is_dir()]
    return sorted(n for n in found if not n.startswith(".") and n not in MADE)


@pytest.mark.parametrize("folder", top_folders())
def test_the_map_names_every_top_folder(text, folder):
    assert f"`{folder}`" in section(text, "The map")


def named_in_the_map(text: str) -> list[str]:
    """Paths of the map; a bare name lies beside the path before it in its cell."""
    found = []
    for cell in re.findall(r"^\| (`.+?) \|", section(text, "The map"), re.M):
        folder = ""
        for name in re.findall(r"`([^`]+)`", cell):
            found.append(name if "/" in name or not folder else folder + name)
            if "/" in name:
                folder = name.rpartition("/")[0] + "/"
    return found


def test_the_map_names_nothing_that_is_not_there(text):
    paths = named_in_the_map(text)
    assert len(paths) > 30
    assert [path for path in paths if not (ROOT / path).exists()] == []


def test_every_file_that_a_recipe_names_is_there(text):
    walks = "One press of a button", "One plan, from a press to a promise"
    said = "".join(section(text, title) for title in ("Recipes", *walks))
    named = re.findall(r"`((?:shopapp|jobs|mixing|templates|tests)/[\w./*-]+)`", said)
    assert len(named) > 10
    assert [path for path in named if not list(ROOT.glob(path.rstrip("/")))] == []


def test_every_command_of_the_project_is_named(text):
    commands = ROOT / "shopapp" / "management" / "commands"
    names = [path.stem for path in commands.glob("[!_]*.py")]
    assert [name for name in names if f"manage.py {name}" not in text] == []


def permission_table() -> str:
    """The table as it follows from `shopapp.access.ALLOWED`."""
    lines = [
        "| permission | " + " | ".join(Role) + " |",
        "|---" * (len(Role) + 1) + "|",
    ]
    for permission, allowed in ALLOWED.items():
        cells = ["x" if role in allowed else "" for role in Role]
        lines.append(f"| {permission} | " + " | ".join(cells) + " |")
    return "\n".join(lines)


def test_the_permission_table_is_the_code_s(text):
    lines = section(text, PERMISSIONS).splitlines()
    said = "\n".join(line for line in lines if line.startswith("|"))
    wanted = permission_table()
    # Set side by side without the blanks that a table is lined up with.
    bare = [re.sub(r"[ \t]", "", table) for table in (said, wanted)]
    if bare[0] != bare[1]:
        pytest.fail(f"paste this under “{PERMISSIONS}”:\n\n{wanted}\n", pytrace=False)


def test_it_says_what_asks_for_the_password_again(text):
    said = {
        permission: float(minutes)
        for minutes, names in re.findall(
            r"^- (\d+) minutes: (.*(?:\n  .*)*)", section(text, PERMISSIONS), re.M
        )
        for permission in re.findall(r"`([a-z_.]+)`", names)
    }
    assert said == {name: age.total_seconds() / 60 for name, age in FRESH.items()}
