"""Forms of the panels page: reading, size, striking off, defects, the final look."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.checks.photo_forms import PhotoField, PhotoForm
from jobs.condition.forms import GaugeField
from jobs.coverage.year_forms import YearField
from jobs.findings.trace import defect_kinds
from jobs.models import Defect, FinalLook, OrderPanel
from jobs.panels.queries import acceptance_standard
from shopapp.amounts import Amount
from shopapp.columns import column


class ReadingForm(forms.Form):
    """Air, humidity and panel, as the instruments show them."""

    panel_c = GaugeField("panel_c", label=_("Panel"))
    air_c = GaugeField("air_c", label=_("Air"))
    rh_pct = GaugeField("rh_pct", label=_("Humidity"))
    panel = forms.ChoiceField(label=_("Read on"), required=False)

    def __init__(
        self, *args: Any, panels: Iterable[tuple[str, str]] = (), **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["panel"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", _("the car as it is")), *panels]


class PanelNowForm(forms.Form):
    """The panel alone, to ask whether it has moved."""

    panel_now = GaugeField("panel_c", label=_("Panel now"))


class SizeForm(forms.Form):
    """A panel as the tape shows it."""

    length_mm = Amount(within=limits.PANEL_MM, label=_("Length, along the car"))
    width_mm = Amount(within=limits.PANEL_MM, label=_("Width or height"))
    year_from = YearField(label=_("Holds for cars from"))
    year_to = YearField(label=_("to"))

    def clean_length_mm(self) -> int:
        """Whole millimetres."""
        return int(round(self.cleaned_data["length_mm"]))

    def clean_width_mm(self) -> int:
        """Whole millimetres."""
        return int(round(self.cleaned_data["width_mm"]))


class StrikeForm(forms.Form):
    """Why no film is laid on a panel: a tap, or words of one's own."""

    USUAL = (
        ("the customer wants it without", _("the customer wants it without")),
        ("paint not fit for film", _("paint not fit for film")),
        ("no film left for it", _("no film left for it")),
        ("other", _("something else:")),
    )
    usual = forms.ChoiceField(label=_("Why"), choices=USUAL, widget=forms.RadioSelect)
    own = column(OrderPanel.struck_off_because, _("In your words"))

    def clean(self) -> dict[str, Any]:
        """`because`, whichever was given."""
        cleaned = super().clean() or {}
        usual, own = cleaned.pop("usual", ""), cleaned.pop("own", "").strip()
        if usual == "other" and not own:
            self.add_error("own", _("Say why."))
        return cleaned | {"because": own or usual}


class DefectForm(PhotoForm):
    """What is seen, how large, and a photo."""

    kind = forms.ChoiceField(label=_("What is seen"), widget=forms.RadioSelect)
    size_mm = Amount(
        within=limits.MARK_MM,
        label=_("Largest side"),
        required=False,
    )
    photo = PhotoField()
    note = column(Defect.note, _("Note"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].choices = [  # type: ignore[attr-defined]
            (code, kind.name) for code, kind in defect_kinds().items()
        ]
        self.fields["size_mm"].help_text = _what_no_size_means()


def _what_no_size_means() -> str:
    unsized = gettext("A defect without a size counts as outside the standard.")
    watched = [
        kind.name
        for code, kind in defect_kinds().items()
        if code in acceptance_standard().watched
    ]
    if not watched:
        return unsized
    names = ", ".join(watched)
    but = gettext("Only watched, with a size or without: {names}.").format(names=names)
    return f"{unsized} {but}"


class NoteForm(forms.Form):
    """A few words, if they help."""

    note = column(Defect.settled_note, _("Note"))


class AcceptForm(forms.Form):
    """Why a defect outside the standard may stay."""

    note = column(Defect.settled_note, _("Why it may stay"), required=True)


class FinalLookForm(forms.Form):
    """What the look after the cure time found; a redo starts from its defect."""

    outcome = forms.ChoiceField(
        choices=[choice for choice in FinalLook.Outcome.choices if choice[0] != "redo"]
    )
    note = column(FinalLook.note, _("Note"))
