"""A drawing shows what a checker looks for, to scale, in the project's units."""

from __future__ import annotations

import re
from itertools import pairwise
from math import hypot

import pytest

from backstay.design import design
from backstay.drawing.along import anchor_places, pile_places
from backstay.drawing.marks import Dimension, Ring, Stroke
from backstay.drawing.section import compose_section
from backstay.drawing.sheet import sheet
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.tables import least_length
from tests.unit.drawing.cases import CASES, compose
from tests.unit.drawing.standin import project, stand_in

SI, US = UnitSystem.SI, UnitSystem.US


def words(drawing: object) -> str:
    return "\n".join(text.words for text in drawing.texts)  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", [n for n in CASES if "rows" not in n and "row," not in n])
def test_section_names_everything(name: str) -> None:
    data = CASES[name]
    read = project(data)
    section = read.sections[0]
    text = words(compose(data, "section", "sheet", read.units)).replace("\n", " ")
    for stratum in section.ground.strata:
        assert stratum.name in text
    for load in section.surcharges:
        assert load.name in text
    for obstacle in section.constraints.obstacles:
        assert obstacle.name in text
    for building in section.buildings:
        assert building.name in text
    for row in range(1, len(section.anchors) + 1):
        assert f"R{row}:" in text
    for fixed in ("Subgrade", "Toe", "Top of wall", "Critical failure surface", "60.0°",
                  "Not for construction unless sealed by the engineer of record",
                  "nobody behind the jack", "utilities before drilling", read.project.name):  # fmt: skip
        assert fixed in text
    if section.constraints.right_of_way:
        assert "Right-of-way" in text or "right-of-way" in text


def test_elevations_and_dimensions_in_feet() -> None:
    drawing = compose(CASES["two-row-sand"], "section", "sheet", US)
    text = words(drawing)
    for figure in ("100.00", "92.00", "80.00", "68.00", "32.00", "12.00", "8.00"):
        assert re.search(rf"^{re.escape(figure)}$", text, re.M), figure
    assert "El (ft)" in text
    assert "γ = 115 pcf" in text
    assert "Street traffic and plant: 250 psf" in text
    assert "1 in = 10 ft on ANSI B" in text


def test_the_same_section_in_metres() -> None:
    drawing = compose(CASES["two-row-sand"], "section", "sheet", SI)
    text = words(drawing)
    assert re.search(r"^30\.48$", text, re.M)
    assert "El (m)" in text
    assert "ft" not in re.findall(r"[a-z]+", text)
    assert re.search(r"1:\d+ on ISO A3", text)


def test_model_is_to_scale() -> None:
    read = project(CASES["two-row-sand"])
    done = stand_in(read.sections[0])
    drawing = compose(CASES["two-row-sand"], "section", "sheet", US)
    pile = next(m for m in drawing.marks if m.layer == "WALL-PILE" and m.space == "model")
    height = max(y for _, y in pile.points) - min(y for _, y in pile.points)
    assert height == pytest.approx(done.wall.toe * 1000 / 120)
    bonds = [m for m in drawing.marks if m.layer == "ANCHOR-BOND" and m.space == "model"]
    assert len(bonds) == len(done.anchors)
    for bond, anchor in zip(bonds, done.anchors, strict=True):
        (x1, y1), (x2, y2) = bond.points[:2]
        assert hypot(x2 - x1, y2 - y1) == pytest.approx(anchor.bond_length * 1000 / 120)
    hole = next(m for m in drawing.marks if m.layer == "WALL-HOLE" and m.space == "model")
    width = max(x for x, _ in hole.points) - min(x for x, _ in hole.points)
    assert width == pytest.approx(2.5 * 25.4 / 10)


def test_dimensions_say_what_they_measure() -> None:
    for name in ("two-row-sand", "three-row-layered-water", "soft-over-weaker-clay"):
        for units, unit in ((SI, 1.0), (US, 0.3048)):
            drawing = compose(CASES[name], "section", "sheet", units)
            dimensions = [m for m in drawing.marks if isinstance(m, Dimension)]
            assert len(dimensions) >= 7
            for mark in dimensions:
                (x1, y1), (x2, y2) = mark.first, mark.second
                true = hypot(x2 - x1, y2 - y1) / drawing.view.mm / unit
                assert float(mark.text.words) == pytest.approx(true, abs=0.0051)


