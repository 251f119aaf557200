"""`manage.py defaults`: what a new shop starts with, loaded only where absent."""

from __future__ import annotations

from typing import Any

from django.core.management import BaseCommand
from django.utils import timezone

from jobs.rules.default_actions import load_defaults
from shopapp.frame import Tap, perform
from shopapp.models import HistoryEntry


class Command(BaseCommand):
    """Runs at every start of the shop; a second run changes nothing."""

    help = "Loads checklists, recipes and dispensers that the shop does not know yet."

    def handle(self, *args: Any, **options: Any) -> None:
        """Load them, by nobody."""
        tap = Tap.made_by(None, at=timezone.now(), via=HistoryEntry.Via.TASK)
        perform(tap, load_defaults)
