"""The least lengths, row by row, that move the bonds far enough back.

The row at the end of the worst block is lengthened until that block holds, and so on to the next
worst; then each row is shortened again as far as all the others let it. The result reaches the
target for every block, and no row of it can be shorter by itself.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Protocol, TypeVar

STEP = 0.01
"""Lengths are found to this (m), rounded up."""


class Longer(Protocol):
    """A row that can be made longer."""

    @property
    def row(self) -> int: ...  # noqa: D102

    def longer(self, added: float) -> Longer: ...  # noqa: D102


class Judged(Protocol):
    """A block with its safety, and the rows its surface runs to, outward."""

    @property
    def safety(self) -> float: ...  # noqa: D102

    @property
    def corners(self) -> tuple[int, ...]: ...  # noqa: D102


T = TypeVar("T", bound=Longer)
J = TypeVar("J", bound=Judged)


@dataclass(frozen=True, slots=True)
class Lengthened:
    """Lengths added along each anchor (m, by row), the least safety then, and the trials made."""

    added: Mapping[int, float]
    safety: float
    tried: int


def least_lengths(
    judge: Callable[[Sequence[T]], Sequence[J]], rows: Sequence[T], target: float, most: float
) -> Lengthened | None:
    """Return the least lengths that bring every block to the target, or None within `most` (m)."""
    added = {r.row: 0.0 for r in rows}
    tried = 0

    def blocks(lengths: Mapping[int, float]) -> Sequence[J]:
        nonlocal tried
        tried += 1
        return judge([r.longer(lengths[r.row]) for r in rows])  # type: ignore[misc]

    def holds(lengths: Mapping[int, float], row: int | None) -> bool:
        """Say whether all blocks hold, or all whose surface ends at the bond of `row`."""
        return all(
            b.safety >= target for b in blocks(lengths) if row is None or b.corners[-1] == row
        )

    def least(row: int, low: float, high: float, of: int | None) -> float:
        """Return the least length of a row in low..high with which the blocks `of` a row hold."""
        a, b = 0, ceil((high - low) / STEP)
        while b - a > 1:
            middle = (a + b) // 2
            if holds({**added, row: low + middle * STEP}, of):
                b = middle
            else:
                a = middle
        return low + b * STEP

    for _ in range(4 * len(rows)):
        block = min(blocks(added), key=lambda b: b.safety)
        if block.safety >= target:
            break
        row = block.corners[-1]
        if added[row] >= most or not holds({**added, row: most}, row):
            return None
        added[row] = least(row, added[row], most, row)
    else:
        return None
    for row in sorted(added, key=lambda r: -added[r]):
        if added[row] > 0.0:
            if holds({**added, row: 0.0}, None):
                added[row] = 0.0
            else:
                added[row] = least(row, 0.0, added[row], None)
    rounded = {row: round(length, 6) for row, length in added.items()}
    return Lengthened(rounded, min(b.safety for b in blocks(rounded)), tried)
