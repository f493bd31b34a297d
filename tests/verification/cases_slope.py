"""Slopes tied back: force for a target, strength that explains a slide, beams on the face."""

from __future__ import annotations

from math import degrees, pi, radians, sqrt, tan

import numpy as np

from backstay.stability.slip.model import Circle, SlipModel
from backstay.stability.slope import back_analysis
from backstay.stability.slope_force import force_by_inclination, least_of, required_force
from backstay.stability.waler import (
    beam_moment_capacity,
    beam_shear_capacity,
    beam_shear_strength,
    continuous_beam,
    equal_anchors,
    strip_bearing,
)
from tests.verification.catalogue import Case

WYLLIE = "Wyllie and Mah, Rock Slope Engineering, plane failure; recomputed from the closed form"
NOTES = "published lecture notes, fixed circle; recomputed"
AISC = "AISC Steel Construction Manual, table 3-22a, continuous beams with equal spans"
BEAMS = "beam theory"
ACI = "ACI 318, put in by hand in N and mm"
VESIC = "Vesic 1973, table of bearing capacity factors"

# plane failure: H 12, face 60, plane 35, crack 4 m behind the crest, c 0, phi 37, gamma 26, drained
FACE, PSI = 12.0 / tan(radians(60.0)), radians(35.0)
ROCK = SlipModel(
    surface=np.array([(-20.0, 0.0), (0.0, 0.0), (FACE, 12.0), (60.0, 12.0)]),
    gamma=np.array([26.0]), phi=np.array([radians(37.0)]), c=np.array([0.0]),
)  # fmt: skip
BACK = FACE + 4.0
PLANE = np.array([(0.0, 0.0), (BACK, BACK * tan(PSI))])
HEADS = [(0.5 * FACE, 6.0)]
SLOPE = SlipModel(
    surface=np.array([(-20.0, 0.0), (0.0, 0.0), (15.0, 10.0), (50.0, 10.0)]),
    gamma=np.array([18.0]), phi=np.array([radians(30.0)]), c=np.array([10.0]),
)  # fmt: skip
CIRCLE = Circle(6.0, 18.0, sqrt(373.0))


def _force(target: float, inclination: float) -> float:
    return required_force(ROCK, PLANE, HEADS, radians(inclination), target).force


def _best(target: float) -> float:
    forces = force_by_inclination(
        lambda i, guess: required_force(ROCK, PLANE, HEADS, i, target, guess=guess),
        least=radians(-20.0), greatest=radians(40.0),
    )  # fmt: skip
    return degrees(least_of(forces).inclination)


def _friction() -> float:
    (best,) = back_analysis(ROCK, PLANE, uncertainty=0.0)
    return degrees(best.pairs[0].phi)


def _beam(spans: int, part: str, overhang: float = 0.0) -> float:
    found = continuous_beam(spans + 1, 1.0, overhang, 1.0)
    return float(getattr(found, part))


def _case(
    name: str, title: str, source: str, provenance: str, inputs: str, compute: object,
    expected: float, tolerance: float, unit: str = "", reason: str = "", *, absolute: bool = False,
) -> Case:  # fmt: skip
    return Case(
        f"stability.slope-{name}", "stability", title, source, provenance, inputs,  # type: ignore[arg-type]
        compute, expected, tolerance, unit, reason, absolute=absolute,  # type: ignore[arg-type]
    )  # fmt: skip


_SPANS = ((2, 0.125, 0.0703, 0.625), (3, 0.100, 0.080, 0.600), (4, 0.1071, 0.0772, 0.607))

