"""Photos and papers: kept once by their content, written whole or not at all."""

from __future__ import annotations

import hashlib
import io
import os
import tempfile
from pathlib import Path

from django.conf import settings
from django.core.files.base import File
from django.http import HttpRequest, HttpResponse
from django.utils.cache import get_conditional_response
from django.utils.html import escape
from django.utils.translation import gettext
from PIL import Image

from shopapp import pictures
from shopapp.backups.shelf import MEDIA, bring_file, is_whole, own_shelf, path_in
from shopapp.frame import Refused
from shopapp.models import StoredFile
from shopapp.say import say

LONGEST_SIDE_PX = 2400
NO_PICTURE = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 320 240">'
    '<rect width="320" height="240" fill="#ddd"/>'
    '<path d="M20 20 300 220M300 20 20 220" stroke="#777" stroke-width="4"/>'
    '<rect y="96" width="320" height="48" fill="#ddd"/>'
    '<text x="160" y="127" font-family="sans-serif" font-size="20" '
    'text-anchor="middle">{words}</text></svg>'
)


class Damaged(Exception):  # noqa: N818 - a sentence for whoever opens it
    """The disk no longer holds what was kept."""

    def __init__(self, stored: StoredFile) -> None:
        super().__init__(gettext("This file is damaged or missing on the shop's disk."))
        self.stored = stored


def keep_bytes(data: bytes, content_type: str) -> StoredFile:
    """Keep bytes under their hash; the same bytes are kept once."""
    sha256 = hashlib.sha256(data).hexdigest()
    if is_whole(Path(settings.MEDIA_ROOT), sha256):
        # As good as new: what nobody names is swept only when it is old.
        os.utime(_path(sha256))
    else:
        _write(_path(sha256), data)
    stored, _ = StoredFile.objects.get_or_create(
        sha256=sha256, defaults={"content_type": content_type, "size": len(data)}
    )
    return stored


def read_bytes(stored: StoredFile) -> bytes:
    """The bytes; raises `Damaged` when neither the shop nor its backups hold them."""
    if not is_here(stored):
        raise Damaged(stored)
    return _path(stored.sha256).read_bytes()


def is_here(stored: StoredFile) -> bool:
    """Whether the file is what was kept; one that is not comes back from a backup."""
    media = Path(settings.MEDIA_ROOT)
    if is_whole(media, stored.sha256):
        return True
    try:
        return bring_file(stored.sha256, come_from=own_shelf() / MEDIA, to=media)
    except OSError:
        return False


def served(
    request: HttpRequest, stored: StoredFile, *, filename: str = ""
) -> HttpResponse:
    """The file, or that the browser has it. The caller has checked who asks."""
    etag = f'"{stored.sha256}"'
    if not is_here(stored):
        return _damaged(stored)
    known = get_conditional_response(request, etag=etag)
    response = known or HttpResponse(
        read_bytes(stored), content_type=stored.content_type
    )
    assert isinstance(response, HttpResponse)
    # Kept, but asked for each time: who has signed out sees it no more.
    response.headers["ETag"] = etag
    response["Cache-Control"] = "private, no-cache"
    # Whatever the bytes are, they run nothing and reach nothing.
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    if filename:
        response.headers["Content-Disposition"] = f'inline; filename="{filename}"'
    return response


def _damaged(stored: StoredFile) -> HttpResponse:
    """In the place of a picture, one that says so; a document is a page that does."""
    if not stored.content_type.startswith("image/"):
        raise Damaged(stored)
    words = escape(gettext("This picture is damaged."))
    drawn = NO_PICTURE.format(words=words)
    response = HttpResponse(drawn, content_type="image/svg+xml", status=410)
    response["Cache-Control"] = "no-store"
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response


def as_photo(upload: File[bytes]) -> bytes:
    """A camera's picture as a plain JPEG: turned upright, place and time taken out.

    Raises `Refused` for what is too large or no picture.
    """
    if upload.size > settings.PHOTO_MAX_BYTES:
        most_mb = settings.PHOTO_MAX_BYTES // 1024 // 1024
        raise Refused(
            say("This photo is too large. {most} MB is the most.", most=most_mb)
        )
    upload.seek(0)
    try:
        upright = pictures.opened(upload, longest_side_px=LONGEST_SIDE_PX, mode="RGB")
    except pictures.NoPictureError:
        raise Refused(
            say("This file is not a photo. Take a JPEG, PNG or WebP.")
        ) from None
    except pictures.TooManyPixelsError:
        raise Refused(say("This photo has too many pixels to keep.")) from None
    except pictures.BusyError:
        raise Refused(say("Many photos are coming in. Send it again.")) from None
    out = io.BytesIO()
    # A fresh image carries no metadata of the camera.
    Image.frombytes("RGB", upright.size, upright.tobytes()).save(
        out, "JPEG", quality=85
    )
    return out.getvalue()


def keep_photo(upload: File[bytes]) -> StoredFile:
    """Keep an uploaded photo; raises `Refused` for what is no picture."""
    return keep_bytes(as_photo(upload), "image/jpeg")


def keep_document(upload: File[bytes]) -> StoredFile:
    """Keep a PDF as it is, or a photo of a page; raises `Refused` for anything else."""
    upload.seek(0)
    if upload.read(5) != b"%PDF-":
        return keep_photo(upload)
    if upload.size > settings.PHOTO_MAX_BYTES:
        most_mb = settings.PHOTO_MAX_BYTES // 1024 // 1024
        raise Refused(
            say("This file is too large. {most} MB is the most.", most=most_mb)
        )
    upload.seek(0)
    return keep_bytes(upload.read(), "application/pdf")


def _path(sha256: str) -> Path:
    return path_in(Path(settings.MEDIA_ROOT), sha256)


def _write(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".new-")
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
