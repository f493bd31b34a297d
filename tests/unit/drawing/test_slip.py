"""The critical slip surface in the section: cut at the window, lettered, left out where there is none."""

from __future__ import annotations

from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from backstay.drawing.clip import clipped
from backstay.drawing.ground import LOG
from backstay.drawing.layers import LAYERS
from backstay.drawing.marks import Stroke
from backstay.drawing.section import compose_section
from backstay.drawing.sheet import sheet
from backstay.quantity import UnitSystem
from tests.unit.drawing.cases import CASES, compose
from tests.unit.drawing.standin import overall_stand_in, project, stand_in

SI, US = UnitSystem.SI, UnitSystem.US
BOX = ((0.0, 0.0), (4.0, 3.0))
places = st.tuples(st.floats(-6, 10), st.floats(-6, 9))


@given(st.lists(places, min_size=2, max_size=8))
def test_clipped_runs_stay_inside_and_miss_nothing(line: list[tuple[float, float]]) -> None:
    """Every point sampled on the line is on a run if it is inside, and no run leaves the window."""
    runs = clipped(line, BOX)
    for run in runs:
        assert all(-1e-9 <= x <= 4 + 1e-9 and -1e-9 <= y <= 3 + 1e-9 for x, y in run)
    inside = sum(_length_inside(a, b) for a, b in pairwise(line))
    drawn = sum(_size(a, b) for run in runs for a, b in pairwise(run))
    assert drawn == pytest.approx(
        inside, abs=0.02 * (1 + sum(_size(a, b) for a, b in pairwise(line)))
    )


def _size(a: tuple[float, float], b: tuple[float, float]) -> float:
    return float(np.hypot(b[0] - a[0], b[1] - a[1]))


def _length_inside(a: tuple[float, float], b: tuple[float, float]) -> float:
    """Return the length inside by sampling, which knows nothing of the clipping."""
    t = (np.arange(2000) + 0.5) / 2000
    x, y = a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])
    return _size(a, b) * float(((x >= 0) & (x <= 4) & (y >= 0) & (y <= 3)).mean())


def test_a_line_that_leaves_and_comes_back_makes_two_runs() -> None:
    runs = clipped([(1.0, 1.0), (1.0, 5.0), (3.0, 5.0), (3.0, 1.0)], BOX)
    assert runs == [[(1.0, 1.0), (1.0, 3.0)], [(3.0, 3.0), (3.0, 1.0)]]


@pytest.mark.parametrize("units", [SI, US])
@pytest.mark.parametrize("name", list(CASES))
def test_the_surface_is_drawn_within_the_window_and_lettered(name: str, units: UnitSystem) -> None:
    drawing = compose(CASES[name], "section", "sheet", units)
    runs = [m for m in drawing.marks if m.layer == "SLIP-SURFACE" and m.space == "model"]
    assert runs
    (left, low), (right, high) = drawing.window
    for run in runs:
        assert isinstance(run, Stroke)
        for x, y in run.points:
            assert left - 1e-6 <= x <= right - LOG + 1e-6
            assert low - 1e-6 <= y <= high + 1e-6
    words = {t.words for t in drawing.texts}
    assert "Critical slip surface" in words
    assert "F = 1.47, Spencer, final, undrained" in words  # never more than there is


def test_the_surface_is_to_scale() -> None:
    """Points of the runs lie on the circle, at the drawing's scale."""
    drawing = compose(CASES["single-row-stiff-clay"], "section", "sheet", SI)
    H = stand_in(project(CASES["single-row-stiff-clay"]).sections[0]).ground.H
    centre = drawing.view.at(0.1 * H, -0.35 * H)
    for run in (m for m in drawing.marks if m.layer == "SLIP-SURFACE" and m.space == "model"):
        for p in run.points[1:-1]:
            assert _size(p, centre) == pytest.approx(2.0 * H * drawing.view.mm, rel=1e-6)


@pytest.mark.parametrize("overall", [None, SimpleNamespace(stages=())])
def test_without_a_surface_there_is_neither_line_nor_words(overall: object) -> None:
    read = project(CASES["two-row-sand"])
    done = stand_in(read.sections[0])
    done.overall = overall
    drawing = compose_section(done, sheet(US), US, read.project)
    assert not [m for m in drawing.marks if m.layer == "SLIP-SURFACE"]
    assert not any("slip" in t.words for t in drawing.texts)


def test_the_least_safe_state_of_the_finished_cut_is_drawn() -> None:
    read = project(CASES["two-row-sand"])
    done = stand_in(read.sections[0])
    (first,) = overall_stand_in(done.ground.H).stages
    (worse,) = overall_stand_in(done.ground.H).stages
    (early,) = overall_stand_in(done.ground.H).stages
    worse.safety, worse.stage.title = 1.2, "final, drained"
    worse.found.critical.F = 1.2
    early.safety, early.stage.title = 0.9, "stage 3"
    done.overall = SimpleNamespace(stages=(early, first, worse))
    drawing = compose_section(done, sheet(US), US, read.project)
    assert "F = 1.20, Spencer, final, drained" in {t.words for t in drawing.texts}


def test_the_line_is_thin_and_told_apart_by_its_dashes() -> None:
    layer = LAYERS["SLIP-SURFACE"]
    assert layer.weight < LAYERS["SURFACE-FAILURE"].weight
    assert layer.dash
    assert [n for n, other in LAYERS.items() if other.dash == layer.dash] == ["SLIP-SURFACE"]
