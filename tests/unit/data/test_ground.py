"""Bond, lagging, corrosion, settlement and damage against the recalled printed tables."""

import itertools
from math import inf, sqrt

import pytest

from backstay import data

FOOT, INCH = 0.3048, 0.0254
PSI = 6.894757293168361


@pytest.mark.parametrize(
    ("ground", "values"),
    [
        # FHWA-IF-99-015, ultimate transfer load, kN/m (from memory)
        ("sand and gravel", (145, 220, 290)),
        ("sand", (100, 145, 190)),
        ("sand and silt", (70, 100, 130)),
    ],
)
def test_transfer_of_soil(ground, values):
    rows = [row for row in data.bond_transfer() if row.ground == ground]
    assert tuple(row.transfer for row in rows) == values
    assert [row.consistency for row in rows] == ["loose", "medium dense", "dense"]
    for looser, denser in itertools.pairwise(rows):
        assert denser.spt_low == looser.spt_high + 1


def test_transfer_has_safety_two_in_soil_and_three_in_rock():
    assert {row.safety for row in data.bond_transfer() if row.group == "soil"} == {2.0}
    rock = [row for row in data.bond_transfer() if row.group == "rock"]
    assert {row.safety for row in rock} == {3.0}
    assert [row.transfer for row in rock] == [730, 580, 440, 440, 360, 150]
    assert data.bond_transfer_of("silt-clay stiff").transfer == 30
    assert data.bond_transfer_of("silt-clay hard").transfer == 60


def test_bond_stress_spans_the_recalled_ranges():
    for row in data.bond_stress():
        assert 0 < row.low < row.high
        assert row.provenance == "memory"
    # FHWA-IF-99-015, MPa (from memory)
    for name, low, high in [
        ("granite and basalt", 1.7, 3.1), ("chalk", 0.2, 1.1), ("weathered marl", 0.15, 0.25),
        ("cohesive gravity", 0.03, 0.07), ("cohesionless gravity", 0.07, 0.14),
        ("very stiff clay medium plasticity", 0.14, 0.35), ("silty sand", 0.17, 0.41),
        ("sandy gravel dense", 0.28, 1.38), ("dense glacial till", 0.30, 0.52),
    ]:  # fmt: skip
        row = data.bond_stress_of(name)
        assert (row.low, row.high) == pytest.approx((1e3 * low, 1e3 * high))


def test_pressure_grouting_never_bonds_less_than_gravity():
    for group in ("cohesive", "cohesionless"):
        rows = [row for row in data.bond_stress() if row.group == group]
        gravity = next(row for row in rows if row.grouting == "gravity")
        pressure = [row for row in rows if row.grouting == "pressure"]
        assert all(row.high >= gravity.high and row.low >= gravity.low for row in pressure)


def test_lagging_gets_thicker_with_span_depth_and_worse_ground():
    rows = data.lagging_table()
    # Goldberg et al. 1976 (from memory): competent ground, 7 ft span to 25 ft: 3 in
    assert rows[0].ground_class == "competent"
    assert rows[0].thickness[2] == pytest.approx(3 * INCH)
    assert rows[0].spans == pytest.approx([n * FOOT for n in (5, 6, 7, 8, 9, 10)])
    for row in rows:
        given = [t for t in row.thickness if t is not None]
        assert given == sorted(given)
        assert row.depth_from < row.depth_to
        assert all(t is None for t in row.thickness[len(given) :])
    for upper, lower in itertools.pairwise(rows):
        if upper.ground_class == lower.ground_class:
            assert upper.depth_to == lower.depth_from
            for a, b in zip(upper.thickness, lower.thickness, strict=True):
                assert b is None or (a is not None and b >= a)


def test_every_lagging_class_says_its_soils():
    classes = {row.ground_class for row in data.lagging_table()}
    assert classes == {row.ground_class for row in data.lagging_grounds()}
    assert all(row.symbols for row in data.lagging_grounds())


