"""Open days and holidays: what is typed, and the page."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db import models
from django.forms.boundfield import BoundField
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_GET

from shopapp.access import allow
from shopapp.columns import column
from shopapp.models import Holiday, OpenDay, the_shop
from shopapp.pressing import Bound, form_for

WEEK = OpenDay.Weekday


class WeekForm(forms.Form):
    """Each weekday: open or closed, and its hours where they are not the usual."""

    model: type[models.Model] = OpenDay
    tick, begins, ends = "is_open", "opens_at", "closes_at"
    out_of_order: Any = _("The shop closes after it opens.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for day in WEEK:
            self.fields[f"{self.tick}_{day}"] = forms.BooleanField(
                label=day.label, required=False
            )
            for name, label in ((self.begins, _("from")), (self.ends, _("to"))):
                self.fields[f"{name}_{day}"] = column(getattr(self.model, name), label)

    @staticmethod
    def initial_now() -> dict[str, Any]:
        """The week as it is."""
        return {
            f"{name}_{row.weekday}": getattr(row, name)
            for row in OpenDay.objects.all()
            for name in ("is_open", "opens_at", "closes_at")
        }

    def days(self) -> list[tuple[BoundField, BoundField, BoundField]]:
        """The fields, a row for each weekday."""
        return [
            (
                self[f"{self.tick}_{day}"],
                self[f"{self.begins}_{day}"],
                self[f"{self.ends}_{day}"],
            )
            for day in WEEK
        ]

    def clean(self) -> dict[str, Any]:
        """The week as the action asks for it."""
        cleaned = super().clean() or {}
        week = []
        for day in WEEK:
            begins = cleaned.get(f"{self.begins}_{day}")
            ends = cleaned.get(f"{self.ends}_{day}")
            if (begins is None) != (ends is None):
                self.add_error(f"{self.ends}_{day}", _("Give both hours, or neither."))
            elif begins and ends and ends <= begins:
                self.add_error(f"{self.ends}_{day}", self.out_of_order)
            ticked = cleaned.get(f"{self.tick}_{day}", False)
            week.append({self.tick: ticked, self.begins: begins, self.ends: ends})
        return {"week": week}


class HolidayForm(forms.Form):
    """A day on which the shop is closed."""

    day = column(Holiday.day, _("Closed on"))
    name = column(Holiday.name, _("Why"))


@require_GET
@allow("shop.view")
def open_days(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """The week and the holidays."""
    shop = the_shop()
    today = timezone.localtime(timezone.now(), shop.zone).date()
    context = {
        "bound": bound,
        "form": form_for(
            lambda: WeekForm(initial=WeekForm.initial_now()), bound, "open_days_change"
        ),
        "holiday_form": form_for(HolidayForm, bound, "holiday_add"),
        "holidays": Holiday.objects.filter(day__gte=today, taken_off_at=None),
        "usual": shop,
    }
    return render(request, "shopapp/open_days.html", context)
