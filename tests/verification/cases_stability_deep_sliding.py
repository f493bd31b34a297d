"""Deep sliding: the lower failure plane of one row, by the published formula put in by hand."""

from __future__ import annotations

from math import cos, degrees, radians

from backstay.basis import basis
from backstay.ground import profile
from backstay.model.project import Section
from backstay.stability.deep_sliding import Tie, deep_sliding
from backstay.trace import Computed, Stated
from tests.verification.catalogue import Case

SOURCE = "Kranz 1953; Ranke and Ostermayer 1968"
INPUTS = (
    "phi 32.5, gamma 18, wall friction 21.667; foot 9.0 m, head 2.0 m deep, 15 deg, 11 m from "
    "head to the middle of the bond"
)


def _steps() -> dict[str, float]:
    section = Section.model_validate(
        {
            "name": "A", "wall_length": 30.0,
            "ground": {"top": 0.0, "strata": [{
                "name": "Sand", "top": 0.0, "kind": "granular", "moist_unit_weight": 18.0,
                "saturated_unit_weight": 20.0, "friction_angle": 32.5,
                "wall_friction_ratio": 2 / 3,
            }]},
            "cut": {"subgrade": -7.0},
            "wall": {"kind": "soldier piles", "section": "auto", "spacing": 2.4},
            "anchors": [{"elevation": -2.0}],
        }
    )  # fmt: skip
    tie = Tie(1, 2.0, 11.0, radians(15), 100.0, cos(radians(15)))
    done = deep_sliding(section, profile(section), [tie], [9.0], basis("FHWA-IF-99-015"))
    return {
        s.formula.symbol if isinstance(s, Computed) else s.symbol: s.value
        for s in done.steps
        if isinstance(s, Computed | Stated)
    }


def _case(name: str, title: str, symbol: str, expected: float, unit: str) -> Case:
    def compute() -> float:
        value = _steps()[symbol]
        return degrees(value) if unit == "deg" else value

    return Case(
        f"stability.deep-sliding-{name}", "stability", title, SOURCE, "formula", INPUTS, compute,
        expected, 1e-4, unit,
    )  # fmt: skip


CASES = (
    _case("angle", "Angle of the lower failure plane", "theta", 21.349, "deg"),
    _case("weight", "Weight of the block", "G", 1324.14, "kN/m"),
    _case("active-horizontal", "Active force on the wall, horizontal", "E_ah", 182.72, "kN/m"),
    _case("active-vertical", "Active force on the wall, vertical", "E_av", 72.59, "kN/m"),
    _case("behind", "Active force behind the block", "E_1", 63.64, "kN/m"),
    _case("force", "Anchor force that would cause sliding", "A", 359.69, "kN/m"),
)
