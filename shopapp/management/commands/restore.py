"""`manage.py restore FOLDER`: a backup comes back into an empty place."""

from __future__ import annotations

import os
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError

from shopapp import machine
from shopapp.backups import nightly, restoring
from shopapp.backups.shelf import newest_of
from shopapp.backups.stores import Unusable


class Command(BaseCommand):
    """Brings the shop back, or proves that it would come back."""

    help = "Brings a backup back into an empty place (SHOP_DATA, DATABASE_URL)."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Which backup, and whether for good."""
        parser.add_argument(
            "backup", type=Path, help="a backup, or a folder of them: its newest"
        )
        parser.add_argument(
            "--prove",
            action="store_true",
            help="into a spare place, which goes again; the shop is not touched",
        )

    def handle(self, *args: Any, backup: Path, prove: bool, **options: Any) -> None:
        """Bring it back, and say what came and what is to be done."""
        os.umask(0o077)
        folder = newest_of(backup)
        try:
            with machine.in_words():
                self._prove(folder) if prove else self._restore(folder)
        except (Unusable, machine.NotReady) as reason:
            raise CommandError(str(reason)) from None

    def _restore(self, folder: Path) -> None:
        with machine.lock_data_folder():
            back = restoring.restore(folder, to=restoring.own_place())
        self.stdout.write(
            f"{folder} of {back.made_at} is back in {settings.SHOP_DATA}: "
            f"{back.rows} rows, {back.files} files."
        )
        self._say_keys(back)
        if back.damaged:
            self.stderr.write(
                f"{len(back.damaged)} files were missing or damaged in the backup; "
                f"their pages say so: {', '.join(back.damaged[:5])}"
            )
        if back.waiting:
            self.stdout.write(
                "It is of an older version: serve brings it to this one as it starts."
            )
        self.stdout.write(f"Open it: SHOP_DATA={settings.SHOP_DATA} manage.py serve")

    def _say_keys(self, back: restoring.Restored) -> None:
        if os.environ.get("SECRET_KEY"):
            self.stdout.write("SECRET_KEY is given from outside and was left as it is.")
        elif "secret_key" in back.keys:
            self.stdout.write("The secret key is back: who was signed in still is.")
        else:
            self.stdout.write(
                "No secret key was in the backup: everybody signs in anew."
            )
        if restoring.AUTHORITY in back.keys:
            self.stdout.write("The certificate is back: tablets go on trusting it.")

    def _prove(self, folder: Path) -> None:
        row = nightly.row_of(folder)
        if row is None:
            restoring.prove(folder)
            self.stdout.write("There is no shop here, so this is noted nowhere.")
        else:
            nightly.prove(row)
            if row.proof_failed:
                raise Unusable(row.proof_failed)
        self.stdout.write(
            f"Proven: {folder} came back whole into a spare place, every table "
            "counted, every file hashed, its keys too."
        )
