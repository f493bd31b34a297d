"""Rows that name no step are put to one by their load: how near it must lie, and to which of two."""

from __future__ import annotations

import pytest

from backstay.fieldbook.cells import cells_of_bytes
from backstay.fieldbook.heads import reading_table
from backstay.fieldbook.matching import LEAST_WITHIN, LOAD_WITHIN, _in_order, _within
from backstay.fieldbook.table_rows import WrittenRow, written_rows
from tests.journeys.field_tables import performance


def row(minute: float) -> WrittenRow:
    table = reading_table(
        (cells_of_bytes(f"Minute,Load (kN),Dial (mm)\n{minute},1,1".encode(), "t"),)
    )
    return written_rows(table, day=None, zone=None)[0]


def test_how_near_a_load_lies_is_of_the_step_and_never_less_than_of_the_design_load() -> None:
    procedure = performance().procedure
    low = min(procedure.steps, key=lambda s: s.load)
    high = max(procedure.steps, key=lambda s: s.load)
    assert low.load * LOAD_WITHIN < LEAST_WITHIN * procedure.design_load < high.load * LOAD_WITHIN
    assert _within(low, procedure) == LEAST_WITHIN * procedure.design_load
    assert _within(high, procedure) == pytest.approx(LOAD_WITHIN * high.load)


def test_of_two_steps_that_follow_each_other_the_nearer_one_is_meant() -> None:
    steps = performance().procedure.steps[:3]
    off = {id(steps[0]): 5.0, id(steps[1]): 0.8, id(steps[2]): 0.2}
    assert _in_order(row(0), steps, lambda s: off[id(s)], -1, -1.0) == 2
    off |= {id(steps[1]): 0.2, id(steps[2]): 0.8}
    assert _in_order(row(0), steps, lambda s: off[id(s)], -1, -1.0) == 1
    off |= {id(steps[1]): 0.2, id(steps[2]): 0.2}
    assert _in_order(row(0), steps, lambda s: off[id(s)], -1, -1.0) == 1, "of two alike the first"
