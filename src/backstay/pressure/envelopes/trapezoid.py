"""The shapes of apparent earth pressure, and the ordinate that gives a shape its total load.

H_1 is the depth of the first row, H_base the height from the last row down to subgrade. With two
or more rows the pressure rises over 2/3 H_1 and falls over 2/3 H_base; with one row it rises over
2/3 H_1, holds over H/3 and falls over 2/3 (H - H_1).
"""

from __future__ import annotations

from collections.abc import Sequence

from backstay.cite import GEC4, Citation
from backstay.pressure.diagram import Diagram
from backstay.quantity import ForcePerLength, Length, Stress
from backstay.trace import formula, remark

_SHAPE = Citation(
    f"{GEC4} and AASHTO LRFD", "section 5.2 and 3.11.5.7, apparent earth pressure", "memory"
)


@formula("p", _SHAPE)
def one_row_ordinate(P_total: ForcePerLength, H: Length) -> Stress:
    """Largest ordinate of the envelope, one row of anchors.

    P_total: total load of the envelope
    H: height of the envelope
    """
    return P_total / (2 / 3 * H)


@formula("p", _SHAPE)
def several_rows_ordinate(
    P_total: ForcePerLength, H: Length, H_1: Length, H_base: Length
) -> Stress:
    """Largest ordinate of the envelope, two or more rows of anchors.

    P_total: total load of the envelope
    H: height of the envelope
    H_1: depth of the first row
    H_base: height from the last row to the base
    """
    return P_total / (H - H_1 / 3 - H_base / 3)


@formula("P_total", _SHAPE)
def one_row_total(p: Stress, H: Length) -> ForcePerLength:
    """Total load of the envelope, one row of anchors.

    p: largest ordinate
    H: height of the envelope
    """
    return 2 / 3 * H * p


@formula("P_total", _SHAPE)
def several_rows_total(p: Stress, H: Length, H_1: Length, H_base: Length) -> ForcePerLength:
    """Total load of the envelope, two or more rows of anchors.

    p: largest ordinate
    H: height of the envelope
    H_1: depth of the first row
    H_base: height from the last row to the base
    """
    return (H - H_1 / 3 - H_base / 3) * p


@formula("P_total", Citation("Terzaghi and Peck 1967", "soft to medium clay, envelope", "memory"))
def soft_total(p: Stress, H: Length) -> ForcePerLength:
    """Total load of the envelope that rises over the upper quarter and holds to the base.

    p: largest ordinate
    H: height of the cut
    """
    return 0.875 * H * p


def ordinate(total_load: float, H: float, rows: Sequence[float]) -> float:
    """Return the largest ordinate (kPa) of the trapezoid that carries a total load (kN/m)."""
    if len(rows) == 1:
        return one_row_ordinate(total_load, H)
    return several_rows_ordinate(total_load, H, rows[0], H - rows[-1])


def trapezoid_total(p: float, H: float, rows: Sequence[float]) -> float:
    """Return the total load (kN/m) of the trapezoid with largest ordinate p (kPa)."""
    if len(rows) == 1:
        return one_row_total(p, H)
    return several_rows_total(p, H, rows[0], H - rows[-1])


def trapezoid(name: str, p: float, H: float, rows: Sequence[float]) -> Diagram:
    """Return the envelope of sand and of stiff clay as a diagram over 0..H.

    rows: depths of the rows inside 0..H, falling from the top (m).
    """
    rise = 2 / 3 * rows[0]
    fall = 2 / 3 * (H - rows[-1])
    return Diagram(name, (0.0, rise, H - fall, H), (0.0, p, p, 0.0))


def soft_shape(name: str, p: float, H: float) -> Diagram:
    """Return the envelope of soft to medium clay: 0 to p over the upper quarter, then p."""
    return Diagram(name, (0.0, 0.25 * H, H), (0.0, p, p))


def describe(diagram: Diagram) -> None:
    """Record the corners of a diagram as a sentence of the derivation."""
    corners = ", ".join(
        f"{{stress:{p:.10g}}} at {{length:{z:.10g}}}"
        for z, p in zip(diagram.z, diagram.p, strict=True)
    )
    remark(f"Corners of the envelope, by depth: {corners}.")
