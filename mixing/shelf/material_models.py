"""What a container is made of: each kind has its own largest size."""

from __future__ import annotations

from django.db import models


class Material(models.TextChoices):
    """As the size tables tell containers apart."""

    PLASTIC = "plastic", "plastic"
    GLASS = "glass", "glass"
    METAL = "metal", "metal"
    SAFETY_CAN = "safety_can", "safety can"
    DRUM = "drum", "metal drum"
