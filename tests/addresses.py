"""Every URL of the shop, and rows of the demo shop to fill its arguments with."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver, reverse

from jobs.models import Mail, Supply
from tests.furnished import Furnished

ARGUMENT = re.compile(r"<(?:\w+:)?(\w+)>")
Known = dict[str, Any]


@dataclass(frozen=True)
class Route:
    """One URL: its name with the namespace, its pattern, its view."""

    name: str
    path: str
    view: Any = field(compare=False)

    @property
    def permission(self) -> str:
        """What the view asks for; empty when it is open to all."""
        return str(self.view.permission)

    @property
    def methods(self) -> frozenset[str]:
        """The methods it takes, as its decorator says."""
        view = self.view
        while view is not None:
            free = view.__code__.co_freevars
            if "request_method_list" in free:
                cell = view.__closure__[free.index("request_method_list")]
                return frozenset(cell.cell_contents)
            view = getattr(view, "__wrapped__", None)
        raise AssertionError(f"{self.name} does not say which methods it takes")

    @property
    def arguments(self) -> list[str]:
        """Names of its arguments, in order."""
        return ARGUMENT.findall(self.path)

    @property
    def is_by_link(self) -> bool:
        """Whether a customer's secret token opens it."""
        return self.path.startswith("c/<str:token>/")

    def address(self, known: Known) -> str:
        """The URL for these arguments."""
        return reverse(self.name, kwargs={name: known[name] for name in self.arguments})


def routes(
    resolver: URLResolver | None = None, *, prefix: str = "", space: str = ""
) -> Iterator[Route]:
    """Every URL of the URLconf."""
    for entry in (resolver or get_resolver()).url_patterns:
        path = prefix + str(entry.pattern)
        if isinstance(entry, URLResolver):
            inner = f"{space}{entry.namespace}:" if entry.namespace else space
            yield from routes(entry, prefix=path, space=inner)
        elif isinstance(entry, URLPattern):
            yield Route(f"{space}{entry.name}", path, entry.callback)


ROUTES = list(routes())


def known_for(route: Route, shop: Furnished) -> Known:
    """Arguments that lead somewhere; fails when nobody said which."""
    return _rows_for(route, shop)[0]


def foreign_for(route: Route, shop: Furnished) -> Known | None:
    """The same, but what is nested belongs to another order; None if nothing is."""
    rows = _rows_for(route, shop)
    if len(rows) < 2:
        return None
    own, other = rows
    outer = route.arguments[0]
    return {**other, outer: own[outer]}


def unknown_for(route: Route, shop: Furnished) -> Known | None:
    """The same with a first argument that leads nowhere."""
    if not route.arguments:
        return None
    known = known_for(route, shop)
    first = route.arguments[0]
    nowhere = 987_654 if isinstance(known[first], int) else "nowhere"
    return {**known, first: nowhere}


def _rows_for(route: Route, shop: Furnished) -> tuple[Known, ...]:
    if not route.arguments:
        return ({},)
    # The longest prefix that is known wins.
    for prefix in sorted(MAKERS, key=len, reverse=True):
        if route.path.startswith(prefix):
            rows = MAKERS[prefix](shop)
            missing = set(route.arguments) - set(rows[0])
            assert not missing, f"{route.path}: no maker for {sorted(missing)}"
            return rows
    raise AssertionError(f"{route.path}: say in {__name__} what stands for <...>")


def _pair(rows: Any, name: str) -> tuple[Known, ...]:
    """A row, and one like it on another order."""
    own = rows[0]
    other = next(row for row in rows if row.workorder_id != own.workorder_id)
    return tuple({"pk": row.workorder_id, name: row.pk} for row in (own, other))


def _items(shop: Furnished) -> tuple[Known, ...]:
    return tuple(
        {"pk": row.workorder_id, "list_pk": row.pk, "item": item.code}
        for row, item in (shop.tick_item(shop.prep), shop.tick_item(shop.intake))
    )


def _by_token(name: str, attribute: str) -> Callable[[Furnished], tuple[Known, ...]]:
    def rows(shop: Furnished) -> tuple[Known, ...]:
        return tuple(
            {"token": link.token, name: getattr(link, attribute)}
            for link in shop.links_with(attribute)[:2]
        )

    return rows


