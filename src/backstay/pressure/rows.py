"""Depths of the rows of anchors, as every envelope and every sharing of loads needs them."""

from __future__ import annotations

from collections.abc import Sequence

from backstay.errors import DesignError


def refuse_bad_rows(depths: Sequence[float], H: float) -> None:
    """Raise DesignError unless rows lie in 0 < z < H (m), each below the one before."""
    if not depths:
        raise DesignError("there is no row of anchors", "anchor loads")
    for row, z in enumerate(depths, start=1):
        if not 0.0 < z < H:
            raise DesignError(
                f"its depth {{length:{z:.6g}}} is not between the top of wall and subgrade at"
                f" {{length:{H:.6g}}}",
                f"row {row}",
            )
        if row > 1 and z <= depths[row - 2]:
            raise DesignError(
                f"its depth {{length:{z:.6g}}} is not below row {row - 1} at"
                f" {{length:{depths[row - 2]:.6g}}}",
                f"row {row}",
            )
