"""Who is at the tablet: signing in, switching, signing out, and wrong tries."""

from __future__ import annotations

import secrets

from django.conf import settings
from django.contrib.auth import login, logout
from django.db import transaction
from django.db.models import F, QuerySet
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from shopapp.held_press import HELD
from shopapp.models import Device, Person, Revision, SignIn
from shopapp.tries import COOKIE, key_hash, known_device

COOKIE_AGE_S = 400 * 24 * 60 * 60


def people_with_a_pin() -> QuerySet[Person]:
    """The tiles of a shared tablet."""
    return Person.objects.filter(is_active=True).exclude(pin_hash="")


def left_signed_in_here(request: HttpRequest) -> QuerySet[Person]:
    """Whose sign-in on this device ran out by itself: their PIN is enough."""
    device = known_device(request)
    last = SignIn.objects.filter(device=device).order_by("-pk").first()
    if device is None or last is None or last.ended_at is not None:
        return Person.objects.none()
    return people_with_a_pin().filter(pk=last.person_id)


def begin(request: HttpRequest, person: Person) -> str:
    """Sign a person in on this device; returns the cookie to give it, or "".

    An earlier sign-in of the same browser ends: one person at a time.
    """
    held = request.session.get(HELD)
    end(request)
    device, cookie = _device(request)
    login(request, person, backend="django.contrib.auth.backends.ModelBackend")
    sign_in = SignIn.objects.create(person=person, device=device)
    request.session["sign_in_pk"] = sign_in.pk
    request.session["device_pk"] = device.pk
    if held:
        request.session[HELD] = held
    return cookie


def end(request: HttpRequest) -> None:
    """Sign out; live streams of the sign-in end with it."""
    lasting = SignIn.objects.filter(
        pk=request.session.get("sign_in_pk") or 0, ended_at=None
    )
    with transaction.atomic():
        if lasting.update(ended_at=timezone.now()):
            Revision.objects.filter(pk=1).update(number=F("number") + 1)
    logout(request)


def remember_device(response: HttpResponse, cookie: str) -> None:
    """Give a browser that is new here its cookie."""
    if cookie:
        response.set_cookie(
            COOKIE,
            cookie,
            max_age=COOKIE_AGE_S,
            httponly=True,
            samesite="Lax",
            secure=settings.HTTPS,
        )


def _device(request: HttpRequest) -> tuple[Device, str]:
    device = known_device(request)
    if device is not None:
        return device, ""
    cookie = secrets.token_urlsafe(24)
    return Device.objects.create(key_hash=key_hash(cookie)), cookie
