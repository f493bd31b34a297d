"""A slope from its project file to rows and pads."""

from __future__ import annotations

import pytest

from backstay.basis import basis
from backstay.checks import Verdict
from backstay.errors import DesignError
from backstay.model import read_text
from backstay.model.slope import Slope
from backstay.quantity import UnitSystem
from backstay.stability.slip.circles import search_circles
from backstay.stability.slip.from_slope import known_surface, slope_model
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slope import as_anchors, safety, with_strength
from backstay.stability.slope_design import SlopeDesign, design_slope, face_angle
from tests.unit.model.test_slopes import slope_text

RULES = basis("FHWA-IF-99-015")


def slope(units: UnitSystem = UnitSystem.SI) -> Slope:
    return read_text(slope_text(units)).slopes[0]


@pytest.fixture(scope="module")
def made() -> SlopeDesign:
    return design_slope(
        slope(), RULES,
        search=lambda m, o: search_circles(m, options=SearchOptions(density=0.4, non_circular=False, method="bishop")),
    )  # fmt: skip


def test_the_strength_carried_explains_the_movement_in_the_worst_case(made: SlopeDesign) -> None:
    assert {x.title for x in made.loci} == {
        "best estimate", "safety lower", "safety higher", "water higher", "water lower",
    }  # fmt: skip
    weakest = min(x.pairs[0].phi for x in made.loci)  # cohesion nil
    assert made.friction == pytest.approx(weakest)
    assert made.cohesion == 0.0


def test_the_anchored_slope_has_its_target_on_the_known_surface(made: SlopeDesign) -> None:
    s = made.slope
    ground = with_strength(slope_model(s), made.cohesion, made.friction)
    tied = as_anchors(made.rows, s.anchors.transfer, RULES, to_left=True)
    from dataclasses import replace

    again = safety(replace(ground, anchors=tied), known_surface(s.slip_surface))
    assert again.F == pytest.approx(s.target, abs=1e-3)
    known = next(c for c in made.checks if c.id == "slope.known-surface")
    assert known.verdict is Verdict.PASS
    assert sum(r.load / r.spacing for r in made.rows) == pytest.approx(made.required.force)


def test_the_best_inclination_asks_no_more_than_its_neighbours(made: SlopeDesign) -> None:
    from backstay.stability.slope import required_force

    s = made.slope
    ground = with_strength(slope_model(s), made.cohesion, made.friction)
    heads = [(h.x, h.elevation) for h in s.anchors.heads]
    for i in (made.required.inclination - 0.05, made.required.inclination + 0.05):
        if RULES.inclination_least.value <= i <= RULES.inclination_greatest.value:
            other = required_force(ground, known_surface(s.slip_surface), heads, i, s.target)
            assert other.force >= made.required.force * (1 - 1e-6)


def test_pads_and_smaller_slips_are_checked(made: SlopeDesign) -> None:
    ids = {(c.id, c.where) for c in made.checks}
    for row in ("row 1", "row 2"):
        for name in ("bearing", "sliding", "punching", "bending"):
            assert (f"slope.pad-{name}", row) in ids
    assert made.smaller is not None
    small = next(c for c in made.checks if c.id == "slope.smaller-slips")
    assert small.demand == pytest.approx(made.smaller.minima[0].F)


def test_the_same_slope_in_either_unit_system_has_the_same_model() -> None:
    us = slope_model(slope(UnitSystem.US))
    assert us.surface[2, 0] == pytest.approx(50 * 0.3048)
    assert us.gamma[0] == pytest.approx(115 * 0.157087, rel=1e-4)
    si = slope_model(slope())
    assert si.impenetrable is not None
    assert si.impenetrable.tolist() == [False, True]
    assert si.tops[0][:, 1].tolist() == [4.0, 4.0]


def test_the_angle_of_the_face() -> None:
    surface = slope_model(slope()).surface
    assert face_angle(surface, 5.0) == pytest.approx(0.588, abs=1e-3)
    assert face_angle(surface, 30.0) == 0.0


def test_anchors_that_are_too_weak_are_refused() -> None:
    s = slope()
    weak = s.model_copy(update={"anchors": s.anchors.model_copy(update={"greatest_load": 5.0})})
    with pytest.raises(DesignError, match="add rows"):
        design_slope(weak, RULES)
