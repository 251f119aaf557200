"""The section about the customer's page, on a booking and on an order."""

from __future__ import annotations

from typing import Any

from jobs.mail.section_queries import mail_section
from jobs.models import Booking, CustomerEstimate, WorkOrder
from jobs.public.customer_forms import RegisterForm
from jobs.public.forms import LinkForm
from jobs.public.link_queries import Linked, is_reachable, links_of
from shopapp.pressing import Bound, form_for


def customer_section(row: Linked, bound: Bound | None) -> dict[str, Any]:
    """What `jobs/public/_customer_section.html` reads."""
    known = {"number": row.film_registered_as} if isinstance(row, WorkOrder) else {}
    return {
        **mail_section(row),
        "reports": row.customer_reports.all() if isinstance(row, WorkOrder) else (),
        "register_form": form_for(
            lambda: RegisterForm(initial=known), bound, "film_register"
        ),
        "links": links_of(row),
        "language": row.customer.language,
        "is_reachable": is_reachable(),
        "link_form": form_for(LinkForm, bound, MAKE[type(row)]),
    }


MAKE = {
    WorkOrder: "link_make",
    Booking: "booking_link_make",
    CustomerEstimate: "estimate_link_make",
}
"""The button that makes a link, by what it is for."""