@pytest.mark.parametrize(
    ("name", "bending", "shear", "modulus", "provenance"),
    [
        # NDS Supplement 2018, tables 4A and 4B, psi; oaks from memory
        ("Douglas fir-larch", 900, 180, 1.6e6, "published"),
        ("Douglas fir-larch No. 1", 1000, 180, 1.7e6, "published"),
        ("hem-fir", 850, 150, 1.3e6, "published"),
        ("southern pine", 750, 175, 1.4e6, "published"),
        ("mixed hardwood", 800, 170, 0.9e6, "memory"),
        ("red oak", 800, 170, 1.2e6, "memory"),
    ],
)
def test_timber_reference_values(name, bending, shear, modulus, provenance):
    row = data.timber(name)
    found = (row.bending / PSI, row.shear / PSI, row.modulus / PSI)
    assert found == pytest.approx((bending, shear, modulus))
    assert row.provenance == provenance


def test_timber_factors():
    # NDS 2018: wet service, flat use, repetitive member published; load duration from memory
    values = {row.name: row.value for row in data.timber_factors()}
    assert values["wet bending"] == 0.85
    assert values["wet shear"] == 0.97
    assert values["flat use 3 in"] == 1.2
    assert values["flat use 4 in"] == 1.1
    assert values["repetitive member"] == 1.15
    assert values["duration ten years"] == 1.0
    for factor in data.timber_factors():
        assert set(factor.applies_to) <= {"bending", "shear", "modulus"}


def test_settlement_troughs_start_near_the_wall_and_end_at_nothing():
    for trough in data.settlement_troughs():
        distances = [p.distance for p in trough.points]
        assert distances == sorted(distances)
        assert distances[0] == 0
        assert max(p.ratio for p in trough.points) == 1.0
        assert trough.points[-1].ratio == 0
    concave = data.settlement_trough("concave")
    assert [(p.distance, p.ratio) for p in concave.points] == [(0, 0.5), (0.5, 1), (2, 0.1), (4, 0)]


def test_spandrel_points_lie_on_the_printed_lines_of_ou_1993():
    points = {p.distance: p.ratio for p in data.settlement_trough("spandrel").points}
    assert points[2] == pytest.approx(1 - 0.636 * sqrt(2), abs=1e-3)
    assert points[2] == pytest.approx(0.342 - 0.171 * sqrt(2), abs=1e-3)
    assert points[4] == pytest.approx(0.342 - 0.171 * sqrt(4), abs=1e-3)


def test_damage_limits_of_boscardin_and_cording_1989():
    rows = data.damage_categories()
    assert [row.strain_to for row in rows[:-1]] == pytest.approx([5e-4, 7.5e-4, 1.5e-3, 3e-3])
    assert rows[-1].strain_to == inf
    assert rows[0].strain_from == 0
    for lower, upper in itertools.pairwise(rows):
        assert lower.strain_to == upper.strain_from
        assert upper.severity == lower.severity + 1


def test_aggressive_ground_and_protection():
    limits = {row.name: row for row in data.corrosion_limits()}
    assert (limits["pH"].comparison, limits["pH"].limit) == ("below", 4.5)
    assert (limits["resistivity"].limit, limits["resistivity"].unit) == (2000, "ohm cm")
    assert all(row.limit is None for row in limits.values() if row.comparison == "present")
    order = ("none", "class II", "class I")
    for service in ("permanent", "temporary"):
        rules = [row for row in data.protection_rules() if row.service == service]
        strengths = [order.index(row.protection) for row in rules]
        assert strengths == sorted(strengths, reverse=True)


@pytest.mark.parametrize(
    ("name", "thickness", "stress"),
    [
        # EN 10025-2:2004, table 7 (published); S460 EN 10025-3 (from memory); MPa
        ("S235", 0.016, 235), ("S235", 0.0161, 225), ("S235", 0.063, 215),
        ("S275", 0.010, 275), ("S355", 0.030, 345), ("S355", 0.050, 335),
        ("S460", 0.016, 460), ("S460", 0.040, 440),
    ],
)  # fmt: skip
def test_yield_steps_with_thickness(name, thickness, stress):
    assert data.steel_grade(name).yield_stress(thickness) == pytest.approx(1e3 * stress)


@pytest.mark.parametrize(
    ("name", "ksi"), [("A36", 36), ("A572-50", 50), ("A992", 50), ("A690", 50)]
)
def test_yield_of_astm_grades(name, ksi):
    assert data.steel_grade(name).yield_stress(0.05) == pytest.approx(ksi * 6894.757293168361)


def test_steel_thicker_than_the_table_is_refused():
    with pytest.raises(LookupError, match="thickest is 63 mm"):
        data.steel_grade("S355").yield_stress(0.08)
