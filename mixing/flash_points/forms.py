"""A measured flash point as it is typed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from mixing import limits
from mixing.flash_points.queries import standing_flash_points
from mixing.models import FlashPoint, FlashPointWithdrawal, Recipe, RecipeVersion
from mixing.rule_sets.queries import rules_of
from mixing.safety.flash_measurement import (
    plausible_c,
    typed_troubles,
)
from mixing.safety.rules import CATEGORY_4
from mixing.shelf.chemical_forms import SheetNumber, document_field, keep_upload
from shopapp.amounts import Amount
from shopapp.columns import column
from shopapp.models import the_shop
from shopapp.telling import tell
from shopapp.units import System, shown

CATEGORIES = [("", _("not said")), *((n, str(n)) for n in range(1, 5))]


class VersionField(forms.ModelChoiceField):  # type: ignore[type-arg]
    """A version of one recipe, by its number."""

    def label_from_instance(self, obj: RecipeVersion) -> str:
        """Its number."""
        return str(obj.number)


class StandingField(forms.ModelChoiceField):  # type: ignore[type-arg]
    """A value that is still gone by."""

    def label_from_instance(self, obj: FlashPoint) -> str:
        """What it says, of which mix, whose word it is."""
        flash = shown(obj.flash_point_c, "degc", system=the_shop().system)
        return f"{flash}, {obj.vv_pct:.4g} % v/v, {obj.measured_by}, {obj.measured_on}"


class FlashPointForm(forms.Form):
    """What was tested, what came out, how, when and by whom."""

    recipe_version = VersionField(
        label=_("Version of the recipe"),
        queryset=RecipeVersion.objects.none(),
        empty_label=None,
    )
    vv_pct = SheetNumber(
        label=_("Strength of the mix tested, % v/v"),
        within=limits.TESTED_VV_PCT,
        help_text=_("As it was mixed, not as the recipe asks."),
    )
    flash_point_c = Amount(label=_("Flash point"), within=limits.FLASH_POINT_C)
    boiling_point_c = Amount(
        label=_("Boiling point"),
        within=limits.MIX_BOILING_C,
        required=False,
        help_text=_("Where boiling begins, if the report has it."),
    )
    cup = column(
        FlashPoint.cup,
        _("Method"),
        help_text=_("An open cup reads higher: it is kept, but not gone by."),
        empty=_("choose"),
    )
    ground = column(FlashPoint.ground, _("What it is"))
    category = forms.TypedChoiceField(
        label=_("Flammable category it names"),
        choices=[*CATEGORIES, (0, _("not flammable"))],
        coerce=int,
        empty_value=None,
        required=False,
    )
    measured_by = column(FlashPoint.measured_by, _("Laboratory, data sheet or person"))
    measured_on = column(FlashPoint.measured_on, _("Day of the test or the sheet"))
    report = document_field(_("Report, PDF or photo"))
    replaces = StandingField(
        label=_("Takes the place of"),
        queryset=FlashPoint.objects.none(),
        required=False,
        empty_label=_("nothing: it is one more value"),
    )
    sure = forms.BooleanField(
        label=_("I looked again: the value is as low as typed"), required=False
    )

    def __init__(self, *args: Any, recipe: Recipe, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.is_low = False
        versions, standing = self.fields["recipe_version"], self.fields["replaces"]
        assert isinstance(versions, forms.ModelChoiceField)
        assert isinstance(standing, forms.ModelChoiceField)
        versions.queryset = recipe.versions.all()
        standing.queryset = standing_flash_points().filter(
            recipe_version__recipe=recipe
        )
        self.fields["vv_pct"].required = True

    def clean_measured_on(self) -> Any:
        """A test that has not been made has no result."""
        day = self.cleaned_data["measured_on"]
        if day is not None and day > timezone.localdate(timezone=the_shop().zone):
            raise forms.ValidationError(_("This day has not come yet."))
        return day

    def clean(self) -> dict[str, Any]:
        """Strength, flash point, boiling point and category agree; the file last."""
        cleaned = super().clean() or {}
        needed = ("vv_pct", "flash_point_c", "boiling_point_c", "category", "cup")
        if all(name in cleaned for name in needed):
            self._check(cleaned)
        cleaned.pop("sure", None)
        keep_upload(self, cleaned, "report")
        return cleaned

    def _check(self, cleaned: dict[str, Any]) -> None:
        shop = the_shop()
        end = rules_of(shop).limit(CATEGORY_4)
        flash, told = cleaned["flash_point_c"], cleaned["category"]
        for field, sentence in typed_troubles(
            vv_pct=cleaned["vv_pct"],
            flash_point_c=flash,
            boiling_point_c=cleaned["boiling_point_c"],
            # Without the end of category 4 nothing can be held against it.
            category=None if end.missing and told in (0, 4) else told,
            closed_cup=cleaned["cup"] == FlashPoint.Cup.CLOSED,
            category_4_to_c=end.value,
            in_fahrenheit=shop.system is System.US,
            is_sure=bool(cleaned.get("sure")),
        ):
            self.add_error(field, tell(sentence, system=shop.system))
            if field == "flash_point_c":
                self.is_low = flash < plausible_c(vv_pct=cleaned["vv_pct"])[0]

    def groups(self) -> list[tuple[Any, list[forms.BoundField]]]:
        """The fields under their headings."""
        found = ("flash_point_c", "boiling_point_c", "cup", "category")
        where = ("ground", "measured_by", "measured_on", "report", "replaces")
        asks_twice = ("sure",) if self["flash_point_c"].errors and self.is_low else ()
        return [
            (_("What was tested"), [self[n] for n in ("recipe_version", "vv_pct")]),
            (_("What came out"), [self[n] for n in (*found, *asks_twice)]),
            (_("Whose word it is"), [self[n] for n in where]),
        ]


class WithdrawForm(forms.Form):
    """Why a value is gone by no more."""

    reason = column(
        FlashPointWithdrawal.reason,
        _("Why is it gone by no more?"),
        help_text=_("Such as: the sample was of another bottle."),
    )
