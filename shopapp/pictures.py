"""Pictures that somebody sent: measured before they are decoded, one at a time.

A small file can hold a very large picture; what it takes in memory is its pixels
times its bands, and more than twice that while it is worked on.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import IO

from PIL import Image, ImageOps, UnidentifiedImageError

KINDS = ("JPEG", "PNG", "WEBP")
MOST_PIXELS = 16_000_000
MOST_JPEG_PIXELS = 60_000_000
"""A JPEG is read at an eighth to a half of its size where that is enough, unless it
was written progressively: then its whole content is held first."""
TURN_S = 20.0
_turn = threading.Semaphore(1)


class NoPictureError(ValueError):
    """Not a picture of a kind that cameras and tablets make."""


class TooManyPixelsError(ValueError):
    """A picture that would take too much memory."""


class BusyError(ValueError):
    """Others' pictures are being read."""


def opened(file: IO[bytes], *, longest_side_px: int, mode: str) -> Image.Image:
    """The picture upright, made small and of one mode ("RGB", "L").

    Raises `NoPictureError`, `TooManyPixelsError` or `BusyError`.
    """
    try:
        with _our_turn(), Image.open(file, formats=KINDS) as picture:
            if picture.width * picture.height > _most(picture):
                raise TooManyPixelsError
            # Smaller first: each step after it holds a copy of its own.
            picture.thumbnail((longest_side_px, longest_side_px))
            return ImageOps.exif_transpose(picture).convert(mode)
    except (UnidentifiedImageError, OSError, Image.DecompressionBombError):
        raise NoPictureError from None
    except (TooManyPixelsError, BusyError):
        raise
    except ValueError:
        raise NoPictureError from None


def _most(picture: Image.Image) -> int:
    whole = picture.format != "JPEG" or bool(picture.info.get("progressive"))
    return MOST_PIXELS if whole else MOST_JPEG_PIXELS


@contextmanager
def _our_turn() -> Iterator[None]:
    if not _turn.acquire(timeout=TURN_S):
        raise BusyError
    try:
        yield
    finally:
        _turn.release()
