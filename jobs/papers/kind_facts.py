"""The kinds of papers: where their facts come from, their number, their page."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from jobs.models import Customer, Paper, WorkOrder
from jobs.papers.care_facts import care_facts
from jobs.papers.cut_list_facts import cut_list_paper
from jobs.papers.day_sheet_facts import day_sheet_facts
from jobs.papers.estimate_facts import estimate_facts, estimate_number, version_of
from jobs.papers.facts import Json
from jobs.papers.film_record_facts import film_record_facts
from jobs.papers.money_facts import (
    invoice_facts,
    money_number,
    payer_of,
    receipt_facts,
    statement_facts,
)
from jobs.papers.morning_facts import morning_facts
from jobs.papers.offcut_label_facts import SUBJECTS as OF_FILM
from jobs.papers.offcut_label_facts import offcut_label_number, offcut_labels_facts
from jobs.papers.plan_facts import shown_plan
from jobs.papers.plan_week_facts import plan_week_facts
from jobs.papers.register_facts import NUMBER, register_facts
from jobs.papers.sheet_facts import mixing_sheet_facts
from jobs.papers.vessel_label_facts import SUBJECTS as OF_VESSELS
from jobs.papers.vessel_label_facts import label_number, labels_facts
from jobs.papers.visit_facts import (
    booking_of,
    confirmation_facts,
    drop_off_facts,
)
from jobs.papers.work_order_facts import work_order_facts
from jobs.plan.planned import ShopPlan

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
    def day(self) -> date:
        """The day of a subject such as "day 2031-05-06"."""
        return date.fromisoformat(self.subject.removeprefix("day "))

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
    is_frozen  what it said once it says for ever, in any size
    reader    the customer whose language it is in; None: the shop's
    """

    facts: Callable[[Wanted], Json]
    template: str
    number: Callable[[Wanted], str]
    attaches: bool = False
    size: str = ""
    icon: str = ""
    is_frozen: bool = False
    reader: Callable[[Wanted], Customer] | None = None


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


def _plan() -> ShopPlan:
    plan = shown_plan()
    if plan is None:
        raise ValueError("without a plan there is no sheet of it")
    return plan


def _day_sheet(wanted: Wanted, *, for_desk: bool) -> Json:
    return day_sheet_facts(_plan(), day=wanted.day, for_desk=for_desk)


def _of_order(wanted: Wanted) -> Customer:
    return wanted.order.customer


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
        reader=_of_order,
    ),
    Paper.Kind.FILM_RECORD: PaperKind(
        facts=lambda wanted: film_record_facts(wanted.order, at=wanted.at),
        template="papers/film_record.html",
        number=lambda wanted: f"{wanted.order.number}-FILM",
        icon="label",
        reader=_of_order,
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
    Paper.Kind.DAY_SHEET: PaperKind(
        facts=lambda wanted: _day_sheet(wanted, for_desk=False),
        template="papers/day_sheet.html",
        number=lambda wanted: f"DAY-{wanted.day:%Y-%m-%d}",
    ),
    Paper.Kind.DESK_SHEET: PaperKind(
        facts=lambda wanted: _day_sheet(wanted, for_desk=True),
        template="papers/day_sheet.html",
        number=lambda wanted: f"DESK-{wanted.day:%Y-%m-%d}",
    ),
    Paper.Kind.MORNING: PaperKind(
        facts=lambda wanted: morning_facts(wanted.day, size=wanted.size, at=wanted.at),
        template="papers/morning.html",
        number=lambda wanted: f"MORNING-{wanted.day:%Y-%m-%d}",
    ),
    Paper.Kind.PLAN_WEEK: PaperKind(
        facts=lambda wanted: plan_week_facts(_plan(), first=wanted.day),
        template="papers/plan_week.html",
        number=lambda wanted: f"WEEK-{wanted.day:%Y-%m-%d}",
    ),
    Paper.Kind.INVOICE: PaperKind(
        facts=lambda wanted: invoice_facts(wanted.subject),
        template="papers/invoice.html",
        reader=lambda wanted: payer_of(wanted.subject),
        number=lambda wanted: money_number(wanted.subject),
        attaches=True,
        is_frozen=True,
    ),
    Paper.Kind.RECEIPT: PaperKind(
        facts=lambda wanted: receipt_facts(wanted.subject),
        template="papers/receipt.html",
        reader=lambda wanted: payer_of(wanted.subject),
        number=lambda wanted: money_number(wanted.subject),
        attaches=True,
        is_frozen=True,
    ),
    Paper.Kind.STATEMENT: PaperKind(
        facts=lambda wanted: statement_facts(wanted.subject),
        template="papers/statement.html",
        reader=lambda wanted: payer_of(wanted.subject),
        number=lambda wanted: money_number(wanted.subject),
        attaches=True,
    ),
    Paper.Kind.ESTIMATE: PaperKind(
        facts=lambda wanted: estimate_facts(wanted.subject),
        template="papers/estimate.html",
        number=lambda wanted: estimate_number(wanted.subject),
        attaches=True,
        reader=lambda wanted: version_of(wanted.subject).estimate.customer,
    ),
    Paper.Kind.CONFIRMATION: PaperKind(
        facts=lambda wanted: confirmation_facts(wanted.subject),
        template="papers/confirmation.html",
        number=lambda wanted: f"B-{booking_of(wanted.subject).pk:05d}",
        reader=lambda wanted: booking_of(wanted.subject).customer,
    ),
    Paper.Kind.DROP_OFF: PaperKind(
        facts=lambda wanted: drop_off_facts(wanted.order),
        template="papers/drop_off.html",
        number=lambda wanted: f"{wanted.order.number}-DROP",
        icon="key",
        reader=_of_order,
    ),
}
