"""The first sign-in of a fresh shop: whoever opens it names themselves."""

from __future__ import annotations

import ipaddress
import os
import secrets

from django import forms
from django.conf import settings
from django.contrib.auth import password_validation
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from shopapp import signing_in
from shopapp.access import open_to_all
from shopapp.forms import LONG_ENOUGH, is_right
from shopapp.frame import Act, Json, Refused, action, perform
from shopapp.models import Person, Shop, the_shop
from shopapp.one_time import Secret
from shopapp.pressing import tap_of
from shopapp.say import say
from shopapp.telling import tell
from shopapp.tries import Kind

CODE = "FIRST_MANAGER_CODE"
"""Name in the environment of the code that `serve` prints."""
WHO = "first manager"


class FirstManagerForm(forms.Form):
    """A name and a password; from another machine, the code too."""

    first_name = forms.CharField(
        label=_("Your first name"),
        max_length=60,
        widget=forms.TextInput(attrs={"autofocus": True}),
    )
    username = forms.RegexField(
        label=_("Name to sign in by"),
        regex=r"^[a-z0-9._-]{2,30}$",
        error_messages={
            "invalid": _("Take small letters and digits, 2 to 30, no blanks.")
        },
        widget=forms.TextInput(
            attrs={"autocapitalize": "none", "autocomplete": "username"}
        ),
    )
    password = forms.CharField(
        label=_("Password"),
        strip=False,
        max_length=200,
        help_text=LONG_ENOUGH,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    code = forms.CharField(
        label=_("Code"),
        max_length=40,
        help_text=_("It stands where the shop was started, under its address."),
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none"}),
    )

    def __init__(self, *args: object, request: HttpRequest) -> None:
        super().__init__(*args)  # type: ignore[arg-type]
        self.request = request
        if is_this_machine(request):
            del self.fields["code"]

    def clean(self) -> dict[str, object]:
        """The code first: a stranger learns nothing else."""
        cleaned = super().clean() or {}
        if "code" in self.fields and not self._knows_the_code(cleaned.pop("code", "")):
            raise forms.ValidationError(_("This is not the code of this shop."))
        word = cleaned.get("password")
        if word:
            names = ("first_name", "username")
            person = Person(**{name: cleaned.get(name, "") for name in names})
            try:
                password_validation.validate_password(str(word), person)
            except forms.ValidationError as error:
                self.add_error("password", error)
            cleaned["password"] = Secret(str(word))
        return cleaned

    def _knows_the_code(self, typed: str) -> bool:
        real = os.environ.get(CODE, "").encode()

        def right() -> bool:
            return bool(real) and secrets.compare_digest(typed.strip().encode(), real)

        return is_right(self.request, Kind.PASSWORD, None, right, WHO)


def is_this_machine(request: HttpRequest) -> bool:
    """Whether the browser runs on the server itself, with nothing between them."""
    passed_on = any(name.startswith("HTTP_X_FORWARDED") for name in request.META)
    if passed_on or "HTTP_FORWARDED" in request.META or settings.PROXIES:
        return False
    try:
        return ipaddress.ip_address(request.META.get("REMOTE_ADDR", "")).is_loopback
    except ValueError:
        return False


@action("person.first")
def name_first_manager(
    act: Act, *, first_name: str, username: str, password: Secret
) -> Json:
    """Make the first person: manager, and everything else until others come."""
    act.lock(Shop, 1)
    if Person.objects.exists():
        raise Refused(say("Somebody was quicker: this shop has its manager."))
    person = Person(
        first_name=first_name,
        username=username,
        is_desk=True,
        is_installer=True,
        is_manager=True,
        can_prep=True,
        can_install=True,
        can_inspect=True,
    )
    person.set_password(password.text)
    person.save()
    return {"pk": person.pk}


@require_http_methods(["GET", "POST"])
@sensitive_post_parameters("password", "code")
@never_cache
@open_to_all
def first_manager(request: HttpRequest) -> HttpResponse:
    """Name and password of the first manager; not there once there is anybody."""
    if Person.objects.exists():
        return redirect("shopapp:sign_in")
    form = FirstManagerForm(request.POST or None, request=request)
    if form.is_valid():
        tap = tap_of(request, key=request.POST.get("key") or secrets.token_hex(16))
        try:
            answer = perform(tap, name_first_manager, **form.cleaned_data)
        except Refused as refused:
            for reason in refused.reasons:
                form.add_error(None, tell(reason, system=the_shop().system))
        else:
            return _begun(request, answer["pk"])
    status = 422 if form.is_bound else 200
    return render(request, "shopapp/first_manager.html", {"form": form}, status=status)


def _begun(request: HttpRequest, pk: int) -> HttpResponse:
    cookie = signing_in.begin(request, Person.objects.get(pk=pk))
    response = redirect("jobs:open_shop")
    signing_in.remember_device(response, cookie)
    return response
