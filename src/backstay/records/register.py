"""The register: one line for each anchor of the wall, worked out from its facts."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection

from backstay.records.encoding import of_plain
from backstay.records.entries import RegisterLine
from backstay.records.facts import LiftedOff
from backstay.records.gauge_read import in_loads
from backstay.records.in_use import at_test, design_of, latest, moment_of
from backstay.records.life import life
from backstay.records.readings import Extent, extents
from backstay.records.rows import ENTRIES, EntryRow
from backstay.records.standing import NOTHING, Standing, events, standing, submittals_by_anchor
from backstay.records.tables import ENTRY
from backstay.stressing.jack import Jack
from backstay.stressing.procedure import TestKind

_RESTS_ON = frozenset({"tendon", "test", "drilled", "grouted", "design changed", "planned"})
"""Kinds of entry about an anchor, besides readings, that a verdict on it rests on."""
_BY_TIME = frozenset({"grouted", "design changed", "planned"})
"""Those of them that bear on a test alone where they happened before it."""


@dataclass(frozen=True, slots=True)
class Background:
    """What the lines of all anchors share.

    jacks: by name and certificate, each with the id of its entry; kinds: of test, by the id of the
    procedure; extents: of the readings of each test; read: the tests that have any in force.
    """

    covering: Mapping[str, Sequence[Standing]]
    jacks: Mapping[tuple[str, str], tuple[Jack, int]]
    kinds: Mapping[int, TestKind]
    extents: Mapping[int, Extent]
    read: Container[int | None]


def register(connection: Connection) -> tuple[RegisterLine, ...]:
    """Return the line of every anchor, in the order of part, row and number."""
    by_anchor: dict[str | None, list[EntryRow]] = {}
    for row in connection.execute(ENTRIES.order_by(ENTRY.c.id)).all():
        entry = EntryRow._make(row)
        by_anchor.setdefault(entry.anchor, []).append(entry)
    common = background(by_anchor.pop(None, []), extents(connection))
    lines = (line_of(anchor or "", rows, common) for anchor, rows in by_anchor.items())
    return tuple(sorted((line for line in lines if line is not None), key=_place))


def background(whole_work: Iterable[EntryRow], read: Mapping[int, Extent]) -> Background:
    """Return what lines share, from the entries that are about no single anchor."""
    shared = standing(whole_work)
    jacks = {}
    for one in shared:
        if one.row.kind == "jack":
            jack = of_plain(Jack, one.plain["jack"])
            jacks[jack.name, jack.calibration.certificate] = (jack, one.row.id)
    return Background(
        covering=submittals_by_anchor(one for one in shared if one.row.kind == "submittal"),
        jacks=jacks,
        kinds={one.row.id: one.plain["kind"] for one in shared if one.row.kind == "procedure"},
        extents=read,
        read=frozenset(test for test, extent in read.items() if extent.number),
    )


def line_of(anchor: str, rows: Sequence[EntryRow], common: Background) -> RegisterLine | None:
    """Return the line of an anchor from its entries, None where its registration was withdrawn."""
    mine = standing(rows)
    first = next((one for one in mine if one.row.kind == "planned"), None)
    if first is None:
        return None
    planned = first.plain
    course = life(events(mine, common.covering.get(anchor, ()), common.read))
    tests = [(one, one.plain) for one in mine if one.row.kind == "test"]
    last, begun = max(tests, key=lambda pair: pair[0].row.test or 0, default=(None, {}))
    closed = {one.row.test for one in mine if one.row.kind == "test closed"}
    verdict, locked = latest(mine, "verdict"), latest(mine, "locked off")
    lifted, replaced = latest(mine, "lifted off"), latest(mine, "replaced")
    decided = verdict.plain if verdict else {}
    withdrawn = _withdrawn(rows)
    return RegisterLine(
        anchor=anchor, part=planned["part"], row=planned["row"], number=planned["number"],
        pile=planned["pile"], trial=planned["trial"], design=design_of(mine),
        state=course.state, since=course.since, tests=len(tests),
        test=last.row.test if last else None,
        test_kind=common.kinds[begun["procedure"]] if last else None,
        test_open=last is not None and last.row.test not in closed,
        verdict=decided.get("decision"),
        accepted_load=decided["design_load"] if decided.get("decision") == "accepted" else None,
        verdict_stale=verdict is not None and stale(verdict, mine, withdrawn, common),
        readings=sum(common.extents[t.root].number for t, _ in tests if t.root in common.extents),
        greatest_load=_greatest(tests, common), lock_off_load=_load(locked),
        lift_off_load=_lift_off_load(lifted, common), exceptions=len(course.misfits),
        replaced_by=replaced.plain["replacement"] if replaced else "", replaces=planned["replaces"],
    )  # fmt: skip


def _withdrawn(rows: Sequence[EntryRow]) -> list[tuple[int, EntryRow]]:
    """Return what was taken away of anything that verdicts rest on, with the id of the withdrawal."""
    by_id = {row.id: row for row in rows}
    return [
        (row.id, by_id[row.supersedes])
        for row in rows
        if row.payload == NOTHING and row.kind in _RESTS_ON and row.supersedes in by_id
    ]


def stale(
    verdict: Standing,
    mine: Sequence[Standing],
    withdrawn: Iterable[tuple[int, EntryRow]],
    common: Background,
) -> bool:
    """Return whether what a verdict rests on was corrected or added to after it was issued.

    withdrawn: entries that verdicts on this anchor rest on and that were taken away, each with the id
    of its withdrawal. What happened after the test began (a down-rating) bears nothing of it, whether
    it is recorded or taken back.
    """
    tests = (o for o in mine if o.row.kind == "test" and o.row.test == verdict.row.test)
    begun = next(tests, None)
    if begun is None:
        return True
    extent, certified = common.extents.get(begun.root), _jack(begun.plain, common)
    newest = max(begun.row.id, extent.last if extent else 0, certified[1] if certified else 0)
    if newest > verdict.row.id:
        return True
    start = moment_of(begun)[0]
    for id_, gone in withdrawn:
        later = gone.kind in _BY_TIME and datetime.fromisoformat(gone.happened) > start
        if id_ > verdict.row.id and not later:
            return True
    for one in mine:
        if one.row.id > verdict.row.id and one.row.kind in _RESTS_ON:
            if one.row.kind in ("drilled", "tendon"):
                if at_test(mine, one.row.kind, begun) is one:
                    return True
            elif one.row.kind != "test" and moment_of(one) <= moment_of(begun):
                return True
    return False


def _greatest(
    tests: Iterable[tuple[Standing, Mapping[str, Any]]], common: Background
) -> float | None:
    """Return the greatest load read, by the calibration of the jack of each test (kN)."""
    found: list[float] = []
    for test, begun in tests:
        extent = common.extents.get(test.root)
        if extent is None:
            continue
        if extent.load is not None:
            found.append(extent.load)
        certified = _jack(begun, common)
        if extent.gauge is not None and certified is not None:
            found.append(certified[0].calibration.load(extent.gauge))
    return max(found, default=None)


def _jack(begun: Mapping[str, Any], common: Background) -> tuple[Jack, int] | None:
    return common.jacks.get((begun["jack"], begun["certificate"]))


def _load(one: Standing | None) -> float | None:
    """Return the load of a lock-off: in the tendon where that was measured."""
    if one is None:
        return None
    plain = one.plain
    load = plain["load"]
    return float(plain["jack_load"] if load is None else load)


def _lift_off_load(one: Standing | None, common: Background) -> float | None:
    """Return the load of a lift-off, by the calibration line in force where a gauge was read."""
    if one is None:
        return None
    if not (one.plain.get("gauge") or one.plain.get("strand_gauges")):
        return float(one.plain["load"])
    jacks = {named: jack for named, (jack, _) in common.jacks.items()}
    return in_loads(of_plain(LiftedOff, one.plain), jacks).load


def _place(line: RegisterLine) -> tuple[object, ...]:
    return line.part, line.row, line.trial, line.number, line.anchor
