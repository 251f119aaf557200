"""Containers and products as they are typed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from mixing import limits
from mixing.models import (
    Chemical,
    StockContainer,
    StockMovement,
    StorageSpot,
    Substance,
)
from mixing.rule_sets.queries import rules_of
from mixing.safety.sheet_check import sheet_troubles
from mixing.safety.sheet_codes import read_codes
from shopapp.amounts import Amount, Number
from shopapp.columns import column
from shopapp.models import the_shop
from shopapp.telling import tell


class PercentField(Number):
    """A strength in percent; over 100 there is none."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            within=limits.STRENGTH_PCT,
            required=False,
            error_messages={
                "invalid": _("Enter a number."),
                "max_value": _("A strength is 100 %% at most: read the label again."),
                "min_value": _("A strength is not below zero."),
            },
            **kwargs,
        )
        self.widget = forms.TextInput(attrs={"inputmode": "decimal", "size": 8})


def basis_field() -> Any:
    """By volume or by weight: asked for, never assumed."""
    return column(Chemical.strength_basis, _("The label means"), empty=_("not said"))


class ReceiveForm(forms.Form):
    """A container as it comes."""

    chemical = forms.ModelChoiceField(
        label=_("Product"), queryset=Chemical.objects.all(), empty_label=None
    )
    code = forms.RegexField(
        label=_("Code on the container"),
        regex=r"^[A-Z0-9-]{1,12}$",
        help_text=_("Capital letters, digits and hyphens, 12 at most: IPA-3."),
        error_messages={"invalid": _("Take capital letters and digits, 12 at most.")},
    )
    capacity_ml = Amount(label=_("Holds"), within=limits.CONTAINER_ML)
    strength_pct = PercentField(label=_("Strength on its label"))
    strength_basis = basis_field()
    lot = column(StockContainer.lot, _("Lot"))
    expires_on = column(StockContainer.expires_on, _("Good until"))
    material = column(StockContainer.material, _("Made of"), empty=_("not said"))
    spot = forms.ModelChoiceField(
        label=_("Where it stands"), queryset=StorageSpot.objects.all(), required=False
    )
    opened = forms.BooleanField(label=_("It is opened now"), required=False)


class CountForm(forms.Form):
    """What is really left."""

    left_ml = Amount(label=_("Left"), within=limits.STOCK_ML)
    reason = column(StockMovement.reason, _("Note"))


class DiscardForm(forms.Form):
    """Why a container goes."""

    reason = column(StockMovement.reason, _("Why does it go?"), required=True)


class NameForm(forms.Form):
    """A product by its label: what its data sheet says is entered later."""

    name = column(Chemical.name, _("Name on the label"))
    substance = column(Chemical.substance, _("What it is"))
    strength_pct = PercentField(label=_("Strength"))
    strength_basis = basis_field()


class ChemicalForm(forms.Form):
    """A product as its data sheet says."""

    name = column(Chemical.name, _("Name"))
    substance = column(Chemical.substance, _("What it is"))
    strength_pct = PercentField(label=_("Strength"))
    strength_basis = basis_field()
    flash_point_c = Amount(
        label=_("Flash point of the data sheet"),
        within=limits.FLASH_POINT_C,
        required=False,
    )
    hazard_codes = column(
        Chemical.hazard_codes,
        _("H codes of the data sheet"),
        help_text=_(
            "Section 2, such as H225, H319 or Flam. Liq. 2; none where it names no "
            "hazard."
        ),
    )
    sheet_dated = column(Chemical.sheet_dated, _("Data sheet dated"))

    def clean(self) -> dict[str, Any]:
        """Codes, flash point and strength agree."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        read = read_codes(cleaned["hazard_codes"])
        for field, trouble in sheet_troubles(
            read,
            strength_pct=cleaned["strength_pct"]
            if cleaned["substance"] in (Substance.ALCOHOL, Substance.WIPE)
            else None,
            flash_point_c=cleaned["flash_point_c"],
            boiling_point_c=cleaned.get("boiling_point_c"),
            rules=rules_of(the_shop()),
        ):
            here = field if field in self.fields else "hazard_codes"
            self.add_error(here, tell(trouble, system=the_shop().system))
        cleaned["hazard_codes"] = read.text
        return cleaned
