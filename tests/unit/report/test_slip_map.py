"""The map of safety over circle centres: contours where they belong, round levels, the least marked."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from math import dist, hypot

import numpy as np
import pytest

from backstay.quantity import UnitSystem
from backstay.report.contours import contour
from backstay.report.slip_figures import Setting, map_figure
from backstay.report.slip_map import levels
from backstay.slip_tables import lettered
from backstay.stability.overall_comparison import map_circles
from backstay.stability.slip.safety_map import SafetyMap
from tests.unit.report.drawn import axes, clear, strokes, words
from tests.unit.report.slips import QUICK, found
from tests.unit.report.test_figures import text_boxes

SI = UnitSystem.SI
WAYS = pytest.mark.parametrize("mirrored", [False, True], ids=["to the left", "to the right"])


def test_contours_of_a_cone_are_circles() -> None:
    """The level of a distance is a circle; linear interpolation of a cone is exact along the axes."""
    x, y = np.linspace(-4, 4, 33), np.linspace(-3, 3, 25)
    values = np.hypot(x[None, :], y[:, None])
    (line,) = contour(x, y, values, 2.0)
    assert line[0] == line[-1]
    assert [hypot(*p) for p in line] == pytest.approx([2.0] * len(line), abs=0.01)
    length = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(line))
    assert length == pytest.approx(4 * np.pi, rel=0.01)


def test_contours_of_a_plane_run_from_edge_to_edge_and_stop_where_nothing_is_known() -> None:
    x = y = np.linspace(0.0, 1.0, 11)
    values = np.tile(x, (11, 1))
    (line,) = contour(x, y, values, 0.55)
    assert sorted(p[1] for p in (line[0], line[-1])) == [0.0, 1.0]
    assert {round(p[0], 12) for p in line} == {0.55}
    values[4, 5] = np.nan
    parts = contour(x, y, values, 0.55)
    assert len(parts) == 2
    assert not any(0.3 + 1e-9 < p[1] < 0.5 - 1e-9 for part in parts for p in part)


def test_a_saddle_is_parted_by_the_mean_of_its_corners() -> None:
    ends = np.array([0.0, 1.0])
    for values, apart in ((np.array([[1.0, 0.0], [0.0, 1.1]]), True), (np.array([[1.0, 0.0], [0.0, 0.9]]), False)):  # fmt: skip
        parts = contour(ends, ends, values, 0.5)
        assert len(parts) == 2
        joined = any(
            {"bottom", "right"} == {"bottom" if p[1] == 0 else "right" if p[0] == 1 else "" for p in part}
            for part in parts
        )  # fmt: skip
        assert joined is apart


@pytest.mark.parametrize(
    ("least", "most"), [(1.183, 4.0), (0.62, 0.9), (1.2996, 1.31), (2.4, 30.0)]
)
def test_levels_are_round_few_and_above_the_least(least: float, most: float) -> None:
    """Steps of 1, 2 or 5 times a power of ten, every level a multiple of its step."""
    made = levels(np.linspace(least, most, 50).reshape(5, 10), least)
    step = made[1] - made[0]
    digit = step / 10.0 ** np.floor(np.log10(step * (1 + 1e-9)))
    assert min(abs(digit - d) for d in (1.0, 2.0, 5.0)) < 1e-6
    assert [b - a for a, b in pairwise(made)] == pytest.approx([step] * (len(made) - 1))
    assert all(abs(v / step - round(v / step)) < 1e-6 for v in made)
    assert 3 <= len(made) <= 10
    assert least < made[0] <= least + step * (1 + 1e-9)
    assert made[-1] <= min(1.7 * least, most) < made[-1] + step * (1 + 1e-9)


def test_there_are_no_levels_where_nothing_is_known_or_all_is_equal() -> None:
    assert levels(np.full((2, 2), np.nan), 1.0) == []
    assert levels(np.full((2, 2), 1.5), 1.5) == []


def off(point: tuple[float, float], line: tuple[tuple[float, float], ...]) -> float:
    """Return the distance of a point from a polyline."""
    found = []
    for a, b in pairwise(np.array(line)):
        way = b - a
        share = np.clip((point - a) @ way / max(way @ way, 1e-12), 0.0, 1.0)
        found.append(dist(point, a + share * way))
    return min(found)


def interpolated(made: SafetyMap, x: float, y: float) -> float:
    """Return the map at a place, bilinear in its cell."""
    j = min(max(int(np.searchsorted(made.x, x)) - 1, 0), len(made.x) - 2)
    i = min(max(int(np.searchsorted(made.y, y)) - 1, 0), len(made.y) - 2)
    s = (x - made.x[j]) / (made.x[j + 1] - made.x[j])
    t = (y - made.y[i]) / (made.y[i + 1] - made.y[i])
    f = made.F[i : i + 2, j : j + 2]
    low, high = (f[k, 0] * (1 - s) + f[k, 1] * s for k in (0, 1))
    return float(low * (1 - t) + high * t)


@pytest.mark.parametrize("units", list(UnitSystem))
@WAYS
def test_the_least_circle_is_marked_at_its_centre(mirrored: bool, units: UnitSystem) -> None:
    """Cross, radii and numbered lines, measured with the numbers at the edges of the figure."""
    model, result = found(mirrored)
    mapped = map_circles(model, result, QUICK)
    assert mapped is not None
    circle, made = mapped.least.circle, mapped.map
    assert circle is not None
    away = (float(made.x[0]), float(made.y[0]))
    mapped = replace(mapped, lowest=0.9 * mapped.lowest, lowest_at=away)
    svg = map_figure(model, mapped, units, title="Map", setting=Setting(datum=50.0))
    clear(svg)
    text = words(svg)
    assert f"F = {lettered(mapped.least.F)}" in text
    unit = "m" if units is SI else "ft"
    assert {f"Elev. ({unit})", f"x ({unit})"} <= set(text)
    seen = axes(svg, units)

    def measured(point: tuple[float, float]) -> tuple[float, float]:
        x, y = seen.at(point)
        return x, y - 50.0

    cross = [s.points for s in strokes(svg, width=1.6)]
    assert len(cross) == 2
    for a, b in cross:
        middle = measured((0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])))
        assert middle == pytest.approx((circle.x, circle.y), abs=0.05)
    radii = [[measured(p) for p in s.points] for s in strokes(svg, width=0.6) if s.dash == "4 2"]
    assert len(radii) == 2
    for line, end in zip(radii, (mapped.least.points[0], mapped.least.points[-1]), strict=True):
        assert line[0] == pytest.approx((circle.x, circle.y), abs=0.05)
        assert line[1] == pytest.approx(tuple(end), abs=0.05)
        assert dist(*line) == pytest.approx(circle.radius, abs=0.05)
    dots = [[measured(p) for p in s.points] for s in strokes(svg, width=0.8) if s.colour == "#8a8a8a"]  # fmt: skip
    assert len(dots) == int(np.isfinite(made.F).sum())
    # each contour, by its own number, lies where the map interpolates to it
    drawn = [s for s in strokes(svg, width=0.7) if not s.dash]
    wanted = levels(made.F, mapped.least.F)
    step = wanted[1] - wanted[0]
    assert drawn
    lines = []
    for isoline in drawn:
        values = [interpolated(made, *measured(p)) for p in isoline.points[1:-1]]
        known = [v for v in values if np.isfinite(v)]
        assert len(known) >= 0.5 * len(values)
        nearest = min(wanted, key=lambda w: abs(w - float(np.median(known))))
        assert known == pytest.approx([nearest] * len(known), abs=0.03 * step)
        lines.append((nearest, isoline.points))
    for word, box in text_boxes(svg):
        if re.fullmatch(r"\d\.\d+", word):  # the line below a number is that of its level
            middle = (0.5 * (box[0] + box[2]), 0.5 * (box[1] + box[3]))
            level, _ = min(lines, key=lambda one: off(middle, one[1]))
            assert float(word) == pytest.approx(level, abs=1e-9)
            assert min(off(middle, line) for _, line in lines) < 1.5


def test_every_level_drawn_is_numbered() -> None:
    model, result = found()
    mapped = map_circles(model, result, QUICK)
    assert mapped is not None
    svg = map_figure(model, mapped, SI, title="Map")
    clear(svg)
    made = mapped.map
    shown = [v for v in levels(made.F, mapped.least.F) if contour(made.x, made.y, made.F, v)]
    told = {float(w) for w in words(svg) if re.fullmatch(r"\d\.\d+", w)}
    assert told <= set(shown)
    assert len(told) >= min(3, len(shown))
