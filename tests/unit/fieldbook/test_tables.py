"""Tables of readings: heads in any order and unit, steps matched, faults by their place."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date
from itertools import permutations
from pathlib import Path

import pytest

from backstay.errors import ProjectError
from backstay.fieldbook.cells import MAX_COLUMNS, MAX_ROWS, cells_of_bytes, cells_of_file
from backstay.fieldbook.heads import ReadingTable, reading_table
from backstay.fieldbook.matching import match_steps
from backstay.fieldbook.table_rows import written_rows
from backstay.quantity import UnitSystem
from backstay.stressing.record import TestRecord
from tests.journeys.field_tables import JACK, as_csv, as_workbook, performance, proof, rows_of


def table_of(text: str) -> ReadingTable:
    return reading_table((cells_of_bytes(text.encode(), "t"),))


def rows(text: str, day: date | None = None):  # type: ignore[no-untyped-def]
    return written_rows(table_of(text), day=day, zone=UTC)


def faults(text: str) -> list[str]:
    with pytest.raises(ProjectError) as refused:
        rows(text)
    return [str(fault) for fault in refused.value.faults]


@pytest.mark.parametrize("order", list(permutations(["Minute", "Gauge (psi)", "Dial 1 (in)"])))
def test_columns_stand_in_any_order(order: tuple[str, ...]) -> None:
    values = {"Minute": "2", "Gauge (psi)": "3200", "Dial 1 (in)": "0.5"}
    (row,) = rows(",".join(order) + "\n" + ",".join(values[head] for head in order))
    assert row.minute == 2.0
    assert row.gauge == pytest.approx(3200 * 6.894757293168361)  # 1 psi in kPa (NIST SP 811)
    assert row.dials == (pytest.approx(0.0127),)


@pytest.mark.parametrize(
    ("head", "value", "kPa"),
    [("Gauge (bar)", "220", 22000.0), ("Pressure [MPa]", "22", 22000.0), ("gauge [kPa]", "22000", 22000.0),
     ("Jack pressure (psi)", "22000 kPa", 22000.0)],
)  # fmt: skip
def test_pressures_come_in_the_unit_that_head_or_cell_says(
    head: str, value: str, kPa: float
) -> None:
    (row,) = rows(f"Minute,{head},Dial (mm)\n0,{value},1")
    assert row.gauge == pytest.approx(kPa)


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_text_of_any_delimiter_with_titles_above(mark: str) -> None:
    text = f"Larkfield Library, anchor 1-4; tested: today\n\n{mark.join(['Min', 'Load (kN)', 'Dial 2 (mm)', 'Dial 1 (mm)', 'Remark'])}\n"
    text += mark.join(["0", "100", "2", "1", "windy"]) + "\n"
    (row,) = rows(text)
    assert (row.line, row.load, row.dials, row.remark) == (4, 100.0, (0.001, 0.002), "windy")


def test_shares_may_be_percent_and_minutes_seconds() -> None:
    (row,) = rows("Share (%),Time (s),Load (kN),Dial (mm)\n133,90,100,1")
    assert row.share == pytest.approx(1.33)
    assert row.minute == pytest.approx(1.5)


def test_clock_times_take_the_day_and_go_past_midnight() -> None:
    head = "Minute,Load (kN),Dial (mm),Clock\n"
    first, second = rows(head + "0,1,1,23:50\n30,1,1,0:20", day=date(2025, 3, 24))
    assert (second.at - first.at).total_seconds() == 1800
    assert "say when the test began" in faults(head + "0,1,1,23:50")[0]


def test_every_fault_is_told_with_line_and_column() -> None:
    told = faults("Step,Minute,Gauge (psi),Dial 1 (in)\n1,0,57o,0.5\n\n2,,1420,\nx,0,-3,#DIV/0!\n")
    places = [" ".join(one.split(":")[0].split()) for one in told]
    assert places == [
        "line 2, column 3", "line 4, column 2", "line 4, column 4",
        "line 5, column 1", "line 5, column 3", "line 5, column 4",
    ]  # fmt: skip


@pytest.mark.parametrize("record", [performance(), proof(), proof(extended=True)])
@pytest.mark.parametrize("steps", [True, False])
def test_rows_find_the_steps_that_they_were_read_at(record: TestRecord, steps: bool) -> None:
    text = as_csv(rows_of(record, steps=steps))
    table = table_of(text)
    found = match_steps(table, rows(text), record.procedure, JACK, (), UnitSystem.US)
    assert not found.faults
    key = [(r.cycle, r.target, r.phase, r.minute) for r in record.readings]
    assert [(r.cycle, r.target, r.phase, r.minute) for r in found.readings] == key
    half = len(record.readings) // 2
    rest = match_steps(
        table, rows(text)[half:], record.procedure, JACK, found.readings[:half], UnitSystem.US
    )
    assert [r.number for r in rest.readings] == [r.number for r in record.readings[half:]]
    assert [(r.cycle, r.target, r.phase, r.minute) for r in rest.readings] == key[half:]


def test_a_workbook_reads_as_its_text_does(tmp_path: Path) -> None:
    made = rows_of(proof())
    as_workbook(made, tmp_path / "t.xlsx")
    book = written_rows(reading_table(cells_of_file(tmp_path / "t.xlsx")), day=None, zone=UTC)
    text = rows(as_csv(made))
    assert [replace(r, line=0) for r in book] == [replace(r, line=0) for r in text]
    assert book[0].line == 4  # a title and an empty row stand above the head
    with pytest.raises(ProjectError, match="no sheet 'x'"):
        cells_of_file(tmp_path / "t.xlsx", sheet="x")


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"PK\x03\x04 no zip at all", "this workbook cannot be read"),
        (b"\xd0\xcf\x11\xe0 old", "old format"),
        (b"Minute,Gauge (psi)\n\xff\xfe", "not UTF-8"),
        (b"Minute\x00Gauge", "this is not text"),
        (b"", "no head"),
        (b'"Minute,Gauge (psi),Dial (in)\n', "cannot be read"),
    ],
)
def test_what_is_no_table_is_told_so(content: bytes, words: str, tmp_path: Path) -> None:
    (tmp_path / "t").write_bytes(content)
    with pytest.raises(ProjectError, match=words):
        reading_table(cells_of_file(tmp_path / "t"))
    with pytest.raises(ProjectError, match="no such file"):
        cells_of_file(tmp_path / "gone")
    with pytest.raises(ProjectError, match="folder"):
        cells_of_file(tmp_path)


def test_the_mark_between_cells_is_the_one_that_makes_heads() -> None:
    """More commas than semicolons in the same line, and still the semicolon divides it."""
    text = "Minute;Load (kN);Dial 1 (mm);Remark (wind, rain, frost, anything)\n0;100;1;calm, dry, warm\n"
    (row,) = rows(text)
    assert (row.minute, row.load, row.dials, row.remark) == (
        0.0,
        100.0,
        (0.001,),
        "calm, dry, warm",
    )


@pytest.mark.parametrize(
    ("head", "missing"),
    [
        ("Gauge (psi),Dial 1 (in)", ["minutes"]), ("Minute,Dial 1 (in)", ["load"]),
        ("Minute,Gauge (psi)", ["dial"]),
    ],
)  # fmt: skip
def test_a_column_that_is_not_there_is_named(head: str, missing: list[str]) -> None:
    found = faults(f"{head}\n" + ",".join("1" for _ in head.split(",")) + "\n")
    named = [fault for fault in found if "there is no column" in fault]
    assert len(named) == len(missing)
    assert all(name in fault for name, fault in zip(missing, named, strict=True))
    assert all("accepted: " in fault for fault in named)


@pytest.mark.parametrize("value", ["1e400", "-1e999", "inf", "nan"])
@pytest.mark.parametrize("column", ["Minute", "Gauge (psi)", "Load (kN)", "Dial 1 (in)", "Share"])
def test_numbers_that_no_instrument_shows_are_refused(column: str, value: str) -> None:
    heads = ["Minute", "Gauge (psi)", "Load (kN)", "Dial 1 (in)", "Share"]
    cells = [value if head == column else "1" for head in heads]
    (found,) = faults(",".join(heads) + "\n" + ",".join(cells) + "\n")
    assert column in found
    assert f"'{value}'" in found


@pytest.mark.parametrize(
    ("cell", "share"), [("133%", 1.33), ("133 %", 1.33), ("1.33", 1.33), ("10%", 0.10)]
)
def test_a_share_may_carry_its_sign(cell: str, share: float) -> None:
    (row,) = rows(f"Share,Minute,Load (kN),Dial (mm)\n{cell},0,100,1")
    assert row.share == pytest.approx(share)


def test_a_load_cell_goes_before_the_gauge_beside_it() -> None:
    """Both columns: the row keeps both, and what is empty in one is taken from the other."""
    first, second = rows("Minute,Gauge (psi),Load (kN),Dial (mm)\n0,3200,410,1\n1,3200,,1.1")
    assert (first.load, second.load) == (410.0, None)
    assert first.gauge == second.gauge == pytest.approx(3200 * 6.894757293168361)


def test_a_head_that_is_nearly_known_is_told_with_its_column() -> None:
    found = faults("Minute,Load (kN),Dial 1 (mm),Refernce (mm)\n0,100,1,0\n")
    (said,) = [fault for fault in found if "unknown" in fault]
    assert "column 4" in said
    assert "Refernce (mm)" in said
    assert 'did you mean "reference"' in said


def test_cells_beyond_the_head_are_told_with_their_column() -> None:
    (said,) = faults("Minute,Load (kN),Dial 1 (mm)\n0,100,1,,7\n")
    assert "line 2, column 5" in said
    assert "beyond the columns of the head" in said
    assert "'7'" in said


def test_a_load_that_is_not_there_is_asked_for_by_the_column_there_is() -> None:
    assert "Load (kN)" in faults("Minute,Load (kN),Dial (mm)\n0,,1\n")[0]
    assert "Gauge (psi)" in faults("Minute,Gauge (psi),Dial (in)\n0,,1\n")[0]


def test_tables_longer_or_wider_than_any_test_are_refused() -> None:
    long = "Minute,Load (kN),Dial (mm)\n" + "0,1,1\n" * (MAX_ROWS + 1)
    with pytest.raises(ProjectError, match=f"more than {MAX_ROWS} rows"):
        table_of(long)
    wide = "Minute,Load (kN),Dial (mm)" + ",x" * MAX_COLUMNS + "\n0,1,1\n"
    with pytest.raises(ProjectError, match=f"more than {MAX_COLUMNS} columns"):
        table_of(wide)