CASES = (
    _case("force-plane", "Anchor force for the safety that 400 kN/m gives", WYLLIE, "memory",
          "H 12, face 60, plane 35, crack 4 m behind the crest, c 0, phi 37, gamma 26; F 2.282 at 10 deg",
          lambda: _force(2.282, 10.0), 400.0, 1e-3, "kN/m", "F printed to four digits"),
    _case("force-plane-best", "Anchor force for the safety that 400 kN/m gives at the best inclination",
          WYLLIE, "memory", "as before, F 2.413 at 2 deg", lambda: _force(2.413, 2.0), 400.0, 1e-3,
          "kN/m", "F printed to four digits"),
    _case("best-inclination", "Best inclination of the anchor, by slices",
          "derivative of the closed form: arctan(tan phi / F) - plane", "formula",
          "as before, F 2", lambda: _best(2.0), degrees(np.arctan(tan(radians(37.0)) / 2.0)) - 35.0, 0.51,
          "deg", "whole degrees are looked at", absolute=True),
    _case("force-circle", "Anchor force for the safety that 100 kN/m gives", NOTES, "published",
          "toe (0,0), crest (15,10), circle (6,18), R sqrt(373), gamma 18, c 10, phi 30; F 2.272 at 15 deg",
          lambda: required_force(SLOPE, CIRCLE, [(7.5, 5.0)], radians(15.0), 2.272).force, 100.0, 1e-2,
          "kN/m", "0.001 of F for the slices is 0.01 of what the anchor adds to it"),
    _case("back-plane", "Friction that explains a plane slide at its limit", "equilibrium of a block on a plane",
          "formula", "plane 35 deg, no cohesion, no water", _friction, 35.0, 1e-6, "deg"),
    *(_case(f"beam-{n}-over", f"Moment over the supports, {n} spans", AISC, "memory", "w 1, spans 1",
            lambda n=n: _beam(n, "over"), over, 6e-4, "w l2", "printed to three or four digits")
      for n, over, _, _ in _SPANS),
    *(_case(f"beam-{n}-between", f"Greatest moment of a span, {n} spans", AISC, "memory", "w 1, spans 1",
            lambda n=n: _beam(n, "between"), between, 6e-4, "w l2", "printed to three or four digits")
      for n, _, between, _ in _SPANS),
    *(_case(f"beam-{n}-shear", f"Greatest shear, {n} spans", AISC, "memory", "w 1, spans 1",
            lambda n=n: _beam(n, "shear"), shear, 6e-4, "w l", "printed to three digits")
      for n, _, _, shear in _SPANS),
    _case("beam-endless-over", "Moment over the anchors of an endless beam", BEAMS, "formula",
          "11 spans, ends l / sqrt 6, which hold the end supports as an endless beam would",
          lambda: _beam(11, "over", 1 / sqrt(6.0)), 1 / 12, 1e-9, "w l2"),
    _case("beam-endless-between", "Moment between the anchors of an endless beam", BEAMS, "formula",
          "as before", lambda: _beam(11, "between", 1 / sqrt(6.0)), 1 / 24, 1e-9, "w l2"),
    _case("beam-equal", "Moment at equal anchor loads, ends half a span", BEAMS, "formula",
          "5 anchors: each holds its own stretch, w l2 / 8",
          lambda: equal_anchors(5, 1.0, 0.5, 1.0).over, 0.125, 1e-9, "w l2"),
    _case("beam-one", "Moment of a beam on one anchor", BEAMS, "formula", "ends 0.7: w a2 / 2",
          lambda: equal_anchors(1, 2.0, 0.7, 1.0).over, 0.245, 1e-9, "w"),
    _case("beam-bending", "Bending capacity of a concrete beam", ACI, "memory",
          "b 900, d 520, A_s 2000 mm2, f_y 420, f_c 30: 0.9 840 kN (520 - 36.60 / 2)",
          lambda: beam_moment_capacity(0.9, 2000e-6, 420e3, 30e3, 0.9, 0.52), 379.28, 1e-4, "kN m"),
    _case("beam-shear", "Shear capacity of a concrete beam with links", ACI, "memory",
          "b 900, d 520, f_c 30, links 1000 mm2/m of 420 MPa: 0.75 (435.77 + 218.4)",
          lambda: beam_shear_capacity(0.75, beam_shear_strength(30e3), 0.9, 0.52, 1e-3, 420e3), 490.63,
          1e-4, "kN"),
    _case("strip-clay", "Bearing capacity of a strip on clay", "Prandtl 1921", "formula", "su 50",
          lambda: strip_bearing(50.0, 18.0, 1.0, 0.0, 0.0, 0.0), 50.0 * (pi + 2.0), 1e-9, "kPa"),
    _case("strip-sand", "Bearing capacity of a strip on sand", VESIC, "memory",
          "phi 30: N_gamma 22.40; gamma 18, B 1",
          lambda: strip_bearing(0.0, 18.0, 1.0, radians(30.0), 0.0, 0.0), 0.5 * 18.0 * 22.40, 1e-3, "kPa",
          "factor printed to four digits"),
)  # fmt: skip
