"""The bottle's path: recipes in versions, stock, vessels, batches, readings."""

from __future__ import annotations

from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from shopapp.models import Bay, Person, Place


class Kind(models.TextChoices):
    """The four solutions of the trade."""

    SLIP = "slip", "slip"
    TACK = "tack", "tack"
    ALL_IN_ONE = "all_in_one", "all-in-one"
    GEL = "gel", "gel"


class Substance(models.TextChoices):
    """What stock containers hold."""

    ALCOHOL = "alcohol", "isopropyl alcohol"
    SOAP = "soap", "baby shampoo"
    WATER = "water", "water"
    GEL = "gel", "gel"
    WIPE = "wipe", "panel wipe"
    REMOVER = "remover", "tar and adhesive remover"


class Basis(models.TextChoices):
    """What a strength in percent counts."""

    VV = "vv", "% by volume"
    WW = "ww", "% by weight"


class Immutable(models.Model):
    """Rows that are never changed once written."""

    class Meta:
        abstract = True

    def save(self, *args: object, **kwargs: object) -> None:
        """Insert; refuse to update."""
        if self.pk and type(self)._default_manager.filter(pk=self.pk).exists():
            raise RuntimeError(f"{self._meta.verbose_name} rows are never changed")
        super().save(*args, **kwargs)  # type: ignore[arg-type]


class Recipe(models.Model):
    """A solution the shop mixes; what it says stands in its versions."""

    kind = models.CharField(max_length=12, choices=Kind.choices)
    name = models.CharField(max_length=60, unique=True)
    in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.name


class RecipeVersion(Immutable):
    """What a recipe said from a moment on. `spec` is a `mixing.recipes.RecipeSpec`."""

    recipe = models.ForeignKey(
        Recipe, on_delete=models.PROTECT, related_name="versions"
    )
    number = models.PositiveIntegerField()
    spec = models.JSONField()
    why = models.CharField(max_length=200)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    made_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["recipe_id", "-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["recipe", "number"], name="recipe_version_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.recipe} version {self.number}"


class Dispenser(models.Model):
    """What amounts are read from: syringe, jug, pump, calibrated dropper."""

    class Form(models.TextChoices):
        SYRINGE = "syringe", "syringe"
        JUG = "jug", "measuring jug"
        PUMP = "pump", "pump"
        DROPPER = "dropper", "dropper"

    name = models.CharField(max_length=60, unique=True)
    form = models.CharField(max_length=10, choices=Form.choices)
    graduation_ml = models.FloatField(
        validators=[MinValueValidator(0.01), MaxValueValidator(500)]
    )
    error_ml = models.FloatField(
        default=0, validators=[MinValueValidator(0), MaxValueValidator(100)]
    )
    capacity_ml = models.FloatField(
        validators=[MinValueValidator(0.1), MaxValueValidator(20_000)]
    )
    drop_ml = models.FloatField(
        null=True,
        blank=True,
        help_text="Volume of one drop, weighed or counted by the shop.",
        validators=[MinValueValidator(0.005), MaxValueValidator(1)],
    )
    drop_spread_ml = models.FloatField(null=True, blank=True)
    in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["capacity_ml"]

    def __str__(self) -> str:
        return self.name


