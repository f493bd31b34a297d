"""Heave of the base step by step: what each form is given, computed by hand beside it."""

from __future__ import annotations

import re
from math import inf, pi, sqrt

import pytest

from backstay.ground import profile
from backstay.model.project import Section
from backstay.stability import BaseDesign, base_at
from backstay.trace import Computed, Stated
from tests.unit.pressure.grounds import TEMPORARY, clay, sand
from tests.unit.wall.test_toe import RULES, section

H = 6.0


def dig(*strata: dict[str, object], surcharge: float = 0.0, **cut: float) -> Section:
    loads = [{"kind": "uniform", "name": "q", "pressure": surcharge}] if surcharge else []
    return section(*strata, H=H, cut={"subgrade": -H, **cut}, surcharges=loads)


def base(s: Section) -> BaseDesign:
    return base_at(s, profile(s), 9.0, TEMPORARY, RULES)


def told(d: BaseDesign) -> dict[str, float]:
    """Return the values stated, and factors; of each symbol the first."""
    found: dict[str, float] = {}
    for step in d.steps:
        if isinstance(step, Stated):
            found.setdefault(step.symbol, step.value)
        elif isinstance(step, Computed) and step.formula.symbol != "FS":
            found.setdefault(step.formula.symbol, step.value)
    return found


def forms(d: BaseDesign) -> dict[str, float]:
    """Return the factors of safety by the function that computed them."""
    return {
        s.formula.id.rsplit(".", 1)[1]: s.value
        for s in d.steps
        if isinstance(s, Computed) and s.formula.symbol == "FS"
    }


def growing(top: float, gradient: float, at: float = 0.0) -> dict[str, object]:
    return clay(at) | {"undrained_strength": {"at_top": top, "gradient": gradient}}


def test_the_ground_in_front_above_the_clay_holds_against_what_is_behind() -> None:
    """Clay 1 m below the cut: 7 m of ground and 10 kPa behind, 1 m of ground in front."""
    d = base(dig(sand(), clay(-7.0, su=20.0), surcharge=10.0, width=10.0))
    assert told(d)["q_b"] == pytest.approx(7 * 18.0 + 10.0 - 1 * 18.0)


@pytest.mark.parametrize(("depth", "counts"), [(6.9, True), (7.1, False)])
def test_clay_within_seven_tenths_of_the_width_counts(depth: float, counts: bool) -> None:
    """The block of Terzaghi's mechanism is 0.7 B wide and its arc as deep."""
    d = base(dig(clay(su=40.0), clay(-H - depth, su=20.0), width=10.0))
    assert told(d)["s_ub"] == (20.0 if counts else 40.0)


def test_strength_that_grows_counts_at_the_middle_of_what_is_within_reach() -> None:
    """From 6 m to 13 m: the middle lies at 9.5 m; beside the cut at 3 m."""
    d = base(dig(growing(10.0, 2.0), width=10.0))
    assert told(d)["s_ub"] == pytest.approx(10.0 + 2.0 * 9.5)
    assert told(d)["s_us"] == pytest.approx(10.0 + 2.0 * 3.0)


def test_strength_beside_the_cut_is_that_of_the_clay_by_thickness() -> None:
    d = base(dig(sand(), clay(-2.0, su=30.0), growing(20.0, 4.0, at=-5.0), width=10.0))
    assert told(d)["s_us"] == pytest.approx((30.0 * 3 + (20.0 + 4.0 * 0.5) * 1) / 4)


@pytest.mark.parametrize(("length", "L"), [(30.0, 30.0), (5.0, 10.0), (None, inf)])
def test_each_form_by_hand(length: float | None, L: float) -> None:
    """B 10 m, even clay of 25 kPa and 17 kN/m3 (Skempton 1951; Terzaghi 1943; Das): q 102 kPa.

    A cut that is shorter than wide is as long as it is wide, for the shape.
    """
    cut = {"width": 10.0} | ({} if length is None else {"length": length})
    d = base(dig(clay(su=25.0, gamma=17.0), **cut))
    q, su, B = 102.0, 25.0, 10.0
    found = forms(d)
    N_c = 5.0 * (1 + 0.2 * H / B) * (1 + 0.2 * B / L)
    assert told(d)["N_c"] == pytest.approx(N_c)
    assert found["bjerrum_eide_heave"] == pytest.approx(N_c * su / q)
    assert found["terzaghi_heave"] == pytest.approx(5.7 * su / (q - su * H / 7.0))
    B_1 = B / sqrt(2)
    assert found["shaped_heave"] == pytest.approx(
        (5.14 * su * (1 + 0.2 * B / L) + su * H / B_1) / q
    )
    assert d.heave_safety == pytest.approx(min(found.values()))


