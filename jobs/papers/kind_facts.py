"""The kinds of papers: where their facts come from, their number, their page."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from jobs.models import Paper, WorkOrder
from jobs.papers.care_facts import care_facts
from jobs.papers.cut_list_facts import cut_list_paper
from jobs.papers.facts import Json
from jobs.papers.offcut_label_facts import SUBJECTS as OF_FILM
from jobs.papers.offcut_label_facts import offcut_label_number, offcut_labels_facts
from jobs.papers.register_facts import NUMBER, register_facts
from jobs.papers.sheet_facts import mixing_sheet_facts
from jobs.papers.vessel_label_facts import SUBJECTS as OF_VESSELS
from jobs.papers.vessel_label_facts import label_number, labels_facts
from jobs.papers.work_order_facts import work_order_facts

MM = re.compile(r"(\d{2,3})x(\d{2,3})(?: (A4|Letter))?")
"""A label's sides, and the sheet that many of them stand on."""
LABELLED = (*OF_VESSELS, *OF_FILM)
"""What labels may be asked for."""
SHEETS = ("A4", "Letter")


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What is asked: a paper of an order or a subject, in a size, at a moment."""

    workorder: WorkOrder | None
    subject: str
    size: str
    at: datetime

    @property
    def order(self) -> WorkOrder:
        """The order, for a paper that is of one."""
        if self.workorder is None:
            raise ValueError("this paper is of an order")
        return self.workorder

    @property
    def sides_mm(self) -> tuple[float, float]:
        """Width and height of a label."""
        found = MM.fullmatch(self.size)
        if found is None:
            raise ValueError(f"{self.size!r} is no label's size")
        return float(found[1]), float(found[2])

    @property
    def sheet(self) -> str:
        """The sheet that labels stand on; empty for a label printer."""
        found = MM.fullmatch(self.size)
        return found[3] or "" if found else ""


@dataclass(frozen=True, kw_only=True)
class PaperKind:
    """One kind of paper.

    facts     of what is wanted
    template  its page
    number    that all its versions carry
    attaches  whether its facts travel inside it as JSON
    size      its usual size; empty: the shop's paper
    icon      on the order's page; empty: not asked for there
    """

    facts: Callable[[Wanted], Json]
    template: str
    number: Callable[[Wanted], str]
    attaches: bool = False
    size: str = ""
    icon: str = ""


def _label(wanted: Wanted) -> Json:
    width_mm, height_mm = wanted.sides_mm
    return labels_facts(
        wanted.subject, width_mm=width_mm, height_mm=height_mm, sheet=wanted.sheet
    )


def _offcut_label(wanted: Wanted) -> Json:
    width_mm, height_mm = wanted.sides_mm
    return offcut_labels_facts(
        wanted.subject, width_mm=width_mm, height_mm=height_mm, sheet=wanted.sheet
    )


KINDS: Mapping[str, PaperKind] = {
    Paper.Kind.WORK_ORDER: PaperKind(
        facts=lambda wanted: work_order_facts(wanted.order, at=wanted.at),
        template="papers/work_order.html",
        number=lambda wanted: f"{wanted.order.number}-WO",
        attaches=True,
        icon="print",
    ),
    Paper.Kind.MIXING_SHEET: PaperKind(
        facts=lambda wanted: mixing_sheet_facts(wanted.order, at=wanted.at),
        template="papers/mixing_sheet.html",
        number=lambda wanted: f"{wanted.order.number}-MIX",
        icon="flask",
    ),
    Paper.Kind.CUT_LIST: PaperKind(
        facts=lambda wanted: cut_list_paper(wanted.order),
        template="papers/cut_list.html",
        number=lambda wanted: f"{wanted.order.number}-CUT",
        icon="film",
    ),
    Paper.Kind.CARE: PaperKind(
        facts=lambda wanted: care_facts(wanted.order, at=wanted.at),
        template="papers/care.html",
        number=lambda wanted: f"{wanted.order.number}-CARE",
        icon="handover",
    ),
    Paper.Kind.VESSEL_LABEL: PaperKind(
        facts=_label,
        template="papers/vessel_label.html",
        number=lambda wanted: label_number(wanted.subject),
        size="57x32",
    ),
    Paper.Kind.OFFCUT_LABEL: PaperKind(
        facts=_offcut_label,
        template="papers/offcut_label.html",
        number=lambda wanted: offcut_label_number(wanted.subject),
        size="57x32",
    ),
    Paper.Kind.REGISTER: PaperKind(
        facts=lambda wanted: register_facts(at=wanted.at),
        template="papers/register.html",
        number=lambda wanted: NUMBER,
    ),
}
