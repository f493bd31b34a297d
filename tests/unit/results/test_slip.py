"""Slip surfaces as data: a reader can add a slice up from it alone, in either unit system."""

from __future__ import annotations

import json
from dataclasses import replace
from math import cos, inf, pi, radians, sin, tan
from pathlib import Path

import numpy as np
import pytest

from backstay.quantity import UnitSystem
from backstay.results.slip import overall_outcome, search_outcome, slice_arrays, surface_outcome
from backstay.results.slip_shape import SliceArrays
from backstay.results.value import Value
from backstay.stability.lengthening import Lengthened
from backstay.stability.slip.analysis import analyse_circle
from backstay.stability.slip.model import Circle, SlipModel
from tests.unit.report.slips import EXAMPLES, found, sections, slope

SI, US = UnitSystem.SI, UnitSystem.US
BOTH = pytest.mark.parametrize("units", [SI, US])
WAYS = pytest.mark.parametrize("mirrored", [False, True], ids=["to the left", "to the right"])
FOOT, KIP_PER_FOOT, PSF = 0.3048, 14.593903, 0.04788026
"""In m, kN/m and kPa: 1 lbf = 4.4482216 N."""


def metres(told: Value, units: UnitSystem) -> float:
    """Return a length that was told, in m."""
    assert told.value is not None
    assert told.unit == ("m" if units is SI else "ft")
    return told.value * (1.0 if units is SI else FOOT)


def level(y: float) -> float:
    return 100.0 + y


def pond(*, mirrored: bool) -> SlipModel:
    """Return the slope with standing water above its toe, and one layer undrained."""
    water = np.array([(-15.0, 4.0), (6.0, 4.0), (45.0, 8.0)])
    return replace(
        slope(mirrored=mirrored), su=np.array([0.0, 45.0]),
        water=water[::-1] * (-1.0, 1.0) if mirrored else water,
    )  # fmt: skip


@BOTH
@WAYS
def test_each_slice_balances_from_what_is_published(mirrored: bool, units: UnitSystem) -> None:
    """The sums that the schema states, and Mohr-Coulomb, with nothing but the data."""
    model, way = pond(mirrored=mirrored), -1.0 if mirrored else 1.0
    result = analyse_circle(model, Circle(way * 6.0, 18.0, 373.0**0.5))
    assert result.slices is not None
    told = json.loads(slice_arrays(result.slices, units, level).model_dump_json())
    n = len(told["x"])
    assert len(told["E"]) == len(told["X"]) == n + 1
    stress = 1.0 if units is SI else 1e-3
    most = max(told["weight"])
    undrained = 0
    for i in range(n):
        v = {k: w[i] for k, w in told.items() if isinstance(w, list)}
        a, N, S = radians(v["base_inclination"]), v["effective_normal"] + v["water_on_base"], v["shear"]  # fmt: skip
        across = v["other_load_x"] + told["E"][i] - told["E"][i + 1] - way * (N * sin(a) - S * cos(a))  # fmt: skip
        up = v["other_load_y"] - v["weight"] + told["X"][i] - told["X"][i + 1] + N * cos(a) + S * sin(a)  # fmt: skip
        assert across == pytest.approx(0.0, abs=1e-9 * most)
        assert up == pytest.approx(0.0, abs=1e-9 * most)
        strength = v["cohesion"] * v["base_length"] * stress + v["effective_normal"] * tan(
            radians(v["friction_angle"])
        )
        assert S * result.F == pytest.approx(strength, rel=1e-6, abs=1e-9 * most)
        undrained += v["friction_angle"] == 0.0 and v["water_on_base"] == pytest.approx(0.0)
    assert 0 < undrained < n
    assert told["force_unit"] == ("kN/m" if units is SI else "kip/ft")
    assert told["stress_unit"] == ("kPa" if units is SI else "psf")
    assert (told["length_unit"], told["angle_unit"]) == ("m" if units is SI else "ft", "°")


