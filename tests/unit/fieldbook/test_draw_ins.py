"""Draw-in measured at the heads that are locked off, on the field sheet of the next anchor."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import timedelta

import pytest
from pypdf import PdfReader

from backstay.fieldbook.draw_ins import measured_draw_in
from backstay.fieldbook.sheets import field_sheets_of
from backstay.quantity import UnitSystem
from backstay.records import LockedOff, Records
from backstay.report.field.field_sheets import field_sheets_bytes
from backstay.stressing.rules_us import US_RULES
from tests.unit.fieldbook.locked import DAY, SEATED, A, record_later
from tests.unit.records.wall import BY, DESIGN, START, planned

NEXT = "A-1-002"
STRAND = "4 x 15.2 mm strand, EN 10138-3 grade Y1860"


def test_the_next_sheet_counts_on_what_the_heads_took(records: Records) -> None:
    """4 and 6 mm in wedges, 20 mm at a head on shims, none at another: the mean of two is 5 mm."""
    records.add(planned(NEXT, number=2, design=replace(DESIGN, tendon=STRAND)), by=BY, on=START)
    lines = [line for line in records.register() if line.anchor == NEXT]

    def lock_off() -> tuple[float | None, int]:
        (sheet,) = field_sheets_of(lines, records, US_RULES, on=START.date(), jack="J-7")
        return sheet.lock_off.draw_in, sheet.lock_off.heads

    assert lock_off() == (DESIGN.draw_in, 0)
    seated = [replace(SEATED, seating=s) for s in (0.004, None, 0.006)]
    shims = replace(SEATED, seating=0.020, head="shims")
    record_later(records, *((k * DAY, fact) for k, fact in enumerate([*seated, shims])))
    assert lock_off() == (pytest.approx(0.005), 2)
    wrong = next(e for e in records.history(A) if e.fact == seated[2])
    records.correct(wrong.id, replace(seated[2], seating=0.010), by=BY, reason="misread")
    assert lock_off() == (pytest.approx(0.007), 2)
    (sheet,) = field_sheets_of(lines, records, US_RULES, on=START.date(), jack="J-7")
    pdf = field_sheets_bytes([sheet], UnitSystem.SI)
    text = " ".join(PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())
    assert "drawing in 7.00 mm, the mean of 2 heads as measured" in text


def test_bars_are_seated_on_nuts_and_of_an_unknown_tendon_nothing_is_known(
    records: Records,
) -> None:
    nut = LockedOff(anchor=A, jack_load=400.0, seating=0.001, head="nut")
    record_later(records, (timedelta(0), nut), (DAY, replace(SEATED, seating=0.006)))
    heads, (line,) = records.facts(LockedOff), records.register()
    assert [fact.head for fact in heads] == ["nut", "wedges"]
    for tendon, mean in ((STRAND, 0.006), ("36 mm bar, grade 150", 0.001)):
        found = measured_draw_in(heads, replace(line, design=replace(line.design, tendon=tendon)))
        assert found is not None
        assert (found.mean, found.count) == (mean, 1)
    unknown = replace(line, design=replace(line.design, tendon="as submitted"))
    assert measured_draw_in(heads, unknown) is None
    assert measured_draw_in((), replace(line, design=replace(line.design, tendon=STRAND))) is None
