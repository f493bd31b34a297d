"""Which entries are in force, and the events that they make in the life of an anchor."""

from __future__ import annotations

import json
from collections.abc import Container, Iterable
from datetime import datetime
from typing import Any

from backstay.records.life import LIVES, Event
from backstay.records.rows import EntryRow


class Standing:
    """An entry in force, and the id of the entry that it goes back to by corrections."""

    __slots__ = ("_plain", "root", "row")

    def __init__(self, root: int, row: EntryRow) -> None:
        self.root = root
        self.row = row
        self._plain: dict[str, Any] | None = None

    @property
    def plain(self) -> dict[str, Any]:
        """Return its fact as plain data."""
        if self._plain is None:
            self._plain = json.loads(self.row.payload)
        return self._plain or {}


NOTHING = "null"
"""Payload of a correction that leaves nothing in its place."""


def standing(rows: Iterable[EntryRow]) -> list[Standing]:
    """Return the entries in force among rows in the order of recording, every correction applied."""
    found: dict[int, Standing] = {}
    for row in rows:
        before = None if row.supersedes is None else found.pop(row.supersedes, None)
        found[row.id] = Standing(before.root if before else row.id, row)
    return [one for one in found.values() if one.row.payload != NOTHING]


def submittals_by_anchor(submittals: Iterable[Standing]) -> dict[str, list[Standing]]:
    """Return the submittals in force that cover each anchor."""
    found: dict[str, list[Standing]] = {}
    for one in submittals:
        for anchor in one.plain["anchors"]:
            found.setdefault(anchor, []).append(one)
    return found


def events(
    mine: Iterable[Standing], submittals: Iterable[Standing], read: Container[int | None]
) -> list[Event]:
    """Return the life of an anchor as events.

    mine: entries in force of the anchor; submittals: those that cover it; read: the tests (by id
    of the entry that began them) that have readings in force.
    """
    found = [_event(one, None, False) for one in submittals]
    tests: dict[int | None, int] = {}
    for one in mine:
        if one.row.kind in LIVES:
            if one.row.kind == "test":
                tests[one.row.test] = one.root
            has_readings = one.row.kind == "verdict" and tests.get(one.row.test) in read
            found.append(_event(one, one.row.test, has_readings))
    return found


def _event(one: Standing, test: int | None, has_readings: bool) -> Event:
    row = one.row
    decided = row.kind in ("verdict", "submittal")
    return Event(
        id=one.root, kind=row.kind, happened=datetime.fromisoformat(row.happened), test=test,
        decision=one.plain["decision"] if decided else None, has_readings=has_readings,
        exception=row.exception,
    )  # fmt: skip