@BOTH
def test_slices_are_those_of_the_analysis(units: UnitSystem) -> None:
    result = analyse_circle(slope(), Circle(6.0, 18.0, 373.0**0.5))
    s = result.slices
    assert s is not None
    made: SliceArrays = slice_arrays(s, units, level)
    metre, force, stress = (1.0, 1.0, 1.0) if units is SI else (FOOT, KIP_PER_FOOT, PSF)
    for told, values, unit in (
        (made.x, s.x, metre), (made.width, s.width, metre), (made.base_length, s.length, metre),
        (made.base_elevation, 100.0 + s.base_y, metre), (made.weight, s.weight, force),
        (made.base_inclination, s.alpha, pi / 180), (made.friction_angle, s.phi, pi / 180),
        (made.pore_pressure, s.u, stress), (made.cohesion, s.c, stress), (made.E, s.E, force),
        (made.X, s.X, force), (made.shear, s.shear, force),
        (made.effective_normal, s.effective_normal, force),
        (made.water_on_base, s.u * s.length, force),
    ):  # fmt: skip
        assert np.array(told) * unit == pytest.approx(np.array(values), rel=1e-6, abs=1e-9)
    for told_y, y in zip(made.thrust, s.thrust_y, strict=True):
        assert (told_y is None) == bool(np.isnan(y))
        if told_y is not None:
            assert told_y * metre == pytest.approx(100.0 + y)


@BOTH
@WAYS
def test_a_surface_is_placed_where_it_was_found(mirrored: bool, units: UnitSystem) -> None:
    _, search = found(mirrored)
    metre = 1.0 if units is SI else FOOT
    made = search_outcome(search, units, level, arrays=True)
    assert made.analysed == search.analysed
    assert made.set_aside == {why: n for why, n in search.set_aside.items() if n}
    assert made.lowest_aside == search.lowest_aside
    assert [m.slices is not None for m in made.minima] == [True] + [False] * (len(made.minima) - 1)
    for told, one in zip(made.minima, search.minima, strict=True):
        assert (told.safety, told.kind, told.method) == (one.F, one.kind, one.result.method)
        assert one.circle is not None
        assert told.centre is not None
        assert told.radius is not None
        circle = (one.circle.x, one.circle.y)
        for place, point in (
            (told.out, one.out), (told.start, one.start), (told.centre, circle),
            *zip(told.points, one.points.tolist(), strict=True),
        ):  # fmt: skip
            assert place.x * metre == pytest.approx(point[0])
            assert place.elevation * metre == pytest.approx(100.0 + point[1])
        assert metres(told.radius, units) == pytest.approx(one.circle.radius)
        assert metres(told.thickness, units) == pytest.approx(one.thickness)
        assert (told.out.x < told.start.x) is not mirrored
        assert told.residual_force == one.result.residual_force
        assert told.residual_moment == one.result.residual_moment
        assert told.doubts == list(one.result.reasons)
        assert told.at_edge == one.at_edge
    line = replace(search.minima[0], circle=None, kind="general", last_change=inf)
    bare = surface_outcome(line, units, level, arrays=False)
    assert (bare.centre, bare.radius, bare.last_change, bare.slices) == (None, None, None, None)


@BOTH
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_stages_of_a_wall_are_told_with_their_depths(path: Path, units: UnitSystem) -> None:
    metre = 1.0 if units is SI else FOOT
    for done in sections(path):
        assert done.overall is not None
        more = Lengthened({2: 1.5, 1: 0.5}, 1.31, 4)
        changed = replace(done, overall=replace(done.overall, lengthened=more))
        made = overall_outcome(changed, units, arrays=False)
        assert made is not None
        assert made.target == done.overall.target
        assert [r.row for r in made.lengthened or ()] == [1, 2]
        added = [metres(r.added, units) for r in made.lengthened or ()]
        assert added == pytest.approx([0.5, 1.5])
        top = done.section.ground.top
        for told, stage in zip(made.stages, done.overall.stages, strict=True):
            work = stage.stage
            assert (told.stage, told.rows, told.strength) == (work.title, list(work.rows), work.strength)  # fmt: skip
            assert told.earthquake == work.earthquake
            assert metres(told.dug_to, units) == pytest.approx(work.dug_to)
            assert told.safety == (None if stage.safety == inf else stage.safety)
            for place, one in zip(told.search.minima, stage.found.minima, strict=True):
                assert place.out.elevation * metre == pytest.approx(top + one.out[1])
        last = made.stages[-1]
        assert metres(last.dug_to, units) == pytest.approx(done.ground.H)
        assert overall_outcome(replace(done, overall=None), units, arrays=False) is None
