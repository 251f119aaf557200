"""Codes in a photo, read on the server (no camera access of the browser needed)."""

from __future__ import annotations

import io

import zxingcpp
from PIL import Image, ImageOps, UnidentifiedImageError

MOST_SIDE_PX = 2000
"""Codes on a label fill a fair part of the picture; more pixels only take time."""


def codes_in_photo(data: bytes) -> list[str] | None:
    """The texts of all codes in a picture; None when it is no picture."""
    try:
        with Image.open(io.BytesIO(data), formats=["JPEG", "PNG", "WEBP"]) as picture:
            upright = ImageOps.exif_transpose(picture).convert("L")
    except (
        UnidentifiedImageError,
        OSError,
        ValueError,
        Image.DecompressionBombError,
    ):
        return None
    upright.thumbnail((MOST_SIDE_PX, MOST_SIDE_PX))
    found = zxingcpp.read_barcodes(upright)
    return [code.text for code in found if code.text]
