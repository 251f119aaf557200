"""The sentences that a customer reads, gathered for translation; the shop's are not."""

from __future__ import annotations

from typing import Any

from django.core.management.commands import makemessages

from jobs.public.spoken import is_for_customers


class Command(makemessages.Command):
    """`manage.py makemessages -l es`: only what customers read, `say(...)` included."""

    xgettext_options = [*makemessages.Command.xgettext_options, "--keyword=say"]
    msgmerge_options = [*makemessages.Command.msgmerge_options, "--no-fuzzy-matching"]

    def find_files(self, root: str) -> list[Any]:
        """The files that speak to customers."""
        return [
            found
            for found in super().find_files(root)
            if is_for_customers(found.path.removeprefix("./"))
        ]
