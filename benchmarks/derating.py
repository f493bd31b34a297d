"""Time what an anchor that failed does to the wall, against the design of the wall in the same run.

Usage: python -m benchmarks.derating [--json]

The crew stands at the jack while the wall is analysed through its stages by two bounds and designed
again as it stands. What is compared is timed in turns in time of the process, and the least of many
turns counts; slip surfaces are left out of the design, as the answer does not look for them again.
"""

from __future__ import annotations

import json
import sys
from typing import Any

from tests.unit.stressing.deratings import SLOPE, derated, designed

from backstay.design import design
from benchmarks.stressing import least

CASES = (
    ("one row in stiff clay", "single-row-stiff-clay", "1-1-003"),
    ("two rows in sand", "two-row-sand", "A (Alder Street)-2-003"),
    ("three rows, layers and water", "three-row-layered-water", "C-C-2-003"),
    ("a slope, three rows", SLOPE, "Mill Hill-1-005"),
)
"""In words, example, anchor that failed."""
HELD = 500.0


def table() -> list[dict[str, Any]]:
    """Return one row for each wall: ms of the answer and of the design, and their ratio."""
    rows = []
    for words, example, anchor in CASES:
        project = designed(example).project
        answer, whole = least(
            lambda x=example, a=anchor: derated(x, a, HELD),  # type: ignore[misc]
            lambda p=project: design(p, slip_surfaces="leave out"),  # type: ignore[misc]
        )
        rows.append(
            {"wall": words, "derate_ms": 1e3 * answer, "design_ms": 1e3 * whole, "ratio": answer / whole}
        )  # fmt: skip
    return rows


def main(arguments: list[str] | None = None) -> int:
    """Print the table."""
    arguments = sys.argv[1:] if arguments is None else arguments
    rows = table()
    if "--json" in arguments:
        print(json.dumps(rows, indent=2))
        return 0
    print(f"{'an anchor that failed, in':32}{'derate ms':>11}{'design ms':>11}{'ratio':>8}")
    for r in rows:
        print(f"{r['wall']:32}{r['derate_ms']:11.1f}{r['design_ms']:11.1f}{r['ratio']:8.2f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
