"""Forms of mixing for an order."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.solutions.bottle_queries import FillUp, takers_of
from jobs.solutions.guided_queries import Walk, walk
from mixing.bench.queries import vessels_in_photo
from mixing.limits import POURED_ML
from mixing.models import Vessel, WaterTest
from mixing.sheet import MixingSheet
from shopapp.amounts import Amount
from shopapp.models import the_shop
from shopapp.say import Say
from shopapp.telling import tell

LEAST_FILL_ML = 50.0
"""A smaller rest of room is not worth a mixing."""


class ChooseForm(forms.Form):
    """The vessels that are filled alike."""

    vessels = forms.ModelMultipleChoiceField(
        label=_("Which vessels do you fill?"),
        queryset=Vessel.objects.filter(retired=False),
        to_field_name="code",
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": _("Choose the vessels that you fill."),
            "invalid_choice": _("There is no vessel %(value)s in this shop."),
        },
    )

    def __init__(
        self,
        *args: Any,
        clean: list[Vessel],
        fill_ups: Sequence[FillUp] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["vessels"]
        field.choices = [  # type: ignore[attr-defined]
            (vessel.code, vessel.code) for vessel in clean
        ]
        self.fill_ups = {f"left_{each.vessel.code}": each for each in fill_ups}
        for name, each in self.fill_ups.items():
            self.fields[name] = Amount(
                label=_("Left in it"),
                within=POURED_ML.narrowed(
                    high=min(each.held_ml, each.vessel.usable_ml - LEAST_FILL_ML)
                ),
                required=False,
            )

    def rests(self) -> list[tuple[FillUp, forms.BoundField]]:
        """Each vessel that may be filled up, with the field for what is left."""
        return [(each, self[name]) for name, each in self.fill_ups.items()]

    def clean(self) -> dict[str, Any]:
        """`vessels` in one order, those that are filled up among them; `left_ml`."""
        cleaned = super().clean() or {}
        left = {
            each.vessel.code: amount
            for name, each in self.fill_ups.items()
            if (amount := cleaned.pop(name, None))
        }
        over = [each.vessel for each in self.fill_ups.values()]
        over = [vessel for vessel in over if vessel.code in left]
        chosen = [*(cleaned.get("vessels") or []), *over]
        if over and not self.data.getlist("vessels"):  # type: ignore[attr-defined]
            self.errors.pop("vessels", None)
        cleaned["vessels"] = sorted(chosen, key=lambda each: each.code)
        return {**cleaned, "left_ml": left} if left else cleaned


class ScanForm(forms.Form):
    """A vessel by its code: photographed or typed."""

    code = forms.CharField(
        label=_("Code on the vessel"),
        max_length=12,
        required=False,
        widget=forms.TextInput(
            attrs={"autocapitalize": "characters", "autocomplete": "off"}
        ),
    )
    photo = forms.FileField(
        label=_("Photo of its label"),
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )

    def __init__(
        self, *args: Any, refuses: Callable[[Vessel], Say | None], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.refuses = refuses

    def clean(self) -> dict[str, Any]:
        """`vessel`, by whichever was given; refused when it may not be filled."""
        cleaned = self._found(super().clean() or {})
        vessel = cleaned.get("vessel")
        if vessel is not None and (why := self.refuses(vessel)):
            field = "photo" if cleaned.get("photo") else "code"
            self.add_error(field, tell(why, system=the_shop().system))
        return cleaned

    def _found(self, cleaned: dict[str, Any]) -> dict[str, Any]:
        if self.errors:
            return cleaned
        if photo := cleaned.get("photo"):
            found = vessels_in_photo(photo)
            if found.problem:
                self.add_error("photo", str(found.problem))
            cleaned["vessel"] = found.vessel
            return cleaned
        code = cleaned.get("code", "").strip().upper()
        vessel = Vessel.objects.filter(code__iexact=code, retired=False).first()
        if not code:
            self.add_error("code", _("Type the code, or take a photo of the label."))
        elif vessel is None:
            self.add_error(
                "code",
                _("No vessel here is called %(code)s. Read the label again.")
                % {"code": code},
            )
        cleaned["vessel"] = vessel
        return cleaned


class BecauseForm(forms.Form):
    """Why a mixing is kept outside its tolerance."""

    because = forms.CharField(
        label=_("Why is it kept all the same?"), max_length=120, required=False
    )


class RecordForm(BecauseForm):
    """The answers of all steps, read once more."""

    def __init__(
        self,
        *args: Any,
        sheet: MixingSheet,
        kind: str,
        rooms_ml: dict[str, float],
        **kw: Any,
    ) -> None:
        super().__init__(*args, **kw)
        self.walk: Walk = walk(
            sheet,
            kind,
            self.data.getlist("p"),  # type: ignore[attr-defined]
            rooms_ml=rooms_ml,
            system=the_shop().system,
        )

    def clean(self) -> dict[str, Any]:
        """`poured`, fill by fill, and what else is to be said of it."""
        if self.walk.now is not None:
            raise forms.ValidationError(_("Go through all the pours first."))
        cleaned: dict[str, Any] = {"poured": self.walk.poured}
        if self.walk.spilt:
            cleaned["spilt"] = self.walk.spilt
        because = (super().clean() or {}).get("because", "").strip()
        if self.walk.off and not because:
            self.add_error(
                "because",
                _("Set it right, tip it out, or say why it is kept all the same."),
            )
        return {**cleaned, "because": because} if because else cleaned


class TopUpForm(forms.Form):
    """From one vessel of a batch into another."""

    from_vessel = forms.ModelChoiceField(
        label=_("From"), queryset=Vessel.objects.none(), to_field_name="code"
    )
    to_vessel = forms.ModelChoiceField(
        label=_("Into"),
        queryset=Vessel.objects.none(),
        to_field_name="code",
        error_messages={
            "invalid_choice": _(
                "Choose a clean vessel of the same kind, or one that holds this batch."
            )
        },
    )
    volume_ml = Amount(label=_("Amount"), within=POURED_ML)

    def __init__(self, *args: Any, held: list[Vessel], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        giver = self.fields["from_vessel"]
        assert isinstance(giver, forms.ModelChoiceField)
        giver.queryset = Vessel.objects.filter(pk__in=[each.pk for each in held])
        taker = self.fields["to_vessel"]
        assert isinstance(taker, forms.ModelChoiceField)
        taker.queryset = takers_of(held)


class WaterAnswerForm(forms.Form):
    """Which water is mixed with, in one tap."""

    source = forms.ChoiceField(choices=WaterTest.Source.choices)


class TakeForm(forms.Form):
    """A batch that is there already."""

    batch_pk = forms.IntegerField(widget=forms.HiddenInput)
    past_its_time = forms.BooleanField(required=False, widget=forms.HiddenInput)
