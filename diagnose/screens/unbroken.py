"""Work that Ctrl-C must not cut in half: a turn is told whole or not at all."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def unbroken() -> Iterator[None]:
    """Let Ctrl-C pass by while this runs; a turn takes less than a moment."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
