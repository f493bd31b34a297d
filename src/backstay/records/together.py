"""Several entries that are recorded all or none: a page of the field book, a test with its readings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from backstay.records.adding import Adding
from backstay.records.attachments import Folder, content_of, media_of
from backstay.records.facts import Attachment, Fact
from backstay.records.reading_log import add_readings
from backstay.stressing.record import Reading


class Together:
    """Takes entries one after the other; they are recorded when the block ends.

    Each is held against what is recorded and against those before it. One that does not fit raises
    RefusedError; the block may go on to find the next, and must then end by an exception, with
    which nothing is recorded.
    """

    def __init__(self, adding: Adding, folder: Folder) -> None:
        self._adding = adding
        self._folder = folder
        self._contents: list[bytes] = []

    def add(self, fact: Fact, *, on: datetime | None = None, exception: str = "") -> None:
        """Take a fact. on: when it happened; exception: why although it does not fit."""
        self._adding.add(fact, on, exception)

    def add_readings(self, anchor: str, readings: Sequence[Reading]) -> None:
        """Take readings of the last test of an anchor."""
        add_readings(self._adding, anchor, None, readings)

    def attach(
        self, source: bytes | Path, *, called: str, anchor: str = "", caption: str = "",
        on: datetime | None = None,
    ) -> None:  # fmt: skip
        """Take a photograph or a file. called: the name it came with."""
        content = content_of(source)
        fact = Attachment(
            sha256=sha256(content).hexdigest(), size=len(content), media=media_of(content),
            name=called, caption=caption, anchor=anchor,
        )  # fmt: skip
        self._adding.attach(fact, on)
        self._contents.append(content)

    def end(self) -> None:
        """Hand everything over; the contents of files first, so that none is missing."""
        for content in self._contents:
            self._folder.keep(content)
        self._adding.book.flush()
