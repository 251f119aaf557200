"""Photos of the demo shop, drawn: a panel in the light, and what is seen on it."""

from __future__ import annotations

import io

from PIL import Image, ImageDraw, ImageFilter

SIDE = (640, 480)
Colour = tuple[int, int, int]


def patch_of_paint(colour: Colour, patch: Colour) -> bytes:
    """A panel, and on it a patch painted anew in a colour that is a little off."""
    picture = _panel(colour)
    draw = ImageDraw.Draw(picture)
    draw.rounded_rectangle((170, 140, 470, 350), radius=70, fill=patch)
    return _jpeg(picture.filter(ImageFilter.GaussianBlur(9)))


def lifted_edge(colour: Colour) -> bytes:
    """Beside a lamp, film that stands off its edge and throws a shadow."""
    picture = _panel(colour)
    draw = ImageDraw.Draw(picture)
    draw.ellipse((400, -120, 900, 330), fill=(226, 232, 238))
    draw.arc((384, -136, 916, 346), start=95, end=180, fill=(20, 20, 24), width=7)
    draw.arc((372, -148, 928, 358), start=112, end=165, fill=(248, 248, 250), width=5)
    return _jpeg(picture.filter(ImageFilter.GaussianBlur(1.5)))


def _panel(colour: Colour) -> Image.Image:
    """Lighter where the light falls, at the top."""
    light = Image.linear_gradient("L").resize(SIDE).point(lambda v: 90 - v * 90 // 255)
    return Image.composite(
        Image.new("RGB", SIDE, (255, 255, 255)), Image.new("RGB", SIDE, colour), light
    )


def _jpeg(picture: Image.Image) -> bytes:
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=80)
    return out.getvalue()
