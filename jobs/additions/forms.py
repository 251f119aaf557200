"""What is offered, and what the customer answered, as it is typed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs import limits
from jobs.additions.queries import edges_to_offer, menu, panels_to_offer
from jobs.bookings.forms import money_field
from jobs.coverage.catalogue import Edge
from jobs.models import AddedWork, Addition, MenuWork, WorkOrder
from shopapp.amounts import Whole
from shopapp.columns import column

MINUTES = {"inputmode": "numeric", "autocomplete": "off"}
SAYS = (("yes", _("Yes")), ("no", _("No")))


class OfferForm(forms.Form):
    """What every offer asks; its price from those who see prices."""

    price = money_field(_("Price"), required=False)

    def __init__(
        self, *args: Any, order: WorkOrder, with_price: bool, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.order = order
        if not with_price:
            del self.fields["price"]

    def choose(self, name: str, choices: Iterable[tuple[str, str]]) -> None:
        """Offer these, and none beforehand."""
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", _("Choose")), *choices]


class PanelOfferForm(OfferForm):
    """One more panel of this car."""

    panel = forms.ChoiceField(label=_("Panel"))
    edge = forms.ChoiceField(
        label=_("Edge"),
        required=False,
        choices=[
            ("", _("as usual")),
            (Edge.WRAPPED.value, _("wrapped")),
            (Edge.CUT_SHORT.value, _("cut short")),
        ],
    )
    field_order = ("panel", "edge", "price")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.choose("panel", panels_to_offer(self.order))


class EdgeOfferForm(OfferForm):
    """Another edge for a panel that has no film yet."""

    panel = forms.ChoiceField(label=_("Which edge"))
    field_order = ("panel", "price")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.choose("panel", edges_to_offer(self.order))


class WorkOfferForm(OfferForm):
    """Other work: from the menu, or in words of one's own."""

    work = forms.ModelChoiceField(
        label=_("From the menu"),
        queryset=MenuWork.objects.none(),
        required=False,
        empty_label=_("something else"),
    )
    name = column(AddedWork.name, _("What"), required=False)
    minutes = Whole(
        label=_("Minutes"),
        within=limits.WORK_MIN,
        required=False,
        widget=forms.TextInput(attrs=MINUTES),
    )
    when = column(AddedWork.when, _("When"), required=False, empty=_("as on the menu"))
    skill = column(
        AddedWork.skill, _("By whom"), required=False, empty=_("as on the menu")
    )
    field_order = ("work", "name", "minutes", "when", "skill", "price")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["work"].queryset = menu()  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """The row of the menu by its key."""
        cleaned = super().clean() or {}
        work = cleaned.pop("work", None)
        cleaned["work_pk"] = work.pk if work else None
        return cleaned


class FreeWorkForm(forms.Form):
    """Other work that costs the customer nothing."""

    name = column(
        AddedWork.name,
        _("What"),
        widget=forms.TextInput(attrs={"list": "usual-work", "autocomplete": "off"}),
    )
    minutes = Whole(
        label=_("Minutes"),
        within=limits.WORK_MIN,
        widget=forms.TextInput(attrs=MINUTES),
    )
    when = column(AddedWork.when, _("When"), widget=forms.RadioSelect)
    skill = column(AddedWork.skill, _("By whom"), widget=forms.RadioSelect)


class AnswerForm(forms.Form):
    """Yes or no, how, and from whom."""

    says = forms.ChoiceField(choices=SAYS)
    how = forms.ChoiceField(
        label=_("How"),
        choices=[
            (WorkOrder.Agreed.PHONE.value, WorkOrder.Agreed.PHONE.label),
            (WorkOrder.Agreed.PERSON.value, WorkOrder.Agreed.PERSON.label),
        ],
    )
    name = column(
        Addition.answered_name,
        _("Spoken with"),
        required=True,
        error_messages={"required": _("Write whom you spoke with.")},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


class SaysForm(forms.Form):
    """Yes or no, by the customer's own hand."""

    says = forms.ChoiceField(choices=SAYS)


class MenuWorkForm(forms.Form):
    """A row of the menu of other work."""

    name = column(MenuWork.name, _("What"))
    minutes = Whole(label=_("Minutes"), within=limits.WORK_MIN)
    when = column(MenuWork.when, _("When"))
    skill = column(MenuWork.skill, _("By whom"))
    price = money_field(_("Price"), required=False)
    is_offered = column(MenuWork.is_offered, _("Offered"))
