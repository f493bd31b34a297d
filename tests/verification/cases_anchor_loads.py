"""Loads of rows: braced cuts of a textbook, and the closed forms for anchored walls."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import isclose, radians

from backstay.anchors.loads import RowLoads, row_loads
from backstay.anchors.spans import hinge_reactions
from backstay.cite import Provenance
from backstay.pressure.diagram import Diagram
from backstay.pressure.envelopes.trapezoid import ordinate, trapezoid
from backstay.pressure.rankine import rankine_active
from tests.verification.catalogue import Case

_DAS = "Das, Principles of Foundation Engineering"
_FHWA = "FHWA-IF-99-015 (1999), section 5.3; proved by integration"
_PRINTED = "printed to four digits"

# Das example 10.2: sand, uniform pressure; example 10.1: clay, ramps over H/4 at either end.
_SAND = Diagram("Peck, sand", (0.0, 9.0), (0.65 * 0.271 * 17 * 9,) * 2)
_CLAY = Diagram("Peck, clay", (0.0, 1.75, 5.25, 7.0), (0.0, 0.3 * 18 * 7, 0.3 * 18 * 7, 0.0))
_SAND_IN = "gamma 17, phi 35 deg, H 9 m, supports 2, 5, 8 m, spacing 4 m, hinge at the middle"
_CLAY_IN = "gamma 18, c 35 kPa, H 7 m, supports 1, 3.5, 6 m, spacing 3 m, hinge at the middle"
_ALLOWABLE = 170e3


def _strut(diagram: Diagram, supports: Sequence[float], H: float, row: int) -> float:
    return hinge_reactions(supports, diagram, top=0.0, bottom=H)[row - 1]


def _bisect(f: Callable[[float], float], a: float, b: float) -> float:
    """Return a root of f between a and b, where f changes sign once."""
    low, high = (a, b) if f(a) < 0 else (b, a)
    while not isclose(low, high, rel_tol=1e-13):
        middle = 0.5 * (low + high)
        if f(middle) < 0:
            low = middle
        else:
            high = middle
    return low


def _shear_zero(diagram: Diagram, load: float, z1: float, z2: float) -> float:
    """Return the depth between two supports where pressure from the top equals a load."""
    return _bisect(lambda z: diagram.resultant(0.0, z) - load, z1, z2)


def _span_moment(diagram: Diagram, load: float, at: float, z: float) -> float:
    """Return the moment at depth z under a load at depth `at`, sagging positive."""
    return load * (z - at) + diagram.moment_about(z, 0.0, z)


def _clay_zero_shear() -> float:
    load = _strut(_CLAY, (1.0, 3.5, 6.0), 7.0, 1)
    return 3.5 - _shear_zero(_CLAY, load, 1.0, 3.5)


def _clay_sheeting() -> float:
    load = _strut(_CLAY, (1.0, 3.5, 6.0), 7.0, 1)
    moment = _span_moment(_CLAY, load, 1.0, _shear_zero(_CLAY, load, 1.0, 3.5))
    overhang = -_CLAY.moment_about(1.0, 0.0, 1.0)
    return max(moment, overhang) / _ALLOWABLE * 1e3


def _clay_wale() -> float:
    return _strut(_CLAY, (1.0, 3.5, 6.0), 7.0, 2) * 3.0**2 / 8 / _ALLOWABLE * 1e3


def _envelope(rows: Sequence[float], H: float, phi: float) -> Diagram:
    total = 0.65 * rankine_active(radians(phi)) * 18.0 * H**2
    return trapezoid("sand", ordinate(total, H, rows), H, rows)


def _one() -> RowLoads:
    return row_loads([2.7], 7.6, _envelope([2.7], 7.6, 32.0))


def _two() -> RowLoads:
    return row_loads([2.5, 6.25], 10.0, _envelope([2.5, 6.25], 10.0, 33.0))


def _one_zero_shear() -> float:
    load = _one().rows[0].horizontal
    return _shear_zero(_envelope([2.7], 7.6, 32.0), load, 2.8, 7.5)


def _one_span_moment() -> float:
    load, diagram = _one().rows[0].horizontal, _envelope([2.7], 7.6, 32.0)
    return _span_moment(diagram, load, 2.7, _shear_zero(diagram, load, 2.8, 7.5))


def _unit(rows: Sequence[float], H: float) -> RowLoads:
    return row_loads(rows, H, trapezoid("unit", 1.0, H, rows))


_ONE_IN = "sand, gamma 18 kN/m3, phi 32 deg, H 7.6 m, one row at 2.7 m"
_TWO_IN = "sand, gamma 18 kN/m3, phi 33 deg, H 10 m, rows at 2.5 and 6.25 m"
_UNIT_IN = "ordinate 1 kPa, H 12 m, rows at 2, 5, 8.5 m (spans 2, 3, 3.5, 3.5 m)"
_ROWS = (2.0, 5.0, 8.5)


def _case(
    name: str, title: str, source: str, provenance: Provenance, inputs: str,
    compute: Callable[[], float], expected: float, unit: str, tolerance: float, reason: str,
) -> Case:  # fmt: skip
    return Case(
        f"anchors.{name}", "anchors", title, source, provenance, inputs, compute, expected,
        tolerance, unit, reason,
    )  # fmt: skip


def _das(
    example: str, name: str, title: str, inputs: str, compute: Callable[[], float],
    expected: float, unit: str, tolerance: float, reason: str = _PRINTED,
) -> Case:  # fmt: skip
    return _case(
        f"das-{example}-{name}", title, f"{_DAS}, example {example}", "published", inputs, compute,
        expected, unit, tolerance, reason,
    )  # fmt: skip


def _fhwa(
    name: str, title: str, inputs: str, compute: Callable[[], float], expected: float, unit: str,
    tolerance: float = 5e-5, reason: str = "value stated to four or five digits",
) -> Case:  # fmt: skip
    return _case(name, title, _FHWA, "formula", inputs, compute, expected, unit, tolerance, reason)


def _closed(name: str, title: str, compute: Callable[[], float], expected: float) -> Case:
    return _fhwa(f"unit-{name}", title, _UNIT_IN, compute, expected, "kN/m", 1e-12, "closed form")


CASES: tuple[Case, ...] = (
    _das("10.2", "strut-1", "strut load, top", _SAND_IN,
         lambda: 4 * _strut(_SAND, (2.0, 5.0, 8.0), 9.0, 1), 449.2, "kN", 5e-4),
    _das("10.2", "strut-2", "strut load, middle", _SAND_IN,
         lambda: 4 * _strut(_SAND, (2.0, 5.0, 8.0), 9.0, 2), 233.6, "kN", 5e-4),
    _das("10.2", "strut-3", "strut load, bottom", _SAND_IN,
         lambda: 4 * _strut(_SAND, (2.0, 5.0, 8.0), 9.0, 3), 287.5, "kN", 5e-4),
    _das("10.2", "wale", "wale moment at the top support, simple spans of 4 m", _SAND_IN,
         lambda: _strut(_SAND, (2.0, 5.0, 8.0), 9.0, 1) * 4.0**2 / 8, 224.58, "kN m", 5e-4),
    _das("10.1", "strut-1", "strut load, top", _CLAY_IN,
         lambda: 3 * _strut(_CLAY, (1.0, 3.5, 6.0), 7.0, 1), 162.06, "kN", 1e-3),
    _das("10.1", "strut-2", "strut load, middle", _CLAY_IN,
         lambda: 3 * _strut(_CLAY, (1.0, 3.5, 6.0), 7.0, 2), 271.2, "kN", 1e-3),
    _das("10.1", "strut-3", "strut load, bottom", _CLAY_IN,
         lambda: 3 * _strut(_CLAY, (1.0, 3.5, 6.0), 7.0, 3), 162.06, "kN", 1e-3),
    _das("10.1", "zero-shear", "zero shear above the middle support", _CLAY_IN,
         _clay_zero_shear, 1.196, "m", 1e-3),
    _das("10.1", "sheeting", "section modulus of the sheeting at 170 MPa", _CLAY_IN,
         _clay_sheeting, 0.159, "1e-3 m3/m", 2e-3, "printed to three digits"),
    _das("10.1", "wale", "section modulus of the middle wale at 170 MPa", _CLAY_IN,
         _clay_wale, 0.598, "1e-3 m3", 1e-3),
    _fhwa("one-row-load", "load of the row", _ONE_IN,
          lambda: _one().rows[0].horizontal, 173.98, "kN/m"),
    _fhwa("one-row-reaction", "reaction at subgrade", _ONE_IN,
          lambda: _one().reaction, 33.665, "kN/m"),
    _fhwa("one-row-moment", "moment at the row, 13/54 H1^2 p", _ONE_IN,
          lambda: -_envelope([2.7], 7.6, 32.0).moment_about(2.7, 0.0, 2.7), 71.92, "kN m/m", 1e-4),
    _fhwa("one-row-zero-shear", "depth of zero shear", _ONE_IN, _one_zero_shear, 5.283, "m", 1e-4),
    _fhwa("one-row-span-moment", "span moment", _ONE_IN, _one_span_moment, 51.99, "kN m/m", 2e-4),
    _fhwa("two-rows-tributary-1", "first row, tributary area", _TWO_IN,
          lambda: _two().rows[0].tributary, 154.31, "kN/m"),
    _fhwa("two-rows-tributary-2", "second row, tributary area", _TWO_IN,
          lambda: _two().rows[1].tributary, 159.98, "kN/m"),
    _fhwa("two-rows-tributary-reaction", "reaction at subgrade, tributary area", _TWO_IN,
          lambda: _two().reaction_tributary, 30.634, "kN/m"),
    _fhwa("two-rows-hinge-1", "first row, hinge method", _TWO_IN,
          lambda: _two().rows[0].hinge, 171.79, "kN/m"),
    _fhwa("two-rows-hinge-2", "second row, hinge method", _TWO_IN,
          lambda: _two().rows[1].hinge, 133.80, "kN/m"),
    _fhwa("two-rows-hinge-reaction", "reaction at subgrade, hinge method", _TWO_IN,
          lambda: _two().reaction_hinge, 39.33, "kN/m", 1e-4),
    _fhwa("two-rows-moment", "moment at the first row", _TWO_IN,
          lambda: -_envelope([2.5, 6.25], 10.0, 33.0).moment_about(2.5, 0.0, 2.5), 65.55, "kN m/m",
          1e-4),
    _closed("one-row", "one row, p (23 H^2 - 10 H H1) / (54 (H - H1)), H 12 m, H1 4 m",
            lambda: _unit([4.0], 12.0).rows[0].hinge, (23 * 144 - 480) / (54 * 8)),
    _closed("tributary-1", "first row, 2/3 H1 + H2/2",
            lambda: _unit(_ROWS, 12.0).rows[0].tributary, 2 / 3 * 2 + 3 / 2),
    _closed("tributary-2", "row between, (H2 + H3)/2",
            lambda: _unit(_ROWS, 12.0).rows[1].tributary, 6.5 / 2),
    _closed("tributary-3", "last row, H3/2 + 23/48 H4",
            lambda: _unit(_ROWS, 12.0).rows[2].tributary, 3.5 / 2 + 23 / 48 * 3.5),
    _closed("tributary-reaction", "reaction, 3/16 H4",
            lambda: _unit(_ROWS, 12.0).reaction_tributary, 3 / 16 * 3.5),
    _closed("hinge-1", "first row, (13 H1^2 + 36 H1 H2 + 27 H2^2) / (54 H2)",
            lambda: _unit(_ROWS, 12.0).rows[0].hinge, (13 * 4 + 36 * 6 + 27 * 9) / (54 * 3)),
    _closed("hinge-2", "second row, 2/3 H1 + H2 - T1 + H3/2",
            lambda: _unit(_ROWS, 12.0).rows[1].hinge,
            2 / 3 * 2 + 3 - (13 * 4 + 36 * 6 + 27 * 9) / (54 * 3) + 3.5 / 2),
    _closed("hinge-3", "last row, H3/2 + 23/54 H4",
            lambda: _unit(_ROWS, 12.0).rows[2].hinge, 3.5 / 2 + 23 / 54 * 3.5),
    _closed("hinge-reaction", "reaction, 13/54 H4",
            lambda: _unit(_ROWS, 12.0).reaction_hinge, 13 / 54 * 3.5),
)  # fmt: skip
