"""What the customer's section of a booking or an order shows of mails."""

from __future__ import annotations

from typing import Any

from jobs.mail.kind_says import CALLED
from jobs.mail.queries import kinds_of, mails_about, no_address
from jobs.models import Booking, CustomerEstimate, WorkOrder
from jobs.public.link_queries import Linked


def mail_section(row: Linked) -> dict[str, Any]:
    """What `jobs/mail/_mails.html` reads."""
    return {
        "mail_kinds": [(kind.value, CALLED[kind]) for kind in kinds_of(row)],
        "mails": mails_about(row)[:20],
        "mail_no_address": no_address(row.customer),
        "mail_customer": row.customer,
        "mail_send_url": f"jobs:{BEGINS[type(row)]}mail_send",
        "mail_text_url": f"jobs:{BEGINS[type(row)]}mail_text",
    }


BEGINS = {WorkOrder: "", Booking: "booking_", CustomerEstimate: "estimate_"}