def test_failure_surface_is_marked_by_more_than_colour() -> None:
    from backstay.drawing.layers import ACCENT, INK, LAYERS

    red = [layer for layer in LAYERS.values() if layer.colour == ACCENT]
    assert [layer.name for layer in red] == ["SURFACE-FAILURE"]
    assert red[0].dash
    assert sum(layer.colour == INK for layer in LAYERS.values()) > 15


def test_every_sign_in_use_is_explained() -> None:
    from backstay.drawing.strip import _SAMPLES

    plain = {
        "DIMENSION", "LEVEL", "LEADER", "TEXT", "GROUND-HATCH", "SHEET-FRAME", "SHEET-RULE",
        "GROUND-SURFACE",
    }  # fmt: skip
    explained = {name for name, _, _ in _SAMPLES}
    for data in CASES.values():
        for kind in ("section", "elevation"):
            used = {m.layer for m in compose(data, kind, "sheet", SI).marks}
            assert used <= explained | plain


def test_anchors_are_numbered_from_the_left() -> None:
    drawing = compose(CASES["two-row-sand"], "elevation", "sheet", US)
    for row in (1, 2):
        marks = [t for t in drawing.texts if t.words.startswith(f"R{row}-")]
        assert [t.words for t in marks] == [f"R{row}-{i:02d}" for i in range(1, 24)]
        steps = [b.at[0] - a.at[0] for a, b in pairwise(marks)]
        assert steps == pytest.approx([8 * 25.4 / 20] * 22)
    signs = [m for m in drawing.marks if isinstance(m, Ring) and m.space == "model"]
    assert len(signs) == 46


@pytest.mark.parametrize("name", [n for n in CASES if "row" not in n or "-" in n])
def test_elevation_shows_as_many_anchors_as_the_schedule_counts(name: str) -> None:
    done = design(project(CASES[name])).sections[0]
    for anchor, row in zip(done.anchors, done.schedule.rows, strict=True):
        places = anchor_places(done, anchor)
        assert len(places) == row.number
        assert 0 <= min(places) <= max(places) <= done.section.wall_length
        steps = [b - a for a, b in pairwise(places)]
        assert steps == pytest.approx([anchor.spacing] * (len(places) - 1))
        if done.wall.kind == "soldier piles":
            assert set(places) <= set(pile_places(done))


def test_a_long_wall_is_broken_and_says_so() -> None:
    drawing = compose(CASES["two rows, long wall"], "elevation", "sheet", SI)
    text = words(drawing)
    assert "left out at the break lines" in text.replace("\n", " ")
    assert "Wall length 400.00" in text
    assert "199 bays at 2.00 = 398.00" in text
    assert "R1-200" in text
    assert drawing.view.denominator <= 250


def test_close_rows_lose_their_dimensions_not_their_lengths() -> None:
    drawing = compose(CASES["eight rows"], "section", "sheet", SI)
    assert not [m for m in drawing.marks if isinstance(m, Dimension) and m.text.rotation % 90 != 0]
    assert all(f"R{i}:" in words(drawing) for i in range(1, 9))


def test_what_lies_beyond_the_drawing_is_noted() -> None:
    data = CASES["single-row-stiff-clay"]
    far = {**data, "sections": [{**data["sections"][0], "constraints": {"right_of_way": 150}}]}
    assert "right-of-way lies 150.00 m behind the wall" in words(
        compose(far, "section", "sheet", SI)
    ).replace("\n", " ")


def test_drawing_is_the_same_every_time() -> None:
    a, b = (compose(CASES["three-row-layered-water"], "section", "sheet", SI) for _ in range(2))
    assert a.marks == b.marks


def test_strokes_are_finite() -> None:
    for data in CASES.values():
        for mark in compose(data, "section", "sheet", SI).marks:
            if isinstance(mark, Stroke):
                assert all(abs(v) < 1e4 for p in mark.points for v in p)


@pytest.mark.parametrize("units", [SI, US])
@pytest.mark.parametrize("name", ["three-row-layered-water", "two-row-sand"])
def test_lengths_of_anchors_are_those_of_the_schedule(name: str, units: UnitSystem) -> None:
    done = design(project(CASES[name])).sections[0]
    text = words(compose_section(done, sheet(units), units))
    for anchor in done.anchors:
        free = float(least_length(anchor.unbonded_length, units))
        bond = float(least_length(anchor.bond_length, units))
        mark = "≥ " if anchor.bond_open else ""
        assert f"free {free:.2f} + bond {mark}{bond:.2f}" in text
        assert f"{free:.2f}" in text.splitlines()
        assert f"{bond:.2f}" in text.splitlines()
        assert free >= QUANTITIES["length"].shown(anchor.unbonded_length, units) - 1e-6
