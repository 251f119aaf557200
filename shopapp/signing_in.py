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
from shopapp.tries import COOKIE, address_of, key_hash, known_device

COOKIE_AGE_S = 400 * 24 * 60 * 60


def people_with_a_pin() -> QuerySet[Person]:
    """The tiles of a shared tablet."""
    return Person.objects.filter(is_active=True).exclude(pin_hash="")


def people_at(device: Device | None) -> QuerySet[Person]:
    """Whose PIN opens this device: nobody's, until a manager has enrolled it."""
    if device is None or not device.pin_opens:
        return Person.objects.none()
    return people_with_a_pin()


def last_at(device: Device | None) -> int | None:
    """Who was signed in here last."""
    rows = SignIn.objects.filter(device=device).order_by("-pk") if device else None
    return rows.values_list("person_id", flat=True).first() if rows else None


def begin(request: HttpRequest, person: Person, *, by_pin: bool = False) -> str:
    """Sign a person in on this device; returns the cookie to give it, or "".

    An earlier sign-in of the same browser ends: one person at a time.
    """
    held = request.session.get(HELD)
    end(request)
    device, cookie = _device(request)
    login(request, person, backend="django.contrib.auth.backends.ModelBackend")
    sign_in = SignIn.objects.create(
        person=person, device=device, password_at=None if by_pin else timezone.now()
    )
    request.session["sign_in_pk"] = sign_in.pk
    request.session["device_pk"] = device.pk
    if held:
        request.session[HELD] = held
    return cookie


def password_typed(request: HttpRequest) -> None:
    """The password of whoever is signed in was right: it counts from now on."""
    pk = request.session.get("sign_in_pk") or 0
    SignIn.objects.filter(pk=pk).update(password_at=timezone.now())
    request.session.cycle_key()


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
    seen = {"looks_like": _looks_like(request), "address": address_of(request)}
    device = known_device(request)
    if device is not None:
        Device.objects.filter(pk=device.pk).update(**seen)
        return device, ""
    cookie = secrets.token_urlsafe(24)
    return Device.objects.create(key_hash=key_hash(cookie), **seen), cookie


def _looks_like(request: HttpRequest) -> str:
    """By what its browser says of itself; for a list only."""
    said = request.headers.get("User-Agent", "")
    if "Mobile" in said:
        return "tablet" if "iPad" in said else "phone"
    return "tablet" if "Android" in said else "computer"
