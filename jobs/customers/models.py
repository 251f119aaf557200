"""Customers, their cars, and the secret links that let them look in."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils import timezone

from jobs.coverage.catalogue import Body
from jobs.customers.car_names import known_by, short_name
from jobs.search.models import Findable, SearchKey
from jobs.search.spelling import customer_keys, vehicle_keys
from shopapp.models import Person


class Customer(Findable):
    """A person, or an account customer (a dealer) with a monthly statement.

    language  of the customer's own page, mails and papers; the shop reads English
    """

    class Language(models.TextChoices):
        ENGLISH = "en", "English"
        SPANISH = "es", "Español"

    lock_rank: ClassVar[int] = 2
    found_as = SearchKey.Of.CUSTOMER
    found_by = ("name", "phone", "email")

    name = models.CharField(max_length=120)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    address = models.TextField(blank=True)
    is_account = models.BooleanField("account customer", default=False)
    language = models.CharField(
        max_length=2, choices=Language.choices, default=Language.ENGLISH
    )
    is_untaxed = models.BooleanField("pays no tax", default=False)
    untaxed_because = models.CharField(
        "reason, or number of the certificate", max_length=120, blank=True
    )
    mail_off = models.BooleanField("wants no mails by themselves", default=False)
    notes = models.TextField(blank=True)
    added_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["name", "pk"]
        indexes = [models.Index(fields=["name"], name="customer_name")]

    def __str__(self) -> str:
        return self.name

    def search_keys(self) -> set[str]:
        """By name, phone and e-mail."""
        return customer_keys(name=self.name, phone=self.phone, email=self.email)


class Vehicle(Findable):
    """A car. Its size class and body decide the panel templates."""

    lock_rank: ClassVar[int] = 3
    found_as = SearchKey.Of.VEHICLE
    found_by = ("plate", "stock_number", "vin", "make", "model", "colour")

    class Finish(models.TextChoices):
        SOLID = "solid", "solid"
        METALLIC = "metallic", "metallic"
        PEARL = "pearl", "pearl"
        TRI_COAT = "tri_coat", "tri-coat"
        MATTE = "matte", "matte or satin"
        TINTED = "tinted", "tinted clear"

    customer = models.ForeignKey(
        Customer, on_delete=models.PROTECT, related_name="vehicles"
    )
    plate = models.CharField(max_length=16, blank=True)
    stock_number = models.CharField(max_length=20, blank=True)
    vin = models.CharField("VIN", max_length=17, blank=True)
    vin_reason = models.CharField(
        "reason for keeping a VIN that fails its check digit",
        max_length=120,
        blank=True,
    )
    make = models.CharField(max_length=40, blank=True)
    model = models.CharField(max_length=60)
    year = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
    )
    size_class = models.CharField(
        max_length=4, help_text="A code of jobs/data/panel_sizes.csv."
    )
    body = models.CharField(
        max_length=12, choices=[(body.value, body.value) for body in Body]
    )
    colour = models.CharField(max_length=40, blank=True)
    paint_code = models.CharField(max_length=20, blank=True)
    finish = models.CharField(max_length=10, choices=Finish.choices, blank=True)
    notes = models.TextField(
        "red-line notes",
        blank=True,
        help_text="Repaint, coating, sensors, wax: what every installer must know.",
    )
    added_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-pk"]
        indexes = [
            models.Index(fields=["vin"], name="vehicle_vin"),
            models.Index(fields=["plate"], name="vehicle_plate"),
        ]

    def __str__(self) -> str:
        parts = [str(self.year or ""), self.make, self.model]
        return " ".join(part for part in parts if part)

    @property
    def short_name(self) -> str:
        """How the shop calls it where nothing else of it stands."""
        return short_name(
            plate=self.plate,
            stock_number=self.stock_number,
            colour=self.colour,
            model=self.model,
            vin=self.vin,
        )

    @property
    def known_by(self) -> str:
        """What tells it apart beside its make and model."""
        return known_by(
            plate=self.plate,
            stock_number=self.stock_number,
            colour=self.colour,
            vin=self.vin,
        )

    @property
    def whole_name(self) -> str:
        """Year, make and model, and what tells it apart."""
        return " · ".join(part for part in (str(self), self.known_by) if part)

    @property
    def described(self) -> str:
        """Year, make and model, and the colour where its name does not say it."""
        says_colour = self.colour and (self.plate or self.stock_number)
        return f"{self}, {self.colour}" if says_colour else str(self)

    def search_keys(self) -> set[str]:
        """By plate, stock number, VIN, make, model and colour."""
        return vehicle_keys(
            plate=self.plate,
            stock_number=self.stock_number,
            vin=self.vin,
            make=self.make,
            model=self.model,
            colour=self.colour,
        )


class CustomerLink(models.Model):
    """A secret address. Only the hash of its token is kept.

    One that was made for an estimate shows what was booked from it, and one of a
    booking its order once the car is in.
    """

    workorder = models.ForeignKey(
        "jobs.WorkOrder", on_delete=models.PROTECT, null=True, related_name="links"
    )
    booking = models.ForeignKey(
        "jobs.Booking", on_delete=models.PROTECT, null=True, related_name="links"
    )
    estimate = models.ForeignKey(
        "jobs.CustomerEstimate",
        on_delete=models.PROTECT,
        null=True,
        related_name="links",
    )
    token_hash = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    made_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    opened_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(workorder__isnull=False)
                | models.Q(booking__isnull=False)
                | models.Q(estimate__isnull=False),
                name="link_for_something",
            )
        ]

    def __str__(self) -> str:
        return f"link {self.pk}"