def test_a_stiff_layer_limits_the_block_by_its_depth_below_the_clays_top() -> None:
    """Sand at 8 m, 2 m below the base: the block is 2 m wide instead of 7 m."""
    d = base(dig(clay(su=25.0, gamma=17.0), sand(-8.0), width=10.0, length=20.0))
    assert told(d)["B_1"] == 2.0
    found = forms(d)
    assert found["terzaghi_heave"] == pytest.approx(5.7 * 25.0 / (102.0 - 25.0 * H / 2.0))
    shaped = (5.14 * 25.0 * (1 + 0.2 * sqrt(2) * 2.0 / 20.0) + 25.0 * H / 2.0) / 102.0
    assert found["shaped_heave"] == pytest.approx(shaped)


def test_strength_on_the_side_that_carries_the_block_leaves_terzaghis_form_without_a_limit() -> (
    None
):
    """25 x 6 / 1.4 is more than 102 kPa."""
    d = base(dig(clay(su=25.0, gamma=17.0), width=2.0))
    assert "terzaghi_heave" not in forms(d)


def test_a_cut_of_unknown_width_is_given_no_strength_on_the_side() -> None:
    d = base(dig(clay(su=25.0, gamma=17.0)))
    found = forms(d)
    assert found["terzaghi_heave_wide"] == pytest.approx(5.7 * 25.0 / 102.0)
    assert found["bjerrum_eide_heave"] == pytest.approx(5.0 * 25.0 / 102.0)


def test_the_strength_that_is_asked_for_is_just_enough() -> None:
    (check,) = base(dig(clay(su=15.0, gamma=17.0))).checks
    asked = re.search(r"\{stress:([\d.]+)\}", check.remedy)
    assert asked
    again = base(dig(clay(su=float(asked[1]), gamma=17.0)))
    assert again.heave_safety == pytest.approx(check.capacity, rel=1e-3)


SHEETS = {
    "kind": "continuous", "name": "sheet piles", "stiffness": 1e4, "section_modulus": 1000.0,
    "width": 0.3, "allowable_stress": 200.0,
}  # fmt: skip


def test_circles_beneath_the_toe_are_told_with_the_least_of_them() -> None:
    """Even clay, no side strength of sand: beneath depth t the least circle has it at the wall.

    Found here by trying circles: a in front, b behind, both within 3 heights.
    """
    from math import cos, sin

    s = section(sand(), clay(-H, su=25.0), H=H, wall=SHEETS, cut={"subgrade": -H, "width": 10.0})
    d = base_at(s, profile(s), 9.0, TEMPORARY, RULES)
    (note,) = (n for n in d.notes if "beneath the toe" in n)
    said = float(re.search(r"safety of ([\d.]+)", note)[1])  # type: ignore[index]
    least = inf
    for i in range(1, 101):
        for j in range(i, 101):
            a, b = 0.1 * i, 0.1 * j
            for k in range(1, 61):
                half = 0.3 + (pi / 2 - 0.3) * k / 60
                R = (a + b) / (2 * sin(half))
                at_wall = sqrt(max(R * R - 0.25 * (b - a) ** 2, 0.0)) - R * cos(half)
                if at_wall >= 3.0:
                    least = min(least, 2 * 25.0 * R * R * half / (0.5 * 18.0 * H * a * b))
    assert said == pytest.approx(least, rel=0.02)


@pytest.mark.parametrize("front", [None, -6.8])
def test_piping_over_layers_by_hand(front: float | None) -> None:
    """Saturated unit weights by thickness below the higher of cut and water; steeper gradient."""
    lower = sand(-8.0) | {"saturated_unit_weight": 17.0}
    water: dict[str, object] = {"retained": -1.0, "flow": "seepage"}
    if front is not None:
        water["cut"] = front
    s = section(sand(), lower, H=H, wall=SHEETS, water=water)
    d = base_at(s, profile(s), 10.0, TEMPORARY, RULES)
    level = H if front is None else -front
    D, h = 10.0 - level, level - 1.0
    gamma = (20.0 * (8.0 - level) + 17.0 * 2.0) / D
    gradient = max(h / (9.0 + D), h / (pi * D))
    assert d.piping_safety == pytest.approx((gamma / 9.81 - 1.0) / gradient)


