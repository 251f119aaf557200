"""Whose request it is: the person of a sign-in that lasts, and what it opens."""

from __future__ import annotations

import contextlib

from django.contrib import auth
from django.contrib.auth.middleware import AuthenticationMiddleware
from django.contrib.auth.models import AnonymousUser
from django.db import DatabaseError
from django.http import HttpRequest
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from shopapp.held_press import HELD
from shopapp.models import Person, SignIn
from shopapp.sessions import SEEN_EVERY, is_over, opens


class WhoIsHereMiddleware(AuthenticationMiddleware):
    """Puts the person on the request, asked for by the first who looks."""

    def process_request(self, request: HttpRequest) -> None:
        """As the framework does it, and then the sign-in."""
        super().process_request(request)
        request.user = SimpleLazyObject(lambda: _who(request))  # type: ignore[assignment]


def _who(request: HttpRequest) -> Person | AnonymousUser:
    person = auth.get_user(request)
    pk = request.session.get("sign_in_pk")
    # Only tests sign somebody in without a row for it: that counts as by password.
    if not isinstance(person, Person) or pk is None:
        return person
    sign_in = SignIn.objects.select_related("device").filter(pk=pk).first()
    now = timezone.now()
    if sign_in is None or is_over(sign_in, now=now):
        _forget(request)
        return AnonymousUser()
    person.sign_in, person.limited_to = sign_in, opens(sign_in, now=now)
    if _is_a_person_s_doing(request) and now - sign_in.seen_at > SEEN_EVERY:
        # A full disk shuts no page.
        with contextlib.suppress(DatabaseError):
            SignIn.objects.filter(pk=pk).update(seen_at=now)
    return person


def _forget(request: HttpRequest) -> None:
    pk, held = request.session["sign_in_pk"], request.session.get(HELD)
    with contextlib.suppress(DatabaseError):
        SignIn.objects.filter(pk=pk, ended_at=None).update(ended_at=timezone.now())
    request.session.flush()
    if held:
        request.session[HELD] = held


def _is_a_person_s_doing(request: HttpRequest) -> bool:
    """An open page asks by itself whether it has changed: nobody need be there."""
    by_itself = request.path.startswith("/live/")
    return not by_itself and "If-None-Match" not in request.headers
