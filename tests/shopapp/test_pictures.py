"""Small files that hold very large pictures."""

from __future__ import annotations

import io
import subprocess
import sys

import pytest
from PIL import Image

from shopapp import pictures


def blank(kind, size, mode="RGB", **more) -> bytes:
    out = io.BytesIO()
    Image.new(mode, size).save(out, kind, **more)
    return out.getvalue()


def test_pixels_are_counted_before_anything_is_decoded():
    # 13,000 x 13,000 takes 676 MB as RGBA and some hundred kB as a file.
    data = blank("PNG", (6000, 4100), "1")
    with pytest.raises(pictures.TooManyPixelsError):
        pictures.opened(io.BytesIO(data), longest_side_px=2000, mode="L")


def test_a_large_jpeg_is_read_small_and_a_progressive_one_is_not_taken():
    plain = blank("JPEG", (6500, 4000))
    picture = pictures.opened(io.BytesIO(plain), longest_side_px=2000, mode="L")
    assert picture.size == (2000, 1231)
    progressive = blank("JPEG", (6500, 4000), progressive=True)
    with pytest.raises(pictures.TooManyPixelsError):
        pictures.opened(io.BytesIO(progressive), longest_side_px=2000, mode="L")


def test_one_picture_at_a_time_and_the_next_is_told(monkeypatch):
    monkeypatch.setattr(pictures, "TURN_S", 0.01)
    data = io.BytesIO(blank("PNG", (4, 4)))
    with pictures._our_turn(), pytest.raises(pictures.BusyError):
        pictures.opened(data, longest_side_px=10, mode="L")
    assert pictures.opened(data, longest_side_px=10, mode="L").size == (4, 4)


@pytest.mark.parametrize(
    ("kind", "size", "mode"),
    [("PNG", (5000, 3200), "RGBA"), ("JPEG", (9000, 6600), "RGB")],
)
def test_the_largest_that_is_taken_costs_less_than_200_mb(tmp_path, kind, size, mode):
    """Measured in a process of its own: the most that it ever held."""
    held = tmp_path / "picture"
    make = (
        "import sys; from PIL import Image; k, w, h, m, p = sys.argv[1:];"
        "Image.new(m, (int(w), int(h)), 'red').save(p, k)"
    )
    what = [kind, str(size[0]), str(size[1]), mode, str(held)]
    subprocess.run([sys.executable, "-c", make, *what], check=True)
    read = (
        "import resource, sys; from shopapp import pictures;"
        "before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss;"
        "pictures.opened(open(sys.argv[1], 'rb'), longest_side_px=2400, mode='RGB');"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before)"
    )
    done = subprocess.run(
        [sys.executable, "-c", read, str(held)], check=True, capture_output=True
    )
    # getrusage(2): kilobytes
    assert int(done.stdout) < 200_000
