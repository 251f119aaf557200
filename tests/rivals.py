"""Several presses at the same moment, and one that is slow to be done."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from django.db import connections, transaction

from shopapp.frame import Refused

Press = Callable[[], Any]
PATIENCE_S = 60


def at_once(*presses: Press) -> list[Any]:
    """Run these at the same moment, each in a thread; their answers or refusals.

    Anything but a refusal, a deadlock of the store for one, is raised.
    """
    gate = threading.Barrier(len(presses))

    def run(press: Press) -> Any:
        gate.wait(PATIENCE_S)
        return heard(press)

    with ThreadPoolExecutor(len(presses)) as pool:
        return list(pool.map(run, presses))


def one_then_other(first: Press, second: Press, *, held_s: float = 0.3) -> list[Any]:
    """`second` is pressed while `first` is done but not committed."""
    done, over = threading.Event(), threading.Event()

    def slow() -> Any:
        with transaction.atomic():
            answer = first()
            done.set()
            over.wait(held_s)
        return answer

    def late() -> Any:
        assert done.wait(PATIENCE_S), "the first press was never done"
        answer = second()
        over.set()
        return answer

    return at_once(slow, late)


def heard(press: Press) -> Any:
    """The answer, or the refusal; the thread's connection is given back."""
    try:
        return press()
    except Refused as refused:
        return refused
    finally:
        connections.close_all()


def refusals(answers: list[Any]) -> list[str]:
    """What was said to those that were refused."""
    return [str(answer) for answer in answers if isinstance(answer, Refused)]
