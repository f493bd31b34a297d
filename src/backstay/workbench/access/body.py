"""Hold the body of a request to a limit, whether it states its length or not."""

from __future__ import annotations

from starlette.types import Message, Receive

LARGEST = 20 * 2**20
"""Bytes: a day of readings as a spreadsheet, or a photograph, with room to spare."""


def length_fault(stated: list[str], largest: int) -> tuple[int, str] | None:
    """Give status and sentence for a stated length that is refused, or None."""
    if not stated:
        return None
    if len(set(stated)) > 1 or not (stated[0].isascii() and stated[0].isdigit()):
        return 400, "The request does not state its length properly."
    digits = stated[0].lstrip("0")
    if len(digits) > 18 or int(digits or "0") > largest:
        return 413, too_large(largest)
    return None


def too_large(largest: int) -> str:
    """Say that a body is too large."""
    size = f"{largest / 2**20:.3g} MB" if largest >= 2**20 else f"{largest / 2**10:.3g} kB"
    return f"This is too large: at most {size} can be sent at once."


class CountedBody:
    """Pass a body on and count it; beyond the limit the rest is not read.

    The application then sees what it sees when the sender goes away, and `exceeded` is set.
    """

    def __init__(self, receive: Receive, largest: int) -> None:
        self._receive = receive
        self._left = largest
        self.exceeded = False

    async def __call__(self) -> Message:
        """Receive the next piece."""
        if self.exceeded:
            return {"type": "http.disconnect"}
        message = await self._receive()
        if message["type"] == "http.request":
            self._left -= len(message.get("body", b""))
            if self._left < 0:
                self.exceeded = True
                return {"type": "http.disconnect"}
        return message
