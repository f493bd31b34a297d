"""Forces on slices added up, forces on the mass, and the comparison of methods."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, tan

import numpy as np
import pytest

from backstay.stability.overall_comparison import (
    Compared,
    compare_methods,
    compare_search,
    least_circle,
    map_circles,
    whole_surface,
)
from backstay.stability.slip.analysis import analyse_circle, analyse_surface
from backstay.stability.slip.model import Circle, SlipModel
from backstay.stability.slip.result import METHODS
from backstay.stability.slip_forces import (
    applied_forces,
    heaviest,
    slice_forces,
    worst_closing,
)
from tests.unit.report.slips import QUICK, found, slope

CIRCLE = Circle(6.0, 18.0, 373.0**0.5)
LEFT, RIGHT = found(False), found(True)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("method", ["spencer", "morgenstern-price"])
def test_every_slice_closes_and_the_shear_follows_from_its_strength(
    method: str, mirrored: bool
) -> None:
    """Equilibrium of each slice, and Mohr-Coulomb on each base, from the parts alone."""
    model = slope(mirrored=mirrored)
    circle = Circle(-CIRCLE.x if mirrored else CIRCLE.x, CIRCLE.y, CIRCLE.radius)
    result = analyse_circle(model, circle, method)  # type: ignore[arg-type]
    table = result.slices
    assert table is not None
    assert worst_closing(table, to_left=model.to_left) < 1e-12
    for i in range(len(table.x)):
        made = slice_forces(table, i, to_left=model.to_left)
        side = {p.symbol: p for p in made.parts}
        assert hypot(*made.closing) < 1e-9 * table.weight.max()
        assert sum(p.x for p in made.net) == pytest.approx(made.closing[0], abs=1e-9)
        assert sum(p.y for p in made.net) == pytest.approx(made.closing[1], abs=1e-9)
        strength = table.c[i] * table.length[i] + side["N'"].size * tan(table.phi[i])
        assert side["S"].size == pytest.approx(strength / result.F, rel=1e-6)
        assert side["U"].size == pytest.approx(table.u[i] * table.length[i], abs=1e-6)
        # shear resists: against the movement, along the base
        assert side["S"].x * (1.0 if model.to_left else -1.0) > 0.0
        assert side["S"].x * side["N'"].x + side["S"].y * side["N'"].y == pytest.approx(0, abs=1e-6)


def test_a_wrong_way_does_not_close() -> None:
    """The sum is a test of signs: taken the other way round it leaves much."""
    model, result = LEFT
    assert result.critical is not None
    table = result.critical.result.slices
    assert table is not None
    assert worst_closing(table, to_left=not model.to_left) > 0.1


def test_mirrored_ground_has_mirrored_forces() -> None:
    for (model, result), (turned, other) in ((LEFT, RIGHT),):
        one, two = result.critical, other.critical
        assert one is not None
        assert two is not None
        assert one.F == pytest.approx(two.F, rel=1e-9)
        a, b = one.result.slices, two.result.slices
        assert a is not None
        assert b is not None
        n = len(a.x)
        for i in (0, 7, n - 2):
            left = slice_forces(a, i, to_left=model.to_left)
            right = slice_forces(b, n - 1 - i, to_left=turned.to_left)
            names = {"E_l": "E_r", "E_r": "E_l", "X_l": "X_r", "X_r": "X_l"}
            back = {p.symbol: p for p in right.parts}
            for part in left.parts:
                mate = back[names.get(part.symbol, part.symbol)]
                assert (mate.x, mate.y) == pytest.approx((-part.x, part.y), abs=1e-6)


@pytest.mark.parametrize("which", [LEFT, RIGHT], ids=["to the left", "to the right"])
def test_forces_on_the_mass_are_those_of_the_slices(which: tuple[SlipModel, object]) -> None:
    """Row, piles and load, by the slices they enter: their sum is the sum of all other loads.

    Dry ground: there is nothing else in Q.
    """
    model, _ = which
    dry = replace(model, water=None)
    sign = 1.0 if model.to_left else -1.0
    result = analyse_circle(dry, Circle(sign * CIRCLE.x, CIRCLE.y, CIRCLE.radius))
    table = result.slices
    assert table is not None
    applied = applied_forces(dry, result)
    assert {a.source for a in applied} == {"anchor", "wall", "surcharge"}
    assert sum(a.x for a in applied) == pytest.approx(table.load_x.sum(), rel=1e-9)
    assert sum(a.y for a in applied) == pytest.approx((table.load_y + table.weight).sum(), rel=1e-9)
    for a in applied:
        if a.slice:
            assert table.load_x[a.slice - 1] == pytest.approx(a.x, rel=1e-9)
            assert a.at is not None
            x = a.at[0]
            assert table.side_x[a.slice - 1] <= x <= table.side_x[a.slice]


def test_a_row_wholly_in_front_of_the_surface_gives_nothing_and_says_so() -> None:
    model = slope()
    short = replace(model, anchors=(replace(model.anchors[0], free=0.5, bond=1.0),))
    result = analyse_circle(short, CIRCLE)
    row = next(a for a in applied_forces(short, result) if a.source == "anchor")
    assert (row.size, row.slice, row.at) == (0.0, 0, None)
    assert row.whole == 60.0


def test_a_passive_row_is_divided_by_the_factor_of_safety() -> None:
    model = slope()
    passive = replace(model, anchors=(replace(model.anchors[0], convention="passive"),))
    result = analyse_circle(passive, CIRCLE)
    row = next(a for a in applied_forces(passive, result) if a.source == "anchor")
    assert row.divided
    assert row.size == pytest.approx(float(result.anchors[0]) / result.F)


def test_the_heaviest_slice_is_the_heaviest() -> None:
    result = analyse_circle(slope(), CIRCLE)
    assert result.slices is not None
    assert result.slices.weight[heaviest(result.slices)] == result.slices.weight.max()


def test_a_surface_without_slices_has_no_forces() -> None:
    model = slope()
    assert applied_forces(model, analyse_circle(model, Circle(0.0, 300.0, 2.0))) == ()


def test_circles_are_compared_by_all_methods_and_others_by_those_that_suit_them() -> None:
    """Published lecture notes (check values): ordinary 1.888, Bishop 2.063, Spencer 2.059."""
    plain = SlipModel(
        surface=np.array([(-15.0, 0.0), (0.0, 0.0), (15.0, 10.0), (45.0, 10.0)]),
        gamma=np.array([18.0]), phi=np.radians([30.0]), c=np.array([10.0]),
    )  # fmt: skip
    _, result = LEFT
    least = result.critical
    assert least is not None
    fixed = replace(least, circle=CIRCLE)
    compared = compare_methods(plain, fixed)
    assert set(compared.results) == set(METHODS)
    for method, F in (("ordinary", 1.888), ("bishop", 2.063), ("spencer", 2.059)):
        assert compared.safety(method) == pytest.approx(F, rel=2e-3)  # type: ignore[arg-type]
    line = replace(least, circle=None, kind="general")
    assert set(compare_methods(plain, line).results) == {"spencer", "morgenstern-price"}
    assert compare_methods(plain, line).safety("bishop") is None


def test_the_least_circle_is_told_even_where_no_circle_is_listed() -> None:
    model, result = LEFT
    least = result.critical
    assert least is not None
    listed = compare_search(model, result, QUICK)
    assert [c.minimum for c in listed] == [least]
    plane = replace(least, kind="plane", circle=None, F=0.5 * least.F)
    bare = replace(result, minima=(plane,))
    first, second = compare_search(model, bare, QUICK)
    assert first.minimum is plane
    assert second.minimum.F == pytest.approx(least.F, rel=0.02)
    assert second.minimum.circle is not None
    ends = sorted((second.minimum.out[0], second.minimum.start[0]))
    assert ends == pytest.approx(
        [second.minimum.result.left, second.minimum.result.right], abs=1e-6
    )
    assert second.minimum.thickness == pytest.approx(least.thickness, rel=0.1)
    assert least_circle(model, replace(bare, circles=np.empty((0, 3)), safety=np.empty(0))) is None


@pytest.mark.parametrize("mirrored", [False, True])
def test_the_least_circle_lies_where_it_was_found_whichever_way_it_slides(mirrored: bool) -> None:
    """It comes out at its lower end; its points lie on it, between the ground at both ends."""
    model, search = found(mirrored)
    made = least_circle(model, replace(search, minima=()), QUICK)
    assert made is not None
    assert made.circle is not None
    assert made.F == pytest.approx(float(search.safety.min()), rel=0.02)
    assert (made.out[0] < made.start[0]) is not mirrored
    assert made.out[1] < made.start[1]
    c = made.circle
    away = np.hypot(made.points[:, 0] - c.x, made.points[:, 1] - c.y)
    assert away == pytest.approx(c.radius, rel=1e-9)
    assert sorted(made.points[[0, -1], 0]) == pytest.approx(sorted((made.out[0], made.start[0])))
    assert np.abs(c.x) < 30.0
    ground = np.interp(made.points[:, 0], *model.surface.T)
    a, b = (np.array(end) for end in (made.out, made.start))
    chord = (b - a) / np.linalg.norm(b - a)
    off = made.points - a
    across = np.abs(off[:, 0] * chord[1] - off[:, 1] * chord[0])
    assert (made.points[:, 1] <= ground + 1e-6).all()
    assert 0.3 * across.max() <= made.thickness <= 2.0 * across.max()


def test_a_solution_that_did_not_converge_has_no_safety_to_compare() -> None:
    _, result = LEFT
    least = result.critical
    assert least is not None
    failed = replace(least.result, status="does not drive")
    assert not failed.converged
    assert Compared(least, {"spencer": failed, "bishop": least.result}).safety("spencer") is None


def test_the_map_has_the_least_circle_in_its_middle() -> None:
    model, result = LEFT
    mapped = map_circles(model, result, QUICK)
    assert mapped is not None
    circle = mapped.least.circle
    assert circle is not None
    assert (mapped.map.x[10], mapped.map.y[10]) == pytest.approx((circle.x, circle.y))
    assert mapped.map.F[10, 10] == pytest.approx(mapped.least.F, rel=0.01)
    assert mapped.lowest == pytest.approx(np.nanmin(mapped.map.F))
    x, y = mapped.lowest_at
    row, column = list(mapped.map.y).index(y), list(mapped.map.x).index(x)
    assert mapped.map.F[row, column] == mapped.lowest


def test_the_whole_surface_shows_the_crack_and_follows_rock() -> None:
    model = replace(slope(), crack=1.5)
    _, result = LEFT
    least = result.critical
    assert least is not None
    assert whole_surface(least) is least.points
    cracked = replace(least, result=analyse_circle(model, CIRCLE), start=(19.0, 10.0))
    line = whole_surface(cracked)
    assert line[-1] == pytest.approx((line[-2][0], 10.0), abs=1e-6)
    assert line[-1][1] - line[-2][1] == pytest.approx(1.5)
    turned = analyse_circle(
        replace(slope(mirrored=True), crack=1.5), replace(CIRCLE, x=-CIRCLE.x)
    )  # fmt: skip
    other = whole_surface(replace(least, result=turned, out=(0.0, 0.0), start=(-19.0, 10.0)))
    assert other[0] == pytest.approx((other[1][0], 10.0), abs=1e-6)
    assert other[0][1] - other[1][1] == pytest.approx(1.5)
    cut = replace(least, kind="composite")
    assert whole_surface(cut) is least.result.surface


def test_the_weights_of_the_slices_add_up_to_that_of_the_mass() -> None:
    line = np.array([(-1.0, 0.0), (8.0, 1.0), (21.0, 10.0)])
    result = analyse_surface(slope(), line)
    assert result.slices is not None
    assert result.slices.weight.sum() == pytest.approx(result.weight, rel=1e-12)


@pytest.mark.parametrize("mirrored", [False, True])
def test_given_forces_and_a_passive_wall_are_those_of_the_slices(mirrored: bool) -> None:
    """A force within the mass counts with its signs, one below the surface or beside it does not."""
    sign = -1.0 if mirrored else 1.0
    bare = slope(mirrored=mirrored, water=False)
    forces = np.array(
        [(sign * 8.0, 5.0, sign * 7.0, -3.0), (sign * 8.0, -9.0, 50.0, 50.0), (sign * 40.0, 10.0, 1.0, 1.0)]
    )  # fmt: skip
    pile = replace(bare.piles[0], convention="passive")
    model = replace(bare, forces=forces, piles=(pile,))
    result = analyse_circle(model, Circle(sign * CIRCLE.x, CIRCLE.y, CIRCLE.radius))
    table = result.slices
    assert table is not None
    applied = applied_forces(model, result)
    (given,) = (a for a in applied if a.source == "force")
    assert (given.x, given.y) == (sign * 7.0, -3.0)
    assert given.at == (sign * 8.0, 5.0)
    (wall,) = (a for a in applied if a.source == "wall")
    assert wall.divided
    assert wall.size == pytest.approx(25.0 / result.F)
    assert sum(a.x for a in applied) == pytest.approx(table.load_x.sum(), rel=1e-9)
    assert sum(a.y for a in applied) == pytest.approx((table.load_y + table.weight).sum(), rel=1e-9)
