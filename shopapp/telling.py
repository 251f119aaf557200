"""Sentences and numbers as a reader sees them: translated, in the shop's units."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.utils import formats, timezone
from django.utils.translation import gettext

from shopapp.figures import Figure
from shopapp.say import Say
from shopapp.units import Shown, System, shown


def show(value: Any, *, unit: str = "", system: System) -> Shown | str:
    """A number or figure as a reader sees it; an empty value is a dash."""
    if value is None or value == "":
        return "–"
    if isinstance(value, Figure):
        return shown(value.value, value.unit, system=system)
    return shown(float(value), unit, system=system)


def tell(sentence: Say | str, *, system: System) -> str:
    """A sentence for a reader."""
    if not isinstance(sentence, Say):
        return str(sentence)
    values = {name: _param(value, system) for name, value in sentence.params}
    return gettext(sentence.text).format(**values)


def _param(value: Any, system: System) -> str:
    if isinstance(value, Figure):
        return str(shown(value.value, value.unit, system=system))
    if isinstance(value, datetime):
        return when(value)
    if isinstance(value, date):
        return formats.date_format(value, gettext("j M Y"))
    if isinstance(value, float):
        return formats.number_format(round(value, 2))
    return str(value)


def when(moment: datetime | None) -> str:
    """A moment in the shop's zone: "Wed 25 Nov 14:05"."""
    if moment is None:
        return "–"
    local = timezone.localtime(moment)
    is_this_year = local.year == timezone.localtime().year
    # Each language has its own pattern of a date.
    pattern = gettext("D j M H:i") if is_this_year else gettext("j M Y H:i")
    return formats.date_format(local, pattern)


def soon(moment: datetime | None) -> str:
    """A moment near now, as people say it: "14:05", "tomorrow 14:05", "Wed 14:05"."""
    if moment is None:
        return "–"
    local, now = timezone.localtime(moment), timezone.localtime()
    days = (local.date() - now.date()).days
    clock = formats.date_format(local, "H:i")
    if days == 0:
        return clock
    if days == 1:
        return gettext("tomorrow {clock}").format(clock=clock)
    return formats.date_format(local, "D H:i") if 1 < days < 7 else when(moment)
