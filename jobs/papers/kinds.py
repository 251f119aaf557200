"""The kinds of papers: where their facts come from, their number, their page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from jobs.models import Paper, WorkOrder
from jobs.papers.care import care_facts
from jobs.papers.facts import Json
from jobs.papers.work_order import work_order_facts

Facts = Callable[[WorkOrder | None, str, datetime], Json]


@dataclass(frozen=True, kw_only=True)
class PaperKind:
    """One kind of paper.

    facts        of an order and a subject, at a moment
    template     its page
    suffix       ends its number
    attaches     whether its facts travel inside it as JSON
    size         its usual size; empty: the shop's paper
    is_of_order  whether it can be asked for on an order's page
    """

    facts: Facts
    template: str
    suffix: str
    attaches: bool = False
    size: str = ""
    is_of_order: bool = True

    def number(self, workorder: WorkOrder | None, subject: str) -> str:
        """The number that all versions of this paper carry."""
        head = workorder.number if workorder else subject
        return f"{head}-{self.suffix}" if self.suffix else head


KINDS: Mapping[str, PaperKind] = {
    Paper.Kind.WORK_ORDER: PaperKind(
        facts=lambda order, subject, at: work_order_facts(_of(order), at=at),
        template="papers/work_order.html",
        suffix="WO",
        attaches=True,
    ),
    Paper.Kind.CARE: PaperKind(
        facts=lambda order, subject, at: care_facts(_of(order), at=at),
        template="papers/care.html",
        suffix="CARE",
    ),
}


def _of(workorder: WorkOrder | None) -> WorkOrder:
    if workorder is None:
        raise ValueError("this paper is of an order")
    return workorder
