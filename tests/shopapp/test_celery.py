"""The bell itself: a real Redis, a real worker, and a Redis that is not there."""

from __future__ import annotations

import socket
import time
from datetime import timedelta

import pytest
from django.utils import timezone

from shopapp.celery import app, ring
from shopapp.models import BackgroundTask
from tests.conftest import wait_until


@pytest.fixture
def broker(monkeypatch):
    """Point the app at another broker."""

    def point(url: str) -> None:
        monkeypatch.setitem(app.conf, "broker_url", url)
        monkeypatch.setattr(app.conf, "broker_write_url", url)

    return point


def test_a_redis_that_is_not_there_is_noticed_at_once(broker, tmp_path):
    broker(f"redis+socket://{tmp_path}/absent.sock")
    begun = time.monotonic()
    with pytest.raises(Exception, match="absent.sock"):
        ring("papers.test", 1)
    assert time.monotonic() - begun < 1


def test_a_redis_that_hangs_holds_nobody_up_for_long(broker, tmp_path):
    path = tmp_path / "hangs.sock"
    with socket.socket(socket.AF_UNIX) as listener:
        listener.bind(str(path))
        listener.listen(8)
        broker(f"redis+socket://{path}")
        begun = time.monotonic()
        with pytest.raises(Exception, match="[Tt]imeout"):
            ring("papers.test", 1)
        assert time.monotonic() - begun < 6


@pytest.mark.redis
@pytest.mark.django_db(transaction=True)
def test_a_rung_bell_wakes_a_real_worker(broker, redis_url, workers):
    broker(redis_url.replace("unix://", "redis+socket://"))
    long_ago = timezone.now() - timedelta(minutes=1)
    lost = BackgroundTask.objects.create(
        kind="papers.unknown", subject="nothing", made_at=long_ago
    )
    # The worker hears this bell, and rings again by itself for the lost task.
    app.send_task("solvers.sweep")

    def heard():
        return BackgroundTask.objects.filter(pk=lost.pk, rung_at__isnull=False)

    wait_until(heard().exists, within_s=60)
