"""No two texts of a drawing overlap, all stand on the sheet, and the font has every character."""

from __future__ import annotations

from itertools import combinations

import pytest

from backstay.drawing.marks import Drawing
from tests.unit.drawing.cases import EXAMPLES, compose_design
from tests.unit.drawing.ink import ink, overlap


def test_no_two_texts_overlap(drawing: Drawing) -> None:
    boxes = [(text, ink(text)) for text in drawing.texts if text.words.strip()]
    assert len(boxes) > 15
    met = [
        (a.words, b.words)
        for (a, box_a), (b, box_b) in combinations(boxes, 2)
        if overlap(box_a, box_b) > 1e-6
    ]
    assert not met


@pytest.mark.parametrize("form", ["sheet", "figure"])
@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.yaml")), ids=lambda p: p.stem)
def test_designed_examples_are_clear(path, kind, form, units) -> None:
    drawing = compose_design(path.name, kind, form, units)
    test_no_two_texts_overlap(drawing)
    test_every_text_stands_on_the_sheet(drawing)


def test_every_text_stands_on_the_sheet(drawing: Drawing) -> None:
    for text in drawing.texts:
        for corner in ink(text):
            assert 0.5 <= corner.x <= drawing.width - 0.5, text.words
            assert 0.5 <= corner.y <= drawing.height - 0.5, text.words


def test_text_of_a_sheet_stays_inside_its_frame(sheet_drawing: Drawing) -> None:
    frame = next(m for m in sheet_drawing.marks if m.layer == "SHEET-FRAME")
    (x1, y1), (x2, y2) = frame.points[0], frame.points[2]
    for text in sheet_drawing.texts:
        for corner in ink(text):
            assert x1 <= corner.x <= x2, text.words
            assert y1 <= corner.y <= y2, text.words


def test_text_can_be_read(drawing: Drawing) -> None:
    """Cap height at least 1.5 mm; 0.8 mm where a section is crowded beyond reason."""
    least = 0.8 if "20 rows" in drawing.title else 1.3 if "9 strata" in drawing.title else 1.5
    assert min(text.size for text in drawing.texts) >= least


def test_lines_and_fills_stay_on_the_sheet(drawing: Drawing) -> None:
    for mark in drawing.marks:
        for x, y in getattr(mark, "points", ()):
            assert -1e-6 <= x <= drawing.width + 1e-6, mark
            assert -1e-6 <= y <= drawing.height + 1e-6, mark