def test_stiff_clay_below_soft_clay_limits_the_block() -> None:
    """Stiff clay from 8 m, 2 m below the base: what is stiff enough to limit it (common practice)."""
    stiff = clay(-8.0, su=90.0, kind="stiff clay")
    d = base(dig(clay(su=25.0, gamma=17.0), stiff, width=10.0))
    assert told(d)["B_1"] == 2.0
    assert told(d)["s_ub"] == 25.0


def test_traffic_weighs_behind_the_cut() -> None:
    loads = [{"kind": "traffic", "name": "t", "pressure": 12.0}]
    s = section(clay(gamma=17.0), H=H, cut={"subgrade": -H, "width": 10.0}, surcharges=loads)
    assert told(base(s))["q_b"] == pytest.approx(17.0 * H + 12.0)


def test_the_target_of_the_section_goes_before_that_of_the_basis() -> None:
    cut = {"subgrade": -H, "width": 10.0}
    s = section(clay(), H=H, cut=cut, targets={"heave_safety": 1.83})
    (check,) = base(s).checks
    assert check.capacity == 1.83


@pytest.mark.parametrize("width", [2.0, 2.5, 3.0])
def test_a_cut_of_unknown_width_is_no_safer_by_circles_than_a_wide_one(width: float) -> None:
    """Up to three heights: the wider the circle, the less its side holds (statics)."""
    ground = clay(su=25.0, gamma=17.0)
    unknown = forms(base(dig(ground)))["circle_heave"]
    assert unknown <= forms(base(dig(ground, width=width * H)))["circle_heave"] * (1 + 1e-3)


@pytest.mark.parametrize(
    ("side", "top", "growth", "width", "form"),
    [(8.0, 18.0, 0.0, H, "shape and stiff layer"), (8.0, 14.0, 0.2, 3 * H, "slip circle")],
)
def test_the_strength_asked_for_below_the_base_is_enough_with_the_side_as_it_is(
    side: float, top: float, growth: float, width: float, form: str
) -> None:
    """Strength of the side does not grow with that below: proportion alone would ask too little.

    growth: of the strength below by depth, in parts of that at its top; half of 0.7 B counts.
    """
    middle = 1.0 + growth * 0.35 * width

    def cut(top: float) -> BaseDesign:
        below = growing(top, growth * top, at=-H) | {"moist_unit_weight": 17.0}
        return base(dig(clay(su=side, gamma=17.0), below, width=width))

    (check,) = cut(top).checks
    assert form in check.note
    asked = re.search(r"\{stress:([\d.]+)\}", check.remedy)
    assert asked
    assert cut(float(asked[1]) / middle).heave_safety == pytest.approx(check.capacity, rel=1e-3)


def test_piping_under_water_in_the_cut_by_hand() -> None:
    """Water 0.5 m above the cut: the way of the water ends at the ground (Terzaghi 1943)."""
    water = {"retained": -1.0, "cut": -5.5, "flow": "seepage"}
    s = section(sand(), H=H, wall=SHEETS, water=water)
    d = base_at(s, profile(s), 14.0, TEMPORARY, RULES)
    h, D = 4.5, 8.0
    assert d.piping_safety == pytest.approx((20.0 / 9.81 - 1) / max(h / (13.0 + D), h / (pi * D)))


def test_the_toe_asked_for_where_the_mean_gradient_governs_is_just_enough() -> None:
    """Light ground, toe at 11 m: 5 / (10 + 5) is steeper than 5 / (5 pi)."""
    light = sand() | {"saturated_unit_weight": 14.0, "moist_unit_weight": 13.0}
    s = section(light, H=H, wall=SHEETS, water={"retained": -1.0, "flow": "seepage"})
    found = base_at(s, profile(s), 11.0, TEMPORARY, RULES)
    assert found.piping_safety == pytest.approx((14.0 / 9.81 - 1) / (5 / 15))
    asked = re.search(r"\{length:([\d.]+)\}", found.checks[-1].remedy)
    assert asked
    again = base_at(s, profile(s), 11.0 + float(asked[1]), TEMPORARY, RULES)
    assert again.piping_safety == pytest.approx(found.checks[-1].capacity, rel=1e-3)
