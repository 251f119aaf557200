"""Lists of films and rolls: the file first, then the look over it."""

from __future__ import annotations

import binascii
from base64 import b64decode, b64encode
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.film.list_text import SAVED_AS, list_text
from jobs.film.lists import ReadList, read_films, read_rolls
from jobs.models import Film, OffCut, Roll
from shopapp.models import the_shop
from shopapp.say import Say
from shopapp.telling import tell

KINDS = (("rolls", _("Rolls")), ("films", _("Kinds of film")))
MOST_BYTES = 1_000_000


class ListForm(forms.Form):
    """A CSV file of rolls or films; or one just looked over, read in another way."""

    kind = forms.ChoiceField(label=_("What is in it"), choices=KINDS)
    file = forms.FileField(label=_("CSV file"))
    kept = forms.CharField(widget=forms.HiddenInput, required=False)
    saved_as = forms.ChoiceField(label=_("Saved as"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["file"].required = not self.data.get("kept")
        system = the_shop().system
        self.fields["saved_as"].choices = [  # type: ignore[attr-defined]
            (code, tell(name, system=system)) for code, name in SAVED_AS.items()
        ]

    def clean(self) -> dict[str, Any]:
        """`read`, the list row by row; `text`, how its bytes were read."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        data = self._data()
        found = list_text(data, saved_as=cleaned["saved_as"])
        if isinstance(found, Say):
            raise _at_file(found)
        cleaned["read"] = read_list(cleaned["kind"], found.text)
        cleaned["text"] = found
        cleaned["again"] = b64encode(data).decode() if found.saved_as else ""
        if problem := cleaned["read"].problem:
            raise _at_file(problem)
        return cleaned

    def _data(self) -> bytes:
        """The file, or the one that came back with the page."""
        file, kept = self.cleaned_data["file"], self.cleaned_data["kept"]
        if file and file.size > MOST_BYTES:
            raise forms.ValidationError(
                {"file": _("This file is too large for such a list (over 1 MB).")}
            )
        try:
            return bytes(file.read()) if file else b64decode(kept, validate=True)
        except binascii.Error:
            raise forms.ValidationError({"file": _("Choose the file again.")}) from None


def _at_file(sentence: Say) -> forms.ValidationError:
    return forms.ValidationError({"file": tell(sentence, system=the_shop().system)})


def read_list(kind: str, text: str, *, taken: frozenset[str] | None = None) -> ReadList:
    """The list, held against what is there now, or against these codes."""
    if kind == "films":
        return read_films(text)
    films = {code.lower() for code in Film.objects.values_list("code", flat=True)}
    return read_rolls(
        text, films=films, taken=codes_there() if taken is None else taken
    )


def codes_there() -> frozenset[str]:
    """Codes of rolls and off-cuts, small letters."""
    rows = (*Roll.objects.values_list("code"), *OffCut.objects.values_list("code"))
    return frozenset(code.lower() for (code,) in rows)


class TakeInForm(forms.Form):
    """The rows that were right when looked over, sent again with the page.

    They are not held against the shelf a second time: the same press sent twice must
    say the same, and the action refuses a code that was taken meanwhile.
    """

    kind = forms.ChoiceField(choices=KINDS)
    text = forms.CharField(widget=forms.HiddenInput, max_length=MOST_BYTES, strip=False)

    def clean(self) -> dict[str, Any]:
        """`rows` that are right."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        kind, text = cleaned["kind"], cleaned["text"]
        read = read_list(kind, text, taken=frozenset())
        if not read.good:
            raise forms.ValidationError(_("No row of this list can be taken in."))
        return {"rows": tuple(read.good)}
