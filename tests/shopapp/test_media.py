"""Files by content hash; photos that are photos."""

from __future__ import annotations

import hashlib
import io

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from shopapp import media
from shopapp.backups.shelf import path_in
from shopapp.frame import Refused
from shopapp.models import StoredFile

pytestmark = pytest.mark.django_db


def picture(*, kind="JPEG", size=(40, 20), exif=None) -> bytes:
    out = io.BytesIO()
    more = {"exif": exif} if exif else {}
    Image.new("RGB", size, (200, 10, 10)).save(out, kind, **more)
    return out.getvalue()


def upload(data: bytes) -> SimpleUploadedFile:
    return SimpleUploadedFile("a.jpg", data)


def test_the_same_bytes_are_kept_once():
    first = media.keep_bytes(b"paper", "application/pdf")
    assert media.keep_bytes(b"paper", "application/pdf") == first
    assert first.sha256 == hashlib.sha256(b"paper").hexdigest()
    assert media.read_bytes(first) == b"paper"
    assert StoredFile.objects.count() == 1


def test_bytes_changed_on_disk_are_never_served():
    stored = media.keep_bytes(b"paper 2", "application/pdf")
    media._path(stored.sha256).write_bytes(b"forged")
    with pytest.raises(media.Damaged, match="damaged or missing"):
        media.read_bytes(stored)


@pytest.fixture(params=["turned", "cut short", "gone"])
def damage(request):
    """Something that happens to a file on a disk."""

    def done(stored: StoredFile) -> None:
        path = media._path(stored.sha256)
        if request.param == "gone":
            path.unlink()
        else:
            path.write_bytes(path.read_bytes()[:-1] + b"?" * (request.param[0] == "t"))

    return done


def test_a_damaged_file_heals_when_the_same_bytes_come_again(damage):
    stored = media.keep_bytes(b"a photo of a hood", "image/jpeg")
    damage(stored)
    assert media.keep_bytes(b"a photo of a hood", "image/jpeg") == stored
    assert media.read_bytes(stored) == b"a photo of a hood"


def test_a_damaged_file_heals_from_the_nightly_backups(damage, tmp_path, monkeypatch):
    monkeypatch.setattr(settings, "BACKUP_DIR", str(tmp_path))
    stored = media.keep_bytes(b"a photo of a door", "image/jpeg")
    shelf = path_in(tmp_path / "media", stored.sha256)
    shelf.parent.mkdir(parents=True)
    shelf.write_bytes(b"a photo of a door")
    damage(stored)
    assert media.read_bytes(stored) == b"a photo of a door"
    shelf.unlink()
    assert media.read_bytes(stored) == b"a photo of a door"


def test_a_damaged_picture_is_a_picture_that_says_so(damage, client, manager):
    stored = media.keep_bytes(b"a photo of a roof", "image/jpeg")
    damage(stored)
    client.force_login(manager)
    answer = client.get(f"/files/{stored.sha256}/")
    assert answer.status_code == 410
    assert answer["Content-Type"] == "image/svg+xml"
    assert b"This picture is damaged." in answer.content
    assert answer["Cache-Control"] == "no-store"


def test_a_damaged_document_is_a_page_that_says_so(damage, client, manager):
    stored = media.keep_bytes(b"%PDF-a data sheet", "application/pdf")
    damage(stored)
    client.force_login(manager)
    answer = client.get(f"/files/{stored.sha256}/")
    assert answer.status_code == 410
    assert "damaged or missing" in answer.content.decode()


def test_a_photo_loses_its_place_and_is_turned_upright():
    exif = Image.Exif()
    exif[0x0112] = 6  # Orientation: turn a quarter clockwise (CIPA DC-008, 4.6.5)
    exif[0x010F] = "maker of the camera"
    kept = media.as_photo(upload(picture(exif=exif)))
    with Image.open(io.BytesIO(kept)) as again:
        assert again.size == (20, 40)
        assert not again.getexif()
    assert b"maker of the camera" not in kept


def test_a_large_photo_is_made_smaller():
    kept = media.as_photo(upload(picture(size=(3000, 1500))))
    with Image.open(io.BytesIO(kept)) as again:
        assert again.size == (2400, 1200)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_the_kinds_that_tablets_make_are_taken(kind):
    assert media.as_photo(upload(picture(kind=kind))).startswith(b"\xff\xd8")


@pytest.mark.parametrize("data", [b"", b"<svg/>", b"\xff\xd8\xff\xe0 cut", b"GIF89a"])
def test_what_is_no_photo_is_refused_in_words(data):
    with pytest.raises(Refused, match="not a photo"):
        media.as_photo(upload(data))


def test_a_photo_that_is_too_large_is_refused_in_words(settings):
    settings.PHOTO_MAX_BYTES = 1024 * 1024
    with pytest.raises(Refused, match="1 MB is the most"):
        media.as_photo(upload(b"\xff\xd8" + bytes(1024 * 1024)))


def test_a_file_is_served_to_who_is_signed_in_and_runs_nothing(client, installer):
    stored = media.keep_bytes(b"paper 3", "application/pdf")
    address = f"/files/{stored.sha256}/"
    assert client.get(address).status_code == 302
    client.force_login(installer)
    response = client.get(address)
    assert response.content == b"paper 3"
    assert response["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert response["X-Content-Type-Options"] == "nosniff"


def test_a_stranger_gets_no_file(client, stranger):
    stored = media.keep_bytes(b"paper 4", "application/pdf")
    client.force_login(stranger)
    assert client.get(f"/files/{stored.sha256}/").status_code == 403


def test_an_unknown_file_is_not_there(client, desk):
    client.force_login(desk)
    assert client.get(f"/files/{'0' * 64}/").status_code == 404
