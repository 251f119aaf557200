"""`manage.py backup FOLDER`: the store and the files, while the shop is open."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError

from shopapp import backups


class Command(BaseCommand):
    """Makes a backup that `restore_check` can open."""

    help = "Backs the shop up into a new folder inside FOLDER."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where to."""
        parser.add_argument("folder", type=Path)

    def handle(self, *args: Any, folder: Path, **options: Any) -> None:
        """Make it, and say how to check it."""
        try:
            made = backups.make(folder)
        except backups.Unusable as reason:
            raise CommandError(str(reason)) from None
        self.stdout.write(f"Backed up into {made}")
        self.stdout.write(f"Check it with: manage.py restore_check {made}")
