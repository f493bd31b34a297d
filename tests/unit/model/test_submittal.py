"""A submittal as it is read: units, and one clear message for every fault, at its place."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from backstay.errors import ProjectError
from backstay.model.submittal_reading import read_submittal, submittal_from, submittal_text
from tests.unit.stressing.submittals import SUBMITTAL, submittal

TEXT = """submittal: 007
units: US
part: A
rows: [1, 2]
free_length: 20
tendon: {kind: strand, product: ASTM 15.24, strands: 4}
bond: {length: 30 ft, hole_diameter: 6, grouting: gravity}
protection: class II
head: {locked_by: wedges, draw_in: 1/4 in}
"""


def faults(text: str) -> list[str]:
    with pytest.raises(ProjectError) as caught:
        submittal_text(text, "S.yaml")
    return [str(fault) for fault in caught.value.faults]


def test_numbers_are_in_the_units_that_it_names() -> None:
    made = submittal_text(TEXT.replace("1/4 in", "0.25"))
    assert made.submittal == "007"
    assert made.free_length == pytest.approx(6.096)
    assert made.bond.length == pytest.approx(9.144)
    assert made.bond.hole_diameter == pytest.approx(0.1524)
    assert made.head.draw_in == pytest.approx(0.00635)
    assert made.jack is None


def test_a_whole_submittal_in_si() -> None:
    made = submittal()
    assert made.jack is not None
    assert made.jack.ram_area == pytest.approx(0.0121)
    assert made.jack.gauge_range == pytest.approx(70_000.0)
    assert made.jack.calibration is not None
    assert made.jack.calibration.on == date(2026, 2, 10)
    assert made.jack.calibration.points[-1].load == 826.0
    assert made.tendon.certificate is not None
    assert made.tendon.certificate.modulus == pytest.approx(196e6)
    assert made.grout is not None
    assert made.grout.strength == pytest.approx(32_000.0)


def test_every_fault_is_told_at_once_with_its_place() -> None:
    found = faults(TEXT.replace("rows: [1, 2]", "rows: []").replace("gravity", "gravitty"))
    assert [f.split(":")[0] for f in found] == [
        "line 4, column 7", "line 7, column 51", "line 9, column 36"
    ]  # fmt: skip
    assert 'did you mean "gravity"?' in found[1]
    assert "1/4 in" in found[2]


def test_a_key_that_is_misspelt_is_told_the_keys_of_a_submittal() -> None:
    (missing, unknown) = faults(
        TEXT.replace("1/4 in", "0.25").replace("free_length", "free_lenght")
    )
    assert "free_length: this is missing" in missing
    assert 'did you mean "free_length"?' in unknown
    assert "sections" not in unknown


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("rows: [1, 2]", "rows: [2, 2]", "a row is named twice"),
        ("kind: strand", "kind: bar", "a bar tendon is one bar"),
        ("grouting: gravity", "grouting: gravity, transfer: 9 kip/ft", "needs its source"),
    ],
)
def test_what_does_not_fit_together_is_told(old: str, new: str, said: str) -> None:
    (found,) = faults(TEXT.replace("1/4 in", "0.25").replace(old, new))
    assert said in found
    assert found.startswith("line ")


@pytest.mark.parametrize(
    ("paper", "said"),
    [
        ({"on": "yesterday"}, "this is not a day; accepted: year-month-day"),
        ({"expires": "2025-01-01"}, "expires before it was issued"),
        ({"points": [{"pressure": 100, "load": 1}, {"pressure": 100, "load": 2}]}, "one pressure"),
        ({"points": [{"pressure": 100, "load": 1}]}, "at least 2"),
    ],
)
def test_certificates_that_are_none(paper: dict[str, object], said: str) -> None:
    with pytest.raises(ProjectError, match=said):
        submittal({"jack": {"calibration": paper}})


def test_a_mapping_is_told_by_field_without_a_line() -> None:
    with pytest.raises(ProjectError) as caught:
        submittal_from({**SUBMITTAL, "rows": [0], "free_length": "6 kN"})
    first, second = (str(f) for f in caught.value.faults)
    assert first.startswith("free_length: read '6 kN'; this is not a unit of length")
    assert second.startswith("rows[0]: ")


@pytest.mark.parametrize("text", ["", "[1, 2]", "submittal", "a: [", "--- a\n--- b"])
def test_what_is_no_submittal_is_refused(text: str) -> None:
    assert len(faults(text)) == 1


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(ProjectError, match="no such file"):
        read_submittal(tmp_path / "none.yaml")
    file = tmp_path / "S.yaml"
    file.write_text(TEXT.replace("1/4 in", "0.25"), encoding="utf-8")
    assert read_submittal(file).submittal == "007"
