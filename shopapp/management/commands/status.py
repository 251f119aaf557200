"""`manage.py status`: what `/readyz` only says yes or no to."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.core.management import BaseCommand, CommandError

from shopapp import health


class Command(BaseCommand):
    """Looks at store, migrations, Redis and waiting tasks."""

    help = "Says what the shop needs and has; ends with 1 where something is wrong."
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        """One line a part."""
        found = health.look()
        for part, state in asdict(found).items():
            self.stdout.write(f"{part.replace('_', ' '):16} {state}")
        if not found.ready:
            raise CommandError("The shop is not ready.")
