"""Figures of slip surfaces: words apart, ink on the canvas, to scale, numbers those of the analysis."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from math import dist, hypot
from pathlib import Path

import numpy as np
import pytest

from backstay.quantity import QUANTITIES, UnitSystem, significant
from backstay.report.slip_figures import Setting, map_figure, polygon_figure, slip_figure
from backstay.report.slip_stages import stages_slip_figure
from backstay.slip_tables import lettered
from backstay.stability.overall_comparison import least_final, map_circles, whole_surface
from backstay.stability.slip.analysis import analyse_circle
from backstay.stability.slip.model import Circle
from backstay.stability.slip_forces import heaviest, slice_forces
from tests.unit.report.drawn import areas, axes, clear, number, strokes, words
from tests.unit.report.slips import EXAMPLES, found, sections, slope
from tests.unit.report.test_figures import text_boxes

SI, US = UnitSystem.SI, UnitSystem.US
WAYS = pytest.mark.parametrize("mirrored", [False, True], ids=["to the left", "to the right"])
BOTH = pytest.mark.parametrize("units", list(UnitSystem))


def figures(path: Path, units: UnitSystem) -> dict[str, str]:
    made = {}
    for done in sections(path):
        overall = done.overall
        assert overall is not None
        setting = Setting(
            datum=done.section.ground.top, wall=(0.0, 0.0, -done.wall.toe),
            strata=tuple(layer.name for layer in done.ground.layers),
        )  # fmt: skip
        shown = [(s.stage.title, s.model, s.found) for s in overall.stages]
        made["stages"] = stages_slip_figure(shown, title="stages", setting=setting)
        for s in overall.stages:
            made[s.stage.title] = slip_figure(s.model, s.found, units, title="x", setting=setting)
        least = least_final(overall)
        if least is None:
            continue
        mapped = map_circles(least.model, least.found, least.options)
        assert mapped is not None
        made["map"] = map_figure(least.model, mapped, units, title="map", setting=setting)
        table = least.found.minima[0].result.slices
        assert table is not None
        forces = slice_forces(table, heaviest(table), to_left=True)
        made["polygon"] = polygon_figure(
            table, forces, units, F=least.found.minima[0].F, title="polygon"
        )
    return made


@BOTH
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_words_are_apart_and_everything_is_on_the_canvas(path: Path, units: UnitSystem) -> None:
    for svg in figures(path, units).values():
        clear(svg)


@BOTH
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_the_section_says_what_a_checker_looks_for(path: Path, units: UnitSystem) -> None:
    load, length = (QUANTITIES[q].unit(units).label for q in ("force per length", "length"))
    assert (load, length) == (("kN/m", "m") if units is SI else ("kip/ft", "ft"))
    for done in sections(path):
        assert done.overall is not None
        least = least_final(done.overall)
        if least is None:
            continue
        setting = Setting(
            datum=done.section.ground.top, strata=tuple(la.name for la in done.ground.layers)
        )
        text = words(slip_figure(least.model, least.found, units, title="x", setting=setting))
        critical = least.found.minima[0]
        assert any(w.startswith(f"F = {lettered(critical.F)}, ") for w in text)
        for a in least.model.anchors:
            assert any(w.startswith(f"{a.name}: ") and load in w for w in text)
        assert {f"Elev. ({length})", f"x ({length})", "1", "10"} <= set(text)


@BOTH
@WAYS
def test_what_is_drawn_lies_where_the_axes_say(mirrored: bool, units: UnitSystem) -> None:
    """The bold line, ground, row and slices, measured with the numbers at the edges of the figure."""
    model, result = found(mirrored)
    least = result.critical
    assert least is not None
    table = least.result.slices
    assert table is not None
    setting = Setting(datum=50.0)
    svg = slip_figure(model, result, units, title="Slope", chosen=5, setting=setting)
    clear(svg)
    seen = axes(svg, units)
    assert seen.across == pytest.approx(-seen.up, rel=2e-3)
    assert seen.across > 0.0

    def measured(points: tuple[tuple[float, float], ...]) -> np.ndarray:
        return np.array([seen.at(p) for p in points]) - (0.0, setting.datum)

    off = 0.02 * seen.across + 1e-3  # two decimals of a point, and the reading of the axes
    bold = max(strokes(svg, width=2.0), key=lambda s: len(s.points))
    assert measured(bold.points) == pytest.approx(np.array(least.points), abs=10 * off)
    sides = [measured(s.points) for s in strokes(svg, width=0.25)]
    assert len(sides) == len(table.side_x)
    for line, x, y, top in zip(sides, table.side_x, table.side_y, table.side_top, strict=True):
        assert line == pytest.approx(np.array([(x, y), (x, top)]), abs=10 * off)
    (toned,) = areas(svg, "#bdb7ab")
    assert sorted(measured(toned)[:, 0]) == pytest.approx(
        sorted([table.side_x[5], table.side_x[6]] * 2), abs=10 * off
    )
    numbered = {
        int(w): seen.at((0.5 * (b[0] + b[2]), b[3]))[0] for w, b in text_boxes(svg)
        if w in ("1", "10", "20", "30") and b[3] - b[1] < 5.5
    }  # fmt: skip
    assert set(numbered) >= {1, 10}
    for k, x in numbered.items():
        assert table.side_x[k - 1] < x < table.side_x[k]
    (row,) = model.anchors
    (bond,) = (measured(s.points) for s in strokes(svg, width=3.4))
    ends = [(row.x + s * row.dx, row.y + s * row.dy) for s in (row.free, row.free + row.bond)]
    assert bond == pytest.approx(np.array(ends), abs=10 * off)
    ground = measured(max(strokes(svg, width=1.1), key=lambda s: s.dash == "").points)
    for x, y in ground[1:-1]:  # corners of the surface
        assert min(dist((x, y), p) for p in model.surface.tolist()) < 10 * off
    (water,) = (measured(s.points) for s in strokes(svg, width=0.6) if s.dash)
    assert model.water is not None
    levels = np.interp(water[:, 0], model.water[:, 0], model.water[:, 1])
    assert water[:, 1] == pytest.approx(levels, abs=10 * off)


@WAYS
def test_the_thrust_line_is_that_of_the_slices_where_the_push_counts(mirrored: bool) -> None:
    model, result = found(mirrored)
    least = result.critical
    assert least is not None
    table = least.result.slices
    assert table is not None
    svg = slip_figure(model, result, SI, title="Slope")
    seen = axes(svg, SI)
    (line,) = (s for s in strokes(svg, width=1.1) if s.dash)
    got = np.array([seen.at(p) for p in line.points])
    counts = table.E > 0.1 * table.E.max()
    wanted = np.column_stack((table.side_x, table.thrust_y))[counts]
    assert got == pytest.approx(wanted, abs=0.02)
    assert "thrust line" in words(svg)


@WAYS
def test_no_line_runs_between_the_words_of_a_safety(mirrored: bool) -> None:
    """A line behind "F = 1.49" reads as a minus sign: what lies there is blanked before."""
    svg = slip_figure(*found(mirrored), SI, title="x")
    blanks = [
        (min(x for x, _ in a), min(y for _, y in a), max(x for x, _ in a), max(y for _, y in a))
        for a in areas(svg, "#ffffff") if len(a) == 4 and a[0] != a[-1]
    ]  # fmt: skip
    boxes = [b for w, b in text_boxes(svg) if w.startswith(("F = ", "row", "thrust"))]
    assert len(boxes) >= 4
    for left, top, right, bottom in boxes:
        assert any(
            x1 <= left and y1 <= top and right <= x2 and bottom <= y2 for x1, y1, x2, y2 in blanks
        )


def test_the_two_ways_round_show_the_same_numbers() -> None:
    one, two = (words(slip_figure(*found(way), SI, title="x")) for way in (False, True))
    bare = [sorted(w for w in text if "F =" in w or "row" in w) for text in (one, two)]
    assert bare[0] == bare[1]
    assert len(bare[0]) >= 2


@BOTH
def test_every_minimum_is_lettered_with_its_safety_rounded_down(units: UnitSystem) -> None:
    model, result = found()
    text = words(slip_figure(model, result, units, title="x"))
    told = [float(w.removeprefix("F = ").split(",")[0]) for w in text if w.startswith("F = ")]
    assert len(told) == len(result.minima)
    for shown, one in zip(sorted(told), sorted(result.minima, key=lambda m: m.F), strict=True):
        assert 0.0 <= one.F - shown < 0.01
    bold = [w for w in text if w.endswith(", Spencer")]
    assert bold == [f"F = {lettered(result.minima[0].F)}, Spencer"]


@BOTH
@pytest.mark.parametrize("behind", [-1.0, 2.0, 6.0])
def test_a_row_is_lettered_with_what_the_surface_leaves_it(
    units: UnitSystem, behind: float
) -> None:
    """15 kN/m from each metre of bond behind a circle that the row crosses at s, at most 60 kN/m.

    s by hand: |head + s d - centre| = radius, a quadratic equation.
    """
    model, result = found()
    assert result.critical is not None
    circle = Circle(6.0, 18.0, 373.0**0.5)
    (row,) = model.anchors
    px, py = row.x - circle.x, row.y - circle.y
    half = px * row.dx + py * row.dy
    s = -half + (half * half - px * px - py * py + circle.radius**2) ** 0.5
    changed = replace(row, free=min(row.free, s - 0.5), bond=s - min(row.free, s - 0.5) + behind)
    ground = replace(model, anchors=(changed,))
    one = replace(result.critical, result=analyse_circle(ground, circle), circle=circle)
    text = words(slip_figure(ground, replace(result, minima=(one,)), units, title="x"))
    factor, label = (1.0, "kN/m") if units is SI else (0.3048 / 4.4482216, "kip/ft")
    acts, whole = (significant(v * factor, 3) for v in (min(60.0, max(0.0, 15.0 * behind)), 60.0))
    lettering = f"row 1: {acts} {label}" + (f" of {whole}" if acts != whole else "")
    assert [w for w in text if w.startswith("row 1: ")] == [lettering]


def test_strengths_beside_the_section_are_those_of_the_layers() -> None:
    model, result = found()
    setting = Setting(strata=("Upper", "Lower"))
    text = words(slip_figure(model, result, SI, title="x", setting=setting))
    at = text.index("Upper")
    assert text[at : at + 4] == ["Upper", "φ 30°, c 4 kPa", "Lower", "φ 25°, c 10 kPa"]
    text = words(slip_figure(model, result, US, title="x", setting=setting))
    assert "φ 30°, c 83.54 psf" in text  # 4 kPa / 0.04788 kPa per psf
    assert "30 kPa" not in text


def test_loads_are_drawn_where_they_act_with_their_size() -> None:
    model, result = found()
    svg = slip_figure(model, result, SI, title="x")
    seen = axes(svg, SI)
    assert "30 kPa" in words(svg)
    heads = [seen.at(tip) for tip in (a[0] for a in areas(svg, "#111111"))]
    assert len(heads) >= 2
    for x, y in heads:
        assert 20.0 < x < 26.0
        assert y == pytest.approx(10.0, abs=0.2)


@WAYS
def test_a_search_without_a_surface_is_drawn_as_bare_ground(mirrored: bool) -> None:
    model, result = found(mirrored)
    svg = slip_figure(model, replace(result, minima=()), SI, title="x")
    clear(svg)
    assert not any(w.startswith("F =") for w in words(svg))


@WAYS
def test_a_crack_is_drawn_from_the_base_to_the_ground(mirrored: bool) -> None:
    model = replace(slope(mirrored=mirrored), crack=1.5)
    _, result = found(mirrored)
    least = result.critical
    assert least is not None
    assert least.circle is not None
    circle = Circle(least.circle.x, least.circle.y, least.circle.radius)
    cracked = replace(least, result=analyse_circle(model, circle))
    svg = slip_figure(model, replace(result, minima=(cracked,)), SI, title="x")
    seen = axes(svg, SI)
    line = max(strokes(svg, width=2.0), key=lambda s: len(s.points))
    drawn = np.array([seen.at(p) for p in line.points])
    end = drawn[0] if mirrored else drawn[-1]
    ground = np.interp(end[0], model.surface[:, 0], model.surface[:, 1])
    assert end[1] == pytest.approx(ground, abs=0.05)
    assert drawn == pytest.approx(whole_surface(cracked), abs=0.05)
    upright = [abs(b[1] - a[1]) for a, b in pairwise(drawn) if abs(b[0] - a[0]) < 0.01]
    assert upright == pytest.approx([1.5], abs=0.05)


@BOTH
@WAYS
def test_the_polygon_closes_and_has_the_numbers_of_the_slice(
    mirrored: bool, units: UnitSystem
) -> None:
    model, result = found(mirrored)
    least = result.critical
    assert least is not None
    table = least.result.slices
    assert table is not None
    forces = slice_forces(table, heaviest(table), to_left=model.to_left)
    svg = polygon_figure(table, forces, units, F=least.F, title="Polygon")
    clear(svg)
    text = words(svg)
    load = QUANTITIES["force per length"]
    label = load.unit(units).label
    for part in forces.parts:
        for value in (part.x, part.y):
            shown = f"{load.shown(value, units):.2f}".replace("-", "−")
            assert shown.replace("−0.00", "0.00") in text
    assert {f"Forces ({label})", f"Slice {forces.number}"} <= set(text)
    (closing,) = (w for w in text if w.startswith("Closing error"))
    assert "× 10⁻" in closing or "below 10⁻" in closing
    sums = text[text.index("Sum") + 1 :][:2]
    assert sums == ["0.00", "0.00"]
    shear = next(p for p in forces.parts if p.symbol == "S").size
    (strength,) = (w for w in text if w.startswith("S = "))
    assert strength.startswith(f"S = {load.shown(shear, units):.2f} = ")
    assert strength.endswith(f"with F = {least.F:.3f}.")
    length = QUANTITIES["length"].unit(units).label
    assert any(re.fullmatch(rf"width [\d.]+ {length}", w) for w in text)
    # the arrows themselves, by the bar of the scale
    bar = next(s for s in strokes(svg, width=0.7) if len(s.points) == 4)
    (size,) = (w for w in text if re.fullmatch(rf"[\d.]+ {re.escape(label)}", w))
    scale = number(size.split()[0]) / (bar.points[3][0] - bar.points[0][0])
    heads = [a[0] for a in areas(svg, "#111111") if 118.0 < a[0][0] < 300.0]
    tails = [s.points[0] for s in strokes(svg, width=1.0)]
    assert len(tails) == len(heads) >= 4
    net = [(load.shown(p.x, units), load.shown(p.y, units)) for p in forces.net]
    most = max(hypot(*p) for p in net)
    for tail, head in zip(tails, heads, strict=True):
        vector = ((head[0] - tail[0]) * scale, (tail[1] - head[1]) * scale)
        assert min(dist(vector, p) for p in net) < 0.01 * most
    places = {
        w: (0.5 * (b[0] + b[2]), 0.5 * (b[1] + b[3]))
        for w, b in text_boxes(svg)
        if 118.0 < b[0] < 300.0
    }
    for part, vector in zip(forces.net, net, strict=True):
        if hypot(*vector) / scale > 2.0:  # each arrow has its name close by
            k = min(range(len(heads)), key=lambda k: dist(((heads[k][0] - tails[k][0]) * scale, (tails[k][1] - heads[k][1]) * scale), vector))  # fmt: skip
            word = {"dE": "ΔE", "dX": "ΔX", "N'": "N′"}.get(part.symbol, part.symbol)
            shares = np.linspace(0.0, 1.0, 21)[:, None]
            line = np.array(tails[k]) * (1 - shares) + np.array(heads[k]) * shares
            assert min(dist(p, places[word]) for p in line) < 22.0
    omitted = len(net) - len(heads)
    for (_, head), (tail, _) in pairwise([*zip(tails, heads, strict=True), (tails[0], heads[0])]):
        assert dist(head, tail) < 1.6 * omitted + 0.03


def test_a_slice_whose_forces_are_taken_the_wrong_way_does_not_print_a_sum_of_nil() -> None:
    model, result = found()
    least = result.critical
    assert least is not None
    table = least.result.slices
    assert table is not None
    forces = slice_forces(table, heaviest(table), to_left=not model.to_left)
    text = words(polygon_figure(table, forces, SI, F=least.F, title="Polygon"))
    assert text[text.index("Sum") + 1] != "0.00"


@WAYS
def test_stages_are_lettered_and_to_one_scale(mirrored: bool) -> None:
    model, result = found(mirrored)
    least = result.critical
    assert least is not None
    bare = replace(result, minima=())
    shown = [("stage 1", model, bare), ("final", model, result)]
    svg = stages_slip_figure(shown, title="stages", setting=Setting())
    clear(svg)
    text = words(svg)
    assert text == [
        "Stage 1", "nothing slides", "Final", f"F = {lettered(least.F)}, circle, Spencer",
    ]  # fmt: skip
    (line,) = strokes(svg, width=1.3)
    first, second = (s.points for s in strokes(svg, width=2.0))
    scale = dist(*second) / model.anchors[0].bond
    assert dist(*first) == pytest.approx(dist(*second), rel=1e-2)
    size = sum(dist(a, b) for a, b in pairwise(line.points))
    assert size == pytest.approx(
        scale * sum(dist(a, b) for a, b in pairwise(least.points.tolist())), rel=1e-2
    )


def test_no_factor_of_safety_is_lettered_higher_than_it_is() -> None:
    assert [lettered(F) for F in (1.2999, 1.3, 1.999999999, 0.8793)] == [
        "1.29", "1.30", "1.99", "0.87",
    ]  # fmt: skip
    for hundredths in range(1, 1000):
        F = hundredths / 100
        assert lettered(F) == f"{F:.2f}"
        assert float(lettered(np.nextafter(F, 0.0))) == pytest.approx(F - 0.01)
    assert lettered(float("inf")) == "–"
