"""The settings of the bench: filling, dispensers, the shop's own test patch."""

from __future__ import annotations

from typing import Any

from django.forms.models import model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from mixing.bench.settings_forms import BenchForm
from mixing.models import BenchSettings, Reading
from mixing.sheet.input_queries import SET_WITH, newest_bench_settings
from shopapp.access import allow
from shopapp.pressing import Bound, form_for

MOST_SHOWN = 30


@require_GET
@allow("bench.view")
def bench_settings(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """How this shop mixes, and who set it."""
    history = BenchSettings.objects.select_related("made_by", *SET_WITH)
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "settings",
        "form": form_for(lambda: BenchForm(initial=_known()), bound, "bench_change"),
        "now": newest_bench_settings(),
        "history": history[:MOST_SHOWN],
    }
    return render(request, "mixing/bench/bench_settings.html", context)


def _known() -> dict[str, Any]:
    """What is set now; a patch not made yet starts from the last reading."""
    row = newest_bench_settings()
    known: dict[str, Any] = model_to_dict(row) if row else {}
    known.setdefault("fill_mode", BenchSettings.FillMode.MEASURED)
    last = Reading.objects.filter(panel_c__isnull=False).first()
    if known.get("patch_min") is None and last is not None:
        known |= {"patch_panel_c": last.panel_c, "patch_air_c": last.air_c}
        known["patch_rh_pct"] = last.rh_pct
    return known
