"""A paper of an earlier release that is asked for again is the same paper.

Other words, new fields and other names of formulas are no new version. What this
release corrected is one, and stands here with its reason: an installer who prints
again shall have the graver word, and not the paper of before.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.utils import timezone

from jobs.models import OffCut, Paper
from jobs.papers.actions import issue_label, issue_paper
from jobs.papers.kept_facts import DOCUMENTS, changes_since
from jobs.papers.kind_facts import KINDS, Wanted
from shopapp.models import Shop
from tests.furnished import Furnished, do, rolled_back
from tests.upgrades.kept import RELEASES, upgraded

CORRECTED: dict[str, dict[str, str]] = {
    "work_order": {
        "checklists": "the seconds of the water check are a least, not a most; the "
        "list of a new round is shown beside the one of the old",
        "film": "each take is told by itself, and not one cut list",
        "safety": "what nobody entered is NOT ASSESSED, it stood as OK",
        "sheet": "as of the mixing sheet",
    },
    "mixing_sheet": {
        "sheet.open_time": "follows the newest reading and the shop's own patch",
        "sheet.water": "follows the newest test of the water",
        "sheet.solutions": "all batches of a round count; gel where it is advised",
    },
    "vessel_label": {
        "labels": "a soap whose data sheet nobody read is named; a lasting label "
        "carries no batch",
    },
    "register": {
        "places": "a category that nobody entered is none, it stood as 0",
        "state": "and is NOT ASSESSED",
        "sums": "a sum of places that are near each other",
        "to_enter": "names what nobody entered",
    },
}
"""By kind: where a paper says something else than in the first release, and why."""


@pytest.fixture(scope="module", params=RELEASES)
def papers(
    request, tmp_path_factory, django_db_setup, django_db_blocker
) -> Iterator[list[Paper]]:
    """The newest paper of each number, in a base of a release; phone as it was."""
    folder = tmp_path_factory.mktemp("kept")
    with (
        django_db_blocker.unblock(),
        upgraded(request.param, folder),
        rolled_back(),
    ):
        newest = {row.number: row for row in Paper.objects.order_by("pk")}
        cared = Paper.objects.filter(kind=Paper.Kind.CARE).order_by("pk")[0]
        Shop.objects.update(phone=cared.facts["phone"])
        yield [paper for paper in newest.values() if stands(paper)]


def stands(paper: Paper) -> bool:
    """Whether the rows that it is of are as they were when it was asked."""
    what, _, key = paper.subject.partition(" ")
    if what == "offcut":
        return OffCut.objects.filter(pk=int(key), used_at=None).exists()
    # Pieces of a pull are used up one by one; a kind was marked anew after V-S3.
    if what == "pull" or paper.number == "V-S3":
        return False
    return paper.facts.get("phone") in (None, Shop.objects.get().phone)


def changes(paper: Paper) -> list[str]:
    """Where it would say something else today."""
    wanted = Wanted(
        workorder=paper.workorder,
        subject=paper.subject,
        size=paper.size,
        at=timezone.now(),
    )
    fresh = DOCUMENTS[paper.kind].stamp(KINDS[paper.kind].facts(wanted))
    return changes_since(paper, fresh)


def ask_again(paper: Paper, person: Any) -> int:
    """The paper that its button leads to now."""
    if paper.workorder_id:
        asked = {"workorder_pk": paper.workorder_id, "kind": paper.kind}
        answer = do(person, issue_paper, **asked, size=paper.size)
    else:
        answer = do(person, issue_label, subject=paper.subject, size=paper.size)
    return int(answer["pk"])


def test_no_old_paper_says_anything_else_but_what_was_corrected(papers: list[Paper]):
    unexplained = [
        (str(paper), place)
        for paper in papers
        for place in changes(paper)
        if not place.startswith(tuple(CORRECTED.get(paper.kind, ())) or "-")
    ]
    assert unexplained == []


def test_an_old_paper_asked_again_is_the_same_paper(papers: list[Paper]):
    mara = Furnished().mara
    same = [paper for paper in papers if paper.kind not in CORRECTED]
    assert {paper.kind for paper in same} == {"care", "cut_list", "offcut_label"}
    assert [ask_again(paper, mara) for paper in same] == [paper.pk for paper in same]


def test_a_paper_of_today_asked_again_is_the_same_paper(papers: list[Paper]):
    mara = Furnished().mara
    kinds = ("work_order", "mixing_sheet")
    for paper in (each for each in papers if each.kind in kinds):
        new = ask_again(paper, mara)
        row = Paper.objects.get(pk=new)
        assert (row.replaces_id, row.version) == (paper.pk, paper.version + 1)
        assert ask_again(paper, mara) == new
