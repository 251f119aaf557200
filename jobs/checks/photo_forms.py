"""A photo in a form: looked at with the other fields, kept once all are right."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from shopapp.frame import Refused
from shopapp.media import keep_photo
from shopapp.models import the_shop
from shopapp.telling import tell


class PhotoField(forms.FileField):
    """Opens the camera on a tablet."""

    widget = forms.ClearableFileInput(
        attrs={"accept": "image/*", "capture": "environment"}
    )

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"label": _("Photo"), "required": False, **kwargs})

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """A plain file input; what was kept before is shown by the page."""
        return {}


class SeveralFiles(forms.ClearableFileInput):
    """A file input that takes more than one."""

    allow_multiple_selected = True


class PhotosField(PhotoField):
    """As many photos as are handed over: from the camera, or chosen together."""

    widget = SeveralFiles(attrs={"accept": "image/*"})

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        """Each of them, looked at by itself."""
        several = data if isinstance(data, list) and data else [data or None]
        return [super(PhotosField, self).clean(each, initial) for each in several]


class PhotoForm(forms.Form):
    """A form with photos: `clean` turns each upload into a `StoredFile`."""

    def clean(self) -> dict[str, Any]:
        """Keep the photos, unless something else is wrong."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        for name, value in cleaned.items():
            if _is_upload(value):
                try:
                    cleaned[name] = _kept(value)
                except Refused as refused:
                    system = the_shop().system
                    self.add_error(
                        name,
                        [tell(reason, system=system) for reason in refused.reasons],
                    )
                    return cleaned
        return cleaned


def _is_upload(value: Any) -> bool:
    one = value[0] if isinstance(value, list) and value else value
    return isinstance(one, UploadedFile)


def _kept(value: Any) -> Any:
    return (
        [_kept(each) for each in value]
        if isinstance(value, list)
        else keep_photo(value)
    )
