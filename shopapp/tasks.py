"""The building's own background work."""

from __future__ import annotations

from celery import shared_task

from shopapp import background


@shared_task(name="solvers.sweep", ignore_result=True)
def sweep() -> None:
    """Sound the bell again for tasks that nobody took."""
    background.sweep()
