"""What only a person knows of a new shop, as it is typed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shopapp.columns import column
from shopapp.models import Shop
from shopapp.settings_forms import ShopForm


class NameShopForm(ShopForm):
    """The first lines of the shop's settings; the rest has defaults that serve."""

    email = column(
        Shop.email, _("E-mail"), help_text=_("Answers of customers come here.")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("has_batch_labels", "terms"):
            del self.fields[name]
        for name in ("name", "address", "phone"):
            self.fields[name].required = True

    def typed(self) -> list[forms.BoundField]:
        """What has no default."""
        return [self[name] for name in ("name", "address", "phone", "email")]

    def known(self) -> list[forms.BoundField]:
        """What the machine suggests."""
        names = ("opens_at", "closes_at", "time_zone", "units", "paper_size")
        return [self[name] for name in (*names, "currency")]


class SolutionsForm(forms.Form):
    """What this shop lays with."""

    used = forms.ChoiceField(
        label=_("We lay with"),
        choices=[
            ("slip_tack", _("Slip and tack")),
            ("all_in_one", _("All-in-one")),
            ("both", _("Both")),
        ],
        initial="slip_tack",
        widget=forms.RadioSelect,
    )
