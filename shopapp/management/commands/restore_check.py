"""`manage.py restore_check BACKUP`: would this backup bring the shop back?"""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError

from shopapp import machine
from shopapp.backups import making
from shopapp.backups.shelf import newest_of
from shopapp.backups.stores import Unusable


class Command(BaseCommand):
    """Opens a backup, counts its rows and hashes its files."""

    help = "Checks that a backup is whole."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Which one."""
        parser.add_argument("backup", type=Path)

    def handle(self, *args: Any, backup: Path, **options: Any) -> None:
        """Check it, and say what it holds."""
        try:
            with machine.in_words():
                held = making.check(newest_of(backup))
        except (Unusable, machine.NotReady) as reason:
            raise CommandError(str(reason)) from None
        self.stdout.write(
            f"Whole: {held['rows']} rows in {held['tables']} tables, "
            f"{held['files']} files."
        )
