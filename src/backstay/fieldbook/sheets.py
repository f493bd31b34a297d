"""Field sheets of anchors out of the records: the next test of each, with the jack in use."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from backstay.fieldbook.at_hand import next_kind, the_jack
from backstay.fieldbook.draw_ins import measured_draw_in
from backstay.records.entries import RegisterLine
from backstay.records.facts import LockedOff
from backstay.records.store import Records
from backstay.stressing.procedure import TestKind
from backstay.stressing.rules import TestRules
from backstay.stressing.schedules import procedure_of
from backstay.stressing.sheet import FieldSheet, field_sheet


def field_sheets_of(
    lines: Iterable[RegisterLine], records: Records, rules: TestRules, *, on: date, jack: str = "",
    certificate: str = "", kind: TestKind | None = None, jack_length: float | None = None,
) -> list[FieldSheet]:  # fmt: skip
    """Return the sheet of each anchor for its next test, or one of a kind.

    jack: in use, "" where it is not known and gauge pressures stay open; jack_length: m, that of the
    design where it is None; on: day of the test. Draw-in as measured at the heads that are locked off
    counts in the place of what the design expects. Raises RefusedError, DesignError.
    """
    used = the_jack(records.jacks(), jack, certificate) if jack else None
    heads = records.facts(LockedOff)
    sheets = []
    for line in lines:
        anchor = records.anchor_to_test(line.anchor, jack_length=jack_length)
        factor = line.design.test_load / line.design.design_load
        procedure = procedure_of(kind or next_kind(line), anchor, factor, rules)
        drawn_in = measured_draw_in(heads, line)
        sheets.append(field_sheet(anchor, procedure, used, rules, on=on, draw_in=drawn_in))
    return sheets
