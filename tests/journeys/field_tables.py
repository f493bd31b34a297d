"""Invented anchors of the demonstration wall, and tables of readings as a crew would hand them in.

The readings come from the mechanical model of `tests.unit.stressing.synthetic`, rounded as gauge
and dials are read. `python -m tests.journeys.field_tables FOLDER` writes the tables of the examples.
"""

from __future__ import annotations

import csv
import io
import sys
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

from backstay.stressing.jack import Calibration, CalibrationPoint, Jack
from backstay.stressing.record import Reading, TestedAnchor, TestRecord
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules_us import performance_test, proof_test
from tests.unit.stressing.synthetic import Model, record_of

KIP, PSI, INCH, FOOT = 4.4482216152605, 6.894757293168361, 0.0254, 0.3048
DAY = datetime(2025, 3, 24, 9, 0, tzinfo=UTC)
HEAD = ("Step", "Minute", "Gauge (psi)", "Dial 1 (in)", "Dial 2 (in)", "Remark")
JACK = Jack(
    name="J-1", gauge="G-21", ram_area=20.63 * INCH**2, capacity=200 * KIP, stroke=10 * INCH,
    calibration=Calibration(
        certificate="C-118", on=date(2025, 3, 3), expires=date(2026, 3, 3),
        points=tuple(
            CalibrationPoint(pressure * PSI, load * KIP)
            for pressure, load in (
                (500, 10.2), (1500, 30.3), (3000, 60.7), (4500, 90.9), (6000, 121.3), (7500, 151.5), (9000, 181.8)
            )
        ),
    ),
)  # fmt: skip
ANCHOR = TestedAnchor(
    name="A (Alder Street)-1-001", design_load=115 * KIP, lock_off_load=103.5 * KIP,
    area=0.868 * INCH**2, modulus=28500 * 6894.757293168361, strength=234.4 * KIP, free_length=34 * FOOT,
    jack_length=1.2, bond_length=30 * FOOT, hole_diameter=6 * INCH, ground=("granular",),
    creeps=False, grouting="low pressure", service="temporary",
)  # fmt: skip
"""As the book of the example says it was built."""
GOOD = Model(anchor=ANCHOR, jack=JACK, friction=18.0, bond=165.0, creep=0.00022, scatter=0.00001)
POOR = replace(GOOD, bond=87.0, creep=0.0016, critical=480.0, steep=0.00001)


def performance(model: Model = GOOD, factor: float = 1.33) -> TestRecord:
    """Return a performance test of an anchor of the first row."""
    made = record_of(model, performance_test(ANCHOR.design_load, factor, US_RULES))
    return replace(made, on=DAY)


def proof(model: Model = GOOD, factor: float = 1.33, *, extended: bool = False) -> TestRecord:
    """Return a proof test of an anchor of the first row."""
    made = record_of(model, proof_test(ANCHOR.design_load, factor, US_RULES), extended=extended)
    return replace(made, on=DAY)


def step_numbers(record: TestRecord) -> list[int]:
    """Return the step of each reading, as the field sheet numbers it."""
    numbers, at = [], 0
    for reading in record.readings:
        if reading.phase != "hold":
            at += 1
        numbers.append(at)
    return numbers


def rows_of(record: TestRecord, *, steps: bool = True) -> list[list[str]]:
    """Return head and rows as read: gauge to 10 psi, dials to a thousandth of an inch."""
    head = list(HEAD if steps else HEAD[1:])
    rows = [head]
    for number, r in zip(step_numbers(record), record.readings, strict=True):
        row = [f"{r.minute:g}", f"{_gauge(r):.0f}", *(f"{d / INCH:.3f}" for d in r.dials), r.remark]
        rows.append([f"{number}", *row] if steps else row)
    return rows


def _gauge(r: Reading) -> float:
    return round((r.gauge or 0.0) / PSI / 10.0) * 10.0


def as_csv(rows: Sequence[Sequence[str]], mark: str = ",") -> str:
    """Return rows as text."""
    out = io.StringIO()
    csv.writer(out, delimiter=mark, lineterminator="\n").writerows(rows)
    return out.getvalue()


def as_workbook(
    rows: Sequence[Sequence[str]], path: Path, title: str = "Larkfield Library"
) -> None:
    """Write rows as a workbook, with a title above the head."""
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Readings"
    sheet.append([title])
    sheet.append([])
    for k, row in enumerate(rows):
        sheet.append(
            [
                float(c) if k and c.replace(".", "").replace("-", "").isdigit() else c or None
                for c in row
            ]
        )
    book.save(path)


def main(folder: Path) -> None:
    """Write the tables of the examples."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "1-001-performance.csv").write_text(as_csv(rows_of(performance())), "utf-8")
    (folder / "1-004-proof.csv").write_text(as_csv(rows_of(proof(replace(GOOD, seed=4)))), "utf-8")
    poor = proof(replace(POOR, seed=5), extended=True)
    (folder / "1-005-proof.csv").write_text(as_csv(rows_of(poor)), "utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
