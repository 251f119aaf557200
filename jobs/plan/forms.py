"""What may be fixed of a car before it is planned: day, half, bay, people, first."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils import formats, timezone
from django.utils.translation import gettext_lazy as _

from jobs.models import Booking, CarWish
from jobs.opening.queries import opening_of
from jobs.plan.fixed_day import days_near, refused_day
from shopapp.columns import DATE, column
from shopapp.models import Bay, Person, the_shop
from shopapp.telling import tell

OFFERED = 5
OTHER = "other"
ANY = _("Let the plan choose")
Half, Weight = CarWish.Half, CarWish.Weight


class MoveForm(forms.Form):
    """Where, when and by whom film is laid on one car; empty lets the plan choose."""

    on = forms.ChoiceField(
        label=_("Film work begins on"), required=False, widget=forms.RadioSelect
    )
    day = forms.DateField(label=_("Another day"), required=False, widget=DATE)
    half = column(CarWish.half, _("Half of the day"), widget=forms.RadioSelect)
    bay = forms.ModelChoiceField(
        label=_("Bay"),
        queryset=Bay.objects.none(),
        required=False,
        empty_label=ANY,
        blank=True,
        widget=forms.RadioSelect,
        error_messages={
            "invalid_choice": _("This bay is not used any more. Choose another one.")
        },
    )
    people = forms.ModelMultipleChoiceField(
        label=_("Who lays the film"),
        queryset=Person.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Nobody ticked: the plan chooses."),
        error_messages={
            "invalid_choice": _("Choose people who lay film and still work here.")
        },
    )
    is_first = forms.BooleanField(
        label=_("Before others, where not all can be in time"), required=False
    )

    def __init__(
        self,
        data: QueryDict | None = None,
        *args: Any,
        booking: Booking,
        now: datetime,
        **more: Any,
    ) -> None:
        if data is not None and (near := data.get("near")):
            data = data.copy()
            data["on"], data["day"] = OTHER, near
        super().__init__(data, *args, **more)
        shop = the_shop()
        self._refused_day: tuple[date, str] | None = None
        self.booking, self.now = booking, timezone.localtime(now, shop.zone)
        self.opening = opening_of(shop)
        self.fields["on"].choices = self._days()  # type: ignore[attr-defined]
        on = self.initial.get("on")
        if on and on not in dict(self.fields["on"].choices):  # type: ignore[attr-defined]
            self.initial.update(on=OTHER, day=on)
        self.fields["half"].choices = Half.choices  # type: ignore[attr-defined]
        self.fields["bay"].queryset = Bay.objects.filter(retired=False)  # type: ignore[attr-defined]
        self.fields["people"].queryset = Person.objects.filter(  # type: ignore[attr-defined]
            is_active=True, can_install=True
        )

    def _days(self) -> list[tuple[str, Any]]:
        """The next open days on which the car can be here, and the way to others."""
        arrives = timezone.localtime(self.booking.arrives_at, self.now.tzinfo)
        day, found = max(self.now, arrives).date(), []
        for _number in range(OFFERED):
            day = self.opening.first_open_day(day)
            found.append((day.isoformat(), formats.date_format(day, "D j M")))
            day += timedelta(days=1)
        return [("", ANY), *found, (OTHER, _("Another day"))]

    def clean(self) -> dict[str, Any]:
        """The keywords of the action."""
        cleaned = super().clean() or {}
        day = self._day(cleaned)
        half = cleaned.get("half", "")
        if half and not (day or self.errors):
            self.add_error("on", _("Say which day, or take any time of the day."))
        if day and (why := self._refused(day, half)):
            self._refused_day = day, half
            self.add_error("day" if cleaned.get("on") == OTHER else "on", why)
        return {
            "day": day,
            "half": half,
            "bay": cleaned.get("bay"),
            "people": tuple(cleaned.get("people") or ()),
            "weight": Weight.FIRST if cleaned.get("is_first") else Weight.USUAL,
        }

    def near(self) -> tuple[date, ...]:
        """Days near the one that was refused."""
        day, half = self._refused_day or (None, "")
        if day is None:
            return ()
        return days_near(day, is_good=lambda near: not self._refused(near, half))

    def _day(self, cleaned: Mapping[str, Any]) -> date | None:
        on = cleaned.get("on")
        if on != OTHER:
            return date.fromisoformat(on) if on else None
        if cleaned.get("day") is None and not self.has_error("day"):
            self.add_error("day", _("Say which day."))
        day: date | None = cleaned.get("day")
        return day

    def _refused(self, day: date, half: str) -> str:
        shop = the_shop()
        why = refused_day(
            day,
            half,
            now=self.now,
            arrives_at=self.booking.arrives_at,
            opening=self.opening,
        )
        return tell(why, system=shop.system) if why else ""


def move_initial(booking: Booking, wish: CarWish) -> dict[str, Any]:
    """What is fixed now."""
    return {
        "on": wish.day.isoformat() if wish.day else "",
        "half": wish.half,
        "bay": booking.bay_id,
        "people": [person.pk for person in wish.people.all()] if wish.pk else [],
        "is_first": wish.weight == Weight.FIRST,
    }
