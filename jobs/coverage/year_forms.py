"""A model year: not of the far future."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from jobs.limits import FIRST_YEAR, YEARS_AHEAD
from shopapp.amounts import Whole


class YearField(Whole):
    """A year from 1950 to the year after next, whenever it is asked."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, **kwargs)

    def fits(self, number: Decimal) -> bool:
        """Whole; the range is told by `clean`."""
        return number == number.to_integral_value()

    def clean(self, value: Any) -> int | None:
        """The year, or the range it has to lie in."""
        year: int | None = super().clean(value)
        last = timezone.localdate().year + YEARS_AHEAD
        if year is not None and not FIRST_YEAR <= year <= last:
            raise forms.ValidationError(
                _("Enter a year from %(first)d to %(last)d."),
                params={"first": FIRST_YEAR, "last": last},
            )
        return year
