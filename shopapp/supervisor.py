"""Keeps the shop's processes running: starts them, brings back what dies, stops."""

from __future__ import annotations

import contextlib
import ctypes
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

FIRST_PAUSE_S, LONGEST_PAUSE_S = 0.5, 30.0
STEADY_AFTER_S, MEND_WITHIN_S = 60.0, 20.0
LOOK_EVERY_S = 0.1
# Asked to stop, then told to, then made to: under ten seconds in all.
PATIENCE: tuple[tuple[signal.Signals, float], ...] = (
    (signal.SIGTERM, 5.0),
    (signal.SIGQUIT, 2.0),
    (signal.SIGKILL, 2.0),
)


@dataclass(frozen=True, kw_only=True)
class Child:
    """A process to keep running.

    ready  asked after a start, before the next child is started
    mend   done once when it ends by itself just after a start; what was done
    """

    name: str
    command: Sequence[str]
    ready: Callable[[], bool] = lambda: True
    mend: Callable[[], str] = lambda: ""


@dataclass(kw_only=True)
class Running:
    """A child with the process it has now."""

    child: Child
    process: subprocess.Popen[bytes] | None = None
    started_at: float = 0.0
    pause_s: float = FIRST_PAUSE_S
    again_at: float = 0.0
    is_mended: bool = False


@dataclass(kw_only=True)
class Supervisor:
    """Runs children until it is told to stop; the first to start stops last."""

    children: Sequence[Child]
    environment: Mapping[str, str]
    tell: Callable[[str], None]
    opened: Callable[[], None]
    _stop: threading.Event = field(default_factory=threading.Event)

    def run(self) -> None:
        """Start everything and stay until TERM or INT."""
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda _number, _frame: self._stop.set())
        running: list[Running] = []
        try:
            for child in self.children:
                running.append(Running(child=child))
                self._start(running[-1])
                self._wait_for(running[-1])
            if not self._stop.is_set():
                self.opened()
            while not self._stop.wait(LOOK_EVERY_S):
                for each in running:
                    self._look_after(each)
        finally:
            self._stop_all(running)

    def _start(self, each: Running) -> None:
        # A session of its own: Ctrl-C reaches us alone, and we stop them in turn.
        each.process = subprocess.Popen(
            each.child.command,
            env=dict(self.environment),
            start_new_session=True,
            preexec_fn=die_with_parent if sys.platform == "linux" else None,
        )
        each.started_at = time.monotonic()

    def _wait_for(self, each: Running) -> None:
        while not each.child.ready() and not self._stop.wait(LOOK_EVERY_S):
            self._look_after(each)

    def _look_after(self, each: Running) -> None:
        now = time.monotonic()
        if each.process is None:
            if now >= each.again_at:
                self._start(each)
            return
        code = each.process.poll()
        if code is None:
            return
        if now - each.started_at > STEADY_AFTER_S:
            each.pause_s = FIRST_PAUSE_S
        self.tell(f"{each.child.name} ended ({code}); it starts again.")
        # Killed (below zero) is not broken.
        if code > 0 and not each.is_mended and now - each.started_at < MEND_WITHIN_S:
            each.is_mended = True
            if told := each.child.mend():
                self.tell(told)
        _signal(each.process, signal.SIGKILL)
        each.process, each.again_at = None, now + each.pause_s
        each.pause_s = min(each.pause_s * 2, LONGEST_PAUSE_S)

    def _stop_all(self, running: Sequence[Running]) -> None:
        started = [each.process for each in running if each.process is not None]
        # What the others lean on goes last.
        for group in (started[1:], started[:1]):
            for number, patience_s in PATIENCE:
                for process in group:
                    if process.poll() is None:
                        _signal(process, number)
                end = time.monotonic() + patience_s
                while _any_left(group) and time.monotonic() < end:
                    time.sleep(0.02)
            for process in group:
                _signal(process, signal.SIGKILL)


def _any_left(group: Sequence[subprocess.Popen[bytes]]) -> bool:
    return any(process.poll() is None for process in group)


def _signal(process: subprocess.Popen[bytes], number: signal.Signals) -> None:
    """To the process; a kill to all that it left behind."""
    with contextlib.suppress(ProcessLookupError):
        if number == signal.SIGKILL:
            os.killpg(process.pid, number)
        else:
            process.send_signal(number)


def die_with_parent() -> None:
    """In the child: end when the supervisor is killed (prctl(2), PR_SET_PDEATHSIG)."""
    ctypes.CDLL(None).prctl(1, signal.SIGTERM)
