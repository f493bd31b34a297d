"""Field sheets: one page for every test of either practice, with loads, pressures and room to write."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader

from backstay.errors import DesignError
from backstay.quantity import UnitSystem
from backstay.report.field import write_field_sheets
from backstay.report.field.field_sheets import field_sheets_bytes
from backstay.stressing.rules import TestRules
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
from backstay.stressing.sheet import FieldSheet, field_sheet
from backstay.tables import Writer
from tests.unit.report.field.trials import TYPED
from tests.unit.stressing.invented import DAY, anchor, jack
from tests.unit.stressing.invented import line as certified

_METHODS = [replace(EN_RULES, method=m) for m in ("held load", "lock-off", "stepped load")]
CASES: list[tuple[TestRules, str, str]] = [
    *((US_RULES, kind, "granular") for kind in ("performance", "proof", "extended creep")),
    *(
        (rules, kind, ground)
        for rules in _METHODS
        for kind in ("investigation", "suitability", "acceptance")
        for ground in ("granular", "stiff clay")
    ),
]
NAMES = [f"{r.id} {r.method} {k} {g}" for r, k, g in CASES]


@cache
def sheet(index: int, *, with_jack: bool = True) -> FieldSheet:
    rules, kind, ground = CASES[index]
    one = anchor(ground=(ground,), draw_in=0.006 if with_jack else None)
    procedure = procedure_of(kind, one, 1.33, rules)  # type: ignore[arg-type]
    return field_sheet(one, procedure, jack() if with_jack else None, rules, on=DAY)


def close(text: str) -> str:
    return "".join(text.split())


def read(content: bytes) -> list[str]:
    return [close(page.extract_text()) for page in PdfReader(io.BytesIO(content)).pages]


@pytest.mark.parametrize("units", list(UnitSystem))
@pytest.mark.parametrize("index", range(len(CASES)), ids=NAMES)
def test_a_sheet_is_one_page_with_every_number(index: int, units: UnitSystem) -> None:
    done = sheet(index)
    (text,) = read(field_sheets_bytes([done], units))
    w = Writer(units)
    places = 1 if units is UnitSystem.SI else 0
    for line in done.lines:
        assert w.fixed(line.load, "force", 1) in text
        assert line.pressure is not None
        assert w.fixed(line.pressure, "gauge pressure", places) in text
    for words in (
        "Nobodystandsbehindthejack",
        "Nevermorethan",
        "Testedby",
        "Limits",
        "Lift-offbetween",
    ):
        assert words in text
    assert ("(bar)" in text) is (units is UnitSystem.SI)
    assert ("(psi)" in text) is (units is UnitSystem.US)


@pytest.mark.parametrize("index", [0, 3])
def test_a_sheet_without_a_jack_leaves_room_for_the_pressures(index: int) -> None:
    (text,) = read(field_sheets_bytes([sheet(index, with_jack=False)], UnitSystem.SI))
    assert close("Jack, gauge __________") in text
    assert "Thedraw-inisnotknown" in text


def test_every_sheet_has_its_page_and_typed_names_are_text(tmp_path: Path) -> None:
    named = replace(sheet(1), anchor=replace(sheet(1).anchor, name=TYPED))
    path = write_field_sheets([sheet(0), sheet(1), named], tmp_path / "f.pdf", UnitSystem.US)
    pages = read(path.read_bytes())
    assert len(pages) == 3
    assert close('<b>#panic("x")</b>') in pages[2]


def test_minutes_at_which_to_read_are_printed() -> None:
    done = sheet(2)
    text = " ".join(
        PdfReader(io.BytesIO(field_sheets_bytes([done], UnitSystem.SI)))
        .pages[0]
        .extract_text()
        .split()
    )
    top = max(done.lines, key=lambda line: line.load)
    for minute in top.readings:
        assert f" {minute:g} " in text


def test_no_sheet_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match="no test"):
        write_field_sheets([], tmp_path / "f.pdf", UnitSystem.SI)
    assert not list(tmp_path.iterdir())


def test_a_greatest_load_beyond_the_certificate_has_no_pressure() -> None:
    one = anchor()
    procedure = procedure_of("proof", one, 1.33, US_RULES)
    short = jack(points=certified(most=52e3))
    made = field_sheet(one, procedure, short, US_RULES, on=DAY)
    assert made.tendon_pressure is None
    (text,) = read(field_sheets_bytes([made], UnitSystem.SI))
    assert "625.7kN,beyondcertificateorjack" in text
    (known,) = read(field_sheets_bytes([sheet(0)], UnitSystem.SI))
    assert "beyondcertificate" not in known
    assert "Calibrated2026-01-05,56daysbefore" in known
