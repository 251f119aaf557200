"""Which files of the program speak to customers: these are translated (pure)."""

from __future__ import annotations

from fnmatch import fnmatch

FOR_CUSTOMERS = (
    "templates/public/*.html",
    "templates/papers/care.html",
    "templates/papers/film_record.html",
    "templates/_care_days.html",
    "templates/_film_facts.html",
    "templates/papers/base_print.html",
    "templates/papers/estimate.html",
    "templates/papers/confirmation.html",
    "templates/papers/drop_off.html",
    "templates/papers/_signed.html",
    "templates/papers/_agreed_price.html",
    "templates/papers/_covered.html",
    "templates/papers/_seller.html",
    "templates/papers/_money_foot.html",
    "templates/papers/invoice.html",
    "templates/papers/receipt.html",
    "templates/papers/statement.html",
    "jobs/money/line_queries.py",
    "jobs/money/models.py",
    "jobs/invoices/queries.py",
    "templates/_came_back.html",
    "templates/_field.html",
    "jobs/public/*.py",
    "jobs/additions/actions.py",
    "jobs/additions/fulfil_actions.py",
    "jobs/additions/offered.py",
    "jobs/additions/public_pages.py",
    "jobs/checks/photo_forms.py",
    "jobs/condition/agreement_actions.py",
    "jobs/estimates/accept_actions.py",
    "jobs/estimates/accept_forms.py",
    "jobs/estimates/public_pages.py",
    "jobs/estimates/queries.py",
    "jobs/bookings/prepare.py",
    "jobs/condition/terms.py",
    "jobs/stages/table.py",
    "shopapp/media.py",
    "shopapp/pressing.py",
    "shopapp/telling.py",
)
"""Paths from the top of the program, as patterns."""
FOR_THE_DESK = (
    *("jobs/public/desk_*.py", "jobs/public/link_actions.py"),
    *("jobs/public/link_pages.py", "jobs/public/section_pages.py"),
)


def is_for_customers(path: str) -> bool:
    """Whether a customer reads sentences of this file.

    >>> is_for_customers("templates/public/order.html")
    True
    >>> is_for_customers("templates/jobs/path/floor.html")
    False
    """
    desk = any(fnmatch(path, pattern) for pattern in FOR_THE_DESK)
    return not desk and any(fnmatch(path, pattern) for pattern in FOR_CUSTOMERS)
