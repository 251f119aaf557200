"""Papers of an order, newest version first, with the state of those being made."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from jobs.models import Paper, WorkOrder
from mixing.models import Fill
from shopapp.media import is_here
from shopapp.models import BackgroundTask

TASK = "papers.issue"


@dataclass(frozen=True, kw_only=True)
class PaperShown:
    """One version of a paper and how far it is."""

    row: Paper
    is_failed: bool

    @property
    def is_issued(self) -> bool:
        """Whether there is a file to print."""
        return self.row.state == Paper.State.ISSUED

    @property
    def is_being_made(self) -> bool:
        """Whether the worker has it still before it."""
        return not self.is_issued and not self.is_failed


@dataclass(frozen=True, kw_only=True)
class PaperSeries:
    """A paper with all its versions."""

    newest: PaperShown
    older: tuple[PaperShown, ...]


def shown_paper(paper: Paper) -> PaperShown:
    """A paper, and whether its making was given up."""
    return _shown([paper])[0]


def is_lost(paper: Paper) -> bool:
    """Whether it was issued and its file is damaged, here and in the backups."""
    return paper.file is not None and not is_here(paper.file)


def papers_of_order(order: WorkOrder) -> list[PaperSeries]:
    """The order's papers by number, each with its versions."""
    rows = Paper.objects.filter(workorder=order).select_related("asked_by", "file")
    known = _shown(list(rows.order_by("number", "-version")))
    found = []
    for _, versions in groupby(known, key=lambda shown: shown.row.number):
        newest, *older = versions
        found.append(PaperSeries(newest=newest, older=tuple(older)))
    return sorted(found, key=lambda series: -series.newest.row.pk)


def fills_to_label(order: WorkOrder) -> list[Fill]:
    """Vessels that hold a solution of this order."""
    return list(
        Fill.objects.filter(
            batch__order_batches__workorder=order, emptied_at__isnull=True
        )
        .select_related("vessel", "batch")
        .order_by("batch_id", "vessel_id")
        .distinct()
    )


def _shown(papers: list[Paper]) -> list[PaperShown]:
    """A paper is given up when its newest task is; the task row is the truth."""
    waiting = [paper for paper in papers if paper.state != Paper.State.ISSUED]
    subjects = [f"paper {paper.pk}" for paper in waiting]
    tasks = BackgroundTask.objects.filter(kind=TASK, subject__in=subjects)
    states = {task.subject: task.state for task in tasks.order_by("pk")}
    ended = {BackgroundTask.State.FAILED, BackgroundTask.State.STOPPED}
    return [
        PaperShown(row=paper, is_failed=states.get(f"paper {paper.pk}") in ended)
        for paper in papers
    ]
