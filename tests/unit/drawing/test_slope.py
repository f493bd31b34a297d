"""The section of a slope: everything on it, nothing over anything else, whichever way it slides."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import pytest

from backstay.design import Design, design
from backstay.drawing import drawing_files
from backstay.drawing.marks import Dimension, Drawing
from backstay.drawing.sheet import figure, sheet
from backstay.drawing.slope import compose_slope
from backstay.quantity import UnitSystem
from tests.unit.drawing.ink import ink, overlap
from tests.unit.slopes import CASES, read


@pytest.fixture(scope="module", params=list(CASES))
def name(request: pytest.FixtureRequest) -> str:
    return request.param


@pytest.fixture(scope="module")
def done(name: str) -> Design:
    return design(read(CASES[name]), slip_surfaces="leave out" if name == "crowded" else "search")


@pytest.fixture(scope="module", params=list(UnitSystem))
def units(request: pytest.FixtureRequest) -> UnitSystem:
    return request.param


@pytest.fixture(scope="module", params=["sheet", "figure"])
def drawing(done: Design, units: UnitSystem, request: pytest.FixtureRequest) -> Drawing:
    ground = sheet(units) if request.param == "sheet" else figure()
    return compose_slope(done.slopes[0], ground, units, done.project.project)


def test_no_two_texts_overlap_and_all_stand_on_the_sheet(drawing: Drawing) -> None:
    boxes = [(text, ink(text)) for text in drawing.texts if text.words.strip()]
    assert len(boxes) > 15
    met = [
        (a.words, b.words)
        for (a, box_a), (b, box_b) in combinations(boxes, 2)
        if overlap(box_a, box_b) > 1e-6
    ]
    assert not met
    for text, box in boxes:
        for corner in box:
            assert 0.5 <= corner.x <= drawing.width - 0.5, text.words
            assert 0.5 <= corner.y <= drawing.height - 0.5, text.words
    for mark in drawing.marks:
        for x, y in getattr(mark, "points", ()):
            assert -1e-6 <= x <= drawing.width + 1e-6, mark
            assert -1e-6 <= y <= drawing.height + 1e-6, mark


def test_what_is_drawn_is_what_was_designed(drawing: Drawing, done: Design) -> None:
    slope = done.slopes[0]
    layers = {mark.layer for mark in drawing.marks}
    words = " ".join(text.words for text in drawing.texts)
    assert {"GROUND-SURFACE", "SURFACE-FAILURE"} <= layers
    assert "Known slip surface" in words
    for r in slope.rows:
        assert f"R{r.row}: " in words
    if slope.rows:
        assert {"ANCHOR-FREE", "ANCHOR-BOND", "ANCHOR-HEAD"} <= layers
        assert "SLOPE-PAD" in layers
    if slope.slips is not None:
        assert "SLIP-SURFACE" in layers
    for stratum in slope.slope.strata:
        assert stratum.name in words
    for load in slope.slope.surcharges:
        assert load.name in words


def test_the_drawing_is_to_scale(done: Design) -> None:
    slope = done.slopes[0]
    drawn = compose_slope(slope, sheet(UnitSystem.SI), UnitSystem.SI, None)
    frees = [m for m in drawn.marks if m.layer == "ANCHOR-FREE"]
    for r in slope.rows:
        head = drawn.view.at(r.x, drawn.view.top - r.y)
        end = r.at(r.anchor.total_length)
        paper = drawn.view.at(end[0], drawn.view.top - end[1])
        length = ((paper[0] - head[0]) ** 2 + (paper[1] - head[1]) ** 2) ** 0.5
        assert length == pytest.approx(r.anchor.total_length * 1000 / drawn.view.denominator)
        assert any(
            abs(p[0] - head[0]) < 12.0 and abs(p[1] - head[1]) < 12.0
            for m in frees
            for p in m.points
        )
    # every horizontal dimension says what it measures
    for mark in drawn.marks:
        if isinstance(mark, Dimension):
            (x1, y1), (x2, y2) = mark.first, mark.second
            measured = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5 * drawn.view.denominator / 1000
            assert float(mark.text.words) == pytest.approx(measured, abs=0.1)


def test_the_three_formats_are_written(done: Design) -> None:
    files: dict[str, Any] = dict(drawing_files(done, UnitSystem.SI))
    kinds = {name.rsplit(".", 1)[1] for name in files if name.startswith("slope-")}
    assert kinds == {"dxf", "svg", "pdf"}
    assert all(len(content) > 2000 for content in files.values())
