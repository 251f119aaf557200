"""What a customer writes on the page behind the secret link."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy

from jobs.checks.photo_forms import PhotoForm, PhotosField
from jobs.models import CustomerReport, WorkOrder
from jobs.public.report_actions import MOST_PHOTOS
from shopapp.columns import column

TOO_MANY = ngettext_lazy(
    "One photo is the most.", "{most} photos are the most.", MOST_PHOTOS
)


class ReportForm(PhotoForm):
    """Something looks wrong: in words, with a few photos."""

    words = column(
        CustomerReport.words,
        _("What do you see, and where?"),
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    photos = PhotosField(label=_("Photos, if you have some"))

    def clean(self) -> dict[str, Any]:
        """Count the photos before any is opened."""
        if len(self.files.getlist("photos") if self.files else []) > MOST_PHOTOS:
            self.add_error("photos", str(TOO_MANY).format(most=MOST_PHOTOS))
        cleaned = super().clean()
        cleaned["photos"] = [photo for photo in cleaned.get("photos") or [] if photo]
        return cleaned


class RegisterForm(forms.Form):
    """The number under which the film's maker knows this car."""

    number = column(WorkOrder.film_registered_as, _("Registered with its maker as"))
