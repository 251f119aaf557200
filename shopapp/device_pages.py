"""Devices and sign-ins as a manager sees them."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from shopapp.access import allow
from shopapp.columns import column
from shopapp.device_queries import (
    devices_enrolled,
    devices_new,
    failures,
    lasting_sign_ins,
)
from shopapp.models import Device
from shopapp.pressing import Bound, form_for
from shopapp.tries import known_device


class EnrolForm(forms.Form):
    """What a device is called, and what a PIN opens on it."""

    name = forms.CharField(
        label=_("Name of this device"),
        max_length=60,
        help_text=_("As people call it: bay tablet, desk PC."),
    )
    pin_opens = column(Device.pin_opens, _("A PIN opens"), widget=forms.RadioSelect)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["pin_opens"]
        assert isinstance(field, forms.ChoiceField)
        field.required = True
        field.choices = [
            (Device.Work.BAY, _("the installer's work: a tablet in a bay, the wall")),
            (Device.Work.DESK, _("the desk's work and the installer's: the desk's PC")),
        ]


@require_GET
@never_cache
@allow("signin.view")
def sign_ins(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """Enrolled devices, new ones, who is signed in, and wrong tries."""
    now = timezone.now()
    context = {
        "bound": bound,
        "here": known_device(request),
        "enrolled": devices_enrolled(),
        "new": devices_new(now=now),
        "lasting": lasting_sign_ins(now=now),
        "failures": failures(),
    }
    return render(request, "shopapp/sign_ins.html", context)


@require_GET
@never_cache
@allow("signin.view")
def device(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """One device: its name, what a PIN opens on it, who is signed in there."""
    row = get_object_or_404(Device.objects.select_related("enrolled_by"), pk=pk)
    known = {"name": row.name, "pin_opens": row.pin_opens or Device.Work.BAY}
    context = {
        "bound": bound,
        "row": row,
        "is_here": known_device(request) == row,
        "form": form_for(lambda: EnrolForm(initial=known), bound, "device_enrol"),
        "lasting": lasting_sign_ins(now=timezone.now(), device=row),
        "failures": failures(device=row)[:20],
    }
    return render(request, "shopapp/device.html", context)
