"""Every event that an action leaves is said in words, not by its code."""

from __future__ import annotations

import ast

from jobs.papers.kept_facts import DOCUMENTS
from jobs.papers.kind_facts import KINDS
from jobs.workorders.history_words import WORDS
from tests.test_architecture import modules, tree_of


def event_words() -> dict[str, str]:
    """Each `what` that is written out in a call of `event`, and the module with it."""
    return {
        part.value: name
        for name in modules()
        for call in ast.walk(tree_of(name))
        if isinstance(call, ast.Call)
        and getattr(call.func, "attr", "") == "event"
        and len(call.args) == 2
        if not isinstance(call.args[1], ast.JoinedStr)
        for part in ast.walk(call.args[1])
        if isinstance(part, ast.Constant)
    }


def test_every_event_has_its_sentence():
    found = event_words()
    assert len(found) > 50
    assert {what: where for what, where in found.items() if what not in WORDS} == {}


def test_every_kind_of_paper_has_its_document():
    assert set(KINDS) == set(DOCUMENTS)
