"""Down-rating: loads by hand, the wall between its bounds, and every check on both sides."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from time import perf_counter
from typing import Any

import numpy as np
import pytest

from backstay.anchors import row_loads
from backstay.anchors.anchor import anchor_load
from backstay.checks import Check, Verdict, expand
from backstay.design import Design, SectionDesign, design, design_section
from backstay.errors import DesignError
from backstay.model.reading import read_project
from backstay.quantity import UnitSystem
from backstay.stability.slope import safety
from backstay.stability.slope_anchors import as_forces
from backstay.stressing.derating import Derating, derate
from backstay.stressing.derating_wall import (
    as_built,
    carried,
    governing_bound,
    limited,
    moment_limit,
)
from backstay.stressing.down_rating import DownRated, down_rated
from backstay.stressing.project_rules import rules_of
from backstay.stressing.rules_us import US_RULES
from backstay.wall.staged import analyse

EXAMPLES = Path(__file__).parents[3] / "examples"
WALLS = ("two-row-sand", "three-row-layered-water", "single-row-stiff-clay")


@cache
def designed(name: str) -> Design:
    return design(read_project(EXAMPLES / f"{name}.yaml"), slip_surfaces="leave out")


def part(name: str) -> SectionDesign:
    return designed(name).sections[0]


def derated(name: str, anchor: str, held: float | None, **changes: Any) -> Derating:
    made = designed(name)
    return derate(made, anchor, held, rules_of(made.project), **changes)


def rated(load: float, wanted: float = 400.0, lock_off: float | None = None) -> DownRated:
    """Return a down-rating to a load, whatever was held."""
    whole = down_rated(2.0 * load, wanted=wanted, design_load=1e6, test_factor=1.33, rules=US_RULES)
    return replace(whole, lock_off=load if lock_off is None else lock_off)


def one(checks: tuple[Check, ...], name: str, where: str = "") -> Check:
    return next(c for c in checks if c.id == name and c.where.startswith(where))


# --- the load ---------------------------------------------------------------------------------


def test_half_the_load_held_or_what_the_test_proved() -> None:
    """540 kN held: half is 270 kN; over 1.33 it is 406 kN; 400 kN wanted lack 130 kN, or nothing."""
    by_rule = down_rated(540.0, wanted=400.0, design_load=450.0, test_factor=1.33, rules=US_RULES)
    assert (by_rule.load, by_rule.lock_off, by_rule.lacking) == pytest.approx((270, 270, 130))
    assert by_rule.share == pytest.approx(0.325)
    assert by_rule.clause is US_RULES.failed_lock_off.cite
    proven = down_rated(
        540.0, wanted=400.0, design_load=450.0, test_factor=1.33, rules=US_RULES, rate="proven"
    )
    assert (proven.load, proven.lock_off, proven.lacking) == pytest.approx((406.015, 270.0, 0.0))


def test_it_is_never_rated_above_its_design_load_and_nothing_held_is_nothing() -> None:
    high = down_rated(
        700.0, wanted=440.0, design_load=450.0, test_factor=1.33, rules=US_RULES, rate="proven"
    )
    assert high.load == 450.0
    for held in (None, 0.0):
        none = down_rated(held, wanted=400.0, design_load=450.0, test_factor=1.33, rules=US_RULES)
        assert (none.load, none.lock_off, none.lacking, none.share) == (0.0, 0.0, 400.0, 1.0)
        assert none.clause.provenance == "common practice"
    with pytest.raises(DesignError):
        down_rated(540.0, wanted=0.0, design_load=450.0, test_factor=1.33, rules=US_RULES)


# --- the wall as built ------------------------------------------------------------------------


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


# --- what follows -----------------------------------------------------------------------------


def test_the_wall_carries_a_little_less_and_not_much_less() -> None:
    """Two rows in sand: row 2 lacks 32 kN by the load proved, 173 kN by half of what was held."""
    name, anchor = "two-row-sand", "A (Alder Street)-2-003"
    little = derated(name, anchor, 559.0, rate="proven")
    assert little.carries
    assert little.rated.lacking == pytest.approx(little.rated.wanted - 559.0 / 1.33, rel=1e-9)
    assert "watch its neighbours" in little.advice[-1]
    much = derated(name, anchor, 559.0)
    assert not much.carries
    assert {c.id for c in much.new_failures} >= {"derating.row-load", "wall.pile-bending"}
    words = " ".join(expand(a, UnitSystem.US) for a in much.advice)
    assert "replace it" in words
    assert "add one beside it" in words
    assert "dig no deeper than elevation" in words
    assert "ft" in words


def test_a_row_is_held_against_what_its_own_test_proved_on_both_sides() -> None:
    name, anchor, above = "two-row-sand", "A (Alder Street)-2-003", "A (Alder Street)-1-003"
    load = one(derated(name, anchor, 559.0).checks, "derating.row-load").demand
    row = part(name).anchors[0]
    factor = row.test_load / row.design_load
    for held, verdict in ((load * factor + 0.1, Verdict.PASS), (load * factor - 0.1, Verdict.FAIL)):
        found = derated(name, anchor, 559.0, proven={above: held})
        check = one(found.checks, "derating.row-load", above)
        assert check.verdict is verdict
        assert check.capacity == pytest.approx(held / factor)
    assert "held" in check.note
    assert "replace the anchor that failed" in check.remedy


def test_neighbours_by_statics() -> None:
    """Half each of what is lacking; the last anchor of a row has one neighbour, which takes it all."""
    name = "three-row-layered-water"
    inner = derated(name, "C-C-2-003", 500.0)
    assert [n.name for n in inner.beside] == ["C-C-2-002", "C-C-2-004"]
    found = [c for c in inner.other_checks if c.id == "derating.neighbour-load"]
    assert [c.demand for c in found] == pytest.approx(
        [inner.rated.wanted + inner.rated.lacking / 2.0] * 2
    )
    end = derated(name, "C-C-2-001", 500.0)
    (only,) = [c for c in end.other_checks if c.id == "derating.neighbour-load"]
    assert only.demand == pytest.approx(end.rated.wanted + end.rated.lacking)


def test_the_other_rows_at_the_same_place() -> None:
    found = derated("three-row-layered-water", "C-C-2-007", 500.0)
    assert [o.name for o in found.others] == ["C-C-1-007", "C-C-3-007"]
    assert all(o.held is None for o in found.others)


def test_one_row_has_no_other_by_statics() -> None:
    made = designed("single-row-stiff-clay")
    found = derated("single-row-stiff-clay", "1-1-003", 474.0)
    assert one(found.checks, "derating.only-row").demand == pytest.approx(found.rated.lacking)
    assert not found.carries
    enough = derated("single-row-stiff-clay", "1-1-003", 474.0, rate="proven")
    lacking = one(enough.checks, "derating.only-row")
    assert lacking.verdict is (Verdict.PASS if enough.rated.lacking == 0.0 else Verdict.FAIL)
    section = made.sections[0].section.model_copy(update={"carry": "staged"})
    project = made.project.model_copy(update={"sections": (section,)})
    staged = design(project, slip_surfaces="leave out")
    again = derate(staged, "1-1-003", 474.0, rules_of(project))
    assert "derating.only-row" not in {c.id for c in again.checks}
    assert again.bounds[0].statics == ()


def test_the_dig_stops_before_the_stage_that_is_too_much() -> None:
    found = derated("two-row-sand", "A (Alder Street)-2-003", 559.0)
    dig = found.dig
    assert dig is not None
    assert not dig.full
    stages = found.bounds[0].mean.stages
    stopped = next(s for s in stages if s.title == dig.stage)
    assert dig.depth == max(s.dig for s in stages if s.number < stopped.number)
    assert stopped.dig > dig.depth
    assert "moment" in dig.why


def test_a_wall_that_does_not_stand_stops_the_dig_there() -> None:
    name = "three-row-layered-water"
    before = part(name)
    found = derated(name, "C-C-1-003", None)
    standing = min(sum(s.status == "stands" for s in r.stages) for r in found.bounds[0].results)
    assert found.dig is not None
    assert found.dig.depth <= before.ground.H
    if standing < before.staged.mean.input.stages:
        assert not found.dig.full


def test_lines_say_before_and_after_with_what_may_be() -> None:
    found = derated("two-row-sand", "A (Alder Street)-2-003", 559.0)
    assert {line.what for line in found.lines} == {
        "Load of the anchor", "Moment", "Shear", "Greatest deflection"
    }  # fmt: skip
    moment = next(x for x in found.lines if x.what == "Moment" and "alone" in x.where)
    assert moment.after == found.bounds[0].moment
    assert moment.before == pytest.approx(part("two-row-sand").wall.design_moment, rel=0.2)
    assert moment.limit is not None
    assert moment.after > moment.limit


def test_what_fails_in_the_design_already_is_told_apart() -> None:
    found = derated("three-row-layered-water", "C-C-2-003", 500.0)
    assert "wall.toe-lateral" in found.was
    assert "wall.toe-lateral" in {c.id for c in found.failing}
    assert "wall.toe-lateral" not in {c.id for c in found.new_failures}


def test_a_slope_loses_safety_and_nothing_when_nothing_is_lacking() -> None:
    made = designed("slopes/landslide-three-rows")
    row = made.slopes[0].rows[0].anchor
    whole = derated("slopes/landslide-three-rows", "Mill Hill-1-005", row.test_load, rate="proven")
    assert whole.rated.lacking == pytest.approx(0.0, abs=1e-6)
    assert whole.lines[0].after == pytest.approx(made.slopes[0].cases[0].tied.F)
    assert whole.carries
    weak = derated("slopes/landslide-three-rows", "Mill Hill-1-005", 300.0)
    end = derated("slopes/landslide-three-rows", "Mill Hill-1-001", 300.0)
    bare = made.slopes[0].cases[0].bare.F
    assert bare < end.lines[0].after < weak.lines[0].after < whole.lines[0].after  # type: ignore[operator]
    assert not weak.carries
    assert weak.governing is None


def test_an_anchor_that_is_not_there_is_refused() -> None:
    with pytest.raises(DesignError, match="no such anchor"):
        derated("two-row-sand", "B-1-001", 500.0)


def test_it_answers_while_the_crew_waits() -> None:
    derated("three-row-layered-water", "C-C-2-003", 500.0)
    start = perf_counter()
    for _ in range(5):
        derated("three-row-layered-water", "C-C-2-003", 500.0)
    assert (perf_counter() - start) / 5 < 0.5  # 20 ms on a quiet machine


@pytest.mark.parametrize("row", [1, 2, 3])
def test_a_slope_has_the_mean_load_in_the_row_of_the_anchor_and_no_other(row: int) -> None:
    """The known surface again, with the force of that row by hand: an anchor that may carry 150 kN
    between two that carry what they were designed for."""
    made = designed("slopes/landslide-three-rows").slopes[0]
    found = derated("slopes/landslide-three-rows", f"Mill Hill-{row}-005", 300.0)
    assert found.rated.load == pytest.approx(150.0)
    design_load = made.rows[row - 1].anchor.design_load
    share = (2.0 * design_load + 150.0) / 3.0 / design_load
    case = made.cases[0]
    forces = list(as_forces(made.slope, made.rows))
    forces[row - 1] = replace(forces[row - 1], total=share * forces[row - 1].total)
    model = replace(case.model, anchors=tuple(forces))
    wanted = safety(model, made.surface, made.slope.method).F
    assert found.lines[0].before == pytest.approx(case.tied.F)
    assert found.lines[0].after == pytest.approx(wanted, rel=1e-9)
    assert wanted < case.tied.F


def test_the_wall_wants_the_load_of_its_envelope_or_of_its_stages_as_the_engineer_chose() -> None:
    """The larger of both where both count (the default): the stages in row 2, the envelope in row 1."""
    made = part("two-row-sand")
    name = "A (Alder Street)-{}-005"
    by_stages = [max(float(s.anchor_loads[k]) for s in made.staged.mean.stages) for k in (0, 1)]
    by_envelope = [anchor.required_load for anchor in made.anchors]
    assert by_stages[0] < by_envelope[0]
    assert by_stages[1] > by_envelope[1]
    wanted = [derated("two-row-sand", name.format(row), 500.0).rated.wanted for row in (1, 2)]
    assert wanted == pytest.approx([by_envelope[0], by_stages[1]])
    section = made.section.model_copy(update={"carry": "envelope"})
    project = designed("two-row-sand").project.model_copy(update={"sections": (section,)})
    again = design(project, slip_surfaces="leave out")
    envelope = derate(again, name.format(2), 500.0, rules_of(project))
    assert envelope.rated.wanted == pytest.approx(by_envelope[1])


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


def test_the_limit_of_a_load_is_what_the_other_anchor_is_rated_for() -> None:
    found = derated("two-row-sand", "A (Alder Street)-1-005", 500.0)
    limits = [
        (x.where.split(",")[0], x.limit) for x in found.lines if x.what == "Load of the anchor"
    ]
    assert limits
    for where, limit in limits:
        if where == "row 1":
            assert limit is None, "the anchor itself is not judged by what it was designed for"
        else:
            assert limit == pytest.approx(found.others[0].rated)


@pytest.mark.parametrize("carry", ["larger", "staged"])
def test_the_wall_is_designed_again_for_the_stages_as_the_engineer_chose(
    carry: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Moment and shear of the stages stand alone where the engineer chose so, and nowhere else."""
    from backstay.stressing import derating_wall

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
