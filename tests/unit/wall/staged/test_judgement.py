"""How the staged analysis is judged, compared with the envelope, and carried."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from backstay.checks import Check, Verdict
from backstay.design import SectionDesign, design
from backstay.model import read_project
from backstay.model.project import Project
from backstay.model.stages import AnchorFails, Backfill, Excavate, StressRow
from backstay.model.wall import StiffnessChange
from backstay.trace import Stated
from backstay.wall.staged import StageResult

DEMO = Path(__file__).parents[4] / "examples" / "two-row-sand.yaml"


@cache
def demo() -> Project:
    return read_project(DEMO)


@cache
def demo_done() -> SectionDesign:
    return design(demo()).sections[0]


def changed(**changes: Any) -> SectionDesign:
    section = demo().sections[0].model_copy(update=changes)
    return design(demo().model_copy(update={"sections": (section,)})).sections[0]


def check(done: SectionDesign, identifier: str, where: str = "") -> Check:
    return next(c for c in done.staged.checks if c.id == identifier and c.where.startswith(where))


def test_the_demo_stands_and_every_stage_balances() -> None:
    done = demo_done()
    assert check(done, "wall.staged-equilibrium").verdict is Verdict.PASS
    for result in done.staged.results:
        assert result.stands
        for stage in result.stages:
            assert abs(stage.force_balance) <= 1e-8
            assert abs(stage.moment_balance) <= 1e-8


def test_soft_ground_deflects_more_than_stiff() -> None:
    by_action = {(c.what, c.where): c for c in demo_done().staged.comparison}
    moved = by_action["Greatest deflection", ""]
    assert moved.soft is not None
    assert moved.mean is not None
    assert moved.stiff is not None
    assert moved.soft > moved.mean > moved.stiff


def test_the_larger_of_envelope_and_stages_bends_the_pile() -> None:
    done = demo_done()
    moment = next(c for c in done.staged.comparison if c.what == "Moment")
    assert moment.staged is not None
    assert moment.carried == max(moment.envelope, moment.staged)
    assert done.wall.design_moment == pytest.approx(moment.carried)


def test_the_engineer_chooses_what_is_carried() -> None:
    envelope, staged = changed(carry="envelope"), changed(carry="staged")
    moment = next(c for c in staged.staged.comparison if c.what == "Moment")
    assert envelope.wall.design_moment == pytest.approx(moment.envelope)
    assert staged.wall.design_moment == pytest.approx(moment.staged)
    assert envelope.wall.design_moment < staged.wall.design_moment


def test_a_wall_too_short_to_stand_is_a_result_with_stage_mechanism_and_remedy() -> None:
    section = demo().sections[0]
    short = section.wall.model_copy(update={"toe": section.cut.subgrade - 0.35})
    done = changed(wall=short, anchors=section.anchors[:1])
    found = check(done, "wall.staged-equilibrium")
    assert found.verdict is Verdict.FAIL
    assert found.demand > found.capacity == 0.0
    assert "stage" in found.note
    assert found.remedy
    failed = next(r.failed for r in done.staged.results if r.failed is not None)
    assert failed.mechanism
    assert 0.0 <= failed.depth <= done.wall.toe + 1e-9


def test_a_lock_off_beyond_the_ground_behind_is_found() -> None:
    section = demo().sections[0]
    weak = tuple(
        s.model_copy(update={"friction_angle": 0.35, "moist_unit_weight": 15.0})
        for s in section.ground.strata
    )
    first = section.anchors[0].model_copy(update={"design_load": 2200.0, "lock_off": 1.2})
    soft = changed(
        ground=section.ground.model_copy(update={"strata": weak}),
        anchors=(first, *section.anchors[1:]),
    )
    found = [c for c in soft.staged.checks if c.id == "anchor.staged-overstress"]
    standing = check(soft, "wall.staged-equilibrium")
    assert standing.verdict is Verdict.FAIL or any(c.verdict is Verdict.FAIL for c in found)


def test_a_load_above_the_design_load_is_refused_with_the_load_it_needs() -> None:
    section = demo().sections[0]
    over = section.anchors[0].model_copy(update={"lock_off": 1.15})
    found = check(changed(anchors=(over, section.anchors[1])), "anchor.staged-load", "row 1")
    assert found.verdict is Verdict.FAIL
    assert "design load of {force:" in found.remedy


def test_deflection_is_held_against_the_target_that_is_given() -> None:
    section = demo().sections[0]
    strict = section.targets.model_copy(update={"wall_movement": 0.002})
    found = check(changed(targets=strict), "wall.staged-deflection")
    assert found.verdict is Verdict.FAIL
    assert found.capacity == 0.002
    assert not [c for c in demo_done().staged.checks if c.id == "wall.staged-deflection"]


def test_neighbours_of_a_failed_anchor_are_held_against_the_test_load() -> None:
    section = demo().sections[0]
    stages = (
        Excavate(kind="excavate", level=section.elevation(3.0)),
        StressRow(kind="stress row", row=1),
        Excavate(kind="excavate", level=section.elevation(6.7)),
        StressRow(kind="stress row", row=2),
        Excavate(kind="excavate", level=section.cut.subgrade),
        AnchorFails(kind="anchor fails", row=1),
    )
    done = changed(stages=stages)
    found = check(done, "anchor.staged-accident")
    accident = done.staged.mean.accidents[0]
    assert found.demand == accident.neighbours
    assert accident.before < accident.neighbours <= accident.neighbours_bound * (1 + 1e-9)
    assert found.capacity == done.anchors[0].test_load
    assert max(s.anchor_loads[0] for s in done.staged.mean.stages) >= accident.neighbours
    judged = check(done, "anchor.staged-load", "row 1")
    assert judged.demand < accident.neighbours  # the accident is judged for itself


def test_an_automatic_toe_is_deepened_until_the_stages_are_content() -> None:
    stiff = read_project(DEMO.with_name("single-row-stiff-clay.yaml"))
    done = design(stiff).sections[0]
    assert check(done, "wall.staged-toe").verdict is Verdict.PASS
    assert done.wall.embedment >= done.wall.embedment_required - 1e-9


def test_a_wall_that_softens_below_a_level_bends_more_there() -> None:
    section = demo().sections[0]
    change = StiffnessChange(below=section.elevation(8.0), factor=0.5)
    soft = changed(
        wall=section.wall.model_copy(update={"stiffness_changes": (change,)}), carry="envelope"
    )
    uniform = changed(carry="envelope")
    given, whole = soft.staged.mean.input, uniform.staged.mean.input
    assert 8.0 in [pytest.approx(z) for z in given.z]
    below = given.z[:-1] >= 8.0 - 1e-9
    assert given.EI[below] == pytest.approx(0.5 * whole.EI[0])
    assert given.EI[~below] == pytest.approx(whole.EI[0])
    a, b = soft.staged.mean.envelope, uniform.staged.mean.envelope
    assert a is not None
    assert b is not None
    assert a.M_max.value < b.M_max.value  # what is softer draws less moment


def test_what_the_ground_below_gives_back_balances_load_and_anchors() -> None:
    for stage in demo_done().staged.mean.stages:
        above = stage.depth_g < stage.dig
        weight = 0.5 * np.repeat(np.diff(stage.z), 2)
        spacing = demo_done().staged.mean.input.spacing
        load = spacing * float((stage.p_retained * weight)[above].sum())
        assert stage.reaction == pytest.approx(load - sum(stage.T), rel=1e-9, abs=1e-6)


def test_an_automatic_design_load_covers_the_stages_and_leaves_the_lock_off() -> None:
    rows = tuple(
        r.model_copy(update={"design_load": None, "lock_off": 1.0})
        for r in demo().sections[0].anchors
    )
    done = changed(anchors=rows)
    raised = 0
    for row, anchor in zip(rows, done.anchors, strict=True):
        assert check(done, "anchor.staged-load", f"row {anchor.row}").verdict is Verdict.PASS
        assert anchor.lock_off_load == pytest.approx(row.lock_off * anchor.required_load)
        assert anchor.design_load >= anchor.required_load * (1 - 1e-12)
        raised += anchor.design_load > anchor.required_load * (1 + 1e-6)
    assert raised, "no row of this wall asks for more than the envelope: the test shows nothing"


def test_a_cut_filled_again_is_held_back_and_keeps_within_its_limits() -> None:
    section = demo().sections[0]
    stages = (
        Excavate(kind="excavate", level=section.elevation(3.0)),
        StressRow(kind="stress row", row=1),
        Excavate(kind="excavate", level=section.elevation(6.7)),
        StressRow(kind="stress row", row=2),
        Excavate(kind="excavate", level=section.cut.subgrade),
        Backfill(kind="backfill", level=section.elevation(7.5)),
    )
    dug, filled = changed(stages=stages, carry="envelope").staged.mean.stages[-2:]
    between = (filled.depth_g > 7.5) & (filled.depth_g < section.height)
    assert (dug.p_cut[between] == 0.0).all()
    assert (filled.p_cut[between] > 0.0).all()
    for p, low, high in (
        (filled.p_cut, filled.active_cut, filled.passive_cut),
        (filled.p_retained, filled.active_retained, filled.passive_retained),
    ):
        assert (p >= low - 1e-9).all()
        assert (p <= high + 1e-9).all()
    assert abs(filled.force_balance) <= 1e-8
    reach = (filled.z > 7.5) & (filled.z < section.height)
    assert (filled.w[reach] < dug.w[reach]).all()  # the fill presses the wall back where it lies


def resultant(stage: StageResult, pressure: np.ndarray, low: float, high: float) -> float:
    """Return the area of a pressure between two depths, element by element (kN/m)."""
    area = 0.0
    for e in range(len(stage.z) - 1):
        for g in (2 * e, 2 * e + 1):
            if low <= stage.depth_g[g] <= high:
                area += float(pressure[g]) * (stage.z[e + 1] - stage.z[e]) / 2
    return area


def test_the_toe_is_held_against_the_basis_and_its_worst_stage() -> None:
    done = demo_done()
    found = check(done, "wall.staged-toe")
    shares = {
        s.number: resultant(s, s.p_cut, s.dig, 1e9) / resultant(s, s.passive_cut, s.dig, 1e9)
        for s in done.staged.mean.stages
    }
    worst = max(shares, key=lambda n: shares[n])
    assert found.where == f"stage {worst}"
    assert found.demand == pytest.approx(shares[worst], rel=1e-9)
    assert found.capacity == pytest.approx(1 / 1.5)


@pytest.mark.parametrize("row", [1, 2])
def test_the_ground_behind_a_stressed_row_is_judged_to_twice_its_depth(row: int) -> None:
    done = demo_done()
    found = check(done, "anchor.staged-overstress", f"row {row}")
    stage = done.staged.mean.stages[2 * row - 1]  # dig, stress, dig, stress
    assert stage.title.startswith(f"stress row {row}")
    z = done.anchors[row - 1].z
    low = min(2 * z, stage.dig)
    pushed = resultant(stage, stage.p_retained, 0.0, low)
    there = resultant(stage, stage.passive_retained, 0.0, low)
    assert found.demand == pytest.approx(pushed / there, rel=1e-9)
    assert found.demand < 1.0
    assert found.capacity == pytest.approx(1 / 1.5)
    force = {s.symbol: s.value for s in found.steps if isinstance(s, Stated)}
    assert force["P_b"] == pytest.approx(pushed, rel=1e-9)
    assert force["P_p"] == pytest.approx(there, rel=1e-9)
