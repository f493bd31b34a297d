"""The proof test of the examples, as a tablet would send it."""

from __future__ import annotations

import csv
from datetime import datetime, timedelta
from typing import Any

from tests.journeys.field import EXAMPLES
from tests.unit.workbench.jack.site import DAY, read


def rows(name: str = "1-004-proof.csv") -> list[dict[str, str]]:
    """Return the rows of a table of readings."""
    with (EXAMPLES / "field" / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def proof(start: datetime = DAY) -> list[dict[str, Any]]:
    """Return the readings of the proof test; each step takes a minute beyond its hold."""
    found, clock, held = [], start, 0.0
    for row in rows():
        minute = float(row["Minute"])
        if minute == 0.0:
            clock += timedelta(minutes=held + 1.0)
        held = minute
        found.append(
            read(
                int(row["Step"]) - 1, minute, row["Gauge (psi)"], row["Dial 1 (in)"], row["Dial 2 (in)"],
                at=clock + timedelta(minutes=minute),
            )
        )  # fmt: skip
    return found
