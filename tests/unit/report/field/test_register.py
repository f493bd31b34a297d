"""The register as a spreadsheet, read back with openpyxl: a second reader of the format."""

from __future__ import annotations

import io
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.field import write_register
from backstay.report.field.register_book import register_bytes
from tests.unit.report.field.trials import BEGAN, TYPED, paper, wall

LINES = wall(6, 2)
PAPERS = [
    paper("performance", full=True, anchor_name="A-1-001"),
    paper("faulty", anchor_name="A-1-002"), paper("goes on", anchor_name="A-2-001"),
]  # fmt: skip


def sheets(units: UnitSystem) -> dict[str, list[dict[str, Any]]]:
    """Return the lines of every sheet, by their heads."""
    book = load_workbook(io.BytesIO(register_bytes(LINES, units, papers=PAPERS)))
    found = {}
    for sheet in book.worksheets[:-1]:
        rows = list(sheet.iter_rows(min_row=3, values_only=True))
        found[sheet.title] = [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]
    return found


@pytest.mark.parametrize("units", list(UnitSystem))
def test_every_anchor_has_a_line_with_numbers_in_the_units_of_the_head(units: UnitSystem) -> None:
    force = QUANTITIES["force"]
    label = force.unit(units).label
    lines = sheets(units)["Register"]
    assert [x["Anchor"] for x in lines] == [x.anchor for x in LINES]
    for read, line in zip(lines, LINES, strict=True):
        assert read["State"] == line.state
        assert read[f"Design load ({label})"] == pytest.approx(force.shown(450.0, units))
        assert isinstance(read["Row"], int)
        assert read["Since"] == BEGAN.replace(tzinfo=None)
        locked = read[f"Locked off at ({label})"]
        assert (locked is None) is (line.lock_off_load is None)
    built = next(k for k in lines[0] if k.startswith("Tendon area, built"))
    assert lines[0][built] == pytest.approx(QUANTITIES["section area"].shown(421e-6, units))
    assert lines[0]["Mill certificate"] == "M-77"


@pytest.mark.parametrize("units", list(UnitSystem))
def test_every_reading_comes_back_as_it_was_read(units: UnitSystem) -> None:
    small, gauge = QUANTITIES["small length"], QUANTITIES["gauge pressure"]
    lines = sheets(units)["Readings"]
    readings = [r for p in PAPERS for r in p.record.readings]
    assert len(lines) == len(readings)
    mm, bar = small.unit(units).label, gauge.unit(units).label
    for read, r in zip(lines, readings, strict=True):
        assert read["Reading"] == r.number
        assert read[f"Dial 1 ({mm})"] == pytest.approx(small.shown(r.dials[0], units))
        assert r.gauge is not None
        assert read[f"Gauge ({bar})"] == pytest.approx(gauge.shown(r.gauge, units))
        assert isinstance(read["At"], datetime)


def test_tests_and_criteria_say_what_was_judged() -> None:
    found = sheets(UnitSystem.SI)
    assert [x["Judgement"] for x in found["Tests"]] == [p.judgement.decision for p in PAPERS]
    criteria = found["Criteria"]
    checks = [c for p in PAPERS for c in p.judgement.checks]
    assert [x["Used"] for x in criteria if x["Used"] is not None] == pytest.approx(
        [c.utilisation for c in checks]
    )
    assert {x["Verdict"] for x in criteria} >= {"met", "waiting"}
    assert all(x["Clause"] for x in criteria if x["Used"] is not None)


def test_what_was_typed_is_text_and_never_a_formula() -> None:
    book = load_workbook(io.BytesIO(register_bytes(LINES, UnitSystem.SI, papers=PAPERS)))
    cells = [c for s in book.worksheets for row in s.iter_rows() for c in row]
    assert not [c.coordinate for c in cells if c.data_type == "f"]
    assert sum(c.value == TYPED for c in cells) >= 2


def test_an_empty_register_is_still_a_book(tmp_path: Path) -> None:
    path = write_register([], tmp_path / "r.xlsx", UnitSystem.US)
    book = load_workbook(path)
    assert book.sheetnames == ["Register", "Tests", "Criteria", "Readings", "Notes"]
    assert [p.name for p in tmp_path.iterdir()] == ["r.xlsx"]
