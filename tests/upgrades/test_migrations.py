"""Migrations are history: what has landed is never edited, and no model lacks one."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path

import pytest
from django.core.management import call_command

ROOT = Path(__file__).parents[2]
HERE = Path(__file__).parent


def landed() -> dict[str, str]:
    """The hash of each migration of a release, by its path."""
    rows = (HERE / "landed.txt").read_text().split("\n")
    return {path: sha256 for sha256, path in (row.split() for row in rows if row)}


def test_the_first_migrations_are_among_those_that_are_held():
    assert {
        "shopapp/migrations/0001_the_building.py",
        "jobs/migrations/0001_the_path.py",
        "mixing/migrations/0001_the_bench.py",
    } <= set(landed())


@pytest.mark.parametrize("path", landed())
def test_a_landed_migration_is_never_edited(path: str):
    found = hashlib.sha256((ROOT / path).read_bytes()).hexdigest()
    assert found == landed()[path], (
        f"{path} has landed in shops: put it back as it was, and write another."
    )


@pytest.mark.django_db
def test_every_change_of_a_model_has_its_migration():
    out = io.StringIO()
    try:
        call_command("makemigrations", check=True, dry_run=True, stdout=out)
    except SystemExit:
        pytest.fail(out.getvalue())
