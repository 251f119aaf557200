"""The building's forms: signing in and switching."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth import authenticate
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from shopapp.models import Person
from shopapp.tries import ClosedPinError, Kind, TooManyTriesError, tried

LONG_ENOUGH = _("Twelve signs or more; three words with blanks are easy to keep.")
TOO_MANY = _("Too many tries. Wait ten minutes, or ask a manager.")
CLOSED = _(
    "Too many wrong PINs one after another. Sign in with the password, or ask a "
    "manager for a new PIN."
)


def is_right(
    request: HttpRequest, kind: Kind, person: Person | None, right: Any, name: str = ""
) -> bool:
    """Whether it was right; a sentence of the form where it is not tried."""
    try:
        return tried(request, kind=kind, name=name, person=person, right=right)
    except ClosedPinError:
        raise forms.ValidationError(CLOSED) from None
    except TooManyTriesError:
        raise forms.ValidationError(TOO_MANY) from None


class SignInForm(forms.Form):
    """Name and password. Never says which of the two was wrong."""

    username = forms.CharField(
        label=_("Name"),
        max_length=150,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autofocus": True}),
    )
    password = forms.CharField(
        label=_("Password"),
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )

    def __init__(self, *args: Any, request: HttpRequest, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.request = request
        self.person: Person | None = None

    def clean(self) -> dict[str, Any]:
        """Find the person."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        name, word = cleaned["username"], cleaned["password"]

        def right() -> bool:
            found = authenticate(self.request, username=name, password=word)
            self.person = found if isinstance(found, Person) else None
            return self.person is not None

        meant = Person.objects.filter(username=name).first()
        if not is_right(self.request, Kind.PASSWORD, meant, right, name):
            raise forms.ValidationError(_("This name and password do not go together."))
        return cleaned


class PasswordForm(forms.Form):
    """The password of whoever is signed in, once more."""

    password = forms.CharField(
        label=_("Your password"),
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(
            attrs={"autocomplete": "current-password", "autofocus": True}
        ),
    )

    def __init__(self, *args: Any, request: HttpRequest, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.request = request

    def clean_password(self) -> str:
        """Counted like a sign-in."""
        me, word = self.request.user, str(self.cleaned_data["password"])
        assert isinstance(me, Person)
        if not is_right(
            self.request, Kind.PASSWORD, me, lambda: me.check_password(word)
        ):
            raise forms.ValidationError(_("This is not your password."))
        return ""


class SwitchForm(forms.Form):
    """A tile and its PIN, on a device that is enrolled."""

    person = forms.ModelChoiceField(
        label=_("Who are you?"),
        queryset=Person.objects.none(),
        widget=forms.RadioSelect,
        empty_label=None,
    )
    pin = forms.CharField(
        label=_("PIN"),
        max_length=12,
        widget=forms.PasswordInput(
            attrs={"inputmode": "numeric", "autocomplete": "off"}
        ),
    )

    def __init__(
        self,
        *args: Any,
        request: HttpRequest,
        people: QuerySet[Person],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.request, self.tiles = request, list(people)
        field = self.fields["person"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = people

    def clean(self) -> dict[str, Any]:
        """Check the PIN."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        person, pin = cleaned["person"], cleaned["pin"]
        if not is_right(self.request, Kind.PIN, person, lambda: person.knows_pin(pin)):
            self.add_error("pin", _("This is not the PIN of this person."))
        return cleaned
