"""A number that nobody meets on site is refused with what is accepted, in the book and in corrections."""

from __future__ import annotations

from pathlib import Path

import pytest

from backstay.errors import ProjectError
from backstay.fieldbook.book_reading import book_text
from backstay.fieldbook.correction import correction
from backstay.fieldbook.reach import MOST, beyond
from backstay.quantity import UnitSystem
from backstay.records import open_records
from tests.unit.records.wall import BY, drilled, planned


@pytest.mark.parametrize("name", MOST)
def test_both_sides_of_the_greatest_value(name: str) -> None:
    assert beyond(name, MOST[name], UnitSystem.US) == ""
    assert beyond(name, -MOST[name], UnitSystem.US) == ""
    assert beyond(name, MOST[name] * 1.0001, UnitSystem.US).startswith("at most ")


@pytest.mark.parametrize(
    ("written", "accepted"),
    [
        ("65 parsec", "at most 500.0 m"), ("1e300 ft", "at most 500.0 m"), ("501", "at most 500.0 m"),
        ("0", "more than 0 m"), ("-3", "more than 0 m"),
    ],
)  # fmt: skip
def test_a_correction_out_of_reach_is_refused(tmp_path: Path, written: str, accepted: str) -> None:
    with open_records(tmp_path / "wall.records") as records:
        records.add(planned(), by=BY)
        entry = records.add(drilled(), by=BY, exception="no submittal")
        with pytest.raises(ProjectError) as refused:
            correction(entry, {"length": written}, UnitSystem.SI)
        (fault,) = refused.value.faults
        assert (fault.path, fault.accepted) == ("length", accepted)
        assert correction(entry, {"length": "499.9"}, UnitSystem.SI).fact.length == 499.9


@pytest.mark.parametrize(("length", "sound"), [("500 m", True), ("500.1 m", False)])
def test_the_book_has_the_same_bounds(length: str, sound: bool) -> None:
    text = (
        "field_book: B\nunits: SI\n"
        f"drilled: [{{anchor: 1-1, on: 2026-03-01, diameter: 150, length: {length}}}]\n"
    )
    if sound:
        assert book_text(text, "b", None).book.drilled[0].length == 500.0
        return
    with pytest.raises(ProjectError, match="at most 500"):
        book_text(text, "b", None)
