"""What the estimate's form begins with, and how it stands while it is filled in."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.http import QueryDict
from django.utils import timezone

from jobs.additions.queries import menu
from jobs.bookings.figure_queries import work_lines
from jobs.bookings.first_forms import whose
from jobs.bookings.forms import WORK_ROWS
from jobs.bookings.typed_forms import taken
from jobs.coverage.catalogue import Body, Method, Package, default_choices
from jobs.coverage.forms import coverage_initial, most_used, with_package
from jobs.customers.forms import vehicle_initial
from jobs.estimates.forms import PLACES, EstimateForm
from jobs.estimates.queries import first_validity, works_of
from jobs.models import (
    Customer,
    CustomerEstimate,
    EstimateChoice,
    EstimatePanel,
    Vehicle,
)
from jobs.money.queries import listed_for
from jobs.prices.queries import price_of

Json = dict[str, Any]


def new_form(*, customer: Customer | None, vehicle: Vehicle | None) -> EstimateForm:
    """A fresh estimate: a full front to begin with, for whom it is known."""
    body = Body(vehicle.body) if vehicle else Body.SEDAN
    method, package = Method.HAND_FITTED, Package.FULL_FRONT
    usual = default_choices(package, body=body, method=method)
    initial = {
        **whose(customer=customer, vehicle=vehicle),
        "valid_until": first_validity(now=timezone.now()),
    }
    first = coverage_initial(package, usual, method=method)
    return EstimateForm(initial=initial, choices=[first])


def changed_form(row: CustomerEstimate) -> EstimateForm:
    """The newest version again, to offer something else; it holds anew."""
    version = row.versions.order_by("-number")[0]
    choices = version.choices.prefetch_related("panels", "works")
    initial = {
        **vehicle_initial(row.vehicle),
        "valid_until": first_validity(now=timezone.now()),
        "words": version.words,
    }
    starts = [choice_initial(each) for each in choices]
    return EstimateForm(row=row, initial=initial, choices=starts)


def choice_initial(choice: EstimateChoice) -> Json:
    """A package in the form; a price beside the list's stays as it was said."""
    rows = list(choice.panels.all())
    initial = coverage_initial(Package(choice.package), rows, method=most_used(rows))
    names = [work.name for work in choice.works.all()]
    known = menu().values_list("pk", "name")
    return {
        **initial,
        "film": choice.film_id,
        "works": [pk for pk, name in known if name in names],
        "price": None if choice.price == _listed(choice, rows) else choice.price,
    }


def _listed(choice: EstimateChoice, rows: list[EstimatePanel]) -> Decimal | None:
    """What the list asks of this customer for a package now."""
    vehicle = choice.version.estimate.vehicle
    found = price_of(
        package=Package(choice.package),
        codes=[each.panel for each in rows],
        body=Body(choice.version.body),
        size_class=vehicle.size_class,
        film=choice.film,
        added_work=work_lines(works_of(choice)),
    )
    customer = choice.version.estimate.customer
    return listed_for(customer, total=found.total) if found.is_complete else None


def booking_start(choice: EstimateChoice) -> Json:
    """A package of an estimate in the booking's form, at the price that was said."""
    row = choice.version.estimate
    rows = list(choice.panels.all())
    initial = coverage_initial(Package(choice.package), rows, method=most_used(rows))
    initial |= whose(customer=row.customer, vehicle=row.vehicle)
    initial |= {"film": choice.film_id, "price": choice.price}
    initial["estimate_choice"] = choice.pk
    for number, work in zip(WORK_ROWS, works_of(choice), strict=False):
        initial |= {f"work_{number}_{name}": work[name] for name in work}
    return initial


def as_typed(data: QueryDict, *, row: CustomerEstimate | None) -> EstimateForm:
    """What was typed so far, worked out and shown again without a word of blame."""
    data = taken(data)
    worked_out = EstimateForm(data, row=row)
    worked_out.is_valid()
    form = EstimateForm(
        row=row,
        initial=dict(data.items()),
        choices=[_start(data, place) for place in PLACES],
    )
    for shown, known in zip(form.choices, worked_out.choices, strict=True):
        shown.figures = known.figures
    return form


def _start(data: QueryDict, place: int) -> Json:
    head = f"p{place}-"
    typed = with_package(data, prefix=head)
    start: Json = {
        name.removeprefix(head): value
        for name, value in typed.items()
        if name.startswith(head)
    }
    start["works"] = typed.getlist(f"{head}works")
    return start
