"""An item keeps as many photos as are handed over, at once and later."""

from __future__ import annotations

import importlib
import io
import re

import pytest
from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from jobs.models import ChecklistAnswer, OrderChecklist
from jobs.stages.queries import stage_facts
from shopapp.media import keep_bytes
from tests.jobs.taps import events, load_the_lists, make_order, page, tap

pytestmark = pytest.mark.django_db
ITEM = "photograph_all_four_sides"


def side(shade: int) -> SimpleUploadedFile:
    """A picture that differs from the others."""
    out = io.BytesIO()
    Image.new("RGB", (40, 30), (shade, 90, 30)).save(out, "JPEG")
    return SimpleUploadedFile(f"side-{shade}.jpg", out.getvalue(), "image/jpeg")


@pytest.fixture
def order(client, installer):
    load_the_lists()
    client.force_login(installer)
    return make_order(installer)


def keep(client, order, *shades: int, **more):
    row = order.checklists.get()
    sent = {"photo": [side(shade) for shade in shades], **more}
    return tap(client, "checklist_answer", order.pk, row.pk, ITEM, **sent)


def pictures(text: str) -> set[str]:
    return set(re.findall(r"/files/([0-9a-f]{64})/", text))


def test_photos_handed_over_at_once_and_later_are_all_kept(client, order):
    keep(client, order, 10, 60)
    keep(client, order, 110)
    keep(client, order, 160)
    assert len(pictures(page(client, "workorder_checks", order.pk))) == 4


def test_all_four_photos_stand_in_the_history(client, order):
    keep(client, order, 10, 60)
    keep(client, order, 110, 160)
    assert len(pictures(page(client, "workorder_history", order.pk))) == 4


def test_all_four_sides_is_done_at_the_fourth_photo(client, order):
    keep(client, order, 10)
    facts = stage_facts(order, now=timezone.now())
    assert "Photograph all four sides" in facts.open_items
    assert "1 of 4 photos" in page(client, "workorder_checks", order.pk)
    keep(client, order, 60, 110, 160)
    order.refresh_from_db()
    facts = stage_facts(order, now=timezone.now())
    assert "Photograph all four sides" not in facts.open_items


def test_the_same_picture_twice_is_one_side(client, order):
    keep(client, order, 10)
    sent = keep(client, order, 10)
    assert sent.status_code == 422
    assert "This photo is kept already." in sent.content.decode()


def test_one_photo_is_taken_away_and_the_history_still_shows_it(client, order):
    keep(client, order, 10, 60)
    first = order.checklists.get().photos.first()
    assert keep(client, order, take_away=first.pk).status_code == 303
    assert len(pictures(page(client, "workorder_checks", order.pk))) == 1
    assert len(pictures(page(client, "workorder_history", order.pk))) == 2
    assert events(order)[-1] == "photo_taken_away"


def test_one_picture_that_is_none_keeps_nothing_of_the_others(client, order):
    bad = SimpleUploadedFile("x.jpg", b"not a picture", "image/jpeg")
    row = order.checklists.get()
    sent = tap(
        client, "checklist_answer", order.pk, row.pk, ITEM, photo=[side(10), bad]
    )
    assert sent.status_code == 422
    assert not row.photos.exists()


def test_the_one_photo_of_before_is_carried_over(order, installer):
    row = OrderChecklist.objects.get()
    photo = keep_bytes(side(10).read(), "image/jpeg")
    ChecklistAnswer.objects.create(
        order_checklist=row, item=ITEM, photo=photo, by=installer, at=timezone.now()
    )
    landed = importlib.import_module("jobs.migrations.0003_photos_of_a_check")
    landed.carry_over(apps, None)
    assert [each.photo for each in row.photos.all()] == [photo]
