"""No text of a figure meets another or leaves its canvas, in any example and either unit system.

The boxes are taken from the finished SVG and measured with the shipped font itself, not with what
placed them.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

import pytest
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

from backstay.design import SectionDesign, design
from backstay.fonts import BOLD, REGULAR, font_folder
from backstay.model import read_project
from backstay.quantity import UnitSystem
from backstay.report.figures import actions_figure, cantilever_figure, pressure_figure
from backstay.report.settlement import settlement_figure
from backstay.report.staged import history_figure, staged_figures
from backstay.report.stages import stages_figure

EXAMPLES = sorted((Path(__file__).parents[3] / "examples").glob("*.yaml"))


def first_stages(done: SectionDesign, units: UnitSystem) -> str:
    return staged_figures(done, units)[0]


def last_stages(done: SectionDesign, units: UnitSystem) -> str:
    return staged_figures(done, units)[-1]


FIGURES = (
    pressure_figure, actions_figure, cantilever_figure, settlement_figure, stages_figure,
    first_stages, last_stages, history_figure,
)  # fmt: skip
_SVG = "{http://www.w3.org/2000/svg}"
Figure = Callable[[SectionDesign, UnitSystem], str]
Box = tuple[float, float, float, float]


@cache
def sections(path: Path) -> tuple[SectionDesign, ...]:
    return design(read_project(path)).sections


@cache
def font(bold: bool) -> TTFont:
    return TTFont(font_folder() / (BOLD if bold else REGULAR), lazy=True)


def text_boxes(svg: str) -> list[tuple[str, Box]]:
    """Return every text of an SVG with its box: advances of the glyphs, capitals and descenders."""
    found = []
    for node in ElementTree.fromstring(svg).iter(f"{_SVG}text"):  # noqa: S314 - our own
        if node.get("stroke"):
            continue  # the halo below the same words
        words, size = node.text or "", float(node.get("font-size", 0))
        face = font(node.get("font-weight") == "bold")
        em, glyphs = face["head"].unitsPerEm, face.getBestCmap()
        width = sum(face["hmtx"].metrics[glyphs[ord(c)]][0] for c in words) * size / em
        x, y = float(node.get("x", 0)), float(node.get("y", 0))
        left = x - {"start": 0.0, "middle": width / 2, "end": width}[node.get("text-anchor", "")]
        found.append((words, (left, y - 0.711 * size, left + width, y + 0.2 * size)))
    return found


def meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


@pytest.mark.parametrize("units", list(UnitSystem))
@pytest.mark.parametrize("figure", FIGURES, ids=lambda f: f.__name__)
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_texts_are_apart_and_on_the_canvas(path: Path, figure: Figure, units: UnitSystem) -> None:
    for done in sections(path):
        svg = figure(done, units)
        size = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
        assert size
        width, height = float(size[1]), float(size[2])
        boxes = text_boxes(svg)
        assert len(boxes) >= 3
        for words, box in boxes:
            assert 0 <= box[0] < box[2] <= width, words
            assert 0 <= box[1] < box[3] <= height, words
        clashes = [(a, b) for (a, p), (b, q) in combinations(boxes, 2) if meet(p, q)]
        assert not clashes


def test_the_greatest_ordinate_is_always_labelled() -> None:
    from backstay.quantity import QUANTITIES, significant

    for path in EXAMPLES:
        for done in sections(path):
            words = {w for w, _ in text_boxes(pressure_figure(done, UnitSystem.SI))}
            for diagram in (done.pressures.envelope.diagram, done.pressures.design):
                most = QUANTITIES["stress"].shown(max(diagram.p), UnitSystem.SI)
                assert significant(most, 3) in words


def test_stages_show_the_rows_stressed_so_far() -> None:
    """Each row is drawn at its own stage and at every later one: two strokes each time."""
    for path in EXAMPLES:
        for done in sections(path):
            svg = stages_figure(done, UnitSystem.SI)
            strokes = svg.count('stroke-width="2.4"')
            n, shown = len(done.anchors), 0
            from backstay.model.sequence import construction_stages

            stressed: set[int] = set()
            for stage in construction_stages(done.section):
                if stage.stress_row:
                    stressed.add(stage.stress_row)
                shown += len(stressed)
            assert strokes == shown >= n
