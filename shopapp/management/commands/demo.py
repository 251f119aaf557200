"""`manage.py demo`: an invented shop with weeks of history, through the front door."""

from __future__ import annotations

import logging
import secrets
from argparse import ArgumentParser
from datetime import time, timedelta
from typing import Any

from django.core.management import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from jobs.demo.shop import DemoShop, cast_of
from jobs.models import WorkOrder
from shopapp.models import Bay, OpenDay, Person, Place, shop_date, the_shop

PEOPLE: tuple[tuple[str, str, str, dict[str, bool]], ...] = (
    ("manager", "alva", "Alva Reyes", {"is_manager": True, "can_inspect": True}),
    ("desk", "ben", "Ben Castor", {"is_desk": True}),
    ("prep", "dara", "Dara Finch", {"is_installer": True, "can_prep": True}),
    (
        "lead",
        "chidi",
        "Chidi Lund",
        {"is_installer": True, "can_install": True, "can_inspect": True},
    ),
    ("second", "mira", "Mira Sole", {"is_installer": True, "can_install": True}),
)
"""Part, sign-in name, name and what each may do. All invented."""


class Command(BaseCommand):
    """Fills an empty base with the demo shop; refuses one that is in use."""

    help = "Makes an invented shop with weeks of history. Refuses a base in use."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """What may be chosen."""
        parser.add_argument(
            "--password",
            default="",
            help="one for all demo people, instead of new ones",
        )

    def handle(self, *args: Any, password: str, **options: Any) -> None:
        """Make it, whole or not at all."""
        if Person.objects.exists() or WorkOrder.objects.exists():
            raise CommandError("This base is in use: the demo shop needs an empty one.")
        # No worker is up yet; the sweep rings for what the demo asks for.
        logging.getLogger("shopapp.background").setLevel(logging.ERROR)
        with transaction.atomic():
            told = self._people(password)
            self._building()
            people = {part: Person.objects.get(username=u) for part, u, _, _ in PEOPLE}
            shop = DemoShop(cast=cast_of(people), now=timezone.now())
            shop.make()
        self.stdout.write("Demo people, each with a password of its own:")
        for username, secret, what in told:
            self.stdout.write(f"  {username:8} {secret:18} {what}")
        self.stdout.write(
            "A PIN works on a device that a manager has enrolled: sign in on it as\n"
            "alva, then Settings, Sign-ins and devices, Enrol this device."
        )
        self.stdout.write(f"A customer's page, without a login: {shop.customer_page}")

    def _people(self, password: str) -> list[tuple[str, str, str]]:
        told = []
        for number, (part, username, name, may) in enumerate(PEOPLE, start=1):
            secret = password or secrets.token_urlsafe(9)
            first, last = name.split()
            person = Person(username=username, first_name=first, last_name=last, **may)
            person.set_password(secret)
            # No PIN that everybody tries first.
            pin = f"47{number}{number + 1}"
            person.set_pin(pin)
            person.save()
            told.append((username, secret, f"{name}, {part} (PIN {pin})"))
        return told

    def _building(self) -> None:
        shop = the_shop()
        shop.name = "Larkspur Film Shop"
        shop.address = "12 Example Street\nSpringfield"
        shop.phone = "555-0100"
        shop.email = "desk@example.com"
        shop.local_code = "Example fire code, 2024 edition; permit F-0100"
        shop.fire_official = "Fire marshal of Springfield, 555-0190"
        shop.sewer_authority = "Springfield sewer office, 555-0191"
        shop.rinse_water = "Rinse water of clean vessels only, asked on 555-0191"
        shop.save()
        saturday = {"is_open": True, "opens_at": time(9), "closes_at": time(14)}
        OpenDay.objects.filter(weekday=OpenDay.Weekday.SATURDAY).update(**saturday)
        measured_on = shop_date(timezone.now()) - timedelta(days=48)
        for number, (length, flow) in enumerate(
            ((7.5, 950.0), (7.5, 950.0), (9.0, None)), 1
        ):
            Bay.objects.create(
                name=f"Bay {number}",
                position=number,
                length_m=length,
                width_m=5.0,
                height_m=3.6,
                exhaust_m3_per_h=flow,
                exhaust_measured_on=measured_on if flow else None,
                exhaust_method="vane anemometer at the grille" if flow else "",
                mixing_factor=3.0 if flow else None,
                mixing_factor_basis=Bay.FactorBasis.K if flow else "",
            )
        Place.objects.create(
            name="Yard", kind="yard", position=1, room_for=8, is_indoors=False
        )
        Place.objects.create(name="Wash", kind="wash", position=2, room_for=1)
        Place.objects.create(
            name="Settling corner", kind="settling", position=3, room_for=4
        )
