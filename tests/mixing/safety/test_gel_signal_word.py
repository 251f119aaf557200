"""The signal word of a gel is that of all codes of its sheet."""

from __future__ import annotations

import pytest

from mixing.bench.label_facts import kind_label
from mixing.models import Chemical, Kind, Substance, Vessel
from tests.makers import make_bench, make_container

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("codes", "signal"),
    [
        ("H226, H334", "Danger"),
        ("H304", "Danger"),
        ("H360FD", "Danger"),
        ("H302", "Warning"),
        ("H226, H319", "Warning"),
        ("EUH066", ""),
        ("none", ""),
    ],
)
def test_the_signal_word_follows_every_code(codes, signal):
    """Signal words of GHS annex 1, from memory."""
    make_bench()
    gel = make_container("C3", Substance.GEL).chemical
    Chemical.objects.filter(pk=gel.pk).update(hazard_codes=codes)
    bottle = Vessel.objects.filter(kind=Kind.GEL).first() or Vessel(
        code="G9", kind=Kind.GEL, capacity_ml=450, usable_ml=400
    )
    bottle.save()
    assert kind_label(bottle).signal == signal
