"""How the shop mixes, as a manager sets it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from mixing import limits
from mixing.models import BenchSettings, Dispenser
from mixing.sheet.bench_settings import why_not_with
from mixing.sheet.input_queries import SET_WITH, dispenser_for_sheet
from shopapp.amounts import Amount
from shopapp.columns import column


def _dispenser_for(what: Any) -> forms.ModelChoiceField[Dispenser]:
    return forms.ModelChoiceField(
        label=what,
        queryset=Dispenser.objects.none(),
        required=False,
        empty_label=_("the sheet chooses"),
    )


class BenchForm(forms.Form):
    """Filling, dispensers, and the shop's own test of the open time."""

    fill_mode = column(
        BenchSettings.fill_mode,
        _("How does the water get in?"),
        widget=forms.RadioSelect,
    )
    water_with = _dispenser_for(_("Water"))
    alcohol_with = _dispenser_for(_("Alcohol"))
    soap_with = _dispenser_for(_("Baby shampoo"))
    gel_with = _dispenser_for(_("Gel"))
    patch_min = Amount(label=_("Workable for"), within=limits.PATCH_MIN, required=False)
    patch_panel_c = Amount(
        label=_("Panel"), within=limits.DRYING_PANEL_C, required=False
    )
    patch_air_c = Amount(label=_("Air"), within=limits.DRYING_AIR_C, required=False)
    patch_rh_pct = Amount(label=_("Humidity"), within=limits.RH_PCT, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_use = Dispenser.objects.filter(in_use=True)
        known = {row.pk: dispenser_for_sheet(row) for row in in_use}
        for name, substance in SET_WITH.items():
            fits = [
                pk for pk, each in known.items() if not why_not_with(substance, each)
            ]
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = in_use.filter(pk__in=fits)

    def clean(self) -> dict[str, Any]:
        """Without minutes there is no patch: the reading was only offered for one."""
        given = super().clean() or {}
        if "patch_min" in given and given["patch_min"] is None:
            given |= dict.fromkeys(name for name in given if name.startswith("patch_"))
        return given

    @property
    def dispensers(self) -> list[forms.BoundField]:
        """The dispenser wanted for each substance."""
        return [self[name] for name in SET_WITH]

    @property
    def patch(self) -> list[forms.BoundField]:
        """The test patch and its reading."""
        return [self[name] for name in self.fields if name.startswith("patch_")]
