"""What the records refuse, and why: every message is one sentence for a person.

RecordsError
├── RefusedError the entry does not fit: unknown anchor, taken number, wrong type, wrong order
└── StoreError   the database cannot do it: locked, full, read-only, damaged, newer than this
"""

from __future__ import annotations

from backstay.errors import BackstayError


class RecordsError(BackstayError):
    """Something the field records cannot do; nothing was recorded."""


class RefusedError(RecordsError):
    """An entry that is wrong, or does not fit what is recorded."""


class StoreError(RecordsError):
    """A database that cannot be opened, read or written.

    place: where it is, at the head of the message; reason: the rest, for who need not know that.
    """

    def __init__(self, reason: str, place: str = "") -> None:
        super().__init__(f"{place}: {reason}" if place else reason)
        self.reason = reason
