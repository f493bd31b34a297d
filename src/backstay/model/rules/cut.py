"""Rules of the cut and the sequence of the work."""

from __future__ import annotations

from collections.abc import Iterator

from backstay.model.anchors import AnchorRow
from backstay.model.rules.rule import Breach, Say, rule
from backstay.model.rules.strata import TOLERANCE
from backstay.model.site import CutStage

HEIGHTS = (1.0, 60.0)
"""m; a cut outside is most likely a mistaken unit or datum."""


@rule
def cut_has_a_height(top: float, subgrade: float, say: Say) -> Iterator[Breach]:
    """Require that the bottom of the cut is below its top, by a height that occurs."""
    where = ("cut", "subgrade")
    height = top - subgrade
    if height <= 0.0:
        yield Breach(
            where, "the bottom of the cut must be below the top of the ground",
            f"less than {say.length(top)}", "elevations are positive upward",
        )  # fmt: skip
    elif not HEIGHTS[0] <= height <= HEIGHTS[1]:
        yield Breach(
            where, f"this makes a cut of {say.length(height)}",
            f"a height of {say.length(HEIGHTS[0])} to {say.length(HEIGHTS[1])}",
            "check the units of the file and the datum of the elevations",
        )  # fmt: skip


@rule
def sequence_goes_down(
    sequence: tuple[CutStage, ...], top: float, subgrade: float, say: Say
) -> Iterator[Breach]:
    """Require that each dig goes deeper, and the last one reaches the bottom of the cut."""
    level = top
    for i, stage in enumerate(sequence):
        where = ("cut", "sequence", i)
        if stage.excavate_to is None and stage.stress_row is None and not stage.note:
            yield Breach(where, "this stage does nothing", "excavate_to, stress_row, or a note")
        if stage.excavate_to is None:
            continue
        if stage.excavate_to >= level - TOLERANCE:
            yield Breach(
                (*where, "excavate_to"), "each dig must go deeper than the one before",
                f"less than {say.length(level)}",
            )  # fmt: skip
        elif stage.excavate_to < subgrade - TOLERANCE:
            yield Breach(
                (*where, "excavate_to"), "this is below the bottom of the cut",
                f"at least {say.length(subgrade)}",
            )  # fmt: skip
        level = min(level, stage.excavate_to)
    if sequence and level > subgrade + TOLERANCE:
        yield Breach(
            ("cut", "sequence"),
            f"the sequence ends at {say.length(level)}, above the bottom of the cut",
            f"a last dig to {say.length(subgrade)}",
        )


@rule
def sequence_stresses_every_row(
    sequence: tuple[CutStage, ...],
    rows: tuple[AnchorRow, ...],
    top: float,
    over_excavation: float,
    say: Say,
) -> Iterator[Breach]:
    """Require that each row is stressed once, in order, from a bench just below it, before the dig goes on."""
    level, done = top, 0
    for i, stage in enumerate(sequence):
        where = ("cut", "sequence", i)
        if stage.excavate_to is not None:
            level = stage.excavate_to
            if done < len(rows) and level < rows[done].elevation - over_excavation - TOLERANCE:
                allowed = rows[done].elevation - over_excavation
                yield Breach(
                    (*where, "excavate_to"),
                    f"this digs farther below row {done + 1} than over_excavation allows before the row is stressed",
                    f"at least {say.length(allowed)}",
                )
        if stage.stress_row is None:
            continue
        key = (*where, "stress_row")
        if stage.stress_row > len(rows):
            yield Breach(key, "there is no such row", f"1 to {len(rows)}")
            continue
        if stage.stress_row != done + 1:
            expected = str(done + 1) if done < len(rows) else "no further row"
            yield Breach(key, "rows are stressed once each, from the top down", expected)
        elif level > rows[done].elevation:
            yield Breach(
                key, f"the dig has not reached row {done + 1}",
                f"a dig to {say.length(rows[done].elevation)} or lower before it",
            )  # fmt: skip
        done = max(done, stage.stress_row)
    if sequence and done < len(rows):
        yield Breach(
            ("cut", "sequence"), f"row {done + 1} is never stressed", "a stage for each row"
        )
