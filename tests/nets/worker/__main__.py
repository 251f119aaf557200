"""One job of `keep`, over a copy of the furnished base: `JOB FOLDER BASE`.

The clock is set before Django reads a model, so that defaults take it too.
"""

from __future__ import annotations

import logging
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import django
from django.utils import timezone

JOB, *MORE, FOLDER, BASE = sys.argv[1:]
BEGUN = datetime(2031, 5, 6, 15, 0, tzinfo=UTC)
"""A Tuesday morning in the demo shop's zone."""
LOOKED = BEGUN + timedelta(minutes=10)
_ticks = iter(range(10**9))


def _now() -> datetime:
    # While the base is made each question comes later than the one before.
    return BEGUN + timedelta(milliseconds=next(_ticks)) if JOB == "base" else LOOKED


timezone.now = _now
django.setup()
logging.disable()

from tests.nets.worker import jobs  # noqa: E402

sys.exit(jobs.run(JOB, MORE, folder=Path(FOLDER), base=Path(BASE)))
