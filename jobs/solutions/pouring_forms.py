"""The container that is poured from: chosen, typed or photographed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from mixing.bench.queries import container_in_photo
from mixing.models import StockContainer


class PourFromForm(forms.Form):
    """One of the containers that hold what is poured."""

    code = forms.CharField(label=_("Code on the container"), required=False)
    photo = forms.FileField(
        label=_("Photo of its code"),
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )

    def __init__(
        self, *args: Any, containers: list[StockContainer], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.containers = containers

    def clean(self) -> dict[str, Any]:
        """`container`, by whichever was given."""
        cleaned = super().clean() or {}
        code = cleaned.get("code", "").strip().upper()
        field = "code"
        if photo := cleaned.get("photo"):
            field, seen = "photo", container_in_photo(photo)
            code = seen.code if seen else ""
        known = {each.code.upper(): each for each in self.containers}
        if not code:
            self.add_error(field, _("Type the code, or take a photo of the label."))
        elif code not in known:
            self.add_error(field, self._why_not(code))
        return {"container": known.get(code)}

    def _why_not(self, code: str) -> str:
        row = StockContainer.objects.filter(code__iexact=code).first()
        if row is None or row.retired_at:
            told = _("No container here is called %(code)s. Read the label again.")
        elif not row.left_ml:
            told = _("%(code)s is empty by the book: count it first if it is not.")
        else:
            told = _("%(code)s holds %(what)s: that does not go in here.")
        return told % {"code": code, "what": row.chemical if row else ""}
