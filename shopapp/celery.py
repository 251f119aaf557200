"""The Celery app: the bell that wakes a worker. The task row is the truth."""

from __future__ import annotations

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopapp.settings")

app = Celery("shop")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["shopapp", "jobs", "mixing"])

# A bell that waits would hold up the person who pressed; the sweep rings again.
DEAF_AFTER_S = 2.0


def ring(kind: str, pk: int) -> None:
    """Wake a worker for a background task row; raises when Redis does not answer."""
    with app.connection_for_write(
        connect_timeout=DEAF_AFTER_S,
        transport_options={
            "socket_timeout": DEAF_AFTER_S,
            "socket_connect_timeout": DEAF_AFTER_S,
            "retry_on_timeout": False,
            "max_retries": 1,
            "interval_start": 0,
            "interval_step": 0,
        },
    ) as connection:
        app.send_task(kind, args=[pk], connection=connection, retry=False)
