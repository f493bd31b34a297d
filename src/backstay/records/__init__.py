"""Field records: what happened to every anchor of the wall, kept as facts.

A fact is recorded with who and when, and is never changed or deleted: a correction is a new entry
that takes the place of one, with author, reason and time, and both stay readable. Each entry's
hash covers all before it, so that tampering shows. How far an anchor is, and whether a fact fits,
is always worked out from the facts (`RegisterLine.state`), never stored.

`open_records` opens an SQLite file or a PostgreSQL database and gives `Records`. What its methods
return is on the disk. RefusedError and StoreError say in one sentence why something was not
recorded. The database library is imported when records are opened, not before.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from backstay.records.entries import Entry, RegisterLine, State
from backstay.records.facts import (
    Attachment,
    DesignChanged,
    DesignValues,
    Drilled,
    Fact,
    Grouted,
    GroutStrength,
    JackCertified,
    LiftedOff,
    LoadRead,
    LockedOff,
    Planned,
    Remark,
    Repaired,
    Replaced,
    StratumMet,
    Submittal,
    TendonPlaced,
    TestBegun,
    TestClosed,
    VerdictIssued,
)
from backstay.records.refusal import RecordsError, RefusedError, StoreError

if TYPE_CHECKING:
    from backstay.records.anchor_file import AnchorFile
    from backstay.records.from_plan import planned_anchors
    from backstay.records.store import Records, open_records
    from backstay.records.verify import Verification

__all__ = [
    "AnchorFile",
    "Attachment",
    "DesignChanged",
    "DesignValues",
    "Drilled",
    "Entry",
    "Fact",
    "GroutStrength",
    "Grouted",
    "JackCertified",
    "LiftedOff",
    "LoadRead",
    "LockedOff",
    "Planned",
    "Records",
    "RecordsError",
    "RefusedError",
    "RegisterLine",
    "Remark",
    "Repaired",
    "Replaced",
    "State",
    "StoreError",
    "StratumMet",
    "Submittal",
    "TendonPlaced",
    "TestBegun",
    "TestClosed",
    "VerdictIssued",
    "Verification",
    "open_records",
    "planned_anchors",
]
_LATE = {
    "AnchorFile": "anchor_file", "Records": "store", "Verification": "verify",
    "open_records": "store", "planned_anchors": "from_plan",
}  # fmt: skip
"""Names that bring much with them, as the database library, and the module that each is in."""


def __getattr__(name: str) -> Any:
    if name not in _LATE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f"{__name__}.{_LATE[name]}"), name)
