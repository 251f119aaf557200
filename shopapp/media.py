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
from PIL import Image

from shopapp import pictures
from shopapp.frame import Refused
from shopapp.models import StoredFile
from shopapp.say import say

LONGEST_SIDE_PX = 2400


def keep_bytes(data: bytes, content_type: str) -> StoredFile:
    """Keep bytes under their hash; the same bytes are kept once."""
    sha256 = hashlib.sha256(data).hexdigest()
    if not _path(sha256).exists():
        _write(_path(sha256), data)
    stored, _ = StoredFile.objects.get_or_create(
        sha256=sha256, defaults={"content_type": content_type, "size": len(data)}
    )
    return stored


def read_bytes(stored: StoredFile) -> bytes:
    """The bytes; raises RuntimeError when the disk no longer holds what was kept."""
    data = _path(stored.sha256).read_bytes()
    if hashlib.sha256(data).hexdigest() != stored.sha256:
        raise RuntimeError(f"file {stored.pk} is damaged")
    return data


def served(
    request: HttpRequest, stored: StoredFile, *, filename: str = ""
) -> HttpResponse:
    """The file, or that the browser has it. The caller has checked who asks."""
    etag = f'"{stored.sha256}"'
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
    return Path(settings.MEDIA_ROOT) / sha256[:2] / sha256


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
