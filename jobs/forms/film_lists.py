"""Lists of films and rolls: the file first, then the look over it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.film_lists import ReadList, read_films, read_rolls, read_text
from jobs.models import Film, OffCut, Roll
from shopapp.models import the_shop
from shopapp.say import Say
from shopapp.telling import tell

KINDS = (("rolls", _("Rolls")), ("films", _("Kinds of film")))
MOST_BYTES = 1_000_000


class ListForm(forms.Form):
    """A CSV file of rolls or films."""

    kind = forms.ChoiceField(label=_("What is in it"), choices=KINDS)
    file = forms.FileField(label=_("CSV file"))

    def clean_file(self) -> str:
        """Its text."""
        file = self.cleaned_data["file"]
        if file.size > MOST_BYTES:
            raise forms.ValidationError(_("This file is too large for such a list."))
        text = read_text(file.read())
        if isinstance(text, Say):
            raise forms.ValidationError(tell(text, system=the_shop().system))
        return text

    def clean(self) -> dict[str, Any]:
        """`read`, the list row by row."""
        cleaned = super().clean() or {}
        if not self.errors:
            cleaned["read"] = read_list(cleaned["kind"], cleaned["file"])
            if problem := cleaned["read"].problem:
                self.add_error("file", tell(problem, system=the_shop().system))
        return cleaned


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
