"""`manage.py backup [FOLDER]`: the store and the files, while the shop is open."""

from __future__ import annotations

import os
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError
from django.utils import timezone

from shopapp import machine
from shopapp.backups import making, nightly
from shopapp.backups.shelf import own_shelf
from shopapp.backups.stores import Unusable


class Command(BaseCommand):
    """Makes a backup that `restore` brings back."""

    help = "Backs the shop up into a new folder inside FOLDER."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where to; without it, where the nightly ones lie."""
        parser.add_argument("folder", type=Path, nargs="?")

    def handle(self, *args: Any, folder: Path | None, **options: Any) -> None:
        """Make it, and say how to check it and what lies beside it."""
        os.umask(0o077)
        now = timezone.now()
        try:
            with machine.in_words():
                made = making.make(folder or own_shelf(), now=now)
                nightly.note_made(made, now=now)
                if folder is None:
                    nightly.drop_old(own_shelf(), now=now)
        except (Unusable, machine.NotReady) as reason:
            raise CommandError(str(reason)) from None
        self.stdout.write(f"Backed up into {made.folder}")
        self.stdout.write(
            f"{made.rows} rows, {made.files} files, {made.copied} of them copied now "
            f"into {made.folder.parent / 'media'}, which all backups there share."
        )
        if made.damaged:
            self.stderr.write(
                f"{len(made.damaged)} files are missing or damaged in the shop itself "
                f"and could not be copied: {made.damaged[0]}."
            )
        if made.keys:
            self.stdout.write(
                f"The keys lie apart in {made.keys}: whoever has them can "
                "pass for this shop. Keep them like a door key."
            )
        if os.environ.get("SECRET_KEY"):
            self.stdout.write(
                "SECRET_KEY was given from outside: it is in no backup, keep it too."
            )
        self.stdout.write(f"Check it with: manage.py restore_check {made.folder}")
        self.stdout.write(f"Prove it with: manage.py restore --prove {made.folder}")
