"""Base heave and piping: published examples and closed forms."""

from __future__ import annotations

from math import inf

from backstay.ground import profile
from backstay.pressure.water import critical_gradient, mean_gradient
from backstay.stability.heave import (
    bjerrum_eide_heave,
    exit_gradient_deep,
    heave_factor,
    heave_width,
    shaped_heave,
    terzaghi_heave,
)
from backstay.stability.heave_circle import least_circle
from tests.unit.pressure.grounds import clay
from tests.unit.wall.test_toe import section
from tests.verification.catalogue import Case

_SKEMPTON = tuple(
    Case(
        f"stability.nc-strip-{ratio:g}", "stability", f"Nc of a strip at D/B {ratio:g}",
        "Skempton 1951", "published", f"strip, D/B {ratio:g}",
        lambda ratio=ratio: heave_factor(ratio, 1.0, inf), expected, 1e-9, "",
    )
    for ratio, expected in ((0.0, 5.0), (0.5, 5.5), (1.0, 6.0), (1.5, 6.5), (2.0, 7.0), (2.5, 7.5), (4.0, 7.5))
)  # fmt: skip


def _nc_of_circle() -> float:
    """Return Nc of the least safe circle that the search finds in even clay."""
    ground = profile(section(clay(su=25.0), H=6.0, cut={"subgrade": -6.0}))
    found = least_circle(ground, 6.0, 102.0, 0.0, 0.0, 10.0)
    assert found is not None
    return found.safety * 102.0 / 25.0


CASES = (
    Case(
        "stability.das-103", "stability", "Heave of a braced cut over a stiff layer",
        "Das, Principles of Foundation Engineering, Ex 10.3", "published",
        "gamma 17, c 30, H 5.5, B 3, L 20 m, stiff layer 1.5 m below the base",
        lambda: shaped_heave(30.0, 30.0, 17 * 5.5, 5.5, 3.0, 20.0, 1.5), 2.86, 0.002, "",
    ),
    Case(
        "stability.skempton-cut", "stability", "Heave of a deep cut", "published lecture notes, Skempton Nc",
        "published", "H 5, B 2.5 m, cu 20, gamma 20, strip",
        lambda: bjerrum_eide_heave(heave_factor(5.0, 2.5, inf), 20.0, 100.0), 1.40, 0.0005, "",
    ),
    Case(
        "stability.terzaghi", "stability", "Heave of a wide cut", "Terzaghi 1943", "formula",
        "H 6, B 10 m, su 25, gamma 17",
        lambda: terzaghi_heave(25.0, 25.0, 102.0, 6.0, heave_width(10.0, inf)), 1.769, 0.0005, "",
    ),
    Case(
        "stability.heave-circle", "stability", "Nc of the least slip circle below a wide load",
        "Fellenius 1927 (5.52); 4 theta / sin^2 theta where tan theta = 2 theta", "formula",
        "even clay, su 25, load 102 kPa on one side, no strength on the side", _nc_of_circle, 5.5202, 1e-5, "",
    ),
    *_SKEMPTON,
    Case(
        "stability.nc-square-deep", "stability", "Nc of a square at depth", "Bjerrum and Eide 1956, chart",
        "memory", "square, D/B 2.5", lambda: heave_factor(2.5, 1.0, 1.0), 9.0, 1e-9, "",
    ),
    Case(
        "stability.exit-gradient", "stability", "Gradient at the exit beside sheet piles",
        "Harr 1962: h / (pi D)", "formula", "h 3 m, D 5 m", lambda: exit_gradient_deep(3.0, 5.0),
        0.190986, 1e-5, "",
    ),
    Case(
        "stability.mean-gradient", "stability", "Mean gradient around sheet piles, level on both sides",
        "Terzaghi 1943: h / (2 D) with water at ground level behind and in front", "formula",
        "water at 0 and 3 m, toe at 8 m: 3 / (8 + 5)", lambda: mean_gradient(0.0, 3.0, 8.0), 3 / 13,
        1e-12, "",
    ),
    Case(
        "stability.critical-gradient", "stability", "Critical gradient", "Terzaghi 1922", "formula",
        "gamma_sat 19.62 kN/m3", lambda: critical_gradient(19.62, 9.81), 1.0, 1e-12, "",
    ),
)  # fmt: skip
