"""The floor board: a page, and the fragment that is pushed to every open one."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.film.ahead_queries import shortages_said
from jobs.newshop.queries import is_new_shop
from jobs.path.queries import floor as floor_now
from shopapp.access import allow, may
from shopapp.backups.queries import backup_state
from shopapp.device_queries import said_lately
from shopapp.htmx import page_or_fragment
from shopapp.models import Shop, the_shop


@require_GET
@allow("floor.view")
def floor(request: HttpRequest) -> HttpResponse:
    """Bays and yard as places, with the cars in them."""
    context = floor_context()
    context["is_new"] = may(request.user, "newshop.view") and is_new_shop()
    if may(request.user, "backup.view"):
        context["backups"] = backup_state(now=timezone.now())
        context["sign_ins"] = said_lately(now=timezone.now())
    return page_or_fragment(
        request, "jobs/path/floor.html", "jobs/path/_floor.html", context
    )


def board_fragment() -> str:
    """The floor as every page gets it: the same bytes for everyone, no forms."""
    shop = the_shop()
    with timezone.override(shop.zone):
        context = floor_context(shop) | {"shop": shop}
        return render_to_string("jobs/path/_floor.html", context)


def floor_context(shop: Shop | None = None) -> dict[str, object]:
    """What the floor's fragment shows."""
    now, shop = timezone.now(), shop or the_shop()
    return {
        "floor": floor_now(now=now, shop=shop),
        "film_ahead": shortages_said(now=now, shop=shop),
    }


@require_GET
@allow("floor.view")
def wall(request: HttpRequest) -> HttpResponse:
    """The same floor for a screen on the wall: no rail, nothing to press."""
    return render(request, "jobs/path/wall.html", floor_context())
