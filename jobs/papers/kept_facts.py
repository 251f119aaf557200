"""What a paper kept, for code that has changed since: it says what it said then.

A step moves what was said to where it stands now. It adds nothing that the paper did
not say; a template leaves out what is not there.
"""

from __future__ import annotations

from collections.abc import Mapping

from jobs.models import Paper
from jobs.papers.facts import Json
from mixing.sheet.queries import kept_facts
from shopapp.documents import Document, differences, version_of


def _with_film_by_take(facts: Json) -> Json:
    """The first product knew one cut list, taken or not."""
    if "taken" not in facts["film"]:
        empty = {"taken": [], "wound_back": [], "lots": ""}
        film = {**empty, **facts["film"], "waiting": facts["film"]["cut_list"]}
        facts = {**facts, "film": film}
    return facts


def _as_it_was(facts: Json) -> Json:
    """More is said now; nothing moved."""
    return facts


DOCUMENTS: Mapping[str, Document] = {
    Paper.Kind.WORK_ORDER: Document(kind="work order", steps={1: _with_film_by_take}),
    Paper.Kind.MIXING_SHEET: Document(kind="mixing sheet on paper"),
    Paper.Kind.CUT_LIST: Document(kind="cut list", steps={1: _as_it_was}),
    Paper.Kind.CARE: Document(kind="care sheet", steps={1: _as_it_was, 2: _as_it_was}),
    Paper.Kind.FILM_RECORD: Document(kind="film record"),
    Paper.Kind.VESSEL_LABEL: Document(kind="vessel's label", steps={1: _as_it_was}),
    Paper.Kind.OFFCUT_LABEL: Document(kind="off-cut's label"),
    Paper.Kind.REGISTER: Document(kind="register of chemicals"),
    Paper.Kind.DAY_SHEET: Document(kind="day sheet"),
    Paper.Kind.DESK_SHEET: Document(kind="day sheet for the desk"),
    Paper.Kind.MORNING: Document(kind="morning's papers"),
    Paper.Kind.PLAN_WEEK: Document(kind="week's plan"),
    Paper.Kind.INVOICE: Document(kind="invoice", steps={1: _as_it_was}),
    Paper.Kind.RECEIPT: Document(kind="receipt", steps={1: _as_it_was}),
    Paper.Kind.STATEMENT: Document(kind="account statement", steps={1: _as_it_was}),
    Paper.Kind.ESTIMATE: Document(kind="estimate"),
    Paper.Kind.CONFIRMATION: Document(kind="confirmation of a booking"),
    Paper.Kind.DROP_OFF: Document(kind="drop-off note", steps={1: _as_it_was}),
}
WITH_A_SHEET = (Paper.Kind.WORK_ORDER, Paper.Kind.MIXING_SHEET)
WORDED_ANEW: Mapping[str, Mapping[int, tuple[str, ...]]] = {
    # The advice to the customer was rewritten; its days stand beside it.
    Paper.Kind.CARE: {1: ("lines",)},
    # "Scratch clear" is "scratch in the clear coat"; the marks are the same.
    Paper.Kind.WORK_ORDER: {1: ("red_lines",)},
}
"""By kind and version: what was said in other words, and is no change by itself."""


def facts_kept(paper: Paper) -> Json:
    """The facts of a paper as this version reads them."""
    facts = DOCUMENTS[paper.kind].upgrade(paper.facts)
    if paper.kind in WITH_A_SHEET and facts["sheet"]:
        facts["sheet"] = kept_facts(facts["sheet"])
    return facts


def changes_since(paper: Paper, fresh: Json) -> list[str]:
    """Where a paper made now says something else than one that was kept.

    Of one that another version of the program kept only what it said counts.
    """
    kept, version = facts_kept(paper), version_of(paper.facts)
    if version == DOCUMENTS[paper.kind].newest:
        return differences(kept, fresh)
    worded = WORDED_ANEW.get(paper.kind, {}).get(version, ())
    said = {name: part for name, part in kept.items() if name not in worded}
    return differences(said, fresh, of_both=True)
