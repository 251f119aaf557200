"""The building's settings as they are typed."""

from __future__ import annotations

import zoneinfo
from typing import Any

from django import forms
from django.contrib.auth import password_validation
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from shopapp import limits
from shopapp.amounts import Whole
from shopapp.columns import column
from shopapp.forms import LONG_ENOUGH, is_right
from shopapp.limits import Range
from shopapp.models import Person, Place, Shop, the_shop
from shopapp.one_time import Secret
from shopapp.secret_rules import weak_pin
from shopapp.telling import tell
from shopapp.tries import Kind


def whole(label: Any, *, within: Range, **kwargs: Any) -> Whole:
    """A whole number typed on a tablet."""
    return Whole(label=label, within=within, **kwargs)


class ShopForm(forms.Form):
    """What the shop says of itself."""

    name = column(Shop.name, _("Name"))
    address = column(
        Shop.address, _("Address"), widget=forms.Textarea(attrs={"rows": 3})
    )
    phone = column(Shop.phone, _("Phone"))
    email = column(Shop.email, _("E-mail"))
    time_zone = forms.ChoiceField(label=_("Time zone"))
    opens_at = column(Shop.opens_at, _("Opens"))
    closes_at = column(Shop.closes_at, _("Closes"))
    units = column(Shop.units, _("Units"), widget=forms.RadioSelect)
    has_batch_labels = column(
        Shop.has_batch_labels,
        _("A label of its own for each filling"),
        help_text=_(
            "With batch and discard-by, beside the lasting one. Without it they are "
            "read by scanning the bottle."
        ),
    )
    paper_size = column(Shop.paper_size, _("Paper"), widget=forms.RadioSelect)
    currency = forms.RegexField(
        label=_("Currency"),
        regex=r"^[A-Z]{3}$",
        help_text=_("Three letters of ISO 4217, such as USD."),
        error_messages={"invalid": _("Take three capital letters, such as USD.")},
    )

    terms = forms.CharField(
        label=_("Terms, one a line"),
        required=False,
        max_length=4000,
        help_text=_("The customer signs under them. Empty: the usual ones."),
        widget=forms.Textarea(attrs={"rows": 6}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["time_zone"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(zone, zone.replace("_", " ")) for zone in known_zones()]

    def clean(self) -> dict[str, Any]:
        """The day has an end."""
        cleaned = super().clean() or {}
        opens, closes = cleaned.get("opens_at"), cleaned.get("closes_at")
        if opens and closes and closes <= opens:
            self.add_error("closes_at", _("The shop closes after it opens."))
        return cleaned

    def groups(self) -> list[tuple[Any, list[forms.BoundField]]]:
        """The fields under their headings."""
        return [
            (_("On papers"), [self[n] for n in ("name", "address", "phone", "email")]),
            (_("Hours"), [self[n] for n in ("opens_at", "closes_at", "time_zone")]),
            (
                _("Measures"),
                [
                    self[n]
                    for n in ("units", "paper_size", "currency", "has_batch_labels")
                ],
            ),
            (_("What customers agree to"), [self["terms"]]),
        ]


def known_zones() -> list[str]:
    """The zones of the world by place; no abbreviations."""
    names = zoneinfo.available_timezones()
    return [*sorted(name for name in names if _is_a_place(name)), "UTC"]


def _is_a_place(name: str) -> bool:
    area, _slash, city = name.partition("/")
    return bool(city) and area not in {"Etc", "SystemV", "US", "posix", "right"}


class PlaceForm(forms.Form):
    """Somewhere a car stands that is not a bay."""

    name = column(Place.name, _("Name"))
    kind = column(Place.kind, _("What it is"))
    is_indoors = column(Place.is_indoors, _("Indoors: film may settle here"))
    room_for = whole(_("Room for, cars"), within=limits.ROOM_FOR)
    position = whole(_("Place in the list"), within=limits.POSITION)
    retired = column(Place.retired, _("Not used any more"))


class PersonForm(forms.Form):
    """Who somebody is, what they may do and what they can."""

    first_name = forms.CharField(label=_("First name"), max_length=60)
    last_name = forms.CharField(label=_("Last name"), max_length=60, required=False)
    username = forms.RegexField(
        label=_("Name to sign in by"),
        regex=r"^[a-z0-9._-]{2,30}$",
        error_messages={
            "invalid": _("Take small letters and digits, 2 to 30, no blanks.")
        },
        widget=forms.TextInput(attrs={"autocapitalize": "none"}),
    )
    is_desk = column(Person.is_desk)
    is_installer = column(Person.is_installer)
    is_manager = column(Person.is_manager)
    can_prep = column(Person.can_prep)
    can_install = column(Person.can_install)
    can_inspect = column(Person.can_inspect)

    def clean(self) -> dict[str, Any]:
        """Somebody without a role could open nothing."""
        cleaned = super().clean() or {}
        if not any(cleaned.get(f"is_{r}") for r in ("desk", "installer", "manager")):
            self.add_error("is_desk", _("Choose at least one role."))
        return cleaned

    def groups(self) -> list[tuple[Any, Any, list[forms.BoundField]]]:
        """Title, note and fields of each part."""

        def named(*names: str) -> list[forms.BoundField]:
            return [self[name] for name in names]

        planned = _("For whom the plan has this work. They forbid nothing.")
        skills = named("can_prep", "can_install", "can_inspect")
        left = ["is_active"] if self.has_left_field else []
        return [
            (_("Who"), "", named("first_name", "last_name", "username")),
            (_("May do"), "", named("is_desk", "is_installer", "is_manager")),
            (_("The plan gives"), planned, skills),
            *((_("Still here"), "", named(name)) for name in left),
        ]

    has_left_field = False


class KnownPersonForm(PersonForm):
    """A person who is there already may leave."""

    has_left_field = True
    is_active = column(Person.is_active, _("works here and may sign in"))


class OwnForm(forms.Form):
    """One's own password or PIN; the present password says that it is oneself."""

    now = forms.CharField(
        label=_("Your password now"),
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    password = forms.CharField(
        label=_("New password"),
        strip=False,
        required=False,
        max_length=200,
        help_text=LONG_ENOUGH,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    pin = forms.RegexField(
        label=_("New PIN"),
        regex=r"^\d{4,8}$",
        required=False,
        help_text=_("Four to eight digits, for the shared tablets."),
        error_messages={"invalid": _("A PIN is four to eight digits.")},
        widget=forms.PasswordInput(
            attrs={"inputmode": "numeric", "autocomplete": "off"}
        ),
    )

    def __init__(self, *args: Any, request: HttpRequest, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        assert isinstance(request.user, Person)
        self.request, self.person = request, request.user

    def clean_pin(self) -> str:
        """None that would be tried first."""
        pin: str = self.cleaned_data["pin"]
        if pin and (why := weak_pin(pin=pin)):
            raise forms.ValidationError(tell(why, system=the_shop().system))
        return pin

    def clean(self) -> dict[str, Any]:
        """Secrets go on as secrets."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        now, me = cleaned.pop("now"), self.person
        word, pin = cleaned["password"], cleaned["pin"]
        if not word and not pin:
            self.add_error("password", _("Type a new password, a new PIN, or both."))
        elif not is_right(
            self.request, Kind.PASSWORD, me, lambda: me.check_password(now)
        ):
            self.add_error("now", _("This is not your password."))
        elif word == now:
            self.add_error("password", _("This is the one you have. Take another."))
        elif word:
            self._check(word)
        return {
            "password": Secret(word) if word else None,
            "pin": Secret(pin) if pin else None,
        }

    def _check(self, word: str) -> None:
        try:
            password_validation.validate_password(word, self.person)
        except forms.ValidationError as error:
            self.add_error("password", error)
