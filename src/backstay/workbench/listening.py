"""Who is told of something new, from whatever thread, until they no longer want to be."""

from __future__ import annotations

from collections.abc import Callable
from threading import Lock
from typing import Generic, TypeVar

News = TypeVar("News")


class Listeners(Generic[News]):
    """A list of listeners. Safe to use from several threads."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._all: list[Callable[[News], object]] = []

    def add(self, listener: Callable[[News], object]) -> Callable[[], None]:
        """Tell a listener from now on; return what ends that."""
        with self._lock:
            self._all.append(listener)

        def end() -> None:
            with self._lock:
                if listener in self._all:
                    self._all.remove(listener)

        return end

    def anybody(self) -> bool:
        """Say whether somebody listens."""
        with self._lock:
            return bool(self._all)

    def tell(self, news: News) -> None:
        """Tell all who listen now; one may stop listening, or begin, while it is told."""
        with self._lock:
            listeners = tuple(self._all)
        for listener in listeners:
            listener(news)
