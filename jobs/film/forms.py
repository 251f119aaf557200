"""Forms of the film pages: kinds of film, rolls, off-cuts, orders."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.film.queries import open_orders
from jobs.models import Film, FilmMovement, FilmOrder, OffCut, Roll, WorkOrder
from jobs.pulls.forms import LengthField
from jobs.stages.table import CLOSED
from mixing.limits import AIR_C, LAYING_C, RH_PCT
from shopapp.amounts import Amount, CostPer, Money, Whole
from shopapp.columns import column
from shopapp.limits import Range


class MetresField(Amount):
    """A length in metres or feet; whole millimetres inside."""

    def __init__(self, *, within: Range = limits.ROLL_LENGTH_MM, **kwargs: Any) -> None:
        super().__init__(within=within.scaled(0.001, "m"), **kwargs)

    def prepare_value(self, value: Any) -> Any:
        """Millimetres of a row as the shop reads them."""
        if isinstance(value, int):
            value = value / 1000
        return super().prepare_value(value)

    def clean(self, value: Any) -> int | None:
        """Whole millimetres."""
        typed = super().clean(value)
        return None if typed is None else round(typed * 1000)


def cost_field(unit: str, label: Any, us_label: Any) -> CostPer:
    """Money for so much film."""
    return CostPer(
        unit=unit,
        label=label,
        us_label=us_label,
        within=limits.FILM_COST,
        max_digits=8,
        decimal_places=2,
        required=False,
    )


class FilmForm(forms.Form):
    """A kind of film: what its maker says, what it costs, when to order more."""

    code = column(Film.code, _("Code"))
    name = column(Film.name, _("Name"))
    thickness_um = Amount(within=limits.FILM_UM, label=_("Thickness"), required=False)
    finish = column(Film.finish, _("Finish"))
    is_directional = column(
        Film.is_directional, _("Directional: panels of it are never turned")
    )
    cost_per_m2 = cost_field("m2", _("Cost per m²"), _("Cost per ft²"))
    price_factor = Money(
        label=_("Price factor on the price list"),
        within=limits.PRICE_FACTOR,
        decimal_places=3,
        initial=Decimal(1),
    )
    panel_min_c = Amount(within=LAYING_C, label=_("Panel, at least"), required=False)
    panel_max_c = Amount(within=LAYING_C, label=_("Panel, at most"), required=False)
    air_min_c = Amount(within=AIR_C, label=_("Air, at least"), required=False)
    air_max_c = Amount(within=AIR_C, label=_("Air, at most"), required=False)
    rh_max_pct = Amount(within=RH_PCT, label=_("Humidity, at most"), required=False)
    cure_h = Amount(
        within=limits.CURE_H,
        label=_("Cure time in the shop"),
        help_text=_("The maker's own; empty means the shop's default."),
        required=False,
    )
    wash_after_days = Whole(
        label=_("No wash for so many days"), within=limits.CARE_DAYS, initial=7
    )
    warranty_years = Whole(
        label=_("Years of the maker's warranty"),
        within=limits.WARRANTY_YEARS,
        help_text=_("Stands on the customer's film record; empty: nothing is said."),
        required=False,
    )
    reorder_below_mm = MetresField(
        within=limits.ROLL_LEFT_MM,
        label=_("Order more below"),
        initial=0,
        required=False,
    )
    in_use = column(Film.in_use, _("Offered for new bookings"), initial=True)

    GROUPS = (
        (_("The film"), ("code", "name", "thickness_um", "finish", "is_directional")),
        (
            _("The maker's limits"),
            ("panel_min_c", "panel_max_c", "air_min_c", "air_max_c", "rh_max_pct"),
        ),
        (_("Cure and warranty"), ("cure_h", "wash_after_days", "warranty_years")),
        (
            _("Stock and money"),
            ("reorder_below_mm", "cost_per_m2", "price_factor", "in_use"),
        ),
    )

    @property
    def groups(self) -> list[tuple[Any, list[Any]]]:
        """The fields as they belong together."""
        return [(title, [self[name] for name in names]) for title, names in self.GROUPS]

    @staticmethod
    def initial_of(film: Film) -> dict[str, Any]:
        """What is known of the film."""
        return {name: getattr(film, name) for name in FilmForm.base_fields}

    def clean_thickness_um(self) -> int | None:
        """Whole micrometres."""
        typed = self.cleaned_data["thickness_um"]
        return None if typed is None else round(typed)

    def clean(self) -> dict[str, Any]:
        """`facts`, with limits the right way round."""
        cleaned = super().clean() or {}
        for low, high in (("panel_min_c", "panel_max_c"), ("air_min_c", "air_max_c")):
            least, most = cleaned.get(low), cleaned.get(high)
            if least is not None and most is not None and least >= most:
                self.add_error(high, _("This lies below the lower limit."))
        if self.errors:
            return cleaned
        cleaned["reorder_below_mm"] = cleaned["reorder_below_mm"] or 0
        return {"facts": cleaned}


class RollForm(forms.Form):
    """A roll that has come."""

    order = forms.ModelChoiceField(
        label=_("Came for the order"),
        queryset=FilmOrder.objects.none(),
        required=False,
        empty_label=_("not ordered here"),
    )
    film = forms.ModelChoiceField(
        label=_("Film"), queryset=Film.objects.none(), empty_label=None
    )
    code = forms.CharField(
        label=_("Code on our label"), help_text=_("R1, R2 …"), max_length=8
    )
    lot = column(Roll.lot, _("Maker's lot"))
    width_mm = LengthField(within=limits.ROLL_WIDTH_MM, label=_("Width"), initial=1524)
    length_mm = MetresField(label=_("Length"))
    cost_per_m = cost_field(
        "m",
        _("Cost per metre, if not the film's usual"),
        _("Cost per foot, if not the film's usual"),
    )
    location = column(Roll.location, _("Where it lies"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["film"].queryset = Film.objects.filter(in_use=True)  # type: ignore[attr-defined]
        order = self.fields["order"]
        assert isinstance(order, forms.ModelChoiceField)
        # All are taken, so that a press sent twice says the same twice; the action
        # refuses one that is not on order any more. Only open ones are offered.
        order.queryset = FilmOrder.objects.select_related("film")
        offered = open_orders().select_related("film")
        order.choices = [
            ("", order.empty_label),
            *((each.pk, order.label_from_instance(each)) for each in offered),
        ]


class CountForm(forms.Form):
    """What was measured on the roll."""

    left_mm = MetresField(
        within=limits.ROLL_LEFT_MM, label=_("Left on the roll, measured")
    )
    reason = column(FilmMovement.reason, _("Why it differs"))


class OffcutForm(forms.Form):
    """A piece kept by hand."""

    width_mm = LengthField(within=limits.OFFCUT_WIDTH_MM, label=_("Width"))
    length_mm = LengthField(
        within=limits.OFFCUT_LENGTH_MM, label=_("Length, along the roll")
    )
    location = column(OffCut.location, _("Where it is put"))


class ScrapForm(forms.Form):
    """Why it is thrown away."""

    reason = column(FilmMovement.reason, _("Why"), required=True)


class UseForm(forms.Form):
    """What an off-cut was used for, outside a plan."""

    workorder = forms.ModelChoiceField(
        label=_("For the order"),
        queryset=WorkOrder.objects.none(),
        required=False,
        empty_label=_("no order"),
    )
    reason = column(FilmMovement.reason, _("For what"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        here = WorkOrder.objects.exclude(stage=CLOSED.value)
        self.fields["workorder"].queryset = here  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """`workorder_pk` and `reason`."""
        cleaned = super().clean() or {}
        order = cleaned.pop("workorder", None)
        return {**cleaned, "workorder_pk": order.pk if order else None}


class OrderForm(forms.Form):
    """Film ordered from a dealer."""

    width_mm = LengthField(within=limits.ROLL_WIDTH_MM, label=_("Width"), initial=1524)
    length_mm = MetresField(label=_("Length"), initial=15_000)
    due_on = column(FilmOrder.due_on, _("Due"))
    note = column(FilmOrder.note, _("Note"))
