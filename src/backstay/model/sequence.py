"""The construction sequence: the engineer's own, or the one that follows from the rows.

By default the cut goes down to the bench of each row in turn, the row is drilled, tested and locked
off, and after the last row the cut goes to subgrade.
"""

from __future__ import annotations

from dataclasses import dataclass

from backstay.model.project import Section
from backstay.model.stages import Excavate, StressRow


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage: a dig to a depth (m below top of wall), or a row stressed (from 1), or a note."""

    number: int
    dig_to: float | None
    stress_row: int | None
    note: str = ""


def construction_stages(section: Section) -> tuple[Stage, ...]:
    """Return the stages of digging and stressing in order.

    They come from `stages` or `cut.sequence`, whichever is written; else they follow from the rows.
    """
    written = [e for e in section.stages if isinstance(e, Excavate | StressRow)]
    if written:
        return tuple(
            Stage(i, section.depth(entry.level), None, entry.title)
            if isinstance(entry, Excavate)
            else Stage(i, None, entry.row, entry.title)
            for i, entry in enumerate(written, start=1)
        )
    if section.cut.sequence:
        return tuple(
            Stage(
                i,
                None if given.excavate_to is None else section.depth(given.excavate_to),
                given.stress_row,
                given.note,
            )
            for i, given in enumerate(section.cut.sequence, start=1)
        )
    stages: list[Stage] = []
    for row, anchor in enumerate(section.anchors, start=1):
        bench = min(section.depth(anchor.elevation) + section.cut.over_excavation, section.height)
        if not stages or bench > max(s.dig_to or 0.0 for s in stages) + 1e-9:
            stages.append(Stage(len(stages) + 1, bench, None))
        stages.append(Stage(len(stages) + 1, None, row))
    if max(s.dig_to or 0.0 for s in stages) < section.height - 1e-9:
        stages.append(Stage(len(stages) + 1, section.height, None))
    return tuple(stages)


def bench_depth(section: Section, row: int) -> float:
    """Return the depth dug to when a row (from 1) is stressed (m).

    Raises LookupError if no stage stresses the row.
    """
    deepest = 0.0
    for stage in construction_stages(section):
        if stage.dig_to is not None:
            deepest = max(deepest, stage.dig_to)
        if stage.stress_row == row:
            return deepest
    raise LookupError(f"no stage stresses row {row}")
