"""A form is the entry of the field book written field by field: same rules, faults by field."""

from __future__ import annotations

from datetime import UTC, datetime
from math import isclose
from pathlib import Path
from typing import get_args

import pytest

from backstay.errors import ProjectError
from backstay.fieldbook.forms import List, Written, fields_of, record_form, stratum_fields
from backstay.quantity import UnitSystem
from backstay.records.facts import Drilled, LockedOff
from backstay.workbench.field.work import FieldWork
from tests.unit.workbench.field.wall import PART, wall

US, SI = UnitSystem.US, UnitSystem.SI
NOW = datetime(2025, 4, 2, tzinfo=UTC)
HOLE: dict[str, Written] = {"on": "2025-03-30 08:00", "diameter": "6", "length": "18.3 m"}


@pytest.fixture
def work(tmp_path: Path) -> FieldWork:
    return wall(tmp_path)


def test_every_entry_has_fields_with_units() -> None:
    for entry in get_args(List):
        keys = [field.key for field in fields_of(entry, SI)]
        assert "on" in keys
        assert "anchor" not in keys
    units = {field.key: field.unit for field in fields_of("drilled", SI)}
    assert units["diameter"] == "mm"
    assert units["length"] == "m"
    assert {f.key: f.unit for f in stratum_fields(US)}["top"] == "ft"
    head = next(f for f in fields_of("locked_off", US) if f.key == "head")
    assert head.choices == ("wedges", "shims", "nut")
    assert not head.needed


def test_bare_numbers_are_in_the_units_shown_and_others_say_theirs(work: FieldWork) -> None:
    log = [{"top": "0", "bottom": "10", "description": "fill"}, {"top": "", "bottom": ""}]
    with work.records() as records:
        done = record_form("drilled", f"{PART}-1-006", {**HOLE, "strata": log, "creeps": "no"},
                           records, US, by="me", now=NOW)  # fmt: skip
        hole = records.anchor(f"{PART}-1-006").of(Drilled)[0].fact
    assert done.new == 1
    assert hole is not None
    assert isclose(hole.diameter, 6 * 0.0254)
    assert isclose(hole.length, 18.3)
    assert isclose(hole.strata[0].bottom, 10 * 0.3048)
    assert len(hole.strata) == 1
    assert hole.creeps is False


def test_the_same_twice_is_recorded_once(work: FieldWork) -> None:
    with work.records() as records:
        record_form("drilled", f"{PART}-1-006", HOLE, records, US, by="me", now=NOW)
        number = records.last()
        again = record_form("drilled", f"{PART}-1-006", HOLE, records, US, by="me", now=NOW)
        assert (again.new, records.last()) == (0, number)


def test_faults_are_told_by_field_and_nothing_is_recorded(work: FieldWork) -> None:
    log = [{"top": "5", "bottom": "x"}]
    with work.records() as records:
        number = records.last()
        with pytest.raises(ProjectError) as raised:
            record_form("drilled", f"{PART}-1-006", {"on": "soon", "diameter": "9 psi", "strata": log},
                        records, US, by="me", now=NOW)  # fmt: skip
        assert {f.path for f in raised.value.faults} == {
            "on", "diameter", "length", "strata[0].bottom"
        }  # fmt: skip
        assert records.last() == number


def test_what_does_not_fit_needs_its_reason(work: FieldWork) -> None:
    lock: dict[str, Written] = {"on": "2025-03-30 09:00", "jack_load": "100"}
    with work.records() as records:
        with pytest.raises(ProjectError, match="does not fit"):
            record_form("locked_off", f"{PART}-1-001", lock, records, US, by="me", now=NOW)
        lock["exception"] = "locked off before the paper came"
        record_form("locked_off", f"{PART}-1-001", lock, records, US, by="me", now=NOW)
        entry = records.anchor(f"{PART}-1-001").of(LockedOff)[0]
        assert entry.exception == "locked off before the paper came"


@pytest.mark.parametrize(
    "text", ['": [x', "{a: b}", "&a *a", "!!python/object", "a\nb: c", "𝄞 \\ \"'"]
)
def test_text_that_looks_like_a_book_stays_text(work: FieldWork, text: str) -> None:
    with work.records() as records:
        written: dict[str, Written] = {"on": "2025-03-30", "text": text}
        record_form("remarks", f"{PART}-1-001", written, records, US, by="me", now=NOW)
        remark = records.history(f"{PART}-1-001")[-1].fact
        assert remark is not None
        assert remark.text.split() == text.split()
