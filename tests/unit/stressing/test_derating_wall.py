"""The wall as built with an anchor down-rated: two bounds, in equilibrium, designed again."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from backstay.anchors import row_loads
from backstay.anchors.anchor import anchor_load
from backstay.design import design, design_section
from backstay.stressing import derating_wall
from backstay.stressing.derating import derate
from backstay.stressing.derating_wall import (
    as_built,
    carried,
    governing_bound,
    limited,
    moment_limit,
)
from backstay.stressing.down_rating import down_rated
from backstay.stressing.project_rules import rules_of
from backstay.stressing.rules_us import US_RULES
from backstay.wall.staged import analyse
from tests.unit.stressing.deratings import WALLS, designed, part, rated


@pytest.mark.parametrize("name", WALLS)
def test_the_wall_as_built_designed_again_is_the_same_wall(name: str) -> None:
    """A toe that was deepened on the way was asked for a moment that it then no longer has: 2 %."""
    made, before = designed(name), part(name)
    again = design_section(as_built(before), made.project.service, made.basis, "leave out")
    assert again.wall.toe == pytest.approx(before.wall.toe)
    assert again.wall.section_name == before.wall.section_name
    assert again.wall.design_moment == pytest.approx(before.wall.design_moment, rel=0.02)
    for a, b in zip(again.anchors, before.anchors, strict=True):
        assert (a.design_load, a.lock_off_load, a.bond_length) == pytest.approx(
            (b.design_load, b.lock_off_load, b.bond_length)
        )
    used = [{(c.id, c.where): c.utilisation for c in x.wall.checks} for x in (again, before)]
    assert used[0] == pytest.approx(used[1], rel=0.02)


@pytest.mark.parametrize("bound", ["alone", "shared"])
@pytest.mark.parametrize("name", WALLS)
def test_an_anchor_that_lacks_nothing_changes_nothing(name: str, bound: Any) -> None:
    before, project = part(name), designed(name).project
    a = before.anchors[0]
    same = carried(
        before, project, 1, rated(a.tendon.strength, a.required_load, a.lock_off_load), bound
    )
    alone = [analyse(r.input, mesh_error="left out") for r in before.staged.results]
    assert same.mean.support_history[-1] == pytest.approx(
        alone[1].support_history[-1], rel=1e-6 if bound == "alone" else 0.1
    )
    if bound == "alone":
        assert same.statics == pytest.approx(
            [x.required_load for x in before.anchors] if len(before.anchors) > 1 else ()
        )
        assert same.moment == pytest.approx(
            max(before.wall.design_moment, *(
                max(r.envelope.M_max.value, -r.envelope.M_min.value) for r in alone if r.envelope
            ))
        )  # fmt: skip


@pytest.mark.parametrize("row", [1, 2, 3])
def test_nothing_left_is_the_wall_without_the_row(row: int) -> None:
    """By statics: the rows that are left share the design pressure; by analysis: the row is absent."""
    name = "three-row-layered-water"
    before = part(name)
    none = down_rated(
        None, wanted=before.anchors[row - 1].required_load, design_load=500.0, test_factor=1.33,
        rules=US_RULES,
    )  # fmt: skip
    found = carried(before, designed(name).project, row, none, "alone")
    left = [a for a in before.anchors if a.row != row]
    loads = row_loads([a.z for a in left], before.ground.H, before.pressures.design)
    for a, load in zip(left, loads.rows, strict=True):
        along = anchor_load(load.horizontal, a.spacing, a.inclination, a.skew)
        assert found.statics[a.row - 1] == pytest.approx(along)
    assert found.statics[row - 1] == 0.0
    state = before.staged.mean.input.a_state.copy()
    state[:, row - 1] = 0
    absent = analyse(replace(before.staged.mean.input, a_state=state), mesh_error="left out")
    slight = carried(before, designed(name).project, row, rated(1e-6), "alone")  # there, and slack
    for made in (found, slight):
        assert np.allclose(made.mean.support_history, absent.support_history, atol=0.05)


def test_two_neighbours_and_the_weak_anchor_carry_three_spacings() -> None:
    name = "three-row-layered-water"
    before = part(name)
    given = before.staged.mean.input
    weak = rated(100.0)
    made = limited(given, 2, weak, "shared")
    share = given.anchor_share[1]
    assert made.a_k[:, 1] == pytest.approx(given.a_k[:, 1] * 2.0 / 3.0)
    assert made.a_lock[:, 1] * share * 3.0 == pytest.approx(
        2.0 * given.a_lock[:, 1] * share + np.minimum(given.a_lock[:, 1] * share, 100.0)
    )
    found = carried(before, designed(name).project, 2, weak, "shared")
    average = found.loads[1]
    assert average is not None
    assert found.neighbour == pytest.approx((3.0 * average - 100.0) / 2.0)
    last = carried(before, designed(name).project, 2, weak, "shared", 1)
    assert last.loads[1] is not None
    assert last.neighbour == pytest.approx(2.0 * last.loads[1] - 100.0)
    assert last.neighbour > found.neighbour  # type: ignore[operator]


@pytest.mark.parametrize("bound", ["alone", "shared"])
@pytest.mark.parametrize("name", WALLS)
def test_every_stage_stays_in_equilibrium(name: str, bound: Any) -> None:
    found = carried(part(name), designed(name).project, 1, rated(150.0), bound)
    for stage in found.mean.stages:
        if stage.status == "stands":
            assert abs(stage.force_balance) < 1e-6
            assert abs(stage.moment_balance) < 1e-6
    assert all(load is None or load <= 150.0 + 1e-6 for load in found.loads[:1]) or bound != "alone"


def test_the_less_it_held_the_more_the_others_carry() -> None:
    name = "three-row-layered-water"
    before, project = part(name), designed(name).project
    found = [
        carried(before, project, 2, rated(load, before.anchors[1].required_load), "alone")
        for load in (400.0, 300.0, 200.0, 100.0)
    ]
    for more, less in pairwise(found):
        assert less.load(1) >= more.load(1) * (1 - 1e-9)  # type: ignore[operator]
        assert less.load(3) >= more.load(3) * (1 - 1e-9)  # type: ignore[operator]
        assert less.moment >= more.moment * (1 - 1e-9)


def test_which_bound_is_safe_depends_on_who_carries_whom() -> None:
    before = part("two-row-sand")
    a = before.anchors[0]
    assert governing_bound(before.section, a) == "alone"
    assert governing_bound(before.section, replace(a, spacing=2.0 * a.spacing)) == "shared"


@pytest.mark.parametrize("name", WALLS)
def test_the_moment_that_a_wall_may_have_uses_up_its_bending_and_nothing_else(name: str) -> None:
    """In proportion to the pile's own checks: shear, toe, lagging or head have no part in it."""
    wall = part(name).wall
    of_the_pile = {c.id: c.utilisation for c in wall.checks if c.id in (
        "wall.pile-bending", "wall.pile-combined", "wall.continuous-bending")}  # fmt: skip
    assert of_the_pile
    limit = moment_limit(wall)
    assert max(of_the_pile.values()) * limit / wall.design_moment == pytest.approx(1.0)
    assert limit != pytest.approx(wall.design_moment / max(c.utilisation for c in wall.checks))


@pytest.mark.parametrize("carry", ["larger", "staged"])
def test_the_wall_is_designed_again_for_the_stages_as_the_engineer_chose(
    carry: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Moment and shear of the stages stand alone where the engineer chose so, and nowhere else."""
    asked = []

    def noted(*arguments: Any, staged: Any, **more: Any) -> Any:
        asked.append(staged)
        return design_wall(*arguments, staged=staged, **more)

    design_wall = derating_wall.design_wall
    monkeypatch.setattr(derating_wall, "design_wall", noted)
    section = part("two-row-sand").section.model_copy(update={"carry": carry})
    project = designed("two-row-sand").project.model_copy(update={"sections": (section,)})
    made = design(project, slip_surfaces="leave out")
    derate(made, "A (Alder Street)-2-005", 500.0, rules_of(project))
    assert asked
    assert {one.alone for one in asked} == {carry == "staged"}
    assert all(one.moment > 0.0 and one.shear > 0.0 for one in asked)
