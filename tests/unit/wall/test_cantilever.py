"""The cantilever stage."""

from __future__ import annotations

from math import inf

import pytest

from backstay.checks import Verdict
from backstay.ground import profile
from backstay.model.project import Section
from backstay.pressure.diagram import Diagram
from backstay.wall.cantilever import CantileverStage, cantilever_stage
from tests.unit.pressure.grounds import clay, sand
from tests.unit.wall.test_toe import RULES, section


def stage(s: Section, dig: float = 2.6, **more: object) -> CantileverStage:
    given = {"pile_width": 0.6, "spacing": 2.4, "stiffness": 5e4, **more}
    return cantilever_stage(s, profile(s), dig_level=dig, basis=RULES, **given)  # type: ignore[arg-type]


def test_moments_vanish_at_the_depth_found_and_the_moment_is_the_greatest() -> None:
    c = stage(section(sand(phi=32.0)))
    bottom = c.depth + c.embedment_zero
    moments = [
        -c.pressure.moment_about(z, 0.0, z) for z in [0.01 * bottom * k for k in range(1, 101)]
    ]
    assert moments[-1] == pytest.approx(0.0, abs=2e-3 * c.moment)
    assert max(moments) == pytest.approx(c.moment, rel=2e-3)
    assert c.embedment_required == pytest.approx(1.2 * c.embedment_zero)


def test_a_hand_calculation_in_uniform_sand() -> None:
    """Per metre, no factor: Ka g (h+D)^3/6 = Kp g D^3/6, so (1 + h/D)^3 = Kp/Ka = Kp^2."""
    c = stage(
        section(sand(phi=30.0)), 3.0, pile_width=1.0, spacing=1.0, isolated=False,
        passive_factor=1.0,
    )  # fmt: skip
    assert c.embedment_zero == pytest.approx(3.0 / (9.0 ** (1 / 3) - 1), rel=1e-5)


def test_deflection_follows_the_stiffness_and_the_closed_form() -> None:
    """Clay that gives no load of its own: a point-like surcharge at the head of a fixed pile.

    A strip of pressure over the top 0.1 m bends the pile as a force P at its head; the moment
    between is P z, so far above the fixing the head moves by the integral of P z^2 / EI.
    """
    s = section(clay(su=400.0, kind="stiff clay"))
    push = Diagram("push", (0.0, 0.1), (100.0, 100.0))
    c = stage(s, 2.6, surcharges=(push,))
    P = 100.0 * 0.1 * 2.4
    to_dig = P * 2.6**3 / 3 / 5e4
    assert c.deflection > 0.95 * to_dig
    assert stage(s, 2.6, surcharges=(push,), stiffness=1e5).deflection == pytest.approx(
        c.deflection / 2
    )


def test_deeper_digging_moves_and_bends_more() -> None:
    s = section(sand(phi=32.0))
    shallow, deep = stage(s, 2.0), stage(s, 3.0)
    assert deep.moment > shallow.moment
    assert deep.deflection > shallow.deflection
    assert deep.embedment_required > shallow.embedment_required


def test_the_worse_strength_of_clay_governs() -> None:
    stiff = section(clay(su=80.0, kind="stiff clay"))
    assert stage(stiff).moment == pytest.approx(0.0, abs=1e-9)
    both = section(clay(su=80.0, kind="stiff clay", friction_angle=24.0))
    assert stage(both).condition == "drained"
    assert stage(both).moment > 0.0


def test_no_equilibrium_fails_and_keeps_finite_moments() -> None:
    c = stage(section(clay(su=8.0)), 5.0, toe=12.0)
    assert c.embedment_required == inf
    assert c.moment < inf
    (check,) = c.checks
    assert check.verdict is Verdict.FAIL
    assert "raise the first row" in check.remedy


def test_a_short_pile_fails() -> None:
    s = section(sand(phi=32.0))
    (check,) = stage(s, 2.6, toe=4.0).checks
    assert check.verdict is Verdict.FAIL
    (check,) = stage(s, 2.6, toe=12.0).checks
    assert check.verdict is Verdict.PASS
    assert stage(s).checks == ()


def test_surcharge_bends_more() -> None:
    load = {"kind": "uniform", "name": "q", "pressure": 15.0}
    assert (
        stage(section(sand(phi=32.0), surcharges=[load])).moment
        > stage(section(sand(phi=32.0))).moment
    )


@pytest.mark.parametrize("su", [12.0, 16.0, 20.0, 30.0, 60.0])
@pytest.mark.parametrize("phi", [20.0, 26.0, 32.0])
def test_both_strengths_bend_the_wall_no_less_than_either_alone(su: float, phi: float) -> None:
    both = stage(section(clay(su=su, friction_angle=phi)))
    alone = (
        stage(section(clay(su=su))),
        stage(section(sand(phi=phi))),
    )
    assert both.moment == pytest.approx(max(a.moment for a in alone), rel=1e-9)
    assert both.shear == pytest.approx(max(a.shear for a in alone), rel=1e-9)
    assert both.deflection == pytest.approx(max(a.deflection for a in alone), rel=1e-9)
    assert both.embedment_required == max(a.embedment_required for a in alone)


def test_pile_in_sand_by_hand_full_spacing_above_and_pile_width_below() -> None:
    """phi 30, gamma 18, dug 3 m, piles of 0.6 m at 2.4 m, passive over 1.5 on three widths.

    Above the dig level P = Ka g h^2 / 2 s = 64.8 kN, 1 m above it. At x below it the wall has
    the moment P (x + 1) + b Ka g (h x^2 / 2 + x^3 / 6) - 3 b Kp g x^3 / 6 / 1.5.
    """
    c = stage(section(sand(phi=30.0, gamma=18.0)), 3.0)
    assert c.pressure.resultant(0.0, 3.0) == pytest.approx(64.8)

    def moment(x: float) -> float:
        active = 0.6 * 18.0 / 3 * (3.0 * x**2 / 2 + x**3 / 6)
        return 64.8 * (x + 1.0) + active - 3 * 0.6 * 3.0 * 18.0 * x**3 / 6 / 1.5

    depths = [1e-4 * k for k in range(60_000)]
    assert c.moment == pytest.approx(max(moment(x) for x in depths), rel=2e-3)
    D_0 = next(x for x in depths if moment(x) < 0.0)
    assert c.embedment_zero == pytest.approx(D_0, abs=5e-3)
    assert c.embedment_required == pytest.approx(1.2 * D_0, abs=6e-3)
    assert c.shear >= 64.8 * (1 - 1e-9)


def test_local_surcharge_acts_on_the_full_spacing_above_and_the_pile_width_below() -> None:
    s = section(clay(su=400.0, kind="stiff clay"))
    push = Diagram("push", (0.0, 8.0), (10.0, 10.0))
    c = stage(s, 3.0, surcharges=(push,), passive_factor=1.0)
    assert c.pressure.resultant(0.0, 3.0) == pytest.approx(10.0 * 3.0 * 2.4)
    assert c.pressure.at(3.5) == pytest.approx(10.0 * 0.6)  # no 9 su above 1.5 widths
