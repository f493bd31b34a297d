"""Which of several entries of a kind counts: the last, or the one that a test was made with."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from backstay.records.encoding import of_plain, of_text
from backstay.records.facts import DesignValues, Planned
from backstay.records.standing import Standing


def moment_of(one: Standing) -> tuple[datetime, int]:
    """Return when an entry happened; of two at one time, the one recorded first comes first."""
    return datetime.fromisoformat(one.row.happened), one.root


def latest(mine: Iterable[Standing], kind: str) -> Standing | None:
    """Return the entry of a kind that happened last."""
    return max((one for one in mine if one.row.kind == kind), key=moment_of, default=None)


def at_test(mine: Iterable[Standing], kind: str, begun: Standing) -> Standing | None:
    """Return the entry of a kind that a test was made with.

    It is the last before the test began; where there is none, the first after it, because papers
    (a mill certificate, a drill log) may be dated later than the test.
    """
    found = sorted((one for one in mine if one.row.kind == kind), key=moment_of)
    before = [one for one in found if moment_of(one) <= moment_of(begun)]
    if before:
        return before[-1]
    return found[0] if found else None


def design_of(mine: Iterable[Standing], begun: Standing | None = None) -> DesignValues:
    """Return the design of an anchor in force now, or when a test began."""
    mine = list(mine)
    changes = [
        one
        for one in mine
        if one.row.kind == "design changed"
        and (begun is None or moment_of(one) <= moment_of(begun))
    ]
    if changes:
        return of_plain(DesignValues, max(changes, key=moment_of).plain["design"])
    planned = next(one for one in mine if one.row.kind == "planned")
    return of_text(Planned, planned.row.payload).design
