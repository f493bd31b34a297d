"""The base of the cut: when heave and piping apply, and what they give."""

from __future__ import annotations

from math import pi

import pytest

from backstay.checks import Verdict
from backstay.ground import profile
from backstay.model.project import Section, Service
from backstay.stability import BaseDesign, base_at
from backstay.trace import Computed
from tests.unit.pressure.grounds import PERMANENT, TEMPORARY, clay, sand
from tests.unit.wall.test_toe import RULES, section


def base(s: Section, toe: float = 9.0, service: Service = TEMPORARY) -> BaseDesign:
    return base_at(s, profile(s), toe, service, RULES)


def dig(*strata: dict[str, object], H: float = 6.0, **cut: float) -> Section:
    return section(*strata, H=H, cut={"subgrade": -H, **cut})


def test_the_least_form_is_carried() -> None:
    d = base(dig(clay(su=25.0, gamma=17.0), width=10.0, length=30.0))
    forms = [s.value for s in d.steps if isinstance(s, Computed) and s.formula.symbol == "FS"]
    assert len(forms) == 4
    assert d.heave_safety == pytest.approx(min(forms))
    assert max(forms) == pytest.approx(1.769, abs=0.3)
    assert (
        pytest.approx(next(f for f in forms if f == pytest.approx(1.769, abs=1e-3)), abs=1e-3)
        == 1.769
    )


def test_a_cut_of_unknown_width_is_taken_as_wide_and_says_so() -> None:
    unknown = base(dig(clay(su=25.0)))
    known = base(dig(clay(su=25.0), width=8.0))
    assert unknown.heave_safety is not None
    assert known.heave_safety is not None
    assert unknown.heave_safety <= known.heave_safety
    assert any("very wide" in note for note in unknown.notes)


def test_a_stiff_layer_below_helps() -> None:
    soft = base(dig(clay(su=25.0), width=10.0))
    over = base(dig(clay(su=25.0), sand(top=-7.0), width=10.0))
    assert soft.heave_safety is not None
    assert over.heave_safety is not None
    assert over.heave_safety >= soft.heave_safety


def test_a_weaker_clay_below_governs() -> None:
    even = base(dig(clay(su=40.0), width=10.0))
    weak = base(dig(clay(su=40.0), clay(top=-8.0, su=20.0), width=10.0))
    assert even.heave_safety is not None
    assert weak.heave_safety is not None
    assert weak.heave_safety < even.heave_safety


def test_granular_ground_does_not_heave() -> None:
    d = base(dig(sand(), width=10.0))
    assert d.heave_safety is None
    assert d.checks == ()
    assert "does not apply" in d.notes[0]


def test_clay_below_a_sand_base_is_found() -> None:
    d = base(dig(sand(), clay(top=-7.0, su=20.0), width=10.0))
    assert d.heave_safety is not None


def test_surcharge_lowers_safety_and_permanent_walls_want_more() -> None:
    s = dig(clay(su=30.0), width=10.0)
    loaded = section(
        clay(su=30.0), H=6.0, cut={"subgrade": -6.0, "width": 10.0},
        surcharges=[{"kind": "uniform", "name": "q", "pressure": 20.0}],
    )  # fmt: skip
    bare = base(s).heave_safety
    with_load = base(loaded).heave_safety
    assert bare is not None
    assert with_load is not None
    assert with_load < bare
    assert base(s, service=PERMANENT).checks[0].capacity > base(s).checks[0].capacity


def test_failure_says_what_strength_is_needed() -> None:
    (check,) = base(dig(clay(su=12.0), width=10.0)).checks
    assert check.verdict is Verdict.FAIL
    assert "needs an undrained strength" in check.remedy


SHEETS = {
    "kind": "continuous", "name": "sheet piles", "stiffness": 1e4, "section_modulus": 1000.0,
    "width": 0.3, "allowable_stress": 200.0,
}  # fmt: skip


def test_piping_by_hand_and_with_a_deeper_toe() -> None:
    """Water 1 m deep behind, at 6 m in front; gamma_sat 20.

    Toe at 10 m: 5 / (4 pi) at the exit is steeper than the mean 5 / (9 + 4); at 12 m the mean
    5 / (11 + 6) is steeper than 5 / (6 pi).
    """
    s = section(sand(), H=6.0, wall=SHEETS, water={"retained": -1.0, "flow": "seepage"})
    d = base(s, 10.0)
    assert d.piping_safety == pytest.approx((20.0 / 9.81 - 1) / (5 / (4 * pi)))
    assert base(s, 12.0).piping_safety == pytest.approx((20.0 / 9.81 - 1) / (5 / 17))


def test_the_toe_that_piping_asks_for_is_deep_enough_and_not_deeper() -> None:
    s = section(sand(), H=6.0, wall=SHEETS, water={"retained": -1.0, "flow": "seepage"})
    short = next(c for c in base(s, 8.0).checks if c.id == "stability.piping")
    assert short.verdict is Verdict.FAIL
    more = float(short.remedy.split("{length:")[1].split("}")[0])
    assert base(s, 8.0 + more).piping_safety == pytest.approx(1.5, rel=1e-3)


def test_water_at_rest_and_lagging_are_explained() -> None:
    at_rest = base(section(sand(), H=6.0, wall=SHEETS, water={"retained": -1.0}), 10.0)
    assert at_rest.piping_safety is None
    assert any("at rest" in note for note in at_rest.notes)
    drained = base(section(sand(), H=6.0, water={"retained": -1.0}), 10.0)
    assert any("drains through lagging" in note for note in drained.notes)
