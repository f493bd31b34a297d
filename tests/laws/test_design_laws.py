"""Laws of a whole design: equilibrium, area equality, units, and direction of effects."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from backstay.checks import Verdict
from backstay.design import Design, SectionDesign, design
from backstay.model import read_project
from backstay.model.project import Project
from backstay.quantity import UnitSystem
from backstay.results import design_result

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.yaml"))


@pytest.fixture(scope="module", params=EXAMPLES, ids=lambda p: p.stem)
def done(request: pytest.FixtureRequest) -> Design:
    return design(read_project(request.param))


def sections(done: Design) -> tuple[SectionDesign, ...]:
    return done.sections


def changed(project: Project, **ground: object) -> Project:
    """Return the project with every stratum changed."""
    section = project.sections[0]
    strata = tuple(s.model_copy(update=dict(ground)) for s in section.ground.strata)
    new_ground = section.ground.model_copy(update={"strata": strata})
    return project.model_copy(
        update={"sections": (section.model_copy(update={"ground": new_ground}),)}
    )


def test_area_of_the_envelope_is_its_total_load(done: Design) -> None:
    for s in sections(done):
        for envelope in s.pressures.candidates:
            assert math.isclose(envelope.diagram.resultant(), envelope.total_load, rel_tol=1e-9)


def test_the_design_diagram_is_the_sum_of_its_parts(done: Design) -> None:
    for s in sections(done):
        p = s.pressures
        parts = [p.envelope.diagram, p.water, *p.surcharges, p.earthquake]
        area = sum(d.resultant(0.0, s.ground.H) for d in parts if d is not None)
        assert math.isclose(p.design.resultant(), area, rel_tol=1e-9)


def test_loads_and_reaction_balance_the_diagram_by_each_method(done: Design) -> None:
    for s in sections(done):
        area = s.pressures.design.resultant()
        rows = s.loads.rows
        tributary = sum(r.tributary for r in rows) + s.loads.reaction_tributary
        hinge = sum(r.hinge for r in rows) + s.loads.reaction_hinge
        assert math.isclose(tributary, area, rel_tol=1e-9)
        assert math.isclose(hinge, area, rel_tol=1e-9)


def test_an_anchor_carries_the_horizontal_load_of_its_row(done: Design) -> None:
    for s in sections(done):
        for row, anchor in zip(s.loads.rows, s.anchors, strict=True):
            horizontal = anchor.required_load * math.cos(anchor.inclination) * math.cos(anchor.skew)
            assert math.isclose(horizontal / anchor.spacing, row.horizontal, rel_tol=1e-9)


def test_every_check_can_be_derived_and_has_a_clause(done: Design) -> None:
    for _, check in done.checks:
        assert check.clause.document
        assert check.steps, check.id
        if check.verdict is Verdict.FAIL:
            assert check.remedy, f"{check.id} {check.where} fails without saying what would help"


def test_identifiers_are_unique_within_a_section(done: Design) -> None:
    for s in sections(done):
        keys = [(c.id, c.where) for c in s.checks]
        assert len(keys) == len(set(keys))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_the_same_project_in_the_other_units_is_the_same_design(path: Path) -> None:
    """Numbers of the file are converted; the design does not change."""
    project = read_project(path)
    other = UnitSystem.US if project.units is UnitSystem.SI else UnitSystem.SI
    twin = project.model_copy(update={"units": other})
    a, b = design(project), design(twin)
    assert [(c.id, c.where, c.verdict) for _, c in a.checks] == [
        (c.id, c.where, c.verdict) for _, c in b.checks
    ]
    for (_, x), (_, y) in zip(a.checks, b.checks, strict=True):
        assert math.isclose(x.demand, y.demand, rel_tol=1e-9, abs_tol=1e-12)
        assert math.isclose(x.capacity, y.capacity, rel_tol=1e-9, abs_tol=1e-12)


def test_result_in_either_system_is_the_same_quantity(done: Design) -> None:
    si, us = design_result(done, UnitSystem.SI), design_result(done, UnitSystem.US)
    for a, b in zip(si.sections, us.sections, strict=True):
        for x, y in zip(a.rows, b.rows, strict=True):
            assert x.design_load.value == pytest.approx((y.design_load.value or 0) * 4.4482216)
            assert x.unbonded_length.value == pytest.approx((y.unbonded_length.value or 0) * 0.3048)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_more_cohesion_never_raises_the_total_load(path: Path) -> None:
    project = read_project(path)
    before = design(project).sections[0].pressures.envelope.total_load
    strata = project.sections[0].ground.strata
    more = changed(project, cohesion=max(s.cohesion for s in strata) + 5.0)
    after = design(more).sections[0].pressures.envelope.total_load
    assert after <= before * (1 + 1e-9)


def test_a_deeper_cut_asks_for_more() -> None:
    project = read_project(EXAMPLES[-1])
    section = project.sections[0]
    deeper = section.model_copy(
        update={"cut": section.cut.model_copy(update={"subgrade": section.cut.subgrade - 1.0})}
    )
    a = design(project).sections[0]
    b = design(project.model_copy(update={"sections": (deeper,)})).sections[0]
    assert b.pressures.envelope.total_load > a.pressures.envelope.total_load
    assert b.wall.design_moment > a.wall.design_moment
