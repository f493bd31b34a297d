"""A field book that gives lift-offs and lock-offs strand by strand."""

from __future__ import annotations

from pathlib import Path

import pytest

from backstay.errors import ProjectError
from backstay.fieldbook.book_reading import read_book
from backstay.fieldbook.facts_of_book import booked, quantity_of
from backstay.quantity import QUANTITIES
from backstay.records.encoding import of_plain, plain_of
from backstay.records.facts import LiftedOff, LockedOff

KIP = 4.4482216152605
HEAD = 'field_book: B-1\nunits: US\nzone: "-05:00"\n'


def book(tmp_path: Path, *lines: str) -> Path:
    path = tmp_path / "book.yaml"
    path.write_text(HEAD + "\n".join(lines) + "\n", "utf-8")
    return path


def test_the_load_is_the_sum_of_the_strands(tmp_path: Path) -> None:
    path = book(
        tmp_path,
        "locked_off:",
        "  - {anchor: 1-4, on: 2025-03-24, strands: [29.5, 29.3 kip, 130 kN], seating: 0.28}",
        "lifted_off:",
        "  - {anchor: 1-4, on: 2025-03-25, strands: [26, 25.1, 25.9]}",
        "  - {anchor: 1-4, on: 2025-03-26, load: 77}",
    )
    lists = ("locked_off", "lifted_off")
    names = {(key, i, "anchor"): "A-1-004" for key in lists for i in range(2)}
    locked, lifted, whole = (one.fact for one in booked(read_book(path).book, names, {}, {}))
    assert isinstance(locked, LockedOff)
    assert locked.strands == pytest.approx((29.5 * KIP, 29.3 * KIP, 130.0))
    assert locked.jack_load == pytest.approx(58.8 * KIP + 130.0)
    assert isinstance(lifted, LiftedOff)
    assert lifted.load == pytest.approx(77.0 * KIP)
    assert len(lifted.strands) == 3
    assert isinstance(whole, LiftedOff)
    assert whole.load == pytest.approx(lifted.load)
    assert whole.strands == ()


@pytest.mark.parametrize(
    ("what", "words"),
    [
        ("load: 77, strands: [26, 25]", "either load is given"),
        ("jack: J-1", "either load is given"),
        ("strands: []", "either load is given"),
        ("strands: [0, 0]", "carry nothing together"),
        ("strands: [26, -1]", "strands"),
        ("strands: [26, .nan]", "strands"),
        (f"strands: {[1] * 61}", "strands"),
    ],
)
def test_strands_that_make_no_load_are_faults_of_the_book(
    tmp_path: Path, what: str, words: str
) -> None:
    path = book(tmp_path, "lifted_off:", f"  - {{anchor: 1-4, on: 2025-03-25, {what}}}")
    with pytest.raises(ProjectError) as found:
        read_book(path)
    (fault,) = found.value.faults
    assert fault.line == 5
    assert words in str(fault)


def test_what_was_recorded_without_strands_is_read_as_before() -> None:
    old = {"anchor": "A-1-004", "load": 342.5, "jack": "J-1", "certificate": "C-1"}
    assert of_plain(LiftedOff, old) == LiftedOff(**old)  # type: ignore[arg-type]
    fact = LiftedOff(anchor="A-1-004", load=360.0, strands=(120.0, 130.0, 110.0))
    assert of_plain(LiftedOff, plain_of(fact)) == fact
    assert quantity_of(fact, "strands") is QUANTITIES["force"]
