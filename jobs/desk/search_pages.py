"""One field finds it: where is the car, when is it ready?"""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.desk.search_queries import MOST, found
from jobs.search.spelling import asked_for
from shopapp.access import allow, may
from shopapp.models import the_shop

LONGEST_QUERY = 200


@require_GET
@allow("search.view")
def search(request: HttpRequest) -> HttpResponse:
    """What the field of every page found."""
    query = request.GET.get("q", "")[:LONGEST_QUERY].strip()
    asked = asked_for(query)
    hits = found(
        asked,
        knows_customers=may(request.user, "customer.view"),
        now=timezone.now(),
        shop=the_shop(),
    )
    context = {"query": query, "asked": asked, "found": hits, "most": MOST}
    return render(request, "jobs/desk/search.html", context)
