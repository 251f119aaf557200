"""Codes in a photo, read on the server (no camera access of the browser needed)."""

from __future__ import annotations

import io

import zxingcpp

from shopapp import pictures

MOST_SIDE_PX = 2000
"""Codes on a label fill a fair part of the picture; more pixels only take time."""


def codes_in_photo(data: bytes) -> list[str] | None:
    """The texts of all codes in a picture; None when it is no picture."""
    try:
        upright = pictures.opened(
            io.BytesIO(data), longest_side_px=MOST_SIDE_PX, mode="L"
        )
    except ValueError:
        return None
    found = zxingcpp.read_barcodes(upright)
    return [code.text for code in found if code.text]
