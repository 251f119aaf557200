"""A press of somebody who was signed out meanwhile waits until they have signed in.

It lies in the browser's own session, under a token, with the key it came with: sent
again it is done once. Passwords, PINs and files are not held.
"""

from __future__ import annotations

import re
import secrets
from typing import Any

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseRedirect
from django.urls import reverse
from django.utils.http import urlencode

from shopapp.models import Person

HELD = "held"
MOST_HELD = 5
MOST_SIGNS = 20_000
SECRET = {"password", "pin"}
WORD = re.compile("[a-z]+")
OF_THE_REQUEST = {"csrfmiddlewaretoken", "sent_at"}


class HoldPressMiddleware(LoginRequiredMiddleware):
    """Lead whoever is not signed in to the sign-in page, and hold what they pressed."""

    def handle_no_permission(
        self, request: HttpRequest, view_func: Any
    ) -> HttpResponseRedirect:
        """A whole page, never the sign-in page inside an old one."""
        if request.method == "POST" or request.headers.get("HX-Request"):
            return sent_to(request, "shopapp:sign_in")
        response: HttpResponseRedirect
        response = super().handle_no_permission(request, view_func)
        return response


def sent_to(request: HttpRequest, name: str) -> HttpResponseRedirect:
    """To where a name or a password is typed, and back; what was pressed is held."""
    if request.method == "POST":
        asked = {"next": request.headers.get("Referer", "/"), "out": "pressed"}
        if token := _hold(request):
            asked[HELD] = token
    elif request.headers.get("HX-Request"):
        asked = {"next": request.headers.get("HX-Current-URL", "/")}
    else:
        asked = {"next": request.get_full_path()}
    url = f"{reverse(name)}?{urlencode(asked)}"
    if request.headers.get("HX-Request"):
        # htmx would follow a redirect and put the page into a part of the old one.
        return HttpResponse(headers={"HX-Redirect": url})  # type: ignore[return-value]
    return HttpResponseRedirect(url)


def _hold(request: HttpRequest) -> str:
    fields = [
        (name, value)
        for name, values in request.POST.lists()
        for value in values
        if name not in OF_THE_REQUEST
    ]
    secret = any(SECRET & set(WORD.findall(name)) for name, _ in fields)
    length = sum(len(name) + len(str(value)) for name, value in fields)
    if request.FILES or secret or length > MOST_SIGNS or "key" not in request.POST:
        return ""
    token = secrets.token_urlsafe(8)
    before = list(request.session.get(HELD, {}).items())[-(MOST_HELD - 1) :]
    press = {"url": request.path, "fields": fields}
    request.session[HELD] = {**dict(before), token: press}
    return token


def all_held(request: HttpRequest) -> dict[str, Any]:
    """What waits in this browser, by token."""
    known: dict[str, Any] = request.session.get(HELD, {})
    return known


def is_by_another(press: dict[str, Any], person: Person) -> bool:
    """Whether the page that was pressed had been opened by somebody else."""
    opened_by: str = dict(press["fields"]).get("opened_by", "")
    return opened_by != str(person.pk)
