"""Two designs side by side: every line is of the designs themselves, and only what differs is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from backstay.checks import Verdict
from backstay.design import Design, design
from backstay.model.changes import Insert, changed
from backstay.model.reading import read_text
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.tables import sentence
from backstay.workbench.variants.compare import NONE, Compared, Line, _difference, compare

EXAMPLES = Path(__file__).parents[4] / "examples"
TEXT = (EXAMPLES / "two-row-sand.yaml").read_text()


def made(text: str) -> Design:
    return design(read_text(text), slip_surfaces="leave out")


@pytest.fixture(scope="module")
def demo() -> Design:
    return made(TEXT)


@pytest.fixture(scope="module")
def closer() -> Design:
    return made(TEXT.replace("spacing: 8.0", "spacing: 7.0"))


def lines(found: list[Compared], subject: str) -> dict[str, Line]:
    one = next(c for c in found if c.title.endswith(subject))
    return {line.subject: line for line in one.lines}


@pytest.mark.parametrize("units", list(UnitSystem))
@pytest.mark.parametrize("file", ["two-row-sand.yaml", "slopes/landslide-three-rows.yaml"])
def test_a_design_does_not_differ_from_itself(units: UnitSystem, file: str) -> None:
    one = made((EXAMPLES / file).read_text())
    found = compare(one, one, units)
    assert sum(c.same for c in found) > 60
    assert [line for c in found for line in c.differing] == []


def test_what_differs_is_told_with_numbers_of_the_designs(demo: Design, closer: Design) -> None:
    found = compare(demo, closer, UnitSystem.US)
    load = lines(found, ": loads")["Row 1: required per anchor (kip)"]
    kip = QUANTITIES["force"]
    for shown, of in ((load.first, demo), (load.second, closer)):
        required = of.sections[0].anchors[0].required_load
        assert float(shown) == pytest.approx(kip.shown(required, UnitSystem.US), rel=1e-3)
    gap = float(load.second) - float(load.first)
    assert float(load.difference.replace("−", "-")) == pytest.approx(gap, abs=1e-9)
    assert load.difference.startswith("−")
    piles = lines(found, "quantities")["Soldier piles: quantity"]
    assert (piles.first, piles.second, piles.difference) == ("23", "27", "+4")
    steel = lines(found, "quantities")["Steel of soldier piles: quantity"]
    assert steel.first.endswith(" lb")
    assert steel.difference.startswith("+")
    assert steel.difference.endswith(" lb")


def test_the_other_way_round_the_signs_turn(demo: Design, closer: Design) -> None:
    there = [line for c in compare(demo, closer, UnitSystem.SI) for line in c.lines]
    back = [line for c in compare(closer, demo, UnitSystem.SI) for line in c.lines]
    turned = str.maketrans("+−", "−+")
    assert [(a.second, a.first, a.difference.translate(turned)) for a in there] == [
        (b.first, b.second, b.difference) for b in back
    ]


def test_a_row_that_one_lacks_stands_against_a_dash(demo: Design) -> None:
    single = read_text((EXAMPLES / "single-row-stiff-clay.yaml").read_text())
    other = design(single, slip_surfaces="leave out")
    found = compare(demo, other, UnitSystem.US)
    titles = {c.title.split(":")[0] for c in found}
    assert len(titles) == 1 + len(other.sections), "sections of other names stand by themselves"
    for one in found:
        for line in one.lines:
            assert NONE in (line.first, line.second)
            assert line.difference == ""


def test_a_check_that_fails_is_signed(demo: Design) -> None:
    wide = made(
        TEXT.replace("spacing: 8.0", "spacing: 12.0").replace("design_load: 115", "design_load: 60")
    )
    found = lines(compare(demo, wide, UnitSystem.US), "checks")
    signs = {line.second[0] for line in found.values()}
    assert "✗" in signs
    for check in wide.sections[0].checks:
        if check.verdict is Verdict.FAIL:
            assert any(
                line.subject.startswith(sentence(check.name)) and line.second[0] == "✗"
                for line in found.values()
            )


def test_a_row_that_only_the_second_has_is_told(demo: Design) -> None:
    more = changed(
        TEXT, [Insert(("sections", 0, "anchors", 2), {"elevation": 72, "design_load": 105})]
    )
    found = compare(demo, made(more), UnitSystem.US)
    load = lines(found, ": loads")["Row 3: required per anchor (kip)"]
    assert (load.first, load.difference) == (NONE, "")
    assert float(load.second) > 0
    new = [line for s, line in lines(found, "checks").items() if "row 3" in s]
    assert new
    assert all(line.first == NONE for line in new)


def test_every_check_and_no_empty_cell_is_compared(demo: Design) -> None:
    found = compare(demo, demo, UnitSystem.US)
    part = demo.parts[0]
    checks = next(c for c in found if c.title.endswith("checks"))
    assert len(checks.lines) == len({(c.id, c.where) for c in part.checks}) > 60
    assert all(line.first and line.second for c in found for line in c.lines)


def test_numbers_of_different_units_have_no_difference() -> None:
    assert _difference("3 ft", "5 in") == ""
    assert _difference("3.0 ft", "5.25 ft") == "+2.25 ft"
    assert _difference("3", "about 5") == ""
