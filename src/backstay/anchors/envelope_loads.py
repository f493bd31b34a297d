"""Closed forms of row loads for the pure trapezoidal envelope, as published.

They hold where the design diagram is the apparent earth pressure envelope alone. H_i are the
spans from the top: H_1 down to the first row, H_base from the last row down to subgrade.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from backstay.cite import GEC4, Citation
from backstay.pressure.diagram import Diagram
from backstay.pressure.envelopes.trapezoid import trapezoid
from backstay.quantity import ForcePerLength, Length, Stress
from backstay.trace import formula

_TRIBUTARY = Citation(GEC4, "section 5.3, tributary area method", "memory")
_HINGE = Citation(GEC4, "section 5.3, hinge method", "memory")


@formula("T_1", _HINGE)
def one_row_load(p: Stress, H: Length, H_1: Length) -> ForcePerLength:
    """Load of a single row, moments about subgrade.

    p: largest ordinate of the envelope
    H: height of the cut
    H_1: depth of the row
    """
    return (23 * H**2 - 10 * H * H_1) / (54 * (H - H_1)) * p


@formula("R", _HINGE)
def one_row_reaction(p: Stress, H: Length, T_1: ForcePerLength) -> ForcePerLength:
    """Reaction at subgrade, one row.

    p: largest ordinate of the envelope
    H: height of the cut
    T_1: load of the row
    """
    return 2 / 3 * H * p - T_1


@formula("T_1", _TRIBUTARY)
def tributary_first(p: Stress, H_1: Length, H_2: Length) -> ForcePerLength:
    """Load of the first of several rows by tributary area.

    p: largest ordinate of the envelope
    H_1: depth of the first row
    H_2: from the first row to the second
    """
    return (2 / 3 * H_1 + H_2 / 2) * p


@formula("T_i", _TRIBUTARY)
def tributary_interior(p: Stress, H_above: Length, H_below: Length) -> ForcePerLength:
    """Load of a row between others by tributary area.

    p: largest ordinate of the envelope
    H_above: to the row above
    H_below: to the row below
    """
    return (H_above / 2 + H_below / 2) * p


@formula("T_n", _TRIBUTARY)
def tributary_last(p: Stress, H_n: Length, H_base: Length) -> ForcePerLength:
    """Load of the last of several rows by tributary area.

    p: largest ordinate of the envelope
    H_n: to the row above
    H_base: from the last row to subgrade
    """
    return (H_n / 2 + 23 / 48 * H_base) * p


@formula("R", _TRIBUTARY)
def tributary_reaction(p: Stress, H_base: Length) -> ForcePerLength:
    """Reaction at subgrade by tributary area, several rows.

    p: largest ordinate of the envelope
    H_base: from the last row to subgrade
    """
    return 3 / 16 * H_base * p


@formula("T_1", _HINGE)
def hinge_first(p: Stress, H_1: Length, H_2: Length) -> ForcePerLength:
    """Load of the first of several rows, moments about the hinge at the second.

    p: largest ordinate of the envelope
    H_1: depth of the first row
    H_2: from the first row to the second
    """
    return (13 * H_1**2 + 36 * H_1 * H_2 + 27 * H_2**2) / (54 * H_2) * p


@formula("T_2_upper", _HINGE)
def hinge_second_upper(p: Stress, H_1: Length, H_2: Length, T_1: ForcePerLength) -> ForcePerLength:
    """Load of the second row from above its hinge.

    p: largest ordinate of the envelope
    H_1: depth of the first row
    H_2: from the first row to the second
    T_1: load of the first row
    """
    return (2 / 3 * H_1 + H_2) * p - T_1


@formula("T_span", _HINGE)
def hinge_span(p: Stress, H_i: Length) -> ForcePerLength:
    """Reaction of a span under the full ordinate at either end.

    p: largest ordinate of the envelope
    H_i: the span between two rows
    """
    return p * H_i / 2


@formula("T_n_lower", _HINGE)
def hinge_last_lower(p: Stress, H_base: Length) -> ForcePerLength:
    """Load of the last row from the bottom span.

    p: largest ordinate of the envelope
    H_base: from the last row to subgrade
    """
    return 23 / 54 * H_base * p


@formula("R", _HINGE)
def hinge_reaction(p: Stress, H_base: Length) -> ForcePerLength:
    """Reaction at subgrade by the hinge method, several rows.

    p: largest ordinate of the envelope
    H_base: from the last row to subgrade
    """
    return 13 / 54 * H_base * p


def is_pure_envelope(depths: Sequence[float], H: float, diagram: Diagram) -> bool:
    """Return whether a diagram is the trapezoidal envelope of these rows and nothing else."""
    p = max(diagram.p, default=0.0)
    if p <= 0.0:
        return False
    envelope = trapezoid("", p, H, depths)
    corners = {*envelope.z, *(z for z in diagram.z if z <= H)}
    return all(
        abs(diagram.at(z, below=below) - envelope.at(z, below=below)) <= 1e-9 * p
        for z in corners
        for below in (True, False)
        if not (z == 0.0 and not below) and not (z == H and below)
    )


def tributary_loads(p: float, depths: Sequence[float], H: float) -> tuple[float, ...]:
    """Return the published loads of two or more rows, then the reaction (kN/m)."""
    spans = _spans(depths, H)
    interior = [tributary_interior(p, above, below) for above, below in pairwise(spans[1:-1])]
    first = tributary_first(p, spans[0], spans[1])
    last = tributary_last(p, spans[-2], spans[-1])
    return first, *interior, last, tributary_reaction(p, spans[-1])


def hinge_loads(p: float, depths: Sequence[float], H: float) -> tuple[float, ...]:
    """Return the published loads of the rows, then the reaction (kN/m)."""
    if len(depths) == 1:
        load = one_row_load(p, H, depths[0])
        return load, one_row_reaction(p, H, load)
    spans = _spans(depths, H)
    first = hinge_first(p, spans[0], spans[1])
    ends = [hinge_second_upper(p, spans[0], spans[1], first)]
    for span in spans[2:-1]:
        half = hinge_span(p, span)
        ends += [half, half]
    ends.append(hinge_last_lower(p, spans[-1]))
    rows = [ends[i] + ends[i + 1] for i in range(0, len(ends), 2)]
    return first, *rows, hinge_reaction(p, spans[-1])


def _spans(depths: Sequence[float], H: float) -> list[float]:
    levels = [0.0, *depths, H]
    return [b - a for a, b in pairwise(levels)]
