"""Stressing: elongation at the test load, and what the wedges lose at lock-off.

A tendon locked off by wedges (or a nut) draws in by a few millimetres. The load lost is the
stiffness of the free length times that draw-in: a short stiff tendon cannot hold its lock-off.
"""

from __future__ import annotations

from dataclasses import dataclass

from backstay.anchors.tendon import TendonChoice
from backstay.basis import Basis
from backstay.checks import Check, Sense
from backstay.cite import GEC4, Citation, common_practice
from backstay.model.anchors import AnchorRow
from backstay.quantity import (
    QUANTITIES,
    Force,
    Length,
    Percent,
    SectionArea,
    SmallLength,
    SteelModulus,
)
from backstay.trace import Step, formula, state, trace

ELASTIC = Citation("Hooke's law", "", "formula")
ALIGNMENT_SHARE = 0.10
"""Alignment load over design load at the start of a test."""
_ALIGNMENT = Citation(GEC4, "section 7.4, alignment load of 0.10 of the design load", "memory")
DRAW_IN = {"strand": 0.006, "bar": 0.0015}
"""Draw-in at lock-off where none is given (m); common practice: 6 to 10 mm for bare strand."""
_DRAW_IN = common_practice("draw-in at lock-off, 6 to 10 mm for strand, 1 to 2 mm for a bar's nut")


@formula("delta_e", ELASTIC)
def elongation(
    P_t: Force, P_al: Force, L_u: Length, L_tail: Length, A: SectionArea, E: SteelModulus
) -> SmallLength:
    """Theoretical elongation from alignment load to test load.

    P_t: test load; P_al: alignment load; L_u: unbonded length; L_tail: tendon from plate to jack
    grip; A: area of the tendon; E: modulus of elasticity of the tendon
    """
    return (P_t - P_al) * (L_u + L_tail) / (A * E)


@formula("P_al", _ALIGNMENT)
def alignment_load(P_d: Force) -> Force:
    """Alignment load.

    P_d: design load
    """
    return ALIGNMENT_SHARE * P_d


@formula("Delta_P", ELASTIC)
def draw_in_loss(A: SectionArea, E: SteelModulus, s: SmallLength, L_u: Length) -> Force:
    """Load lost by draw-in at lock-off.

    A: area of the tendon; E: modulus of elasticity of the tendon; s: draw-in; L_u: unbonded
    length
    """
    return A * E * s / L_u


@formula("L_need", ELASTIC)
def length_to_hold(
    A: SectionArea, E: SteelModulus, s: SmallLength, r: Percent, P_lo: Force
) -> Length:
    """Unbonded length at which the draw-in loss is an accepted share of the lock-off load.

    A: area of the tendon; E: modulus of elasticity of the tendon; s: draw-in; r: accepted share;
    P_lo: lock-off load
    """
    return A * E * s / (r * P_lo)


@formula("r", ELASTIC)
def loss_share(Delta_P: Force, P_lo: Force) -> Percent:
    """Draw-in loss as a share of the lock-off load.

    Delta_P: load lost by draw-in; P_lo: lock-off load
    """
    return Delta_P / P_lo


@formula("P_j", ELASTIC)
def jacking_load(P_lo: Force, Delta_P: Force) -> Force:
    """Load at the jack before draw-in that leaves the lock-off load after it.

    P_lo: lock-off load; Delta_P: load lost by draw-in
    """
    return P_lo + Delta_P


@dataclass(frozen=True, slots=True)
class Stressing:
    """Elongation at test load, draw-in (m), its loss (kN), length to hold (m), checks, steps."""

    elongation: float
    draw_in: float
    loss: float
    length_needed: float
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


def stressing(
    row: AnchorRow,
    tendon: TendonChoice,
    *,
    design_load: float,
    test_load: float,
    lock_off_load: float,
    unbonded: float,
    basis: Basis,
    where: str,
) -> Stressing:
    """Return elongation, lock-off loss and their checks for one anchor. Loads in kN."""
    A, E = tendon.area, tendon.E
    with trace() as elastic:
        stretch = elongation(
            test_load, alignment_load(design_load), unbonded, row.tail_length, A, E
        )
    with trace() as t:
        given = row.draw_in is not None
        s = state(
            "s", "Draw-in at lock-off", DRAW_IN[tendon.kind] if row.draw_in is None else row.draw_in,
            "small length", method="given" if given else "not given: the usual value",
            cite=None if given else _DRAW_IN,
        )  # fmt: skip
        loss = draw_in_loss(A, E, s, unbonded)
        share = loss_share(loss, lock_off_load)
        allowed = basis.lock_off_loss_share
        needed = length_to_hold(A, E, s, allowed.value, lock_off_load)
    less = (
        "power-seated wedges, shims under the head"
        if tendon.kind == "strand"
        else "shims, a nut turned tight under load"
    )
    remedy = (
        f"the draw-in of {{small length:{s:g}}} takes {{force:{loss:.6g}}} of "
        f"{{force:{lock_off_load:.6g}}}: an unbonded length of {{length:{needed:.6g}}} would hold "
        f"it within the limit; or reduce the draw-in ({less}) and prove the lock-off by a lift-off test"
    )
    held = Check(
        "anchor.lock-off-loss", "Draw-in loss at lock-off, share of the load", share, allowed.value,
        QUANTITIES["percent"], allowed.cite, Sense.AT_MOST, where, t.steps,
        remedy if share > allowed.value else "",
        note=f"elongation at test load {{small length:{stretch:.6g}}} from the alignment load",
    )  # fmt: skip
    with trace() as jack:
        P_j = jacking_load(lock_off_load, loss)
        limit = basis.tendon_test_stress.value * tendon.strength
    jacking = Check(
        "anchor.jacking-load", "Load at the jack to leave the lock-off load", P_j, limit,
        QUANTITIES["force"], basis.tendon_test_stress.cite, Sense.AT_MOST, where,
        (*t.steps, *jack.steps),
        "a lower lock-off load, a longer unbonded length or a larger tendon" if P_j > limit else "",
        note="the tendon is jacked beyond the lock-off load by what the draw-in will take",
    )  # fmt: skip
    return Stressing(
        stretch, s, loss, needed, (held, jacking), (*elastic.steps, *t.steps, *jack.steps)
    )
