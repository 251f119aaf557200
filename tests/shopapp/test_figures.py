"""A figure names its formula by a key that outlives every move of the code."""

from __future__ import annotations

import ast
import csv
import os
import subprocess
import sys
from pathlib import Path

import pytest

from shopapp.figures import (
    GIVEN,
    Figure,
    Range,
    computed,
    explain,
    formula,
    given,
    key_of,
    per_cent,
)

ROOT = Path(__file__).resolve().parent.parent.parent
KEPT = ROOT / "tests" / "upgrades" / "made_by.csv"
"""Every path that a figure was ever stored with, and the key that it stands for."""


def kept() -> list[dict[str, str]]:
    with KEPT.open() as file:
        return list(csv.DictReader(file))


@formula("test_figures.doubled_ml", was=("old.twice_ml",))
def doubled_ml(*, volume_ml: float) -> float:
    """Twice a volume.

        double = 2 * volume

    Source: definition.
    """
    return 2 * volume_ml


@formula("test_figures.spot_ml")
def spot_ml(*, volume_ml: float) -> Range:
    return Range(value=volume_ml, low=volume_ml - 1, high=volume_ml + 1)


def test_a_formula_stays_the_plain_function_that_it_was():
    assert doubled_ml(volume_ml=4) == 8
    assert doubled_ml.__name__ == "doubled_ml"


def test_computed_calls_the_formula_and_keeps_its_key_and_inputs():
    stock = given(4.0, "ml", "label")
    figure = computed(doubled_ml, "ml", (7.5, 8.5), volume_ml=stock)
    assert (figure.value, figure.unit) == (8.0, "ml")
    assert figure.made_by == "test_figures.doubled_ml"
    assert figure.inputs == (("volume_ml", stock),)
    assert (figure.low, figure.high) == (7.5, 8.5)


def test_a_formula_that_knows_its_range_gives_it_to_the_figure():
    figure = computed(spot_ml, "ml", volume_ml=4.0)
    assert (figure.low, figure.value, figure.high) == (3.0, 4.0, 5.0)


def test_inputs_may_be_shown_under_other_names():
    figure = computed(doubled_ml, "ml", None, (("bottle", "B1"),), volume_ml=4.0)
    assert (figure.value, figure.inputs) == (8.0, (("bottle", "B1"),))


def test_a_share_is_shown_as_per_cent_with_the_same_formula():
    figure = per_cent(computed(doubled_ml, "", volume_ml=0.25))
    assert (figure.value, figure.unit) == (50.0, "pct")
    assert figure.made_by == "test_figures.doubled_ml"


def test_a_function_without_a_key_makes_no_figure():
    with pytest.raises(KeyError):
        computed(float, "ml")


@pytest.mark.parametrize("key", ["test_figures.doubled_ml", "old.twice_ml"])
def test_two_formulas_never_share_a_key(key):
    with pytest.raises(ValueError, match="two formulas"):
        formula(key)(lambda: 0.0)


def test_a_stored_figure_is_read_with_the_key_of_today():
    stored = computed(doubled_ml, "ml", volume_ml=given(4.0, "ml", "label")).to_json()
    now = Figure.from_json(stored)
    for old in ("jobs.somewhere.test_figures.doubled_ml", "mixing.old.twice_ml"):
        assert Figure.from_json(stored | {"made_by": old}) == now
    assert key_of(GIVEN) == GIVEN


def test_what_no_formula_is_called_cannot_be_explained():
    for name in ("os.path.join", GIVEN, "", "mixing.sheet.balance"):
        with pytest.raises(LookupError):
            explain(name)


@pytest.mark.parametrize("loaded", ["shopapp.urls", "jobs.tasks"])
def test_a_fresh_process_explains_every_path_that_was_ever_stored(loaded):
    """Pages start from the URLconf, a worker's papers from its tasks."""
    code = f"""
import csv, importlib, sys
import django
django.setup()
importlib.import_module("{loaded}")
from shopapp.figures import explain, key_of
for row in csv.DictReader(open("{KEPT}")):
    assert key_of(row["path"]) == row["key"], row
    assert explain(row["path"]) == explain(row["key"]), row
"""
    settings = {"DJANGO_SETTINGS_MODULE": "shopapp.settings"}
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env=os.environ | settings,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    assert len(kept()) > 70


def test_a_figure_is_made_in_one_place():
    """Elsewhere `given`, `computed` and `part_of` make it, or `from_json` reads it."""
    for package in ("jobs", "mixing", "shopapp"):
        for path in (ROOT / package).rglob("*.py"):
            if path == ROOT / "shopapp" / "figures.py":
                continue
            for node in ast.walk(ast.parse(path.read_text())):
                if not isinstance(node, ast.Call):
                    continue
                called = ast.unparse(node.func)
                assert called.split(".")[-1] != "Figure", (path, node.lineno)
                named = {keyword.arg for keyword in node.keywords}
                is_copy = called == "replace"
                assert not (is_copy and "made_by" in named), (path, node.lineno)