MAKERS: dict[str, Callable[[Furnished], tuple[Known, ...]]] = {
    "live/ticket/<slug:channel>/": lambda shop: ({"channel": "floor"},),
    "press-again/<slug:token>/": lambda shop: ({"token": "none-waits"},),
    "files/<slug:sha256>/": lambda shop: ({"sha256": shop.photo.sha256},),
    "figures/<str:made_by>/": lambda shop: (
        {"made_by": "mixing.climate.air.dew_point_c"},
    ),
    "open-your-shop/take-over/<slug:step>/": lambda shop: ({"step": "all"},),
    "open-your-shop/<slug:step>/": lambda shop: ({"step": "film"},),
    "own/sign-ins/<int:pk>/": lambda shop: ({"pk": shop.sign_in.pk},),
    "settings/sign-ins/<int:pk>/": lambda shop: ({"pk": shop.sign_in.pk},),
    "settings/devices/<int:pk>/": lambda shop: ({"pk": shop.tablet.pk},),
    "settings/holidays/<int:pk>/": lambda shop: ({"pk": shop.holiday.pk},),
    "settings/places/<int:pk>/": lambda shop: ({"pk": shop.settling_place.pk},),
    "settings/people/<int:pk>/": lambda shop: ({"pk": shop.nora.pk},),
    "settings/people/<int:pk>/renew/<slug:what>/": lambda shop: (
        {"pk": shop.nora.pk, "what": "pin"},
    ),
    "running-low/<int:pk>/": lambda shop: ({"pk": Supply.objects.get(name="soap").pk},),
    "people-away/<int:pk>/": lambda shop: ({"pk": shop.nora.pk},),
    "people-away/<int:pk>/take-back/": lambda shop: ({"pk": shop.absence.pk},),
    "settings/package-hours/<slug:package>/": lambda shop: ({"package": "track"},),
    "plan/feeds/<int:pk>/": lambda shop: ({"pk": shop.feed.pk},),
    "feeds/<str:token>.ics": lambda shop: ({"token": shop.feed_token},),
    "settings/bays/<int:pk>/": lambda shop: ({"pk": shop.bay.pk},),
    "settings/safety-rules/<int:pk>/": lambda shop: ({"pk": shop.rule_set.pk},),
    "settings/safety-rules/versions/<int:pk>/": lambda shop: (
        {"pk": shop.rule_set.versions.get().pk},
    ),
    "settings/checklists/<int:pk>/": lambda shop: ({"pk": shop.checklist.pk},),
    "papers/<int:pk>/": lambda shop: ({"pk": shop.papers[0].pk},),
    "papers/<int:pk>/state/": lambda shop: ({"pk": shop.papers_to_come[0].pk},),
    "labels/<slug:what>/<int:pk>/": lambda shop: (
        {"what": "vessel", "pk": shop.clean_vessel.pk},
    ),
    "mixing/chemicals/<int:pk>/": lambda shop: ({"pk": shop.unopened.chemical_id},),
    "mixing/spots/<int:pk>/": lambda shop: ({"pk": shop.spot.pk},),
    "workorders/<int:pk>/": lambda shop: ({"pk": shop.inspection.pk},),
    "workorders/<int:pk>/checks/<int:list_pk>/<slug:item>/": _items,
    "workorders/<int:pk>/paint/<slug:panel>/": lambda shop: (
        {"pk": shop.prep.pk, "panel": shop.panels(shop.prep)[0].panel},
    ),
    "workorders/<int:pk>/added-work/<int:work_pk>/": lambda shop: _pair(
        shop.added_work, "work_pk"
    ),
    "workorders/<int:pk>/additions/<int:addition_pk>/": lambda shop: _pair(
        shop.offers, "addition_pk"
    ),
    "workorders/<int:pk>/return/<int:defect_pk>/": lambda shop: tuple(
        {"pk": visit.order.pk, "defect_pk": visit.defects.get().pk}
        for visit in shop.returns
    ),
    "settings/other-work/<int:pk>/": lambda shop: ({"pk": shop.menu_work.pk},),
    "workorders/<int:pk>/prep/<int:use_pk>/": lambda shop: _pair(
        shop.prep_uses, "use_pk"
    ),
    "workorders/<int:pk>/panels/<int:panel_pk>/": lambda shop: _pair(
        [*shop.panels(shop.inspection), *shop.panels(shop.install)], "panel_pk"
    ),
    "workorders/<int:pk>/defects/<int:defect_pk>/": lambda shop: _pair(
        shop.open_defects, "defect_pk"
    ),
    "workorders/<int:pk>/links/<int:link_pk>/": lambda shop: _pair(
        shop.link_rows, "link_pk"
    ),
    "workorders/<int:pk>/reports/<int:report_pk>/": lambda shop: _pair(
        shop.reports, "report_pk"
    ),
    "workorders/<int:pk>/film/<int:pull_pk>/": lambda shop: _pair(
        shop.planned_pulls, "pull_pk"
    ),
    "workorders/<int:pk>/film/recut/<int:panel_pk>/": lambda shop: _pair(
        [*shop.panels(shop.install), *shop.panels(shop.inspection)], "panel_pk"
    ),
    "workorders/<int:pk>/film/seen/<slug:seen>/": lambda shop: (
        {"pk": shop.planned_pulls[0].workorder_id, "seen": "0-0"},
    ),
    "calls/mails/<int:pk>/": lambda shop: (
        {"pk": Mail.objects.filter(state=Mail.State.REFUSED)[0].pk},
    ),
    "settings/mail/<slug:kind>/<slug:language>/": lambda shop: (
        {"kind": "booked", "language": "en"},
    ),
    "workorders/<int:pk>/mixing/<slug:kind>/": lambda shop: (
        {"pk": shop.redo.pk, "kind": "slip"},
    ),
    "workorders/<int:pk>/mixing/<slug:kind>/open/": lambda shop: (
        {"pk": shop.redo.pk, "kind": "tack", "code": shop.unopened.code},
    ),
    "workorders/<int:pk>/mixing/<slug:kind>/<int:version>/": lambda shop: (
        {"pk": shop.redo.pk, "kind": "slip", "version": shop.sheet.version},
    ),
    "bookings/<int:pk>/": lambda shop: ({"pk": shop.bookings[0].pk},),
    "bookings/<int:pk>/links/<int:link_pk>/": lambda shop: tuple(
        {"pk": row.booking_id, "link_pk": row.pk} for row in shop.booking_links[:2]
    ),
    "bookings/<int:pk>/deposits/<int:payment_pk>/": lambda shop: tuple(
        {"pk": row.booking_id, "payment_pk": row.pk} for row in shop.deposits[:2]
    ),
    "bookings/<int:pk>/discounts/<int:discount_pk>/": lambda shop: tuple(
        {"pk": row.booking_id, "discount_pk": row.pk}
        for row in shop.discounts
        if row.booking_id
    ),
    "workorders/<int:pk>/discounts/<int:discount_pk>/": lambda shop: _pair(
        [row for row in shop.discounts if row.workorder_id], "discount_pk"
    ),
    "invoices/<int:pk>/": lambda shop: ({"pk": shop.invoice.pk},),
    "customers/<int:pk>/account/": lambda shop: (
        {
            "pk": shop.invoice.workorder.customer_id,
            "receipt_pk": shop.account_receipt.pk,
        },
        {
            "pk": shop.intake.customer_id,
            "receipt_pk": shop.intake.payments.get().receipt_id,
        },
    ),
    "workorders/<int:pk>/payments/<int:payment_pk>/": lambda shop: _pair(
        shop.payments, "payment_pk"
    ),
    "plan/cars/<int:pk>/": lambda shop: ({"pk": shop.bookings[0].pk},),
    "plan/proposal/<int:plan_pk>/": lambda shop: ({"plan_pk": shop.proposal.pk},),
    "plan/day/<slug:day>/": lambda shop: ({"day": "2031-05-06"},),
    "estimates/<int:pk>/": lambda shop: ({"pk": shop.estimates[0].pk},),
    "estimates/<int:pk>/versions/<int:version_pk>/": lambda shop: tuple(
        {"pk": row.pk, "version_pk": row.versions.get().pk} for row in shop.estimates
    ),
    "estimates/<int:pk>/links/<int:link_pk>/": lambda shop: tuple(
        {"pk": row.pk, "link_pk": row.links.get().pk} for row in shop.estimates
    ),
    "arrivals/<int:pk>/": lambda shop: ({"pk": shop.bookings[0].pk},),
    "customers/<int:pk>/": lambda shop: ({"pk": shop.inspection.customer_id},),
    "vehicles/<int:pk>/": lambda shop: ({"pk": shop.inspection.vehicle_id},),
    "c/<str:token>/": lambda shop: ({"token": shop.links["closed"].token},),
    "c/<str:token>/agree/": lambda shop: ({"token": shop.links["intake"].token},),
    "c/<str:token>/approve/": lambda shop: ({"token": shop.links["prep"].token},),
    "c/<str:token>/additions/<int:addition_pk>/": _by_token(
        "addition_pk", "addition_pk"
    ),
    "c/<str:token>/estimate/": lambda shop: tuple(
        {"token": token, "version_pk": row.versions.get().pk}
        for token, row in zip(
            shop.estimate_tokens.values(), shop.estimates, strict=True
        )
    ),
    "c/<str:token>/calendar/": lambda shop: (
        {"token": shop.links["closed"].token, "what": "recheck"},
    ),
    "c/<str:token>/papers/<int:pk>/": _by_token("pk", "paper_pk"),
    "c/<str:token>/photos/<int:pk>/": _by_token("pk", "photo_mark_pk"),
    "film/<int:pk>/": lambda shop: ({"pk": shop.film.pk},),
    "film/<int:pk>/orders/<int:order_pk>/": lambda shop: tuple(
        {"pk": order.film_id, "order_pk": order.pk} for order in shop.film_orders[:2]
    ),
    "film/rolls/<int:pk>/": lambda shop: ({"pk": shop.roll.pk},),
    "film/offcuts/<int:pk>/": lambda shop: ({"pk": shop.offcuts[0].pk},),
    "film/day/<int:film_pk>/": lambda shop: ({"film_pk": shop.film.pk},),
    "mixing/batches/<int:pk>/": lambda shop: ({"pk": shop.batches[0].pk},),
    "mixing/vessels/<str:code>/": lambda shop: ({"code": shop.clean_vessel.code},),
    "mixing/recipes/<int:pk>/": lambda shop: ({"pk": shop.recipe.pk},),
    "mixing/flash-points/<int:pk>/": lambda shop: ({"pk": shop.flash_point.pk},),
    "mixing/stock/<str:code>/": lambda shop: ({"code": shop.unopened.code},),
    "mixing/dispensers/<int:pk>/": lambda shop: ({"pk": shop.dispensers[0].pk},),
}
"""What stands for the arguments below a prefix; a second row is of another order."""