class Chemical(models.Model):
    """A product as its data sheet describes it."""

    name = models.CharField(max_length=80, unique=True)
    substance = models.CharField(max_length=10, choices=Substance.choices)
    strength_pct = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(100)]
    )
    strength_basis = models.CharField(max_length=2, choices=Basis.choices, blank=True)
    flash_point_c = models.FloatField(null=True, blank=True)
    boiling_point_c = models.FloatField(null=True, blank=True)
    density_g_per_ml = models.FloatField(null=True, blank=True)
    volatile_pct = models.FloatField(
        "share that evaporates, % by volume", null=True, blank=True
    )
    molar_mass_g_per_mol = models.FloatField(null=True, blank=True)
    lel_pct = models.FloatField("lower explosive limit", null=True, blank=True)
    limit_ppm = models.FloatField("8-hour limit", null=True, blank=True)
    hazard_codes = models.CharField(
        max_length=120, blank=True, help_text="H codes of the data sheet, with commas."
    )
    sheet_dated = models.DateField("data sheet dated", null=True, blank=True)
    sheet_file = models.ForeignKey(
        "shopapp.StoredFile", on_delete=models.PROTECT, null=True, blank=True
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class StorageSpot(models.Model):
    """Where containers stand: a cabinet, a shelf, a store room; and its fire area."""

    class Form(models.TextChoices):
        CABINET = "cabinet", "flammables cabinet"
        SHELF = "shelf", "open shelf"
        ROOM = "room", "inside storage room"

    name = models.CharField(max_length=60, unique=True)
    form = models.CharField(max_length=8, choices=Form.choices)
    fire_area = models.CharField(max_length=60, blank=True)
    allowed_l = models.FloatField(
        null=True, blank=True, help_text="What the fire official allows in a room."
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class StockContainer(models.Model):
    """An opened or unopened container of a chemical."""

    lock_rank: ClassVar[int] = 25

    class Material(models.TextChoices):
        PLASTIC = "plastic", "plastic"
        GLASS = "glass", "glass"
        METAL = "metal", "metal"
        SAFETY_CAN = "safety_can", "safety can"
        DRUM = "drum", "metal drum"

    chemical = models.ForeignKey(Chemical, on_delete=models.PROTECT)
    code = models.CharField(max_length=12, unique=True)
    lot = models.CharField(max_length=40, blank=True)
    strength_pct = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(100)]
    )
    strength_basis = models.CharField(max_length=2, choices=Basis.choices, blank=True)
    capacity_ml = models.FloatField(
        validators=[MinValueValidator(1), MaxValueValidator(250_000)]
    )
    left_ml = models.FloatField(validators=[MinValueValidator(0)])
    opened_on = models.DateField(null=True, blank=True)
    expires_on = models.DateField(null=True, blank=True)
    material = models.CharField(max_length=10, choices=Material.choices, blank=True)
    approved = models.BooleanField(null=True, blank=True)
    spot = models.ForeignKey(
        StorageSpot, on_delete=models.PROTECT, null=True, blank=True
    )
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["opened_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(left_ml__gte=0), name="container_not_below_zero"
            )
        ]

    def __str__(self) -> str:
        return self.code


class KindMark(models.Model):
    """The shape by which a shop tells a kind at a glance, beside word and letter."""

    class Shape(models.TextChoices):
        CIRCLE = "circle", "circle"
        TRIANGLE = "triangle", "triangle"
        SQUARE = "square", "square"
        DIAMOND = "diamond", "diamond"
        HEXAGON = "hexagon", "hexagon"
        CROSS = "cross", "cross"

    kind = models.CharField(max_length=12, choices=Kind.choices, unique=True)
    shape = models.CharField(max_length=10, choices=Shape.choices, unique=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.kind}: {self.shape}"


class Vessel(models.Model):
    """A bottle, sprayer or jug. One kind of solution for life."""

    lock_rank: ClassVar[int] = 20

    class Form(models.TextChoices):
        BOTTLE = "bottle", "spray bottle"
        SPRAYER = "sprayer", "pump sprayer"
        JUG = "jug", "jug"

    class State(models.TextChoices):
        CLEAN = "clean", "clean and empty"
        FILLED = "filled", "filled"
        TO_RINSE = "to_rinse", "to be emptied and rinsed"

    code = models.CharField(max_length=8, unique=True)
    kind = models.CharField(max_length=12, choices=Kind.choices)
    form = models.CharField(max_length=8, choices=Form.choices, default=Form.BOTTLE)
    capacity_ml = models.FloatField(
        validators=[MinValueValidator(50), MaxValueValidator(30_000)]
    )
    usable_ml = models.FloatField(
        validators=[MinValueValidator(50), MaxValueValidator(30_000)]
    )
    state = models.CharField(max_length=8, choices=State.choices, default=State.CLEAN)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["kind", "code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(usable_ml__lte=models.F("capacity_ml")),
                name="vessel_usable_within_capacity",
            )
        ]

    def __str__(self) -> str:
        return self.code


