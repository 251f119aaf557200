"""What customers of the demo shop are asked, and what one of them wrote."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from jobs.checks.actions import add_mark
from jobs.customers.actions import change_customer
from jobs.demo.pictures import lifted_edge, patch_of_paint
from jobs.demo.steps import Cast
from jobs.demo.story import Story
from jobs.models import Customer, WorkOrder
from jobs.public.report_actions import send_report
from jobs.stages.table import CLOSED
from shopapp.frame import Tap, perform
from shopapp.media import keep_bytes
from shopapp.models import HistoryEntry, Person

WROTE = (
    "Junto al faro izquierdo se levanta un borde, como un centímetro. "
    "Está así desde ayer."
)


def ask_about_a_mark(story: Story) -> None:
    """The wash brought a repainted patch to light: the customer is asked."""
    photo = keep_bytes(patch_of_paint((226, 226, 222), (214, 212, 200)), "image/jpeg")
    _press(
        story.cast.prep,
        story.clock,
        add_mark,
        workorder_pk=story.order_pk,
        panel="front_fender_left",
        kind="repaint_line",
        severity=2,
        size_mm=180,
        photo=photo,
    )


def write_to_the_shop(*, cast: Cast, at: datetime) -> None:
    """The newest private customer reads Spanish, and writes that an edge lifts."""
    closed = WorkOrder.objects.filter(stage=CLOSED.value, return_of=None)
    order = closed.exclude(on_account=True).order_by("pk").last()
    if order is None:
        return
    customer = Customer.objects.get(pk=order.customer.pk)
    kept = ("name", "phone", "email", "is_account", "notes", "address")
    _press(
        cast.desk,
        at - timedelta(days=6),
        change_customer,
        customer_pk=customer.pk,
        language=Customer.Language.SPANISH.value,
        **{name: getattr(customer, name) for name in kept},
    )
    photo = keep_bytes(lifted_edge((92, 22, 40)), "image/jpeg")
    _press(None, at, send_report, workorder_pk=order.pk, words=WROTE, photos=[photo])


def _press(
    who: Person | None, at: datetime, do: Callable[..., Any], /, **facts: Any
) -> None:
    """A button with a key of its own: the demo's chances stay what they are."""
    via = HistoryEntry.Via.DEMO if who else HistoryEntry.Via.LINK
    tap = Tap.made_by(who, at=at, via=via, key=f"demo-said-{do.__name__}")
    perform(tap, do, **facts)
