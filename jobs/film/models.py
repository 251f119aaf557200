"""Film: kinds, rolls, off-cuts; their movements sum to the stock."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from jobs.bookings.models import Booking
from jobs.pulls.models import Pull
from jobs.search.models import Findable, SearchKey
from jobs.search.spelling import number_keys
from jobs.workorders.models import WorkOrder
from mixing.models import Immutable
from shopapp.models import Person


class Film(models.Model):
    """A kind of film, with its maker's limits and cure rule."""

    class Finish(models.TextChoices):
        GLOSS = "gloss", "gloss"
        MATTE = "matte", "matte"
        COLOUR = "colour", "coloured"

    code = models.CharField(max_length=12, unique=True)
    name = models.CharField(max_length=60)
    thickness_um = models.PositiveSmallIntegerField(null=True, blank=True)
    finish = models.CharField(
        max_length=8, choices=Finish.choices, default=Finish.GLOSS
    )
    is_directional = models.BooleanField(
        default=False, help_text="Panels of a directional film are not turned."
    )
    cost_per_m2 = models.DecimalField(
        max_digits=8,
        decimal_places=2,
        null=True,
        blank=True,
    )
    price_factor = models.DecimalField(
        max_digits=5, decimal_places=3, default=Decimal(1)
    )
    panel_min_c = models.FloatField(null=True, blank=True)
    panel_max_c = models.FloatField(null=True, blank=True)
    air_min_c = models.FloatField(null=True, blank=True)
    air_max_c = models.FloatField(null=True, blank=True)
    rh_max_pct = models.FloatField(null=True, blank=True)
    cure_h = models.FloatField(
        null=True,
        blank=True,
        help_text="The maker's own time in the shop; empty means the shop's default.",
    )
    warranty_years = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="As its maker states them; empty: not said."
    )
    wash_after_days = models.PositiveSmallIntegerField(default=7)
    reorder_below_mm = models.PositiveIntegerField(default=0)
    in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


class Roll(Findable):
    """A roll of film. `left_mm` is kept with the movements, which are the truth."""

    lock_rank: ClassVar[int] = 30
    found_as = SearchKey.Of.ROLL
    found_by = ("code", "lot")

    film = models.ForeignKey(Film, on_delete=models.PROTECT, related_name="rolls")
    code = models.CharField(max_length=12, unique=True)
    lot = models.CharField(max_length=40, blank=True)
    width_mm = models.PositiveIntegerField()
    left_mm = models.PositiveIntegerField(default=0)
    cost_per_m = models.DecimalField(
        max_digits=8, decimal_places=2, null=True, blank=True
    )
    location = models.CharField(max_length=60, blank=True)
    received_on = models.DateField(null=True, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["film_id", "pk"]
        indexes = [
            models.Index(
                fields=["film"], condition=Q(retired_at=None), name="roll_in_use"
            )
        ]

    def __str__(self) -> str:
        return self.code

    def search_keys(self) -> set[str]:
        """By its code and its maker's lot."""
        return number_keys(self.code, self.lot)


class OffCut(Findable):
    """A piece left over that is worth keeping, with its label and place."""

    lock_rank: ClassVar[int] = 40
    found_as = SearchKey.Of.OFFCUT
    found_by = ("code",)

    film = models.ForeignKey(Film, on_delete=models.PROTECT, related_name="offcuts")
    roll = models.ForeignKey(Roll, on_delete=models.PROTECT, related_name="offcuts")
    code = models.CharField(max_length=12, unique=True)
    width_mm = models.PositiveIntegerField()
    length_mm = models.PositiveIntegerField()
    location = models.CharField(max_length=60, blank=True)
    kept_at = models.DateTimeField(default=timezone.now)
    used_at = models.DateTimeField(null=True, blank=True)
    scrapped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name = "off-cut"
        ordering = ["film_id", "pk"]

    def __str__(self) -> str:
        return self.code

    def search_keys(self) -> set[str]:
        """By its code."""
        return number_keys(self.code)


class FilmMovement(Immutable):
    """A change of a roll or off-cut, in mm along the roll. Their sum is the stock."""

    class What(models.TextChoices):
        RECEIVED = "received", "received"
        PULLED = "pulled", "pulled"
        RETURNED = "returned", "returned"
        SCRAPPED = "scrapped", "scrapped"
        OFFCUT_KEPT = "offcut_kept", "off-cut kept"
        OFFCUT_USED = "offcut_used", "off-cut used"
        COUNTED = "counted", "counted"

    roll = models.ForeignKey(Roll, on_delete=models.PROTECT, related_name="movements")
    offcut = models.ForeignKey(
        OffCut, on_delete=models.PROTECT, null=True, related_name="movements"
    )
    what = models.CharField(max_length=12, choices=What.choices)
    change_mm = models.IntegerField(
        default=0, help_text="Change of the roll's length; 0 for an off-cut's own."
    )
    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, null=True, related_name="movements"
    )
    pull = models.ForeignKey(
        Pull, on_delete=models.PROTECT, null=True, related_name="movements"
    )
    reason = models.CharField(max_length=120, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.what} {self.change_mm:+d} mm"


class FilmOrder(models.Model):
    """Film ordered from a dealer: due, until it comes as a roll or is called off."""

    film = models.ForeignKey(Film, on_delete=models.PROTECT, related_name="orders")
    width_mm = models.PositiveIntegerField()
    length_mm = models.PositiveIntegerField()
    due_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=80, blank=True)
    ordered_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    ordered_at = models.DateTimeField()
    roll = models.OneToOneField(
        Roll, on_delete=models.PROTECT, null=True, related_name="order"
    )
    called_off_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["due_on", "pk"]

    def __str__(self) -> str:
        return f"{self.length_mm} mm of {self.film}"


class FilmShortage(models.Model):
    """Film that does not reach the cars of a day, said the afternoon before."""

    film = models.ForeignKey(Film, on_delete=models.PROTECT, related_name="shortages")
    day = models.DateField()
    there_mm = models.PositiveIntegerField()
    wanted_mm = models.PositiveIntegerField()
    said_at = models.DateTimeField()
    bookings = models.ManyToManyField(Booking, related_name="shortages")

    class Meta:
        ordering = ["day", "film_id"]
        constraints = [
            models.UniqueConstraint(fields=["film", "day"], name="shortage_said_once")
        ]

    def __str__(self) -> str:
        return f"{self.film} on {self.day}"


class FilmReservation(models.Model):
    """Film held for a booking until it is pulled or the booking ends."""

    booking = models.OneToOneField(
        Booking, on_delete=models.CASCADE, related_name="reservation"
    )
    film = models.ForeignKey(
        Film, on_delete=models.PROTECT, related_name="reservations"
    )
    length_mm = models.PositiveIntegerField()
    width_mm = models.PositiveIntegerField()
    released_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [
            models.Index(
                fields=["film"],
                condition=Q(released_at__isnull=True),
                name="reservation_held",
            )
        ]

    def __str__(self) -> str:
        return f"{self.length_mm} mm of {self.film}"
