"""The stressing page served alone, over the demonstration wall, and lost and found again."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Thread
from time import monotonic, sleep
from urllib.parse import quote

import uvicorn

from backstay.workbench.access import Exposure, People
from backstay.workbench.access.guard import Guard
from tests.unit.workbench.jack.site import ANCHOR, application

START = datetime(2025, 3, 24, 14, 0, tzinfo=UTC)
PLACE = f"/jack/wall.yaml/{quote(ANCHOR)}"


class Served:
    """A server that can be lost and come back at the same address."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._made = monotonic()
        self.ahead = timedelta()
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self._stack: ExitStack | None = None

    def _clock(self) -> datetime:
        return START + self.ahead + timedelta(seconds=monotonic() - self._made)

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}{PLACE}"

    def start(self) -> None:
        stack = ExitStack()
        app = stack.enter_context(application(self.folder, clock=self._clock, guarded=True))
        guard = Guard(
            app, exposure=Exposure(port=self.port), people=People(self.folder / "people.json")
        )
        config = uvicorn.Config(
            guard, port=self.port, log_level="error", timeout_graceful_shutdown=1, ws="none"
        )
        server = uvicorn.Server(config)
        thread = Thread(target=server.run, daemon=True)
        thread.start()
        while not server.started:
            assert thread.is_alive()
            sleep(0.02)

        def stop() -> None:
            server.should_exit = True
            thread.join(10)

        stack.callback(stop)
        self._stack = stack

    def lose(self) -> None:
        if self._stack is not None:
            self._stack.close()
            self._stack = None


@contextmanager
def served(folder: Path) -> Iterator[Served]:
    made = Served(folder)
    made.start()
    try:
        yield made
    finally:
        made.lose()
