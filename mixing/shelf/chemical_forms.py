"""Data sheets, storage spots and containers as they are typed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from mixing import limits
from mixing.models import StockContainer, StorageSpot
from mixing.shelf.forms import ChemicalForm
from shopapp.amounts import Amount, Number
from shopapp.columns import column, yes_or_no
from shopapp.frame import Refused
from shopapp.limits import Range
from shopapp.media import keep_document
from shopapp.models import the_shop
from shopapp.telling import tell


class SheetNumber(Number):
    """A number as the data sheet prints it: nothing is converted or rounded."""

    def __init__(self, *, within: Range, **kwargs: Any) -> None:
        super().__init__(
            within=within,
            required=False,
            error_messages={"invalid": _("Enter a number.")},
            **kwargs,
        )
        self.widget = forms.TextInput(attrs={"inputmode": "decimal", "size": 8})

    def prepare_value(self, value: Any) -> Any:
        """Without noise; what was typed stays."""
        return f"{value:.10g}" if isinstance(value, float) else value


def document_field(label: Any) -> forms.FileField:
    """A PDF, or a photo of the paper."""
    return forms.FileField(
        label=label,
        required=False,
        widget=forms.FileInput(attrs={"accept": "application/pdf,image/*"}),
    )


def keep_upload(form: forms.Form, cleaned: dict[str, Any], name: str) -> None:
    """Keep the file of a form that is right so far, or say at it why not."""
    upload = cleaned.pop(name, None)
    if form.errors or not isinstance(upload, UploadedFile):
        return
    try:
        cleaned[name] = keep_document(upload)
    except Refused as refused:
        system = the_shop().system
        form.add_error(
            name, [tell(reason, system=system) for reason in refused.reasons]
        )


class DataSheetForm(ChemicalForm):
    """A product with everything that its data sheet says, and the sheet itself."""

    boiling_point_c = Amount(
        label=_("Boiling point"),
        within=limits.BOILING_POINT_C,
        required=False,
        help_text=_("Where boiling begins: section 9."),
    )
    density_g_per_ml = Amount(
        label=_("Density"), within=limits.DENSITY_G_PER_ML, required=False
    )
    volatile_pct = SheetNumber(
        label=_("Share that evaporates, % by volume"),
        within=limits.VOLATILE_PCT,
        help_text=_("Section 9; 0 when nothing does."),
    )
    molar_mass_g_per_mol = SheetNumber(
        label=_("Molar mass, g/mol"), within=limits.MOLAR_MASS_G_PER_MOL
    )
    lel_pct = SheetNumber(
        label=_("Lower explosive limit, % in air"), within=limits.LEL_PCT
    )
    limit_ppm = SheetNumber(
        label=_("8-hour limit, ppm"),
        within=limits.LIMIT_PPM,
        help_text=_("Section 8. Alcohol goes by the shop's own limit."),
    )
    sheet_file = document_field(_("Data sheet, PDF or photo"))

    def clean(self) -> dict[str, Any]:
        """As the short form; the file is kept last."""
        cleaned = super().clean() or {}
        if not self.errors:
            keep_upload(self, cleaned, "sheet_file")
        return cleaned

    def groups(self) -> list[tuple[Any, list[forms.BoundField]]]:
        """The fields under their headings."""
        told = ("hazard_codes", "flash_point_c", "boiling_point_c")
        vapour = (
            *("volatile_pct", "density_g_per_ml", "molar_mass_g_per_mol"),
            *("lel_pct", "limit_ppm"),
        )
        names = ("name", "substance", "strength_pct", "strength_basis")
        return [
            (_("What it is"), [self[n] for n in names]),
            (_("Sections 2 and 9"), [self[n] for n in told]),
            (_("What evaporates: sections 8 and 9"), [self[n] for n in vapour]),
            (_("The sheet"), [self[n] for n in ("sheet_dated", "sheet_file")]),
        ]


class SpotForm(forms.Form):
    """A cabinet, a shelf, a room."""

    name = column(StorageSpot.name, _("Name"))
    form = column(StorageSpot.form, _("What it is"))
    fire_area = column(
        StorageSpot.fire_area,
        _("Fire area"),
        help_text=_(
            "Open shelves of one fire area count together. If the building has no "
            "fire walls, it is all one area."
        ),
    )
    allowed_l = Amount(
        label=_("What the fire official allows in this room"),
        within=limits.ALLOWED_L,
        required=False,
        help_text=_("Only for a storage room."),
    )

    def clean(self) -> dict[str, Any]:
        """A shelf stands in a fire area; only a room has a limit of its own."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        if cleaned["form"] == StorageSpot.Form.SHELF and not cleaned["fire_area"]:
            self.add_error(
                "fire_area",
                _("Say in which fire area the shelf stands: its stock counts there."),
            )
        if cleaned["form"] != StorageSpot.Form.ROOM and cleaned["allowed_l"]:
            self.add_error(
                "allowed_l", _("Only a storage room has a limit of its own.")
            )
        return cleaned


class ContainerForm(forms.Form):
    """What a container is, and where it stands."""

    capacity_ml = Amount(label=_("Holds"), within=limits.CONTAINER_ML)
    material = column(StockContainer.material, _("Made of"), empty=_("not said"))
    approved = yes_or_no(_("Transport approval or laboratory listing on it"))
    metal_spoils = column(
        StockContainer.metal_spoils,
        _("Metal would spoil it, or be eaten by it"),
        help_text=_("Then glass or plastic may hold up to a gallon; keep the reason."),
    )
    spot = forms.ModelChoiceField(
        label=_("Where it stands"),
        queryset=StorageSpot.objects.all(),
        required=False,
        empty_label=_("not said"),
    )
