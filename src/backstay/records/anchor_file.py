"""Everything about one anchor: its line of the register, its entries in force, and its tests."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, TypeVar, cast

from backstay.records.encoding import fact_of
from backstay.records.entries import Entry, RegisterLine
from backstay.records.facts import Fact, LiftedOff, Submittal
from backstay.records.gauge_read import Jacks, in_loads
from backstay.records.known import Known
from backstay.records.life import Misfit
from backstay.records.readings import extents, reading_of, rows_of
from backstay.records.refusal import RefusedError
from backstay.records.register import background, line_of
from backstay.records.rows import EntryRow, ReadingRow
from backstay.stressing.procedure import Procedure
from backstay.stressing.record import Reading

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class AnchorFile:
    """One anchor: its line, and every entry in force in the order in which things happened.

    misfits: what was recorded although it does not fit, in words; submittals: those that cover it;
    jacks: of the work, by name and certificate.
    """

    line: RegisterLine
    entries: tuple[Entry[Any], ...]
    submittals: tuple[Entry[Submittal], ...]
    misfits: tuple[Misfit, ...]
    jacks: Jacks

    def lift_offs(self) -> tuple[Entry[LiftedOff], ...]:
        """Return the lift-offs in force, in loads by the calibration lines in force."""
        return tuple(
            replace(entry, fact=in_loads(entry.fact, self.jacks))
            for entry in self.of(LiftedOff)
            if entry.fact is not None
        )

    def of(self, kind: type[T]) -> tuple[Entry[T], ...]:  # type: ignore[type-var]
        """Return the entries in force of one kind of fact, as they happened."""
        return tuple(entry for entry in self.entries if type(entry.fact) is kind)


def anchor_file(known: Known, anchor: str) -> AnchorFile:
    """Return the file of an anchor. Raises RefusedError."""
    mine = known.registered(anchor)
    tests = [one.root for one in mine if one.row.kind == "test"]
    shared = [row for kind in ("submittal", "jack", "procedure") for row in known.of_kind(kind)]
    common = background(
        sorted(shared, key=lambda row: row.id), extents(known.connection, tests, known.until)
    )
    line = line_of(anchor, known.rows(anchor), common)
    if line is None:
        raise RefusedError(f"{anchor}: its registration was withdrawn")
    made = entries_of([one.row for one in mine], known.procedures())
    papers = entries_of([one.row for one in common.covering.get(anchor, ())], {})
    return AnchorFile(
        line=line, entries=tuple(sorted(made, key=_when)),
        submittals=tuple(sorted(cast("Iterable[Entry[Submittal]]", papers), key=_when)),
        misfits=known.life(anchor).misfits,
        jacks={named: jack for named, (jack, _) in common.jacks.items()},
    )  # fmt: skip


def history(known: Known, anchor: str) -> tuple[Entry[Any], ...]:
    """Return every entry about an anchor and every reading, corrected or not, as recorded."""
    rows = list(known.rows(anchor))
    papers = _ever_covering(anchor, known.of_kind("submittal"))
    tests = {row.id: row.test for row in rows if row.kind == "test" and row.supersedes is None}
    read = rows_of(known.connection, tests, known.until)
    made = [
        *entries_of([*rows, *papers], known.procedures()),
        *reading_entries(anchor, read, tests),
    ]
    return tuple(sorted(made, key=lambda entry: entry.id))


def entries_of(rows: Iterable[EntryRow], procedures: dict[int, Procedure]) -> Iterator[Entry[Fact]]:
    """Yield rows as entries; who corrects whom is told among the rows given."""
    rows = list(rows)
    corrected = {row.supersedes: row.id for row in rows}
    for row in rows:
        yield Entry(
            id=row.id, kind=row.kind, anchor=row.anchor or "", test=row.test,
            fact=fact_of(row.kind, row.payload, procedures),
            happened=datetime.fromisoformat(row.happened),
            recorded=datetime.fromisoformat(row.recorded), author=row.author,
            supersedes=row.supersedes, superseded_by=corrected.get(row.id), reason=row.reason,
            exception=row.exception, hash=row.hash.hex(),
        )  # fmt: skip


def _ever_covering(anchor: str, papers: Iterable[EntryRow]) -> list[EntryRow]:
    """Return the submittals that covered an anchor at some time, with all their corrections."""
    chains: dict[int, list[EntryRow]] = {}
    for row in papers:
        chain = [] if row.supersedes is None else chains.pop(row.supersedes)
        chains[row.id] = [*chain, row]
    return [
        row
        for chain in chains.values()
        if any(anchor in (json.loads(r.payload) or {"anchors": ()})["anchors"] for r in chain)
        for row in chain
    ]


def reading_entries(
    anchor: str, rows: Iterable[ReadingRow], tests: dict[int, int | None]
) -> Iterator[Entry[Reading]]:
    """Yield rows of readings as entries, number by number; tests: their numbers by id."""
    chain: dict[tuple[int, int], list[ReadingRow]] = {}
    for row in rows:
        chain.setdefault((row.test, row.number), []).append(row)
    for line in chain.values():
        for i, row in enumerate(line):
            yield Entry(
                id=row.id, kind="reading", anchor=anchor, test=tests[row.test],
                fact=None if row.withdrawn else reading_of(row),
                happened=None if row.read_at is None else datetime.fromisoformat(row.read_at),
                recorded=datetime.fromisoformat(row.recorded), author=row.author,
                supersedes=line[i - 1].id if i else None,
                superseded_by=line[i + 1].id if i + 1 < len(line) else None,
                reason=row.reason, hash=row.hash.hex(),
            )  # fmt: skip


def _when(entry: Entry[Any]) -> tuple[datetime, int]:
    return entry.happened or entry.recorded, entry.id
