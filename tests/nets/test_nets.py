"""The nets hold: a page is told the same twice, and each seeded fault can be put in."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from tests.nets.compare import compare
from tests.nets.mutants import killers, listed, places
from tests.nets.plain_html import plain_html

MUTANTS = {mutant.name: mutant for mutant in listed()}
PARTS = ("pages", "papers", "presses")


def test_there_are_thirty_seeded_faults_and_more():
    assert len(MUTANTS) >= 30


@pytest.mark.parametrize("name", MUTANTS)
def test_a_seeded_fault_changes_one_text_and_its_test_is_there(name: str):
    mutant = MUTANTS[name]
    assert len(places(mutant)) == 1, "say its text as it stands now"
    assert mutant.old != mutant.new
    (path,) = killers(mutant)
    tests = {
        node.name
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.FunctionDef)
    }
    assert mutant.killer.partition("::")[2] in tests


def test_a_key_and_the_order_of_attributes_are_no_change():
    one = '<input name="key" type="hidden" value="0123"> <p class="a  b">c</p>'
    other = '<input type="hidden" name="key" value="4567"><p class="a b"> c</p>'
    assert plain_html(one) == plain_html(other)


@pytest.mark.parametrize(
    "other", ["<b>a</b><b>b</b>", "<b>a</b> <i>b</i>", '<b id="x">a</b> <b>b</b>']
)
def test_a_space_a_tag_and_an_attribute_are_changes(other: str):
    assert plain_html("<b>a</b> <b>b</b>") != plain_html(other)


def _kept(folder: Path, *, page: str, tests: str) -> Path:
    for part in PARTS:
        (folder / part).mkdir(parents=True)
        (folder / part / "one.html").write_text("same\n")
    (folder / "pages" / "one.html").write_text(page)
    (folder / "urls.csv").write_text("name\n")
    (folder / "tests.txt").write_text(tests)
    return folder


def test_a_changed_page_is_told_and_a_moved_test_is_not(tmp_path: Path, capsys):
    old = _kept(tmp_path / "old", page="a\n", tests="tests/jobs/test_a.py::test_b\n")
    new = _kept(tmp_path / "new", page="b\n", tests="tests/cars/test_a.py::test_b\n")
    assert compare(old, old) == 0
    assert compare(old, new) == 1
    told = capsys.readouterr().out
    assert "pages: 1 of 1 differ" in told
    assert "GONE" not in told


def test_a_lost_page_and_a_lost_test_are_told(tmp_path: Path, capsys):
    old = _kept(tmp_path / "old", page="a\n", tests="tests/test_a.py::test_b\n")
    new = _kept(tmp_path / "new", page="a\n", tests="")
    (new / "pages" / "one.html").unlink()
    assert compare(old, new) == 1
    told = capsys.readouterr().out
    assert "only in" in told
    assert "GONE: test_a.py::test_b" in told
