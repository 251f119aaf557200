"""The price list as it was: a row for each change of a price."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from mixing.recipes.models import Immutable
from shopapp.models import Person


class PriceChange(Immutable):
    """One price of the list, from a moment on; the first of a code has no before."""

    code = models.CharField(max_length=80)
    label = models.CharField(max_length=120)
    before = models.DecimalField(max_digits=10, decimal_places=2, null=True)
    after = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, help_text="Empty: no price."
    )
    since = models.DateTimeField()
    by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering: ClassVar = ["-pk"]
        indexes: ClassVar = [
            models.Index(fields=["code", "since"], name="price_change_code")
        ]

    def __str__(self) -> str:
        return f"{self.code} since {self.since:%Y-%m-%d}"
