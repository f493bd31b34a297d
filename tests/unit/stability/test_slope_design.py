"""A slope from its project file to rows, pads and slips."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import ceil, degrees, hypot, inf

import numpy as np
import pytest

from backstay.basis import basis
from backstay.checks import Check, Verdict, expand
from backstay.design import design
from backstay.errors import DesignError
from backstay.model import read_text
from backstay.model.project import Project, Service
from backstay.model.slope import Slope
from backstay.quantity import UnitSystem
from backstay.stability.slip.circles import search_circles
from backstay.stability.slip.from_slope import known_surface, slope_model
from backstay.stability.slip.model import SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.search_result import SearchResult
from backstay.stability.slope import safety, with_strength
from backstay.stability.slope_anchors import as_forces
from backstay.stability.slope_design import SlopeDesign, design_slope
from backstay.stability.slope_face import face_angle
from backstay.stability.slope_force import anchored, required_force
from backstay.stability.slope_seam import with_seam
from backstay.stability.slope_slips import parts_of_face, search_slips, spread
from tests.unit.model.test_slopes import slope_text

RULES = basis("FHWA-IF-99-015")


def quick(model: SlipModel, options: SearchOptions) -> SearchResult:
    """Search circles alone, coarsely."""
    return search_circles(model, options=replace(options, density=0.4, non_circular=False))


def project(units: UnitSystem = UnitSystem.SI) -> Project:
    return read_text(slope_text(units))


def changed(**anchors: object) -> Slope:
    """Return the slope with its anchors told otherwise."""
    slope = project().slopes[0]
    return slope.model_copy(update={"anchors": slope.anchors.model_copy(update=anchors)})


def designed(slope: Slope, *, searched: bool = False) -> SlopeDesign:
    service = Service(life="temporary", months=18)
    return design_slope(slope, service, RULES, search=quick if searched else None)


def the(done: SlopeDesign, id: str, where: str = "") -> Check:
    return next(c for c in done.checks if c.id == id and c.where == where)


@pytest.fixture(scope="module")
def made() -> SlopeDesign:
    return designed(project().slopes[0], searched=True)


def test_the_strength_carried_explains_the_movement_in_the_worst_case(made: SlopeDesign) -> None:
    assert {x.title for x in made.loci} == {
        "best estimate", "safety lower", "safety higher", "water higher", "water lower",
    }  # fmt: skip
    weakest = min(x.pairs[0].phi for x in made.loci)  # cohesion nil
    assert made.friction == pytest.approx(weakest)
    assert made.cohesion == 0.0


def test_the_anchored_slope_has_its_target_on_the_known_surface(made: SlopeDesign) -> None:
    """The force found gives the target when put back, with the anchors as they are designed."""
    s = made.slope
    assert s.earthquake is not None
    for shaken, target in ((False, s.target), (True, s.earthquake.target)):
        ground = with_strength(slope_model(s, shaken=shaken), made.cohesion, made.friction)
        tied = replace(ground, anchors=as_forces(s, made.rows))
        again = safety(tied, known_surface(s.slip_surface)).F
        assert again >= target * (1 - 1e-9)
        if shaken:  # which governs here
            assert again == pytest.approx(target, abs=1e-6)
    assert the(made, "slope.known-surface").verdict is Verdict.PASS
    assert the(made, "slope.earthquake").demand == pytest.approx(1.1, abs=1e-6)
    assert sum(r.force for r in made.rows) == pytest.approx(made.required.force)


def test_the_best_inclination_asks_no_more_than_its_neighbours(made: SlopeDesign) -> None:
    best = made.required
    assert degrees(best.inclination) == pytest.approx(round(degrees(best.inclination)))
    assert best.force == pytest.approx(min(f.force for f in made.forces))
    case = max(made.cases, key=lambda c: c.required.force)
    heads = [(h.x, h.elevation) for h in made.slope.anchors.heads]
    for step in (-0.0174, 0.0174):
        i = best.inclination + step
        if RULES.inclination_least.value <= i <= RULES.inclination_greatest.value:
            other = required_force(case.model, made.surface, heads, i, case.target)
            assert other.force >= best.force * (1 - 2e-3)


def test_rows_are_designed_as_anchors_behind_a_wall_are(made: SlopeDesign) -> None:
    line = made.cases[0].bare.surface
    for r in made.rows:
        a = r.anchor
        assert a.design_load == pytest.approx(made.required.force / 2 * a.spacing)
        assert a.spacing == pytest.approx(round(a.spacing * 10) / 10)
        assert a.design_load <= made.slope.anchors.greatest_load
        assert a.test_load == pytest.approx(1.33 * a.design_load)
        assert a.lock_off_load == pytest.approx(0.9 * a.design_load)
        need = max(a.design_load / 0.6, a.lock_off_load / 0.7, a.test_load / 0.8)
        assert a.tendon.strength >= need
        assert a.tendon.strands == ceil(need / (a.tendon.strength / a.tendon.strands))
        assert a.bond_length == pytest.approx(2.0 * a.design_load / 100.0)
        # the bond begins beyond the surface by the larger of 1.5 m and a fifth of the height
        x, y = r.at(a.surface_length)
        assert y == pytest.approx(float(np.interp(x, line[:, 0], line[:, 1])), abs=1e-6)
        assert a.unbonded_length >= a.surface_length + 2.0 - 1e-9
        assert hypot(r.dx, r.dy) == pytest.approx(1.0)
        assert the(made, "anchor.overburden", f"row {r.row}").demand > 0.0
    assert made.schedule.rows[0].number == ceil(60.0 / made.rows[0].anchor.spacing - 1e-6)
    names = {q.name: q.value for q in made.quantities.items}
    assert names["Anchors"] == sum(r.number for r in made.schedule.rows)
    assert names["Drilled length of anchors"] == pytest.approx(
        sum(r.anchor.total_length * p.number for r, p in zip(made.rows, made.schedule.rows, strict=True))
    )  # fmt: skip
    assert names["Grout of anchors"] > 0.0


def test_strata_are_met_as_they_lie_along_the_anchor() -> None:
    """A steep anchor reaches the rock: its bond there is that of the rock, by the length in it."""
    slope = changed(inclination=0.6)
    strata = (
        slope.strata[0],
        slope.strata[1].model_copy(
            update={"bond": slope.strata[0].bond or read_bond(400.0), "top": 8.0}
        ),
    )
    done = designed(slope.model_copy(update={"strata": strata}))
    for r in done.rows:
        a = r.anchor
        parts = a.bond_required[0].parts
        assert {p.stratum for p in parts} <= {"Residual clay", "Sound rock"}
        assert sum(p.transfer * p.length / p.safety for p in parts) >= a.design_load * (1 - 1e-9)
        for p in parts:
            assert p.transfer == (400.0 if p.stratum == "Sound rock" else 100.0)
        start = r.at(a.unbonded_length)
        if start[1] < 8.0 - 1e-6:
            assert [p.stratum for p in parts] == ["Sound rock"]
        else:
            in_clay = (start[1] - 8.0) / -r.dy
            assert parts[0].length == pytest.approx(min(in_clay, a.bond_length), rel=1e-6)


def read_bond(transfer: float):  # type: ignore[no-untyped-def]
    from backstay.model.ground import Bond

    return Bond.model_construct(stress=None, transfer=transfer, source="tests")


def test_pads_and_smaller_slips_are_checked(made: SlopeDesign) -> None:
    ids = {(c.id, c.where) for c in made.checks}
    for row in ("row 1", "row 2"):
        for name in ("bearing", "punching", "bending"):
            assert (f"slope.pad-{name}", row) in ids
    assert made.slips is not None
    assert [p.title for p in made.slips.parts] == [
        "above row 1", "between row 1 and row 2", "below row 2",
    ]  # fmt: skip
    for part in made.slips.parts:
        check = the(made, "slope.smaller-slips", part.title)
        assert check.demand == pytest.approx(part.safety)
        least = part.found.critical
        assert least is not None
        assert part.exits[0] - 1e-6 <= least.out[0] <= part.exits[1] + 1e-6
    around = made.slips.around
    assert [a.title for a in around] == ["", "earthquake"]
    for one in around:
        least = one.found.critical
        assert least is not None
        assert least.out[0] <= made.rows[-1].x + 1e-6
        assert least.start[0] >= made.rows[0].x - 1e-6


def test_parts_of_the_face_divide_it_whichever_way_it_slides() -> None:
    done = designed(project().slopes[0])
    left = parts_of_face(done.ground, done.rows)
    turned = replace(
        done.ground, surface=done.ground.surface[::-1] * np.array([-1.0, 1.0]),
        tops=tuple(t[::-1] * np.array([-1.0, 1.0]) for t in done.ground.tops),
    )  # fmt: skip
    rows = [replace(r, x=-r.x, dx=-r.dx) for r in done.rows]
    right = parts_of_face(turned, rows)
    for (title, exits, entries), (other, e, n) in zip(left, right, strict=True):
        assert title == other
        assert exits == pytest.approx((-e[1], -e[0]))
        assert (entries is None) == (n is None)
    # one part begins where the other ends, from the crest to the end of the ground in front
    bounds = [part[1] for part in left]
    assert bounds[0][1] == 15.0
    assert all(a[0] == b[1] for a, b in pairwise(bounds))
    assert bounds[-1][0] == -15.0


def test_what_a_part_of_the_face_lacks_brings_it_to_its_target(made: SlopeDesign) -> None:
    harder = made.slope.model_copy(update={"slips_target": 1.9})
    slips = search_slips(
        harder, made.rows, made.required.inclination, quick,
        (made.cases[0].bare.surface, made.cohesion, made.friction),
    )  # fmt: skip
    short = [p for p in slips.parts if p.safety < 1.9]
    assert short
    for part in short:
        check = next(c for c in slips.checks if c.where == part.title)
        assert check.verdict is Verdict.FAIL
        assert 0.0 < part.lacks < inf
        assert "kN/m more" in expand(check.remedy, UnitSystem.SI)
        least = part.found.critical
        assert least is not None
        assert least.circle is not None
        held = anchored(
            part.model, spread(part.model, least), made.required.inclination, part.lacks
        )
        assert safety(held, least.circle, least.result.method).F == pytest.approx(1.9, abs=1e-4)


def test_bonds_that_slips_pass_behind_are_told_how_much_longer_they_must_be() -> None:
    """Strong anchors with short bonds: the lengths by row that do, and they do."""
    base = changed(greatest_load=2000.0, transfer=800.0, design_load=1400.0)
    weak = base.strata[0].model_copy(update={"friction_angle": 0.40, "cohesion": 4.0})
    slope = base.model_copy(
        update={"strata": (weak, base.strata[1]), "earthquake": None, "slips_target": 1.6}
    )
    done = designed(slope, searched=True)
    assert done.slips is not None
    (around,) = done.slips.around
    assert around.safety < 1.6
    longer = done.slips.lengthened
    assert longer is not None
    assert any(v > 0.0 for v in longer.added.values())
    check = the(done, "slope.around-bonds")
    assert check.verdict is Verdict.FAIL
    assert "lengthen the unbonded part of row" in check.remedy
    again = quick(
        replace(done.ground, anchors=as_forces(slope, done.rows, dict(longer.added))),
        SearchOptions(
            exits=(-15.0, done.rows[-1].x), entries=(done.rows[0].x, 50.0)
        ),
    )  # fmt: skip
    assert again.critical is not None
    assert again.critical.F >= 1.6 * (1 - 2e-3)


def test_a_search_left_out_is_said() -> None:
    done = designed(project().slopes[0])
    assert done.slips is None
    check = the(done, "slope.smaller-slips")
    assert check.verdict is Verdict.SHOW
    assert "left out" in check.open_choice


def test_a_slope_that_has_its_target_gets_no_anchors() -> None:
    slope = project().slopes[0]
    moved = slope.movement.model_copy(update={"safety": 1.9, "water_change": 0.0})
    done = designed(slope.model_copy(update={"movement": moved, "earthquake": None}), searched=True)
    assert done.rows == ()
    assert done.required.force == 0.0
    assert {c.id for c in done.checks} == {"slope.known-surface", "slope.around-bonds"}
    assert the(done, "slope.around-bonds").name == "slips of the whole slope"
    assert done.quantities.items == ()
    given = designed(
        slope.model_copy(
            update={
                "movement": moved, "earthquake": None,
                "anchors": slope.anchors.model_copy(update={"design_load": 200.0}),
            }
        )
    )  # fmt: skip
    assert [r.anchor.design_load for r in given.rows] == [200.0, 200.0]


def test_anchors_that_are_too_weak_fail_with_what_would_help() -> None:
    done = designed(changed(greatest_load=50.0))
    check = the(done, "slope.anchor-load")
    assert check.verdict is Verdict.FAIL
    assert "add rows" in check.remedy
    assert done.rows[0].anchor.spacing == pytest.approx(1.5)


def test_what_is_given_is_taken() -> None:
    done = designed(
        changed(spacing=2.25, inclination=0.35, design_load=450.0, unbonded_length=20.0)
    )
    for r in done.rows:
        assert (r.anchor.spacing, r.anchor.design_load) == (2.25, 450.0)
        assert r.anchor.inclination == 0.35
        assert r.anchor.unbonded_length == 20.0
    tendon = designed(
        changed(tendon=project().slopes[0].anchors.tendon.model_copy(update={"kind": "bar"}))
    )
    assert tendon.rows[0].anchor.tendon.kind == "bar"


def test_an_anchor_that_misses_the_surface_is_refused_with_its_row() -> None:
    slope = project().slopes[0]
    heads = tuple(
        h.model_copy(update={"x": x, "elevation": y})
        for h, (x, y) in zip(slope.anchors.heads, ((40.0, 20.0), (6.0, 14.0)), strict=True)
    )
    lost = slope.model_copy(update={"anchors": slope.anchors.model_copy(update={"heads": heads})})
    with pytest.raises(DesignError, match="row 1"):
        designed(lost)


def test_the_same_slope_in_either_unit_system_has_the_same_model() -> None:
    us = slope_model(project(UnitSystem.US).slopes[0])
    assert us.surface[2, 0] == pytest.approx(50 * 0.3048)
    assert us.gamma[0] == pytest.approx(115 * 0.157087, rel=1e-4)
    si = slope_model(project().slopes[0])
    assert si.impenetrable is not None
    assert si.impenetrable.tolist() == [False, True]
    assert si.tops[0][:, 1].tolist() == [4.0, 4.0]
    assert si.strips.tolist() == [[20.0, 27.0, 10.0]]


def test_the_angle_of_the_face() -> None:
    surface = slope_model(project().slopes[0]).surface
    assert face_angle(surface, 5.0) == pytest.approx(0.588, abs=1e-3)
    assert face_angle(surface, 30.0) == 0.0


def test_a_design_holds_slopes_with_their_names() -> None:
    done = design(project(), slip_surfaces="leave out")
    assert [s.title for s in done.slopes] == ["slope Cutting north"]
    assert done.sections == ()
    assert {owner.title for owner, _ in done.checks} == {"slope Cutting north"}
    lost = (
        project()
        .slopes[0]
        .model_copy(
            update={
                "slip_surface": project().slopes[0].slip_surface.model_copy(update={"radius": 1.0})
            }
        )
    )
    with pytest.raises(DesignError) as caught:
        design(project().model_copy(update={"slopes": (lost,)}))
    assert caught.value.where.startswith("slope Cutting north")


def test_every_placeholder_of_every_check_expands(made: SlopeDesign) -> None:
    harder = made.slope.model_copy(update={"slips_target": 2.5})
    for done in (made, designed(harder, searched=True), designed(changed(greatest_load=30.0))):
        for check in done.checks:
            for text in (check.remedy, check.note, check.open_choice):
                for system in UnitSystem:
                    assert "{" not in expand(text, system), (check.id, text)
            if check.verdict is Verdict.FAIL:
                assert check.remedy, check.id


def test_the_known_surface_is_a_weak_seam_for_smaller_slips(made: SlopeDesign) -> None:
    """A surface within the seam has the strength carried; one above or below it that of the ground."""
    line = made.cases[0].bare.surface
    ground = made.ground
    seam = with_seam(ground, line, made.cohesion, made.friction)
    assert seam.layers == 4  # clay, seam, clay, rock
    lower = line - np.array([0.0, 0.015])
    lower[[0, -1]] = line[[0, -1]]
    weak = safety(with_strength(ground, made.cohesion, made.friction), lower).F
    assert safety(seam, lower).F == pytest.approx(weak, rel=0.02)
    for shift in (0.5, -0.5):
        other = np.array([(0.0, 10.0), (6.0, 11.0 + shift), (14.0, 19.33)])
        assert safety(seam, other).F == pytest.approx(safety(ground, other).F, rel=5e-3)
    # the same ground whether the seam is there or not
    none = with_seam(ground, line, 5.0, ground.phi[0])
    assert safety(none, made.surface).F == pytest.approx(safety(ground, made.surface).F, rel=2e-4)


def test_a_seam_along_the_top_of_rock_stays_above_the_rock() -> None:
    slope = project().slopes[0]
    bare = replace(slope_model(slope), water=None)
    rock = np.array([(-15.0, 8.0), (50.0, 12.0)])
    bare = replace(bare, tops=(rock,))
    line = np.array([(-2.0, 10.0), (2.0, 9.05), (20.0, 10.15), (28.0, 20.0)])
    seam = with_seam(bare, line, 0.0, 0.2)
    deep = line - np.array([0.0, 1.0])
    deep[[0, -1]] = line[[0, -1]]
    result = safety(seam, deep)
    assert result.slices is not None
    flat = (result.slices.base_x > 3.0) & (result.slices.base_x < 19.0)
    assert result.slices.phi[flat] == pytest.approx(0.2)


def test_rock_over_ground_that_slides_gets_no_seam() -> None:
    bare = slope_model(project().slopes[0])
    turned = replace(bare, impenetrable=np.array([True, False]))
    assert with_seam(turned, np.array([(0.0, 10.0), (15.0, 20.0)]), 0.0, 0.2) is turned
