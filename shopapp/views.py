"""The building's pages: signing in, files, figures, health."""

from __future__ import annotations

from django.contrib import messages
from django.http import (
    Http404,
    HttpRequest,
    HttpResponse,
    JsonResponse,
    QueryDict,
)
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopapp import certificates, health, held_press, media, signing_in
from shopapp.access import allow, open_to_all
from shopapp.figures import explain
from shopapp.forms import PasswordForm, SignInForm, SwitchForm
from shopapp.live_ticket import CHANNELS, ticket_for
from shopapp.models import Person, Role, StoredFile
from shopapp.secret_rules import weak_pin
from shopapp.tries import known_device


@require_GET
@allow("home.view")
def home(request: HttpRequest) -> HttpResponse:
    """Lead on: who only lays film to their work, everyone else to the floor."""
    assert isinstance(request.user, Person)
    only_installs = request.user.roles == {Role.INSTALLER}
    return redirect("jobs:my_work" if only_installs else "jobs:floor")


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters("password", "pin")
@never_cache
@open_to_all
def sign_in(request: HttpRequest) -> HttpResponse:
    """Name and password; on an enrolled device, a tile and its PIN."""
    if not Person.objects.exists():
        return redirect("shopapp:first_manager")
    by_pin = "pin" in request.POST
    form = SignInForm(None if by_pin else request.POST or None, request=request)
    pin_form = _pin_form(request, request.POST if by_pin else None)
    if pin_form.tiles:
        # Four digits are quicker: the cursor stands there and not at the name.
        del form.fields["username"].widget.attrs["autofocus"]
        pin_form.fields["pin"].widget.attrs["autofocus"] = True
    sent = pin_form if by_pin else form
    if sent.is_valid():
        person = pin_form.cleaned_data["person"] if by_pin else form.person
        assert isinstance(person, Person)
        return _signed_in(request, person, by_pin=by_pin)
    context = {"form": form, "pin_form": pin_form if pin_form.tiles else None}
    status = 422 if sent.is_bound else 200
    return render(
        request, "shopapp/sign_in.html", context | _asked(request), status=status
    )


def _pin_form(request: HttpRequest, sent: QueryDict | None) -> SwitchForm:
    device = known_device(request)
    people, last = signing_in.people_at(device), signing_in.last_at(device)
    return SwitchForm(sent, request=request, people=people, initial={"person": last})


def _asked(request: HttpRequest) -> dict[str, str | None]:
    """Where it goes on to, and what waits to be sent there."""
    asked = request.POST or request.GET
    return {name: asked.get(name) for name in ("next", held_press.HELD, "out")}


def _signed_in(request: HttpRequest, person: Person, *, by_pin: bool) -> HttpResponse:
    onward = _onward(request)
    cookie = signing_in.begin(request, person, by_pin=by_pin)
    _say_if_weak(request)
    is_made = person.password_is_temporary and not by_pin
    response = redirect("shopapp:own") if is_made else onward
    signing_in.remember_device(response, cookie)
    return response


def _say_if_weak(request: HttpRequest) -> None:
    """A PIN from before such ones were refused."""
    pin = request.POST.get("pin", "")
    if pin and weak_pin(pin=pin):
        messages.warning(
            request, _("Your PIN is easy to guess. Choose another on your own page.")
        )


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters("password")
@never_cache
@allow("home.view")
def give_password(request: HttpRequest) -> HttpResponse:
    """For what a PIN does not open, or what is asked for again after a while."""
    form = PasswordForm(request.POST or None, request=request)
    if form.is_valid():
        signing_in.password_typed(request)
        return _onward(request)
    status = 422 if form.is_bound else 200
    context = {"form": form} | _asked(request)
    return render(request, "shopapp/give_password.html", context, status=status)


@require_GET
@never_cache
@allow("home.view")
def press_again(request: HttpRequest, token: str) -> HttpResponse:
    """What was pressed while signed out: sent by itself, or asked about."""
    held = held_press.all_held(request).get(token)
    if held is None:
        raise Http404
    assert isinstance(request.user, Person)
    by_another = held_press.is_by_another(held, request.user)
    context = {"held": held, "by_another": by_another}
    return render(request, "shopapp/press_again.html", context)


@require_POST
@open_to_all
def sign_out(request: HttpRequest) -> HttpResponse:
    """End the sign-in; pressing twice does no harm."""
    signing_in.end(request)
    return redirect("shopapp:sign_in")


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters("pin")
@never_cache
@allow("home.view")
def switch(request: HttpRequest) -> HttpResponse:
    """On an enrolled device: a tile, a PIN, and somebody else is acting."""
    form = _pin_form(request, request.POST or None)
    if form.is_valid():
        signing_in.begin(request, form.cleaned_data["person"], by_pin=True)
        _say_if_weak(request)
        return redirect("shopapp:home")
    status = 422 if form.is_bound else 200
    context = {
        "form": form,
        "by_name": None if form.tiles else SignInForm(request=request),
        "here": known_device(request),
    }
    return render(request, "shopapp/switch.html", context, status=status)


def _onward(request: HttpRequest) -> HttpResponse:
    """To what waits to be sent, else to the page that was wanted."""
    held = request.POST.get(held_press.HELD, "")
    if held in held_press.all_held(request):
        return redirect("shopapp:press_again", held)
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(
        wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return redirect(wanted if safe else "shopapp:home")


@require_GET
@never_cache
@allow("home.view")
def live_ticket(request: HttpRequest, channel: str) -> HttpResponse:
    """A fresh ticket for a page that has been open for long."""
    if channel not in CHANNELS:
        raise Http404
    return HttpResponse(ticket_for(request, channel=channel), content_type="text/plain")


@require_GET
@allow("file.view")
def file(request: HttpRequest, sha256: str) -> HttpResponse:
    """A photo or an issued paper."""
    return media.served(request, get_object_or_404(StoredFile, sha256=sha256))


@require_GET
@allow("figure.view")
def figure(request: HttpRequest, made_by: str) -> HttpResponse:
    """The formula and the source behind a number."""
    try:
        explanation = explain(made_by)
    except LookupError as error:
        raise Http404(str(error)) from None
    context = {"made_by": made_by, "explanation": explanation}
    return render(request, "shopapp/figure.html", context)


@require_GET
@open_to_all
def trust(request: HttpRequest) -> HttpResponse:
    """How a tablet comes to trust the certificate of this shop's own server."""
    context = {"fingerprint": certificates.fingerprint()}
    return render(request, "shopapp/trust.html", context)


@require_GET
@open_to_all
def trust_certificate(request: HttpRequest) -> HttpResponse:
    """The certificate of the shop's own authority; its key never leaves the disk."""
    kept = certificates.authority_path()
    if not kept.exists():
        raise Http404
    response = HttpResponse(
        kept.read_bytes(), content_type="application/x-x509-ca-cert"
    )
    response["Content-Disposition"] = 'attachment; filename="shop-ca.crt"'
    return response


@require_GET
@never_cache
@open_to_all
def healthz(request: HttpRequest) -> HttpResponse:
    """The process answers."""
    return HttpResponse("ok", content_type="text/plain")


@require_GET
@never_cache
@open_to_all
def readyz(request: HttpRequest) -> HttpResponse:
    """Ready or not; `manage.py status` says why, on the machine itself."""
    ready = health.look().ready
    return JsonResponse({"ready": ready}, status=200 if ready else 503)


healthz.without_shop = readyz.without_shop = True  # type: ignore[attr-defined]
