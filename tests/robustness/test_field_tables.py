"""Malformed tables of readings: each is read, or refused in words; nothing else ever happens."""

from __future__ import annotations

from datetime import UTC, date

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from backstay.errors import ProjectError
from backstay.fieldbook.cells import cells_of_bytes
from backstay.fieldbook.heads import reading_table
from backstay.fieldbook.matching import match_steps
from backstay.fieldbook.table_rows import WrittenRow, written_rows
from backstay.quantity import UnitSystem
from tests.journeys.field_tables import JACK, as_csv, proof, rows_of

calm = settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow], database=None
)
RECORD = proof()
SOUND = as_csv(rows_of(RECORD))
CELL = st.one_of(
    st.sampled_from(
        ["", "0", "-1", "1e400", "NaN", "inf", "1,5", "5'", "#REF!", "٣", "−3", "3200 psi", "1 kg", "=1+1", "0x1F"]
    ),
    st.floats().map(str), st.text(max_size=12),
)  # fmt: skip


def read(raw: bytes) -> tuple[WrittenRow, ...]:
    """Read a table as far as it goes: rows, or none where it is refused with places and words."""
    try:
        table = reading_table((cells_of_bytes(raw, "t"),))
        found = written_rows(table, day=date(2025, 3, 24), zone=UTC)
        match_steps(table, found, RECORD.procedure, JACK, (), UnitSystem.US)
        return found
    except ProjectError as error:
        refusal = error
    assert refusal.faults
    assert all(fault.rule and len(str(fault)) < 1000 for fault in refusal.faults)
    return ()


@calm
@given(st.binary(max_size=400))
def test_any_bytes(raw: bytes) -> None:
    read(raw)


@calm
@given(st.text(max_size=300))
def test_any_text_below_a_sound_head(text: str) -> None:
    read((SOUND.splitlines()[0] + "\n" + text).encode("utf-8", "replace"))


@calm
@given(st.integers(1, 15), st.integers(0, 5), CELL)
def test_any_cell_of_a_sound_table(row: int, column: int, cell: str) -> None:
    rows = rows_of(RECORD)
    rows[row][column] = cell.encode("utf-8", "replace").decode()
    for found in read(as_csv(rows).encode()):
        values = (found.minute, *found.dials, found.gauge or 0.0)
        assert all(abs(v) < float("inf") for v in values)


@calm
@given(st.integers(0, len(SOUND) - 1), st.integers(0, 60))
def test_a_sound_table_cut_short(start: int, length: int) -> None:
    read((SOUND[:start] + SOUND[start + length :]).encode())


@calm
@given(st.permutations(range(1, 16)))
def test_rows_in_any_order(order: list[int]) -> None:
    rows = rows_of(RECORD, steps=False)
    read(as_csv([rows[0], *(rows[k] for k in order)]).encode())
