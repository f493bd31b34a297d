"""The slices on the terminal: what is printed adds up by hand, in either unit system and direction."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from itertools import pairwise
from math import cos, pi, radians, sin, tan
from pathlib import Path

import numpy as np
import pytest

from backstay.checked_surface import Checked, surface_of
from backstay.design import design
from backstay.quantity import UnitSystem
from backstay.slip_tables import safety_words
from backstay.stability.slip.analysis import analyse_circle
from backstay.stability.slip.model import Circle, SlipModel
from backstay.stability.slope_design import SlopeDesign
from backstay.terminal import print_derivation
from backstay.terminal.console import page_console
from backstay.terminal.slices import print_slices
from tests.unit.report.slips import EXAMPLES, sections, slope
from tests.unit.slopes import CASES, read

SI, US = UnitSystem.SI, UnitSystem.US
CIRCLE = Circle(6.0, 18.0, 373.0**0.5)
HEADS = ("x", "b", "W", "Qx", "Qy", "α", "l", "u", "c", "φ", "N′", "U", "S", "E left", "E right",
         "X left", "X right", "thrust", "left over")  # fmt: skip
KN_PER_M, KPA = 14.593903, 0.04788026
"""1 kip/ft in kN/m and 1 psf in kPa (1 lbf = 4.4482216 N, 1 ft = 0.3048 m)."""


def page(checked: Checked, units: UnitSystem, capsys: pytest.CaptureFixture[str]) -> str:
    with page_console() as console:
        print_slices(console, checked, units)
    return capsys.readouterr().out


def rows(text: str) -> list[dict[str, float]]:
    """Return the numbers of both tables of slices, joined by the number of the slice."""
    found: dict[int, list[float]] = {}
    for line in text.splitlines():
        cells = line.replace("−", "-").split()
        if cells and re.fullmatch(r"\d+", cells[0]) and len(cells) in (10, 11):
            values = [float("nan") if c == "–" else float(c) for c in cells[1:]]
            found.setdefault(int(cells[0]), []).extend(values)
    return [dict(zip(HEADS, found[k], strict=True)) for k in sorted(found)]


def pond(*, mirrored: bool) -> SlipModel:
    """Return the slope with standing water 4 m above its toe, and seepage to it."""
    model = slope(mirrored=mirrored)
    water = np.array([(-15.0, 4.0), (6.0, 4.0), (45.0, 8.0)])
    return replace(model, water=water[::-1] * (-1.0, 1.0) if mirrored else water)


@pytest.mark.parametrize("units", [SI, US])
@pytest.mark.parametrize("mirrored", [False, True], ids=["to the left", "to the right"])
@pytest.mark.parametrize("wet", [False, True], ids=["seepage", "standing water"])
def test_every_printed_slice_adds_up_by_hand(
    wet: bool, mirrored: bool, units: UnitSystem, capsys: pytest.CaptureFixture[str]
) -> None:
    """Equilibrium across and upward, and Mohr-Coulomb, from the printed numbers to their rounding."""
    model = pond(mirrored=mirrored) if wet else slope(mirrored=mirrored)
    way = -1.0 if mirrored else 1.0
    result = analyse_circle(model, Circle(way * CIRCLE.x, CIRCLE.y, CIRCLE.radius))
    printed = rows(page(Checked(model, result, 100.0), units, capsys))
    assert result.slices is not None
    assert len(printed) == len(result.slices.x)
    last = 0.5 * (0.1 if units is SI else 0.01)  # of the last digit of a force
    scale = 1.0 if units is SI else 1e-3  # psf times ft
    for v in printed:
        a, N = radians(v["α"]), v["N′"] + v["U"]
        bent = radians(0.05) * (abs(N) + abs(v["S"]))
        across = v["Qx"] + v["E left"] - v["E right"] - way * (N * sin(a) - v["S"] * cos(a))
        up = v["Qy"] - v["W"] + v["X left"] - v["X right"] + N * cos(a) + v["S"] * sin(a)
        assert across == pytest.approx(0.0, abs=6 * last + bent)
        assert up == pytest.approx(0.0, abs=7 * last + bent)
        strength = v["c"] * v["l"] * scale + v["N′"] * tan(radians(v["φ"]))
        rounding = 2 * last + scale * (0.005 * v["c"] + 0.5 * (0.1 if units is SI else 1) * v["l"])
        assert v["S"] * result.F == pytest.approx(strength, abs=result.F * last + rounding)
        assert v["left over"] < 1e-12
    # what an engineer sees at once: all pushes are of neighbours
    for left, right in pairwise(printed):
        assert left["E right"] == right["E left"]
        assert left["X right"] == right["X left"]
    if wet:
        assert any(abs(v["U"] - v["u"] * v["l"] * scale) > 10 * last for v in printed)


@pytest.mark.parametrize("units", [SI, US])
def test_the_printed_numbers_are_those_of_the_analysis(
    units: UnitSystem, capsys: pytest.CaptureFixture[str]
) -> None:
    model = slope()
    result = analyse_circle(model, CIRCLE)
    s = result.slices
    assert s is not None
    text = page(Checked(model, result, 100.0), units, capsys)
    metre, force, stress = (1.0, 1.0, 1.0) if units is SI else (0.3048, KN_PER_M, KPA)
    push = 0.1 * s.E.max()
    for i, v in enumerate(rows(text)):
        for head, value, unit, digit in (
            ("x", s.x[i], metre, 0.01), ("b", s.width[i], metre, 0.01), ("l", s.length[i], metre, 0.01),
            ("W", s.weight[i], force, 0.1), ("N′", s.effective_normal[i], force, 0.1),
            ("U", s.u[i] * s.length[i], force, 0.1), ("S", s.shear[i], force, 0.1),
            ("E left", s.E[i], force, 0.1), ("E right", s.E[i + 1], force, 0.1),
            ("X left", s.X[i], force, 0.1), ("u", s.u[i], stress, 1.0), ("c", s.c[i], stress, 1.0),
            ("α", s.alpha[i], pi / 180, 0.1), ("φ", s.phi[i], pi / 180, 0.1),
        ):  # fmt: skip
            assert v[head] == pytest.approx(value / unit, abs=0.51 * digit), head
        told = s.E[i + 1] > push
        assert (v["thrust"] == v["thrust"]) == told
        if told:
            assert v["thrust"] == pytest.approx((s.thrust_y[i + 1] + 100.0) / metre, abs=0.006)
    assert f"F = {result.F:.3f}, Spencer" in text
    weight = re.search(r"Weight of the mass ([\d.]+) (\S+)\.", text)
    assert weight
    assert weight[2] == ("kN/m" if units is SI else "kip/ft")
    assert float(weight[1]) == pytest.approx(result.weight / force, rel=1e-3)
    assert max(map(len, text.splitlines())) <= 100
    assert "Faults of the solution: " in text
    assert re.search(r"Left of the equilibrium of the whole mass: force \de-\d\d", text)


@pytest.mark.parametrize("units", [SI, US])
def test_the_slice_taken_apart_is_computed_before_the_eyes_of_the_reader(
    units: UnitSystem, capsys: pytest.CaptureFixture[str]
) -> None:
    model = slope(mirrored=True)
    result = analyse_circle(model, Circle(-CIRCLE.x, CIRCLE.y, CIRCLE.radius))
    assert result.slices is not None
    text = page(Checked(model, result, 0.0), units, capsys).replace("−", "-")
    i = int(np.argmax(result.slices.weight))
    assert f"Forces on slice {i + 1}" in text
    number = r"(-?[\d.]+)"
    said = re.search(
        rf"S = .* = \({number} × {number}( / 1000)? \+ {number} × tan {number}°\) / {number} = {number} ",
        text,
    )
    assert said
    assert bool(said[3]) == (units is US)
    c, length, normal, phi, F, S = (float(said[k]) for k in (1, 2, 4, 5, 6, 7))
    share = 1000.0 if units is US else 1.0
    assert (c * length / share + normal * tan(radians(phi))) / F == pytest.approx(S, rel=1e-3)
    assert result.F == pytest.approx(F, abs=6e-5)
    block = text[text.index("Forces on slice") :]
    parts = re.findall(rf"^\S.*?  +{number} +{number}$", block, re.MULTILINE)
    assert len(parts) == 10
    *forces, total = ([float(a), float(b)] for a, b in parts)
    assert np.sum(forces, axis=0) == pytest.approx(total, abs=0.05 if units is SI else 0.005)
    assert total == [0.0, 0.0]
    assert "Across: Qx + E left - E right + (N′ + U) sin α - S cos α = 0" in text


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_each_check_shows_the_slices_of_its_own_stage(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for done in sections(path):
        overall = done.overall
        assert overall is not None
        for check, stage in zip(overall.checks, overall.stages, strict=True):
            shown = surface_of(done, check)
            least = stage.found.critical
            if least is None:
                assert shown is None
                continue
            assert shown is not None
            assert (shown.model, shown.result) == (stage.model, least.result)
            assert shown.datum == done.section.ground.top
        assert surface_of(done, done.wall.checks[0]) is None
        assert surface_of(replace(done, overall=None), overall.checks[0]) is None
        print_derivation([(done, overall.checks[-1])], US)
        text = capsys.readouterr().out
        least = overall.stages[-1].found.critical
        assert least is not None
        assert f"Slices, F = {safety_words(least.F)}, " in text
        assert text.rstrip().splitlines()[-1].endswith(("pass", "fail")) or "lengthen" in text
        assert text.index("Least safety") < text.index("Slices, F") < text.index("utilisation")


@cache
def landslide() -> SlopeDesign:
    return design(read(CASES["example"]), slip_surfaces="leave out").slopes[0]


def test_a_known_surface_shows_its_slices_with_the_anchors_as_designed(
    capsys: pytest.CaptureFixture[str],
) -> None:
    done = landslide()
    for case, check in zip(done.cases, done.known_checks, strict=False):
        shown = surface_of(done, check)
        assert shown is not None
        assert shown.result is case.tied
        assert shown.model.anchors == done.anchored.anchors
        text = page(shown, SI, capsys)
        assert all(re.search(rf"^{a.name} ", text, re.MULTILINE) for a in done.anchored.anchors)
        assert all(v["left over"] < 1e-9 for v in rows(text))
    assert surface_of(done, done.layout.check) is None
    assert surface_of(done, done.slip_checks[0]) is None