class WaterTest(models.Model):
    """What is known of the water that solutions are mixed with."""

    class Source(models.TextChoices):
        TAP = "tap", "tap"
        FILTERED = "filtered", "filtered"
        REVERSE_OSMOSIS = "ro", "reverse osmosis"
        DEIONISED = "di", "deionised"
        DISTILLED = "distilled", "distilled"

    source = models.CharField(max_length=10, choices=Source.choices)
    tds_mg_per_l = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(5000)],
    )
    hardness_mg_per_l = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(2000)],
    )
    tested_on = models.DateField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)

    class Meta:
        ordering = ["-tested_on", "-pk"]

    def __str__(self) -> str:
        return f"{self.get_source_display()} water, {self.tested_on}"


class Reading(models.Model):
    """Air, humidity and panel in one place at one moment."""

    bay = models.ForeignKey(Bay, on_delete=models.PROTECT, null=True, blank=True)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True)
    air_c = models.FloatField(
        validators=[MinValueValidator(-20), MaxValueValidator(60)]
    )
    rh_pct = models.FloatField(
        validators=[MinValueValidator(1), MaxValueValidator(100)]
    )
    panel_c = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(-30), MaxValueValidator(110)],
    )
    taken_at = models.DateTimeField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)

    class Meta:
        ordering = ["-taken_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.air_c:g} °C, {self.rh_pct:g} %"


class Batch(models.Model):
    """One mixing of one solution; it fills one or more vessels of that kind."""

    number = models.CharField(max_length=20, unique=True)
    kind = models.CharField(max_length=12, choices=Kind.choices)
    recipe_version = models.ForeignKey(RecipeVersion, on_delete=models.PROTECT)
    reading = models.ForeignKey(Reading, on_delete=models.PROTECT, null=True)
    water = models.ForeignKey(WaterTest, on_delete=models.PROTECT, null=True)
    volume_ml = models.FloatField(validators=[MinValueValidator(0)])
    vv_pct = models.FloatField(default=0)
    vv_low_pct = models.FloatField(default=0)
    vv_high_pct = models.FloatField(default=0)
    soap_ml = models.FloatField(default=0)
    facts = models.JSONField(
        default=dict, help_text="The part of the mixing sheet that it was mixed by."
    )
    mixed_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    mixed_at = models.DateTimeField()
    use_by = models.DateTimeField()

    class Meta:
        ordering = ["-mixed_at", "-pk"]
        indexes = [models.Index(fields=["mixed_at"], name="batch_mixed_at")]

    def __str__(self) -> str:
        return self.number


class Pour(Immutable):
    """One amount that went into a batch, planned and poured."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="pours")
    step = models.PositiveSmallIntegerField()
    substance = models.CharField(max_length=10, choices=Substance.choices)
    container = models.ForeignKey(StockContainer, on_delete=models.PROTECT, null=True)
    dispenser = models.ForeignKey(Dispenser, on_delete=models.PROTECT, null=True)
    planned_ml = models.FloatField(help_text="For one vessel.")
    poured_ml = models.FloatField(help_text="Into each vessel.")
    vessels = models.PositiveSmallIntegerField(
        default=1, help_text="How many vessels it was poured into alike."
    )

    class Meta:
        ordering = ["batch_id", "step"]

    def __str__(self) -> str:
        return f"{self.substance} {self.poured_ml:g} mL"


class Fill(models.Model):
    """A vessel filled from a batch, until it is emptied and rinsed."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="fills")
    vessel = models.ForeignKey(Vessel, on_delete=models.PROTECT, related_name="fills")
    volume_ml = models.FloatField(validators=[MinValueValidator(0)])
    emptied_at = models.DateTimeField(null=True, blank=True)
    left_ml = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["batch_id", "vessel_id"]
        constraints = [
            models.UniqueConstraint(
                fields=["vessel"],
                condition=Q(emptied_at__isnull=True),
                name="vessel_holds_one_fill",
            )
        ]

    def __str__(self) -> str:
        return f"{self.vessel} from {self.batch}"


class StockMovement(Immutable):
    """A change of what a container holds, with its reason."""

    class What(models.TextChoices):
        RECEIVED = "received", "received"
        POURED = "poured", "poured"
        COUNTED = "counted", "counted"
        SPILT = "spilt", "spilt"
        DISCARDED = "discarded", "discarded"

    container = models.ForeignKey(
        StockContainer, on_delete=models.PROTECT, related_name="movements"
    )
    what = models.CharField(max_length=10, choices=What.choices)
    change_ml = models.FloatField()
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, null=True)
    reason = models.CharField(max_length=120, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.what} {self.change_ml:+g} mL"
