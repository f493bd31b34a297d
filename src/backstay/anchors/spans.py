"""A wall on rows of supports, solved by statics: tributary areas, and simple spans between hinges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from backstay.cite import Citation
from backstay.pressure.diagram import Diagram
from backstay.quantity import ForcePerLength, Length, MomentPerLength
from backstay.trace import formula, state


@formula("T_lower", Citation("statics", "moments about the upper support of the span", "formula"))
def lower_support(M: MomentPerLength, L: Length) -> ForcePerLength:
    """Reaction of a simple span at its lower support.

    M: moment of the pressure on the span about its upper support, per length of wall
    L: length of the span
    """
    return M / L


@formula("T_upper", Citation("statics", "horizontal equilibrium of the span", "formula"))
def upper_support(W: ForcePerLength, T_lower: ForcePerLength) -> ForcePerLength:
    """Reaction of a simple span at its upper support.

    W: pressure on the span
    T_lower: reaction at its lower support
    """
    return W - T_lower


@dataclass(frozen=True, slots=True)
class Span:
    """One determinate piece of the wall between two supports, with any overhang beyond them.

    upper, lower: depths of the supports (m); at_upper, at_lower: their reactions from this piece
    (kN/m); pressed: the pressure on it (kN/m).
    """

    upper: float
    lower: float
    at_upper: float
    at_lower: float
    pressed: float


def simple_spans(
    supports: Sequence[float], diagram: Diagram, *, top: float, bottom: float
) -> tuple[Span, ...]:
    """Return the spans of a wall with a hinge at every support but the first and the last.

    supports: depths, from the top down (m), at least two; the first span takes the pressure from
    `top`, the last takes it down to `bottom`. Raise ValueError with fewer than two supports.
    """
    if len(supports) < 2:
        raise ValueError("a wall on hinged spans needs two supports")
    last = len(supports) - 2
    spans = []
    for i, (upper, lower) in enumerate(pairwise(supports)):
        z1 = top if i == 0 else upper
        z2 = bottom if i == last else lower
        part = f"span {i + 1}"
        W = state(
            f"W_{i + 1}", f"Pressure on {part}", diagram.resultant(z1, z2), "force per length",
            method=f"area of the diagram from {{length:{z1:.6g}}} to {{length:{z2:.6g}}}",
        )  # fmt: skip
        M = state(
            f"M_{i + 1}", f"Moment of that pressure about the upper support of {part}",
            diagram.moment_about(upper, z1, z2), "moment per length",
            method=f"first moment of the same area about {{length:{upper:.6g}}}",
        )  # fmt: skip
        at_lower = lower_support(M, lower - upper)
        spans.append(Span(upper, lower, upper_support(W, at_lower), at_lower, W))
    return tuple(spans)


def hinge_reactions(
    supports: Sequence[float], diagram: Diagram, *, top: float, bottom: float
) -> tuple[float, ...]:
    """Return the reaction of each support (kN/m) by the hinge method."""
    reactions = [0.0] * len(supports)
    for i, span in enumerate(simple_spans(supports, diagram, top=top, bottom=bottom)):
        reactions[i] += span.at_upper
        reactions[i + 1] += span.at_lower
    return tuple(
        state(
            f"T_{i}", f"Support {i}, counted from the top, by the hinge method", reaction,
            "force per length", method="sum of the reactions of the spans that meet there",
        )
        for i, reaction in enumerate(reactions, start=1)
    )  # fmt: skip


def tributary_reactions(
    supports: Sequence[float], diagram: Diagram, *, top: float, bottom: float
) -> tuple[float, ...]:
    """Return the reaction of each support (kN/m): the pressure from mid-span to mid-span."""
    middles = [0.5 * (a + b) for a, b in pairwise(supports)]
    edges = [top, *middles, bottom]
    return tuple(
        state(
            f"T_{i}", f"Tributary area of support {i}, counted from the top",
            diagram.resultant(a, b), "force per length",
            method=f"area of the diagram from {{length:{a:.6g}}} to {{length:{b:.6g}}}",
        )
        for i, (a, b) in enumerate(pairwise(edges), start=1)
    )  # fmt: skip
